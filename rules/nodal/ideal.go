package nodal

import "math"

// forest spans the ideal branches: shorts, and sources without impedance. The
// voltages between the nodes of a tree are given, and its currents follow from
// Kirchhoff's law, from the twigs to the root.
type forest struct {
	twigs   []twig // a parent before its children
	closing []Branch
	above   []int32  // by node, its twig, -1 for a root and for nodes without ideal branches
	share   *sharing // how loops share their currents, nil without loops
}

// twig is an ideal branch from a node towards its root.
type twig struct {
	branch        Branch
	child, parent int32
}

// forest grows from the islands' references, then from what is left.
func (w *Network) forest(t *topology) forest {
	var f forest
	count := 0
	for k := range w.elements {
		if w.elements[k].ideal() {
			count++
		}
	}
	if count == 0 {
		return f
	}
	start, at := w.idealEnds(count)
	f.above = make([]int32, w.nodes)
	for n := range f.above {
		f.above[n] = -1
	}
	f.twigs = make([]twig, 0, count)
	seen := make([]bool, w.nodes)
	used := make([]bool, len(w.elements))
	queue := make([]int32, 0, count)
	grow := func(root int32) {
		if seen[root] || start[root] == start[root+1] {
			return
		}
		seen[root] = true
		queue = append(queue[:0], root)
		for len(queue) > 0 {
			n := queue[0]
			queue = queue[1:]
			for _, b := range at[start[n]:start[n+1]] {
				if used[b] {
					continue
				}
				used[b] = true
				o := w.elements[b].a ^ w.elements[b].b ^ n
				if seen[o] {
					f.closing = append(f.closing, b)
					continue
				}
				seen[o] = true
				f.above[o] = int32(len(f.twigs))
				f.twigs = append(f.twigs, twig{b, o, n})
				queue = append(queue, o)
			}
		}
	}
	for _, n := range t.ref {
		grow(int32(n))
	}
	for n := range w.nodes {
		grow(int32(n))
	}
	f.share = w.sharing(&f)
	return f
}

// idealEnds lists the ideal branches at every node.
func (w *Network) idealEnds(count int) (start []int32, at []Branch) {
	start = make([]int32, w.nodes+2)
	for k := range w.elements {
		if e := &w.elements[k]; e.ideal() {
			start[e.a+2]++
			start[e.b+2]++
		}
	}
	for n := 2; n < len(start); n++ {
		start[n] += start[n-1]
	}
	at = make([]Branch, 2*count)
	for k := range w.elements {
		if e := &w.elements[k]; e.ideal() {
			at[start[e.a+1]] = Branch(k)
			start[e.a+1]++
			at[start[e.b+1]] = Branch(k)
			start[e.b+1]++
		}
	}
	return start[:w.nodes+1], at
}

// offsets are the voltages of nodes against the roots of their trees; nil where
// all are zero. Loops must close to a billionth of their voltages.
func (f *forest) offsets(w *Network) ([]complex128, error) {
	any := false
	for _, x := range f.twigs {
		any = any || w.elements[x.branch].emf() != 0
	}
	for _, b := range f.closing {
		any = any || w.elements[b].emf() != 0
	}
	if !any {
		return nil, nil
	}
	v := make([]complex128, w.nodes)
	for _, x := range f.twigs {
		e := &w.elements[x.branch]
		if x.child == e.a {
			v[x.child] = v[x.parent] + e.emf()
		} else {
			v[x.child] = v[x.parent] - e.emf()
		}
	}
	for _, b := range f.closing {
		e := &w.elements[b]
		miss := abs(v[e.a] - v[e.b] - e.emf())
		if miss > 1e-9*math.Max(abs(e.emf()), math.Max(abs(v[e.a]), abs(v[e.b]))) {
			return nil, &Conflict{A: min(b, f.other(w, b)), B: max(b, f.other(w, b)), Volts: miss}
		}
	}
	return v, nil
}

// other is the branch to name beside b, which closes a loop: the loop's first
// source, or its first short if it has no other source.
func (f *forest) other(w *Network, b Branch) Branch {
	e := &w.elements[b]
	path := map[int32]bool{} // on one way up and not on the other
	for _, n := range []int32{e.a, e.b} {
		for f.above[n] >= 0 {
			k := f.above[n]
			if path[k] {
				delete(path, k)
			} else {
				path[k] = true
			}
			n = f.twigs[k].parent
		}
	}
	found, fed := b, false
	for k := range path {
		x := f.twigs[k].branch
		src := w.elements[x].emf() != 0
		if found == b || src && !fed || src == fed && x < found {
			found, fed = x, src
		}
	}
	return found
}

// sharing is the network of the ideal branches with an ohm in each.
type sharing struct {
	row   []int32 // by node, -1 for roots
	unit  *mesh
	loops []int32 // nodes of trees that closing branches make loops of
}

func (w *Network) sharing(f *forest) *sharing {
	if len(f.closing) == 0 {
		return nil
	}
	root := sets(w.nodes)
	for _, x := range f.twigs {
		root[x.child] = root[x.parent] // parents come first
	}
	looped := make([]bool, w.nodes)
	for _, b := range f.closing {
		looped[root[w.elements[b].a]] = true
	}
	s := &sharing{row: make([]int32, w.nodes)}
	for n := range s.row {
		s.row[n] = -1
	}
	var ties []tie
	for _, x := range f.twigs {
		if looped[root[x.child]] {
			s.row[x.child] = int32(len(s.loops))
			s.loops = append(s.loops, x.child)
		}
	}
	for _, x := range f.twigs {
		if looped[root[x.child]] {
			ties = append(ties, tie{s.row[x.child], s.row[x.parent], 1})
		}
	}
	for _, b := range f.closing {
		e := &w.elements[b]
		ties = append(ties, tie{s.row[e.a], s.row[e.b], 1})
	}
	p := analyse(len(s.loops), ties)
	s.unit, _ = p.eliminate(ties) // positive reals cannot cancel
	return s
}

// currents gives the ideal branches theirs, in i by branch; out is what leaves
// each node over all other branches and is used up.
func (f *forest) currents(w *Network, out, i []complex128) {
	if f.share != nil {
		s := f.share
		x := make([]complex128, len(s.loops))
		for k, n := range s.loops {
			x[k] = -out[n]
		}
		s.unit.solve(x, nil)
		at := func(n int32) complex128 {
			if k := s.row[n]; k >= 0 {
				return x[k]
			}
			return 0
		}
		for _, b := range f.closing {
			e := &w.elements[b]
			i[b] = at(e.a) - at(e.b)
			out[e.a] += i[b]
			out[e.b] -= i[b]
		}
	}
	for k := len(f.twigs) - 1; k >= 0; k-- {
		x := f.twigs[k]
		if w.elements[x.branch].a == x.child {
			i[x.branch] = -out[x.child]
		} else {
			i[x.branch] = out[x.child]
		}
		out[x.parent] += out[x.child]
		out[x.child] = 0
	}
}
