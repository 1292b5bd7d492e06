package scene

import (
	"cmp"
	"slices"

	"rigline/components"
)

// Draw draws a document. The same document and options give the same sheet, shape
// by shape.
func Draw(doc *components.Document, o Options) *Sheet {
	s := &Sheet{Scale: 1, Title: doc.Title, Names: map[string]string{},
		Bodies: map[components.ID]Box{}, Paths: map[components.ID][]Pt{}}
	d := drawing{doc: doc, o: o, sheet: s, first: map[components.ID]spot{}, styles: map[components.ID]Style{}, room: newRoom()}
	for _, r := range doc.Runs() {
		d.styles[r.ID] = StyleOf(doc, r)
	}
	d.routes = routeAll(doc, d.reserve())
	d.runs()
	d.parts()
	d.leads()
	d.notes()
	d.labels()
	d.marks()
	if o.Frame {
		d.frame()
	} else {
		d.bound()
	}
	slices.SortStableFunc(s.Shapes, func(a, b Shape) int { return cmp.Compare(a.Layer, b.Layer) })
	return s
}

// drawing is a sheet in the making.
type drawing struct {
	doc     *components.Document
	o       Options
	sheet   *Sheet
	styles  map[components.ID]Style
	routes  *routes
	room    *room
	first   map[components.ID]spot // where each part's label would best stand
	crowded []components.ID        // runs without room for the number of their cores
}

func (d *drawing) add(sh ...Shape) { d.sheet.Shapes = append(d.sheet.Shapes, sh...) }

// bound sets the area of a sheet without a frame.
func (d *drawing) bound() {
	const around = 2 * components.Module
	area, _ := d.content()
	d.sheet.Paper = area.grown(around)
}
