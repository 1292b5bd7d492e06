package session

import (
	"testing"

	"rigline/components"
	"rigline/export/scene"
)

// apart holds a sheet to having no symbol on another, no text on a text, a symbol or
// a line, and nothing off the paper.
func apart(t *testing.T, name string, sheet *scene.Sheet) {
	t.Helper()
	meet := func(a, b scene.Box) bool {
		const graze = 0.5
		return a.Min.X+graze < b.Max.X && b.Min.X+graze < a.Max.X && a.Min.Y+graze < b.Max.Y && b.Min.Y+graze < a.Max.Y
	}
	for id, x := range sheet.Bodies {
		for other, y := range sheet.Bodies {
			if components.CompareIDs(id, other) < 0 && meet(x, y) {
				t.Errorf("%s: %s lies on %s", name, id, other)
			}
		}
	}
	var texts []scene.Shape
	for _, sh := range sheet.Shapes {
		if sh.Form == scene.Text && sh.Layer == scene.LabelLayer {
			texts = append(texts, sh)
		}
	}
	for _, sh := range sheet.Shapes {
		const rim = 0.1
		b := sh.Box()
		if b.Min.X < sheet.Paper.Min.X-rim || b.Min.Y < sheet.Paper.Min.Y-rim || b.Max.X > sheet.Paper.Max.X+rim || b.Max.Y > sheet.Paper.Max.Y+rim {
			t.Errorf("%s: %s lies off the paper", name, sh)
		}
		if sh.Form != scene.Polyline || sh.Layer != scene.RunLayer {
			continue
		}
		for i := 1; i < len(sh.Pts); i++ {
			p, q := sh.Pts[i-1], sh.Pts[i]
			piece := scene.Box{Min: scene.Pt{X: min(p.X, q.X), Y: min(p.Y, q.Y)}, Max: scene.Pt{X: max(p.X, q.X), Y: max(p.Y, q.Y)}}
			if p.X != q.X && p.Y != q.Y { // the stroke that counts a line's conductors
				continue
			}
			const half = 0.6
			piece.Min.X, piece.Min.Y, piece.Max.X, piece.Max.Y = piece.Min.X-half, piece.Min.Y-half, piece.Max.X+half, piece.Max.Y+half
			for _, a := range texts {
				if meet(a.Box(), piece) {
					t.Errorf("%s: %q of %s lies on the line of %s", name, a.Text, a.Address, sh.Address)
				}
			}
		}
	}
	for i, a := range texts {
		for _, b := range texts[:i] {
			if meet(a.Box(), b.Box()) {
				t.Errorf("%s: %q at %s lies on %q at %s", name, a.Text, a.Address, b.Text, b.Address)
			}
		}
		for id, body := range sheet.Bodies {
			if string(id) != ownerOf(a.Address) && meet(a.Box(), body) {
				t.Errorf("%s: %q at %s lies on %s", name, a.Text, a.Address, id)
			}
		}
	}
}

// seenWhole holds the first view of a document to showing all that is drawn, in what
// a screen of 1280 by 720 and one of 1920 by 1080 leave for the sheet.
func seenWhole(t *testing.T, name string, doc *components.Document) {
	t.Helper()
	for _, size := range [][2]float64{{726, 590}, {1366, 950}} {
		b := newBench(t)
		b.Resize(size[0], size[1])
		b.Start(doc)
		b.settle()
		v := b.View
		for _, sh := range b.Sheet().Shapes {
			x0, y0 := v.ToWindow(sh.Box().Min)
			x1, y1 := v.ToWindow(sh.Box().Max)
			if sh.Layer != scene.FrameLayer && (x0 < 0 || y0 < 0 || x1 > v.W || y1 > v.H) {
				t.Errorf("%s, %v: %s is cut off", name, size, sh)
			}
		}
	}
}
