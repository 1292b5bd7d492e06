package nodal

import (
	"math"
	"slices"
)

// graph is who neighbours whom, without double entries; the neighbours of i are
// list[start[i]:start[i+1]].
type graph struct {
	start []int32
	list  []int32
}

// neighbours makes the graph of n unknowns from their ties; an end of -1 is the
// ground and no neighbour.
func neighbours(n int, ties []tie) graph {
	start := make([]int32, n+2)
	for _, t := range ties {
		if t.a >= 0 && t.b >= 0 && t.a != t.b {
			start[t.a+2]++
			start[t.b+2]++
		}
	}
	for i := 2; i < len(start); i++ {
		start[i] += start[i-1]
	}
	list := make([]int32, start[n+1])
	for _, t := range ties {
		if t.a >= 0 && t.b >= 0 && t.a != t.b {
			list[start[t.a+1]] = t.b
			start[t.a+1]++
			list[start[t.b+1]] = t.a
			start[t.b+1]++
		}
	}
	start = start[:n+1]
	to := int32(0)
	from := int32(0)
	for i := range n {
		end := start[i+1]
		part := list[from:end]
		slices.Sort(part)
		part = slices.Compact(part)
		to += int32(copy(list[to:], part))
		from = end
		start[i+1] = to
	}
	return graph{start, list[:to]}
}

// minimumDegree is an order of elimination that keeps the fill small. Leaves go
// first, one after the other, which empties a tree; what is left goes by least
// degree. A node that has been eliminated stands for the mesh that it leaves
// (quotient graph), so no fill is ever written out, and degrees are bounded from
// above rather than counted. Unknowns with very many neighbours go last.
func minimumDegree(g graph) []int32 {
	n := len(g.start) - 1
	order := make([]int32, 0, n)
	degree := make([]int32, n)
	gone := make([]bool, n)
	for i := range n {
		degree[i] = g.start[i+1] - g.start[i]
	}
	order = leaves(g, degree, gone, order)
	if len(order) < n {
		q := newQuotient(g, degree, gone)
		order = q.run(order)
	}
	return order
}

// leaves eliminates what has at most one neighbour left, until nothing has.
func leaves(g graph, degree []int32, gone []bool, order []int32) []int32 {
	for i := range degree {
		for k := int32(i); !gone[k] && degree[k] <= 1; {
			gone[k] = true
			order = append(order, k)
			next := k
			for _, o := range g.list[g.start[k]:g.start[k+1]] {
				if !gone[o] {
					degree[o]--
					next = o
				}
			}
			k = next
		}
	}
	return order
}

// quotient is the state of a minimum-degree elimination. The list of unknown i
// holds first its meshes, then its plain neighbours; it never grows.
type quotient struct {
	list     [][]int32 // of an unknown: meshes, then neighbours; of a mesh: its unknowns
	meshes   []int32   // how many of the list are meshes
	state    []uint8
	degree   []int32
	head     []int32 // by degree
	next     []int32
	prev     []int32
	mark     []int32 // of an unknown: round in which it was met
	rest     []int32 // of a mesh: unknowns of it outside the pivot's mesh
	restMark []int32
	last     []int32 // unknowns with very many neighbours
	met      []int32 // scratch
	spare    []int32 // what keep hands out
	left     int
}

const (
	unknown uint8 = iota
	isMesh
	absorbed
)

func newQuotient(g graph, degree []int32, gone []bool) *quotient {
	n := len(degree)
	q := &quotient{
		list: make([][]int32, n), meshes: make([]int32, n), state: make([]uint8, n), degree: degree,
		head: make([]int32, n), next: make([]int32, n), prev: make([]int32, n),
		mark: make([]int32, n), rest: make([]int32, n), restMark: make([]int32, n),
	}
	for i := range n {
		q.head[i] = -1
		if gone[i] {
			q.state[i] = absorbed
		}
	}
	dense := int32(math.Max(16, 10*math.Sqrt(float64(n))))
	for i := range n {
		if !gone[i] && degree[i] > dense {
			q.state[i] = absorbed
			q.last = append(q.last, int32(i))
		}
	}
	for i := range n {
		if q.state[i] == absorbed {
			continue
		}
		part := g.list[g.start[i]:g.start[i+1]]
		kept := part[:0]
		for _, o := range part {
			if q.state[o] == unknown {
				kept = append(kept, o)
			}
		}
		q.list[i] = kept
		degree[i] = int32(len(kept))
		q.enter(int32(i))
		q.left++
	}
	return q
}

