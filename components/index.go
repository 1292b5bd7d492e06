package components

import (
	"slices"
	"sync"
)

// index is what is looked up often, worked out once when the document is whole.
type index struct {
	*bones

	bodiesOnce sync.Once
	bodies     []Box // by part
}

// bones are what a document has in common with one that differs in figures and places
// alone.
type bones struct {
	parts, runs map[ID]int
	ports       [][]Port // by part
	cores       [][]Core // by run
	at          map[PortRef][]int
	of          map[ID][]int

	mu   sync.Mutex
	free map[string]ID // by prefix
}

// Bodies are the areas of the parts' symbols, about their centres and not turned, in
// tag order. Do not change the slice.
func (d *Document) Bodies() []Box {
	x := d.index()
	if x == nil {
		return d.outlines()
	}
	x.bodiesOnce.Do(func() { x.bodies = d.outlines() })
	return x.bodies
}

func (d *Document) outlines() []Box {
	all := make([]Box, len(d.parts))
	for i, p := range d.parts {
		all[i] = p.Kind.Symbol(p.Spec).Body
	}
	return all
}

// index is nil while edits are being applied: what they change is looked up anew.
func (d *Document) index() *index {
	if !d.whole {
		return nil
	}
	d.once.Do(func() {
		x := &index{bones: &bones{parts: make(map[ID]int, len(d.parts)), runs: make(map[ID]int, len(d.runs)), ports: make([][]Port, len(d.parts)),
			cores: make([][]Core, len(d.runs)), at: make(map[PortRef][]int, 2*len(d.runs)), of: make(map[ID][]int, len(d.parts))}}
		for i, p := range d.parts {
			x.parts[p.ID] = i
			x.ports[i] = slices.Clip(p.Ports())
		}
		for i, r := range d.runs {
			x.runs[r.ID] = i
			x.cores[i] = d.coresOf(r, x)
			x.at[r.From] = append(x.at[r.From], i)
			x.of[r.From.Part] = append(x.of[r.From.Part], i)
			if r.To != r.From {
				x.at[r.To] = append(x.at[r.To], i)
			}
			if r.To.Part != r.From.Part {
				x.of[r.To.Part] = append(x.of[r.To.Part], i)
			}
		}
		d.known = x
	})
	return d.known
}

// follow takes the bones of the document before, where they are the same.
func (d *Document) follow(before *Document) {
	if !d.SameBones(before) {
		return
	}
	x := before.index()
	for i := range d.parts {
		p, was := &d.parts[i], &before.parts[i]
		if p.Turn != was.Turn || !p.Spec.Same(was.Spec) && !slices.EqualFunc(p.Ports(), x.ports[i], samePort) {
			return
		}
	}
	d.once.Do(func() { d.known = &index{bones: x.bones} })
}

func samePort(a, b Port) bool {
	return a.Name == b.Name && a.Title == b.Title && a.At == b.At && a.Side == b.Side && slices.Equal(a.Poles, b.Poles) && slices.Equal(a.Landings, b.Landings)
}

// port finds a port by what the index knows of its part, which is -1 where there
// is none.
func (x *index) port(at PortRef) (part int, port Port, ok bool) {
	i, ok := x.parts[at.Part]
	if !ok {
		return -1, Port{}, false
	}
	for _, q := range x.ports[i] {
		if q.Name == at.Port {
			return i, q, true
		}
	}
	return i, Port{}, false
}

// coresOf works out what CoresOf tells; x may be nil.
func (d *Document) coresOf(r Run, x *index) []Core {
	if r.Cores != nil {
		return r.Cores
	}
	find := func(at PortRef) (Port, bool) {
		if x != nil {
			_, q, ok := x.port(at)
			return q, ok
		}
		_, q, ok := d.Port(at)
		return q, ok
	}
	a, okA := find(r.From)
	b, okB := find(r.To)
	if !okA || !okB {
		return nil
	}
	var cores []Core
	for _, p := range Poles {
		if a.Has(p) && b.Has(p) {
			cores = append(cores, Core{p, p})
		}
	}
	return slices.Clip(cores)
}
