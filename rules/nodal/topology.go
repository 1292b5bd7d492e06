package nodal

import "slices"

// topology is what a network's branches join, whatever their impedances: groups
// of nodes that ideal branches join, and islands of groups.
type topology struct {
	group  []int32 // of a node
	groups int
	isle   []int32 // of a group
	dead   []bool  // by island: no source
	ref    []Node  // by island: its zero
	anchor []anchor
	ideal  forest
}

// anchor is a power load that alone holds one side to the other. Its admittance,
// in siemens, stands in the matrix so that the matrix is regular; its current is
// corrected by as much as it differs from that.
type anchor struct {
	branch Branch
	y      complex128
}

func (w *Network) topology() *topology {
	t := &topology{}
	up := sets(w.nodes)
	for k := range w.elements {
		if e := &w.elements[k]; e.ideal() {
			union(up, e.a, e.b)
		}
	}
	t.group, t.groups = number(up)
	t.joins(w)
	t.sources(w)
	t.ideal = w.forest(t)
	return t
}

// joins makes the islands, first without the power loads, then with them.
func (t *topology) joins(w *Network) {
	up := sets(t.groups)
	loads := false
	for k := range w.elements {
		e := &w.elements[k]
		if e.passive() {
			union(up, t.group[e.a], t.group[e.b])
		}
		loads = loads || e.holds()
	}
	if loads {
		whole := slices.Clone(up)
		for k := range w.elements {
			e := &w.elements[k]
			if !e.holds() {
				continue
			}
			a, b := t.group[e.a], t.group[e.b]
			if find(up, a) == find(up, b) {
				continue
			}
			union(whole, a, b)
			t.anchor = append(t.anchor, anchor{Branch(k), e.anchorage()})
		}
		up = whole
	}
	var islands int
	t.isle, islands = number(up)
	t.dead = make([]bool, islands)
	t.ref = make([]Node, islands)
	for i := range t.dead {
		t.dead[i], t.ref[i] = true, -1
	}
}

// holds tells whether a power load ties its ends together.
func (e *element) holds() bool {
	return e.form == power && !e.opened && e.x != 0 && e.rated > 0
}

// anchorage is the admittance that an anchor has in the matrix, in siemens: that of
// its power at its rated voltage.
func (e *element) anchorage() complex128 { return complex(abs(e.x)/(e.rated*e.rated), 0) }

// sources finds which islands live, and the zero of each.
func (t *topology) sources(w *Network) {
	take := func(n Node) {
		if i := t.island(n); t.ref[i] < 0 {
			t.ref[i] = n
		}
	}
	for _, n := range w.prefer {
		take(n)
	}
	for _, want := range []form{source, injection} {
		for k := range w.elements {
			e := &w.elements[k]
			if e.opened || e.form != want || e.form == injection && !t.carries(e) {
				continue
			}
			t.dead[t.island(Node(e.b))] = false
			take(Node(e.b))
		}
	}
	for n := range w.nodes {
		take(Node(n))
	}
}

func (t *topology) island(n Node) int32 { return t.isle[t.group[n]] }

// carries tells whether an element's current has a way back.
func (t *topology) carries(e *element) bool {
	return !e.opened && t.island(Node(e.a)) == t.island(Node(e.b))
}

// live tells whether an element carries current.
func (t *topology) live(e *element) bool {
	return t.carries(e) && !t.dead[t.island(Node(e.a))]
}

// stale tells whether loads that were nothing when the islands were made now
// join some, or the reverse, so that the islands must be made anew.
func (t *topology) stale(w *Network) bool {
	for k := range w.elements {
		if e := &w.elements[k]; e.holds() && !t.carries(e) {
			return true
		}
	}
	for _, a := range t.anchor {
		if !w.elements[a.branch].holds() {
			return true
		}
	}
	return false
}

// same tells whether two networks have the same unknowns in the same islands.
func (t *topology) same(u *topology) bool {
	return slices.Equal(t.group, u.group) && slices.Equal(t.isle, u.isle) && slices.Equal(t.dead, u.dead) &&
		slices.Equal(t.ref, u.ref) && slices.Equal(t.anchor, u.anchor)
}

// sets are n sets of one.
func sets(n int) []int32 {
	up := make([]int32, n)
	for i := range up {
		up[i] = int32(i)
	}
	return up
}

func find(up []int32, i int32) int32 {
	for up[i] != i {
		up[i] = up[up[i]]
		i = up[i]
	}
	return i
}

// union joins two sets; the smallest member stands for a set.
func union(up []int32, a, b int32) {
	a, b = find(up, a), find(up, b)
	if a != b {
		up[max(a, b)] = min(a, b)
	}
}

// number numbers sets by their first members.
func number(up []int32) (of []int32, n int) {
	of = make([]int32, len(up))
	for i := range up {
		r := find(up, int32(i))
		if r == int32(i) {
			of[i] = int32(n)
			n++
		} else {
			of[i] = of[r]
		}
	}
	return of, n
}
