package scene

import (
	"math"

	"rigline/components"
)

// notes draws the document's mark-ups: a text, a cloud with a text, an arrow with
// a text at its tail.
func (d *drawing) notes() {
	for _, n := range d.doc.Notes {
		at, to := Pt{float64(n.At.X), float64(n.At.Y)}, Pt{float64(n.To.X), float64(n.To.Y)}
		switch n.Form {
		case "cloud":
			b := Box{at, at}.with(to)
			d.add(cloud(b, "", NoteLayer, Advice)...)
			d.noteText(n.Text, Pt{b.Min.X, b.Max.Y + 12 + SmallHeight})
		case "arrow":
			d.add(arrow(at, to)...)
			d.room.takeSlope(at, to)
			d.noteText(n.Text, Pt{at.X + 4, at.Y + SmallHeight/2})
		default:
			d.noteText(n.Text, at)
		}
	}
}

// noteText writes a note from a first base line down.
func (d *drawing) noteText(text string, at Pt) {
	const wide = 220
	for i, l := range wrap(text, SmallHeight, wide, false) {
		sh := Shape{Layer: NoteLayer, Form: Text, Text: l, Height: SmallHeight, Role: Advice, Pts: []Pt{{at.X, at.Y + float64(i)*SmallHeight*leading}}}
		d.add(sh)
		d.room.take(sh.Box())
	}
}

func arrow(from, to Pt) []Shape {
	const long, half = 9, 3
	line := Shape{Layer: NoteLayer, Form: Polyline, Pts: []Pt{from, to}, Role: Advice, Weight: components.Thin}
	if from == to {
		return nil
	}
	a := math.Atan2(to.Y-from.Y, to.X-from.X)
	back := Pt{to.X - long*math.Cos(a), to.Y - long*math.Sin(a)}
	line.Pts[1] = back
	return []Shape{line, {Layer: NoteLayer, Form: Filled, Role: Advice, Pts: []Pt{to,
		{back.X - half*math.Sin(a), back.Y + half*math.Cos(a)}, {back.X + half*math.Sin(a), back.Y - half*math.Cos(a)}}}}
}