func (q *quotient) enter(i int32) {
	d := q.degree[i]
	q.next[i], q.prev[i] = q.head[d], -1
	if q.head[d] >= 0 {
		q.prev[q.head[d]] = i
	}
	q.head[d] = i
}

func (q *quotient) leave(i int32) {
	if q.prev[i] >= 0 {
		q.next[q.prev[i]] = q.next[i]
	} else {
		q.head[q.degree[i]] = q.next[i]
	}
	if q.next[i] >= 0 {
		q.prev[q.next[i]] = q.prev[i]
	}
}

func (q *quotient) run(order []int32) []int32 {
	low := int32(0)
	for round := int32(1); q.left > 0; round++ {
		for q.head[low] < 0 {
			low++
		}
		p := q.head[low]
		q.leave(p)
		order = append(order, p)
		q.left--
		q.eliminate(p, round)
		for _, i := range q.list[p] {
			q.enter(i)
			low = min(low, q.degree[i])
		}
	}
	slices.SortStableFunc(q.last, func(a, b int32) int { return int(q.degree[a] - q.degree[b]) })
	return append(order, q.last...)
}

// eliminate makes a mesh of pivot p and brings its members up to date; they are
// left out of the lists by degree.
func (q *quotient) eliminate(p, round int32) {
	q.mark[p] = round
	met := q.met[:0]
	take := func(i int32) {
		if q.state[i] == unknown && q.mark[i] != round {
			q.mark[i] = round
			met = append(met, i)
		}
	}
	for k, x := range q.list[p] {
		if int32(k) >= q.meshes[p] {
			take(x)
			continue
		}
		if q.state[x] != isMesh {
			continue
		}
		for _, i := range q.list[x] {
			take(i)
		}
		q.state[x], q.list[x] = absorbed, nil
	}
	q.met = met
	members := q.keep(met)
	q.state[p], q.list[p] = isMesh, members
	for _, i := range members {
		q.leave(i)
		for _, e := range q.list[i][:q.meshes[i]] {
			if q.state[e] != isMesh {
				continue
			}
			if q.restMark[e] != round {
				q.restMark[e] = round
				q.rest[e] = int32(len(q.list[e])) // a mesh that loses a member is absorbed
			}
			q.rest[e]--
		}
	}
	for _, i := range members {
		q.update(i, p, round, int32(len(members)-1))
	}
}

// keep copies a short list into memory that is handed out in large pieces.
func (q *quotient) keep(list []int32) []int32 {
	if len(q.spare) < len(list) {
		q.spare = make([]int32, max(min(4*len(q.mark), 1<<14), len(list)))
	}
	kept := q.spare[:len(list):len(list)]
	q.spare = q.spare[len(list):]
	copy(kept, list)
	return kept
}

// update rewrites the list of a member of the new mesh p and bounds its degree
// from above: the others of p's mesh, what its other meshes have beside, and its
// plain neighbours.
func (q *quotient) update(i, p, round, others int32) {
	list, m := q.list[i], q.meshes[i]
	degree, to := others, int32(0)
	for _, e := range list[:m] {
		switch {
		case q.state[e] != isMesh:
		case q.rest[e] == 0: // wholly within p's
			q.state[e], q.list[e] = absorbed, nil
		default:
			degree += q.rest[e]
			list[to] = e
			to++
		}
	}
	own := to
	for _, x := range list[m:] {
		if q.state[x] == unknown && q.mark[x] != round {
			degree++
			list[to] = x
			to++
		}
	}
	// There is room for one more: p itself was in the list, or a mesh that p absorbed.
	list = list[:to+1]
	list[to] = list[own]
	list[own] = p
	q.list[i], q.meshes[i] = list, own+1
	q.degree[i] = min(degree, int32(q.left-1))
}
