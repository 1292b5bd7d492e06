package scene

import "rigline/components"

// Draw draws a document. The same document and options give the same sheet, shape
// by shape.
func Draw(doc *components.Document, o Options) *Sheet {
	s := &Sheet{Scale: 1, Title: doc.Title, Names: map[string]string{},
		Bodies: map[components.ID]Box{}, Paths: map[components.ID][]Pt{}}
	d := drawing{doc: doc, o: o, sheet: s}
	d.parts()
	d.bound()
	return s
}

// drawing is a sheet in the making.
type drawing struct {
	doc   *components.Document
	o     Options
	sheet *Sheet
}

func (d *drawing) add(sh ...Shape) { d.sheet.Shapes = append(d.sheet.Shapes, sh...) }

// bound sets the area of a sheet without a frame.
func (d *drawing) bound() {
	const margin = 2 * components.Module
	var b Box
	for i, sh := range d.sheet.Shapes {
		for j, p := range sh.Pts {
			if i == 0 && j == 0 {
				b = Box{p, p}
			}
			b = b.with(p)
		}
	}
	d.sheet.Paper = b.grown(margin)
}
