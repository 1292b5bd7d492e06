package session

import (
	"rigline/components"
	"rigline/export/scene"
)

// figures are what a person minds in a drawing.
type figures struct {
	crossings, bends int
	long             float64 // all lines together, in sheet units
	wide, high       float64 // what the drawing covers
	led              int     // words that stand away from what they are about
}

// score weighs a drawing, less is better: a crossing is minded more than a bend.
func (f figures) score() float64 {
	return costOfCross*float64(f.crossings) + costOfBend*float64(f.bends) + costOfCramp*float64(f.led) +
		costPerUnit*f.long + costOfWidth*f.wide + costOfHeight*f.high
}

// drawnFigures measures a document as it is really drawn.
func drawnFigures(doc *components.Document) figures {
	sheet := scene.Draw(doc, scene.Options{})
	f := tally(paths(sheet))
	f.wide, f.high = sheet.Paper.Max.X-sheet.Paper.Min.X, sheet.Paper.Max.Y-sheet.Paper.Min.Y
	for _, sh := range sheet.Shapes {
		if sh.Layer == scene.LabelLayer && sh.Form == scene.Filled { // the head of a leader
			f.led++
		}
	}
	return f
}

func paths(sheet *scene.Sheet) [][]scene.Pt {
	var all [][]scene.Pt
	for _, p := range sheet.Paths {
		all = append(all, p)
	}
	return all
}

// tally counts the crossings between lines, and the bends of each, and measures them.
func tally(all [][]scene.Pt) figures {
	var f figures
	for i, a := range all {
		a = straightened(a)
		f.bends += max(0, len(a)-2)
		for k := 1; k < len(a); k++ {
			f.long += dist(a[k-1], a[k])
		}
		for _, b := range all[:i] {
			for k := 1; k < len(a); k++ {
				for l := 1; l < len(b); l++ {
					if crosses(a[k-1], a[k], b[l-1], b[l]) {
						f.crossings++
					}
				}
			}
		}
	}
	return f
}

// straightened leaves out the points at which a line goes straight on.
func straightened(p []scene.Pt) []scene.Pt {
	var q []scene.Pt
	for i, at := range p {
		if i > 0 && dist(at, p[i-1]) < 1e-6 {
			continue
		}
		for len(q) > 1 {
			a, b := q[len(q)-2], q[len(q)-1]
			if cross := (b.X-a.X)*(at.Y-b.Y) - (b.Y-a.Y)*(at.X-b.X); cross < -0.5 || cross > 0.5 {
				break
			}
			q = q[:len(q)-1]
		}
		q = append(q, at)
	}
	return q
}

// crosses tells whether two pieces cut through each other, touching ends left out.
func crosses(a, b, c, d scene.Pt) bool {
	side := func(p, q, r scene.Pt) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
	const least = 1e-3
	s1, s2, s3, s4 := side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
	return (s1 > least && s2 < -least || s1 < -least && s2 > least) && (s3 > least && s4 < -least || s3 < -least && s4 > least)
}
