package nodal

import (
	"errors"
	"fmt"
)

// Factored is a network whose matrix is factored. It may be solved many times.
type Factored struct {
	net   *Network
	group []int32 // supernode of a node: nodes that ideal shorts join
	n     int     // supernodes
	isle  []int32 // island of a supernode
	dead  []bool  // by island: no source
	ref   []int32 // reference supernode by island
	row   []int32 // supernode → row of the matrix, -1 for references and the dead
	order []int32 // row → supernode

	// L is unit lower triangular, by column; D is its diagonal.
	start []int32
	index []int32
	value []complex128
	diag  []complex128
}

// errSource says that a source has no impedance.
var errSource = errors.New("a source needs an impedance")

// Factor merges ideal shorts, finds the islands and factors each.
func (w *Network) Factor() (*Factored, error) {
	f := &Factored{net: w}
	f.merge()
	for i, e := range w.elements {
		if e.form == source && !e.opened && e.z == 0 {
			return nil, fmt.Errorf("branch %d: %w", i, errSource)
		}
	}
	f.islands()
	if err := f.factor(); err != nil {
		return nil, err
	}
	return f, nil
}

// merge joins nodes over ideal shorts.
func (f *Factored) merge() {
	up := make([]int32, f.net.nodes)
	for i := range up {
		up[i] = int32(i)
	}
	for _, e := range f.net.elements {
		if e.form == impedance && e.z == 0 && !e.opened {
			union(up, int32(e.a), int32(e.b))
		}
	}
	f.group = make([]int32, f.net.nodes)
	name := make([]int32, f.net.nodes)
	for i := range name {
		name[i] = -1
	}
	for i := range up {
		r := find(up, int32(i))
		if name[r] < 0 {
			name[r] = int32(f.n)
			f.n++
		}
		f.group[i] = name[r]
	}
}

func find(up []int32, i int32) int32 {
	for up[i] != i {
		up[i] = up[up[i]]
		i = up[i]
	}
	return i
}

func union(up []int32, a, b int32) {
	a, b = find(up, a), find(up, b)
	if a != b {
		up[max(a, b)] = min(a, b)
	}
}

// islands finds the supernodes that branches join, whether a source feeds them,
// and their reference.
func (f *Factored) islands() {
	up := make([]int32, f.n)
	for i := range up {
		up[i] = int32(i)
	}
	for _, e := range f.net.elements {
		if !e.opened && (e.form == impedance || e.form == source) { // a load fixes no voltage
			union(up, f.group[e.a], f.group[e.b])
		}
	}
	f.isle = make([]int32, f.n)
	count := int32(0)
	name := make([]int32, f.n)
	for i := range name {
		name[i] = -1
	}
	for i := range up {
		r := find(up, int32(i))
		if name[r] < 0 {
			name[r] = count
			count++
		}
		f.isle[i] = name[r]
	}
	f.dead = make([]bool, count)
	f.ref = make([]int32, count)
	for i := range f.ref {
		f.dead[i], f.ref[i] = true, -1
	}
	for n := range f.net.prefer {
		g := f.group[n]
		if k := f.isle[g]; f.ref[k] < 0 || g < f.ref[k] {
			f.ref[k] = g
		}
	}
	for _, e := range f.net.elements {
		if e.opened || e.form != source && (e.form != injection || !f.carries(e)) {
			continue
		}
		k := f.isle[f.group[e.a]]
		f.dead[k] = false
		if f.ref[k] < 0 {
			f.ref[k] = f.group[e.b]
		}
	}
}

// Dead tells whether no source feeds a node's island.
func (f *Factored) Dead(n Node) bool { return f.dead[f.isle[f.group[n]]] }

// SameIsland tells whether branches join two nodes.
func (f *Factored) SameIsland(a, b Node) bool { return f.isle[f.group[a]] == f.isle[f.group[b]] }

// carries tells whether a load or current source has a way back for its current.
func (f *Factored) carries(e element) bool {
	return !e.opened && f.isle[f.group[e.a]] == f.isle[f.group[e.b]]
}

type entry struct {
	row int32
	v   complex128
}

