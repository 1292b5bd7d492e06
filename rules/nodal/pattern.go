package nodal

import "slices"

// tie is an admittance between two unknowns, in siemens; an end of -1 is the
// ground, whose voltage is 0.
type tie struct {
	a, b int32
	y    complex128
}

// pattern is where the mesh of an elimination has entries: the work that depends
// on what is joined and not on the figures.
type pattern struct {
	place []int32 // of an unknown in the order of elimination
	start []int32 // by place, into later
	later []int32 // places that it still neighbours when its turn comes, ascending
}

// analyse orders n unknowns and finds the fill of their elimination.
func analyse(n int, ties []tie) *pattern {
	g := neighbours(n, ties)
	order := minimumDegree(graph{g.start, slices.Clone(g.list)}) // the order uses its copy up
	p := &pattern{place: make([]int32, n), start: make([]int32, n+1)}
	for k, i := range order {
		p.place[i] = int32(k)
	}
	// The neighbours of k are its later ones in the graph, and those of every
	// earlier place whose first later neighbour is k.
	first := make([]int32, n) // by place: a list of such places
	next := make([]int32, n)
	mark := make([]int32, n)
	for k := range first {
		first[k], mark[k] = -1, -1
	}
	p.later = make([]int32, 0, len(g.list))
	for k, i := range order {
		mark[k] = int32(k)
		from := len(p.later)
		for _, o := range g.list[g.start[i]:g.start[i+1]] {
			if j := p.place[o]; j > int32(k) && mark[j] != int32(k) {
				mark[j] = int32(k)
				p.later = append(p.later, j)
			}
		}
		for c := first[k]; c >= 0; c = next[c] {
			for _, j := range p.later[p.start[c]:p.start[c+1]] {
				if mark[j] != int32(k) {
					mark[j] = int32(k)
					p.later = append(p.later, j)
				}
			}
		}
		slices.Sort(p.later[from:])
		p.start[k+1] = int32(len(p.later))
		if from < len(p.later) {
			parent := p.later[from]
			next[k], first[parent] = first[parent], int32(k)
		}
	}
	p.later = slices.Clip(p.later)
	return p
}

// entry finds where the pair of unknowns a and b, both not ground and not the
// same, is kept; ok is false where the pattern has no such pair.
func (p *pattern) entry(a, b int32) (at int32, ok bool) {
	k, j := p.place[a], p.place[b]
	if k > j {
		k, j = j, k
	}
	n, ok := slices.BinarySearch(p.later[p.start[k]:p.start[k+1]], j)
	return p.start[k] + int32(n), ok
}
