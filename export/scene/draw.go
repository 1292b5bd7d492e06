package scene

import (
	"maps"
	"slices"
	"sync"

	"rigline/components"
	"rigline/export/terms"
)

// Draw draws a document. The same document and options give the same sheet, shape
// by shape.
func Draw(doc *components.Document, o Options) *Sheet { return NewPlan(doc).Draw(o) }

// Plan is a document with its lines routed, to be drawn with one set of options
// after the other: a sheet, its states, its findings. It may be shared.
type Plan struct {
	doc    *components.Document
	styles map[components.ID]Style
	first  map[components.ID]label
	cores  map[components.ID]int
	beside func() *neighbours
	soft   []Box // where labels will stand, that lines keep off
	routes *routes
	body   func() *drawing // with no marks, no frame and no state; to be copied
}

// NewPlan routes a document.
func NewPlan(doc *components.Document) *Plan {
	p, reserve := begun(doc)
	p.routes = routeAll(doc, reserve)
	return p
}

// begun is a plan whose lines are still to be routed, and what reserves the places that
// they keep off.
func begun(doc *components.Document) (p *Plan, reserve func() []Box) {
	d := drawing{doc: doc, first: map[components.ID]label{}, beside: sync.OnceValue(func() *neighbours { return neighboursOf(doc) })}
	p = &Plan{doc: doc, beside: d.beside, styles: make(map[components.ID]Style, len(doc.Runs())), cores: make(map[components.ID]int, len(doc.Runs())), first: d.first}
	for _, r := range doc.Runs() {
		cores := doc.CoresOf(r)
		p.styles[r.ID], p.cores[r.ID] = styleOf(doc, r, cores), len(cores)
	}
	p.body = sync.OnceValue(func() *drawing {
		d := p.drawing(Options{})
		d.unmarked()
		return d
	})
	return p, func() []Box { p.soft = d.reserve(); return p.soft }
}

// unmarked is a copy of the drawing with no marks, no frame and no state.
func (p *Plan) unmarked() *drawing {
	d := *p.body()
	s := *d.sheet
	s.Shapes = slices.Clone(s.Shapes)
	s.Names, s.Bodies, s.Paths, s.Ports = maps.Clone(s.Names), maps.Clone(s.Bodies), maps.Clone(s.Paths), slices.Clone(s.Ports)
	d.sheet, d.room, d.texts, d.crowded = &s, d.room.clone(), slices.Clone(d.texts), slices.Clone(d.crowded)
	return &d
}

// with gives it other options.
func (d *drawing) with(o Options) *drawing {
	d.o = o
	return d
}

// drawing begins a sheet.
func (p *Plan) drawing(o Options) *drawing {
	s := &Sheet{Scale: 1, Title: p.doc.Title, Names: map[string]string{},
		Bodies: map[components.ID]Box{}, Paths: map[components.ID][]Pt{}}
	s.Shapes = make([]Shape, 0, 8*len(p.doc.Parts())+6*len(p.doc.Runs()))
	return &drawing{doc: p.doc, o: o, sheet: s, first: p.first, styles: p.styles, cores: p.cores, routes: p.routes, room: newRoom(), beside: p.beside}
}

// body draws all but the frame.
func (d *drawing) body() {
	d.unmarked()
	d.marks()
}

// unmarked draws all but the marks and the frame.
func (d *drawing) unmarked() {
	d.runs()
	d.parts()
	d.bar()
	d.leads()
	d.notes()
	d.labels()
}

// Draw draws the document on one sheet.
func (p *Plan) Draw(o Options) *Sheet {
	d := p.drawing(o)
	d.body()
	return d.finish()
}

// finish puts the frame round what is drawn.
func (d *drawing) finish() *Sheet {
	if d.o.Frame {
		d.frame()
	} else {
		d.bound()
	}
	d.sheet.Shapes = layered(d.sheet.Shapes)
	return d.sheet
}

// layered puts shapes in the order of their layers.
func layered(shapes []Shape) []Shape {
	var count [MarkLayer + 1]int
	for i := range shapes {
		count[shapes[i].Layer]++
	}
	var next [MarkLayer + 1]int
	for l := 1; l < len(next); l++ {
		next[l] = next[l-1] + count[l-1]
	}
	all := make([]Shape, len(shapes))
	for i := range shapes {
		at := &next[shapes[i].Layer]
		all[*at] = shapes[i]
		*at++
	}
	return all
}

// drawing is a sheet in the making.
type drawing struct {
	doc      *components.Document
	o        Options
	sheet    *Sheet
	styles   map[components.ID]Style
	cores    map[components.ID]int // how many each run has
	routes   *routes
	cuts     cuts // where it is parted into sheets
	room     *room
	beside   func() *neighbours
	first    map[components.ID]label // where each part's label would best stand
	texts    []textBox               // as far as the shapes were measured
	measured int
	terms    *terms.Terms
	asks     bool            // a part with an unknown figure is clouded
	crowded  []components.ID // runs without room for the number of their cores
}

// say puts a text of ours into the words of the rig's rule set.
func (d *drawing) say(text string) string {
	if d.terms == nil {
		t := terms.Of(d.doc)
		d.terms = &t
	}
	return d.terms.Say(text)
}

func (d *drawing) add(sh ...Shape) { d.sheet.Shapes = append(d.sheet.Shapes, sh...) }

// around is the air round a sheet without a frame.
const around = 2 * components.Module

// bound sets the area of a sheet without a frame.
func (d *drawing) bound() {
	area, _ := d.content()
	d.sheet.Paper = area.grown(around)
}