// factor orders the rows by minimum degree and eliminates: L·D·Lᵀ without
// pivoting, which the matrix of a network of passive branches allows.
func (f *Factored) factor() error {
	var active []int32
	local := make([]int32, f.n)
	for g := range f.n {
		local[g] = -1
		if k := f.isle[g]; !f.dead[k] && f.ref[k] != int32(g) {
			local[g] = int32(len(active))
			active = append(active, int32(g))
		}
	}
	m := len(active)
	diag := make([]complex128, m)
	adj := make([][]entry, m) // off-diagonal entries, unsorted, each once a pair
	addTo := func(i, j int32, y complex128) {
		for k := range adj[i] {
			if adj[i][k].row == j {
				adj[i][k].v += y
				return
			}
		}
		adj[i] = append(adj[i], entry{j, y})
	}
	for _, e := range f.net.elements {
		if e.opened || e.form == injection || e.form == power || e.z == 0 {
			continue
		}
		ga, gb := f.group[e.a], f.group[e.b]
		if ga == gb {
			continue
		}
		y := 1 / e.z
		a, b := local[ga], local[gb]
		if a >= 0 {
			diag[a] += y
		}
		if b >= 0 {
			diag[b] += y
		}
		if a >= 0 && b >= 0 {
			addTo(a, b, -y)
			addTo(b, a, -y)
		}
	}
	// Buckets by degree; a row is looked at again whenever its degree has changed.
	deg := make([]int32, m)
	var buckets [][]int32
	push := func(i int32) {
		d := int(deg[i])
		for len(buckets) <= d {
			buckets = append(buckets, nil)
		}
		buckets[d] = append(buckets[d], i)
	}
	for i := range m {
		deg[i] = int32(len(adj[i]))
		push(int32(i))
	}
	done := make([]bool, m)
	position := make([]int32, m)
	order := make([]int32, 0, m)
	columns := make([][]entry, m)
	low := 0
	for len(order) < m {
		for low < len(buckets) && len(buckets[low]) == 0 {
			low++
		}
		b := buckets[low]
		i := b[len(b)-1]
		buckets[low] = b[:len(b)-1]
		if done[i] || int(deg[i]) != low {
			continue
		}
		done[i] = true
		position[i] = int32(len(order))
		order = append(order, i)
		d := diag[i]
		if d == 0 {
			// A node that only loads or current sources hold has no voltage of its own.
			return fmt.Errorf("node group %d floats: nothing fixes its voltage", active[i])
		}
		col := adj[i]
		for _, x := range col { // eliminate: A -= l·d·lᵀ
			lx := x.v / d
			diag[x.row] -= lx * x.v
			// drop the pivot from the neighbour's list
			list := adj[x.row]
			for k := range list {
				if list[k].row == i {
					list[k] = list[len(list)-1]
					adj[x.row] = list[:len(list)-1]
					break
				}
			}
		}
		for p := range col {
			for q := p + 1; q < len(col); q++ {
				u := -col[p].v * col[q].v / d
				addTo(col[p].row, col[q].row, u)
				addTo(col[q].row, col[p].row, u)
			}
		}
		for k := range col {
			r := col[k].row
			deg[r] = int32(len(adj[r]))
			push(r)
			if int(deg[r]) < low {
				low = int(deg[r])
			}
			col[k].v /= d
		}
		columns[i] = col
		adj[i] = nil
	}
	f.order = make([]int32, m)
	f.row = make([]int32, f.n)
	for g := range f.row {
		f.row[g] = -1
	}
	f.diag = make([]complex128, m)
	f.start = make([]int32, m+1)
	total := 0
	for _, c := range columns {
		total += len(c)
	}
	f.index = make([]int32, 0, total)
	f.value = make([]complex128, 0, total)
	for k, i := range order {
		f.order[k] = active[i]
		f.row[active[i]] = int32(k)
		f.diag[k] = diag[i]
		for _, x := range columns[i] {
			f.index = append(f.index, position[x.row])
			f.value = append(f.value, x.v)
		}
		f.start[k+1] = int32(len(f.index))
	}
	return nil
}

// backsolve solves Y·v = i in place; i is by row and becomes v.
func (f *Factored) backsolve(x []complex128) {
	m := len(f.diag)
	for k := range m {
		v := x[k]
		if v == 0 {
			continue
		}
		for p := f.start[k]; p < f.start[k+1]; p++ {
			x[f.index[p]] -= f.value[p] * v
		}
	}
	for k := range m {
		x[k] /= f.diag[k]
	}
	for k := m - 1; k >= 0; k-- {
		v := x[k]
		for p := f.start[k]; p < f.start[k+1]; p++ {
			v -= f.value[p] * x[f.index[p]]
		}
		x[k] = v
	}
}
