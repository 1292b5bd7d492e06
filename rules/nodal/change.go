package nodal

import "slices"

// Change is one alteration of a factored network.
type Change struct {
	kind   changeKind
	branch Branch
	a, b   Node
	x      complex128
}

type changeKind uint8

const (
	opens changeKind = iota
	replaces
	adds
	setsSource
	setsCurrent
	setsPower
)

// Open takes a branch out.
func Open(b Branch) Change { return Change{kind: opens, branch: b} }

// Replace gives a branch or a source another impedance, in ohms, and closes it if
// it was open.
func Replace(b Branch, z complex128) Change { return Change{kind: replaces, branch: b, x: z} }

// Add adds a branch of z ohms. Added branches are numbered on from the last.
func Add(a, b Node, z complex128) Change { return Change{kind: adds, a: a, b: b, x: z} }

// SetSource changes a source's EMF, in volts.
func SetSource(b Branch, emf complex128) Change { return Change{kind: setsSource, branch: b, x: emf} }

// SetCurrent changes a current source, in amperes.
func SetCurrent(b Branch, i complex128) Change { return Change{kind: setsCurrent, branch: b, x: i} }

// SetPower changes a load's power, in volt-amperes.
func SetPower(b Branch, s complex128) Change { return Change{kind: setsPower, branch: b, x: s} }

// Branches is how many branches the network has, opened ones among them; the
// first that Add adds has this number.
func (f *Factored) Branches() int { return len(f.net.elements) }

// Network is the network as it is factored, whose figures may be set.
func (f *Factored) Network() *Network { return f.net }

// For takes the factors over for another network with the same matrix: the same
// branches between the same nodes at the same impedances, whatever drives them. ok
// is false where it has another.
func (f *Factored) For(w *Network) (g *Factored, ok bool) {
	if f.err != nil || f.low != nil || f.net.nodes != w.nodes || len(f.net.elements) != len(w.elements) || !slices.Equal(f.net.prefer, w.prefer) {
		return nil, false
	}
	for k := range w.elements {
		a, b := &w.elements[k], &f.net.elements[k]
		if a.form != b.form || a.a != b.a || a.b != b.b || a.z != b.z || a.rated != b.rated || a.opened != b.opened {
			return nil, false
		}
		if a.form != power && !finite(a.x) {
			return nil, false
		}
	}
	for _, x := range f.top.anchor {
		if e := &w.elements[x.branch]; x.y != e.anchorage() {
			return nil, false
		}
	}
	return &Factored{net: w, top: f.top, row: f.row, base: f.base}, true
}

// With is the network after a few changes. The one it is made from stays as it
// was, and setting figures of the Network it was made from no longer reaches it.
//
// Changes of EMFs, currents and powers take over the factors as they are. A few
// changed impedances are a correction of low rank. Where that would cost digits
// (what was opened carried nearly all), the figures are eliminated anew in the
// order already found; where nodes come together or apart, all is made anew. An
// error waits for Solve.
func (f *Factored) With(changes ...Change) *Factored {
	if f.err != nil {
		return f
	}
	w := f.net.Clone()
	before := len(w.elements)
	var touched []Branch
	reshaped := false
	for _, c := range changes {
		if c.kind == adds {
			touched = append(touched, w.Branch(c.a, c.b, c.x))
			reshaped = true
			continue
		}
		if c.branch < 0 || int(c.branch) >= len(w.elements) {
			return &Factored{net: w, err: &Unfit{c.branch, "been changed, but the network has no such branch"}}
		}
		e := &w.elements[c.branch]
		if !c.fits(e) {
			return &Factored{net: w, err: &Unfit{c.branch, "been changed in a way that its kind of branch does not have"}}
		}
		switch c.kind {
		case opens:
			e.opened, reshaped = true, true
		case replaces:
			e.z, e.opened, reshaped = c.x, false, true
		default:
			reshaped = reshaped || e.form == power && (c.x == 0) != (e.x == 0)
			e.x = c.x
		}
		if c.kind == opens || c.kind == replaces {
			touched = append(touched, c.branch)
		}
	}
	if err := w.fit(); err != nil {
		return &Factored{net: w, err: err}
	}
	slices.Sort(touched)
	touched = slices.Compact(touched)
	return f.after(w, touched, before, reshaped)
}

// fits tells whether an element has what a change changes.
func (c Change) fits(e *element) bool {
	switch c.kind {
	case replaces:
		return e.form == impedance || e.form == source
	case setsSource:
		return e.form == source
	case setsCurrent:
		return e.form == injection
	case setsPower:
		return e.form == power
	}
	return true
}

// after picks the cheapest way to the factors of the changed network w.
func (f *Factored) after(w *Network, touched []Branch, before int, reshaped bool) *Factored {
	g := &Factored{net: w, top: f.top, row: f.row, base: f.base, low: f.low}
	if !reshaped {
		return g
	}
	t := w.topology()
	if !f.top.same(t) {
		return afresh(w, t)
	}
	g.top = t
	low := f.low.grow(f, w, touched, before)
	if low == nil {
		return g
	}
	if low.ready(f.base) {
		g.low = low
		return g
	}
	g.low = nil
	ties := g.ties(nil)
	for _, x := range ties {
		if x.a >= 0 && x.b >= 0 && x.a != x.b {
			if _, ok := f.base.entry(x.a, x.b); !ok {
				return afresh(w, t)
			}
		}
	}
	if err := g.eliminate(f.base.pattern, ties); err != nil {
		return &Factored{net: w, err: err}
	}
	return g
}

// afresh factors from the beginning.
func afresh(w *Network, t *topology) *Factored {
	g, err := w.factor(t)
	if err != nil {
		return &Factored{net: w, err: err}
	}
	return g
}
