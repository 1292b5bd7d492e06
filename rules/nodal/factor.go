package nodal

// Factored is a network whose matrix is factored. It may be solved many times,
// from one goroutine at a time if figures of its network are being set.
type Factored struct {
	net  *Network
	top  *topology
	row  []int32 // unknown of a group, -1 for references and the dead
	base *mesh
	low  *lowRank // changes since the elimination, nil for none
	err  error    // what With could not do
}

// Factor finds groups, islands and references and eliminates the nodes. Its
// errors are Unfit, Conflict and Singular.
func (w *Network) Factor() (*Factored, error) {
	if err := w.fit(); err != nil {
		return nil, err
	}
	return w.factor(w.topology())
}

func (w *Network) factor(t *topology) (*Factored, error) {
	f := &Factored{net: w, top: t}
	if _, err := t.ideal.offsets(w); err != nil {
		return nil, err
	}
	f.row = make([]int32, t.groups)
	zero := make([]bool, t.groups)
	for _, n := range t.ref {
		zero[t.group[n]] = true
	}
	n := int32(0)
	for g := range f.row {
		f.row[g] = -1
		if !zero[g] && !t.dead[t.isle[g]] {
			f.row[g] = n
			n++
		}
	}
	ties := f.ties(nil)
	if err := f.eliminate(analyse(int(n), ties), ties); err != nil {
		return nil, err
	}
	return f, nil
}

func (f *Factored) eliminate(p *pattern, ties []tie) error {
	m, bad := p.eliminate(ties)
	if bad >= 0 {
		for n, g := range f.top.group {
			if f.row[g] == bad {
				return &Singular{Node(n)}
			}
		}
	}
	f.base = m
	return nil
}

// ties are the admittances of the matrix, and those of more elements.
func (f *Factored) ties(more func(*element) bool) []tie {
	count := len(f.top.anchor)
	for k := range f.net.elements {
		if e := &f.net.elements[k]; e.passive() || more != nil && more(e) {
			count++
		}
	}
	ties := make([]tie, 0, count)
	put := func(e *element, y complex128) {
		if a, b := f.ends(e); a != b {
			ties = append(ties, tie{a, b, y})
		}
	}
	for k := range f.net.elements {
		switch e := &f.net.elements[k]; {
		case e.passive():
			put(e, 1/e.z)
		case more != nil && more(e):
			put(e, 0)
		}
	}
	for _, a := range f.top.anchor {
		put(&f.net.elements[a.branch], a.y)
	}
	return ties
}

// ends are the unknowns at an element's ends, both -1 in a dead island.
func (f *Factored) ends(e *element) (a, b int32) {
	return f.row[f.top.group[e.a]], f.row[f.top.group[e.b]]
}

// solve turns driven currents into voltages, both by unknown, in place.
func (f *Factored) solve(x, work []complex128) {
	f.base.solve(x, work)
	if f.low != nil {
		f.low.correct(x)
	}
}

// Dead tells whether no source feeds a node's island.
func (f *Factored) Dead(n Node) bool { return f.top.dead[f.top.island(n)] }

// SameIsland tells whether branches or loads join two nodes.
func (f *Factored) SameIsland(a, b Node) bool { return f.top.island(a) == f.top.island(b) }

// Reference is the node whose voltage is the zero of n's island.
func (f *Factored) Reference(n Node) Node { return f.top.ref[f.top.island(n)] }

// Island is a set of nodes that branches or loads join.
type Island struct {
	Reference Node
	Dead      bool // no source
	Nodes     int
}

// Islands are all islands, isolated nodes among them, by their first nodes.
func (f *Factored) Islands() []Island {
	all := make([]Island, len(f.top.ref))
	for i := range all {
		all[i] = Island{Reference: f.top.ref[i], Dead: f.top.dead[i]}
	}
	for n := range f.top.group {
		all[f.top.island(Node(n))].Nodes++
	}
	return all
}
