package scene

import (
	"strconv"

	"rigline/components"
)

// listRoom is the room that the list of findings takes from the drawing, in
// millimetres: a column at its right, or a strip below it in columns as wide.
type listRoom struct{ side, below float64 }

const (
	listWide  = 92.0           // of a column of the list
	listHead  = 3 + plain + 2  // above its first finding
	listStep  = tiny * leading // from line to line
	mostBelow = 0.4            // of the room for the drawing that a strip may take
	listTextX = 11.0           // from the edge of a column to its words
	listText  = listWide - 15  // the width of its words
	listLeast = 1.6 * listStep // of a finding, for its mark
	listGap   = 1.2            // above a finding
)

// listings are the ways in which the list may stand on a paper whose drawing has a
// room of some width and height; where there is no list, the one way without.
func (d *drawing) listings(width, height float64) []listRoom {
	if !d.listed() {
		return []listRoom{{}}
	}
	ways := []listRoom{{side: listWide}}
	columns := int(width / listWide)
	for high := listHead + listGap + listLeast; high <= mostBelow*height; high += listStep {
		if shown := d.listFit(columns, high); shown == len(d.o.Marks) {
			return append(ways, listRoom{below: high + 2})
		}
	}
	return ways
}

func (m Mark) listLines() []string { return wrap(m.Text, tiny, listText, false) }

func listHigh(lines []string) float64 { return listGap + max(listLeast, listStep*float64(len(lines))) }

// listFit is how many findings fit into columns of some height.
func (d *drawing) listFit(columns int, high float64) int {
	column, y := 0, listHead
	for i, m := range d.o.Marks {
		h := listHigh(m.listLines())
		if y+h > high {
			column, y = column+1, listHead
			if column >= columns || y+h > high {
				return i
			}
		}
		y += h
	}
	return len(d.o.Marks)
}

// findings lists the marks with their words in columns from x on, between top and
// foot, in millimetres. What does not fit is counted at the foot of the last.
func (f *framing) findings(x, top, foot float64, columns int) {
	f.text(x+3, top+3+plain, plain, "Findings", true, Ink, Start)
	column, y := 0, top+listHead
	for i, m := range f.d.o.Marks {
		lines := m.listLines()
		last := column == columns-1
		bottom := foot
		if last && i < len(f.d.o.Marks)-1 {
			bottom -= 5 // for the count of what is left out
		}
		if y+listHigh(lines) > bottom {
			if last {
				f.text(x+3, foot-2, tiny, strconv.Itoa(len(f.d.o.Marks)-i)+" more in the report", false, Ink, Start)
				return
			}
			column, x, y = column+1, x+listWide, top+listHead
			f.line(components.Hairline, Pt{x, top + 3}, Pt{x, foot - 2})
		}
		y += listGap
		for _, sh := range m.shapes(f.pt(Pt{x + 6, y + listStep*0.75}), 2*f.u, FrameLayer) {
			sh.Address = ""
			f.d.add(sh)
		}
		for k, l := range lines {
			f.text(x+listTextX, y+listStep*float64(k+1), tiny, l, false, Ink, Start)
		}
		y += listHigh(lines) - listGap
	}
}
