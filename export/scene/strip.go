package scene

import (
	"strconv"

	"rigline/components"
)

// Of the strip above the title block and the legend, in millimetres.
const (
	stripMost     = 34.0
	revisionRow   = 4.6
	revisionsMost = 6 // shown; older ones stand in the project
	noteColumns   = 3
	noteGap       = 4.0
)

// stripHeight is the height of the strip with the revision table and the notes; 0
// where the project has neither.
func (d *drawing) stripHeight(paper paperSize) float64 {
	high := 0.0
	if n := min(len(d.doc.Revisions), revisionsMost); n > 0 {
		high = revisionRow*float64(n+1) + 1
	}
	if lines := d.noteLines(paper); len(lines) > 0 {
		rows := (len(lines) + noteColumns - 1) / noteColumns
		high = max(high, 4+plain+float64(rows)*tiny*leading+2)
	}
	return min(high, stripMost)
}

func noteWide(paper paperSize) float64 {
	return (paper.width-leftMargin-margin-titleWidth-4)/noteColumns - noteGap
}

// noteLines are the notes of the sheet, numbered and broken into lines.
func (d *drawing) noteLines(paper paperSize) []string {
	var all []string
	for i, n := range d.o.Meta.Notes {
		for k, l := range wrap(n, tiny, noteWide(paper)-5, false) {
			if k == 0 {
				l = strconv.Itoa(i+1) + ".\u2002" + l // a number may follow
			} else {
				l = "\u2003" + l
			}
			all = append(all, l)
		}
	}
	return all
}

// notes writes the notes of the sheet in columns.
func (f *framing) notes(x, y, high float64) {
	lines := f.d.noteLines(f.paper)
	if len(lines) == 0 {
		return
	}
	f.text(x, y+plain, plain, "Notes", true, Ink, Start)
	fits := int((high - 4 - plain - 1) / (tiny * leading))
	for i, l := range lines {
		column, row := i/fits, i%fits
		if column >= noteColumns {
			return
		}
		if column == noteColumns-1 && row == fits-1 && i < len(lines)-1 {
			l = "more notes stand in the report"
		}
		f.text(x+float64(column)*(noteWide(f.paper)+noteGap), y+plain+1.5+float64(row+1)*tiny*leading, tiny, l, false, Ink, Start)
	}
}

// revisions writes the table of revisions, the newest at its foot.
func (f *framing) revisions(x, y, high float64) {
	all := f.d.doc.Revisions
	if len(all) == 0 && f.d.doc.Rig.Revision != "" {
		all = []components.Revision{{Letter: f.d.doc.Rig.Revision, Date: f.d.doc.Rig.Date, By: f.d.doc.Rig.DrawnBy}}
	}
	if len(all) == 0 {
		return
	}
	all = all[max(0, len(all)-min(revisionsMost, int(high/revisionRow)-1)):]
	columns := []float64{0, 14, 40, 108, titleWidth}
	y += high - revisionRow*float64(len(all)+1)
	f.line(components.Thin, Pt{x, y}, Pt{x + titleWidth, y})
	row := func(cells [4]string, role Role) {
		for i, c := range cells {
			if c != "" {
				l := f.fit(c, tiny, columns[i+1]-columns[i]-3, false)
				f.text(x+columns[i]+1.5, y+revisionRow-1.4, l.height, l.text, false, role, Start)
			}
			if i > 0 {
				f.line(components.Thin, Pt{x + columns[i], y}, Pt{x + columns[i], y + revisionRow})
			}
		}
		y += revisionRow
	}
	row([4]string{"Revision", "Date", "What", "By"}, Faint)
	for _, r := range all {
		f.line(components.Thin, Pt{x, y}, Pt{x + titleWidth, y})
		row([4]string{r.Letter, r.Date, r.What, r.By}, Ink)
	}
}
