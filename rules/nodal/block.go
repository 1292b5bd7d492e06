package nodal

import "math"

// block is a real 2×2 matrix, row by row. A load of constant power has no complex
// admittance, since its current follows the conjugate of the voltage; blocks have
// room for that.
type block [4]float64

// turn is the block of a complex admittance.
func turn(y complex128) block { return block{real(y), -imag(y), imag(y), real(y)} }

func (a block) times(b block) block {
	return block{a[0]*b[0] + a[1]*b[2], a[0]*b[1] + a[1]*b[3], a[2]*b[0] + a[3]*b[2], a[2]*b[1] + a[3]*b[3]}
}

func (a block) of(z complex128) complex128 {
	return complex(a[0]*real(z)+a[1]*imag(z), a[2]*real(z)+a[3]*imag(z))
}

func (a *block) less(b block) {
	for k := range a {
		a[k] -= b[k]
	}
}

func (a *block) plus(b block) {
	for k := range a {
		a[k] += b[k]
	}
}

// blocks is a sparse matrix of blocks, alike in structure on both sides of its
// diagonal, factored in place as L·D·U without pivoting.
type blocks struct {
	*pattern
	diag         []block // inverted by eliminate
	upper, lower []block // by entry (k, j): row k column j, and row j column k
}

func newBlocks(p *pattern) *blocks {
	return &blocks{pattern: p, diag: make([]block, len(p.place)), upper: make([]block, len(p.later)), lower: make([]block, len(p.later))}
}

// add puts an element between two unknowns, -1 for ground.
func (m *blocks) add(a, b int32, y block) {
	if a == b {
		return
	}
	if a >= 0 {
		m.diag[m.place[a]].plus(y)
	}
	if b >= 0 {
		m.diag[m.place[b]].plus(y)
	}
	if a >= 0 && b >= 0 {
		if at, ok := m.entry(a, b); ok {
			m.upper[at].less(y)
			m.lower[at].less(y)
		} else {
			panic("nodal: a pair that its pattern does not have")
		}
	}
}

// eliminate is false where a pivot vanishes.
func (m *blocks) eliminate() bool {
	at := make([]int32, len(m.diag))
	for k := range m.diag {
		d := m.diag[k]
		det := d[0]*d[3] - d[1]*d[2]
		scale := math.Max(math.Max(math.Abs(d[0]), math.Abs(d[3])), math.Max(math.Abs(d[1]), math.Abs(d[2])))
		if !(math.Abs(det) > 1e-26*scale*scale) {
			return false
		}
		inv := block{d[3] / det, -d[1] / det, -d[2] / det, d[0] / det}
		m.diag[k] = inv
		from, to := m.start[k], m.start[k+1]
		for e := from; e < to; e++ {
			j := m.later[e]
			lo, up := m.lower[e].times(inv), m.upper[e]
			m.lower[e] = lo // L
			m.diag[j].less(lo.times(up))
			if e+1 == to {
				continue
			}
			s := m.start[j]
			for x, o := range m.later[s:m.start[j+1]] {
				at[o] = s + int32(x)
			}
			for q := e + 1; q < to; q++ {
				x := at[m.later[q]]
				m.upper[x].less(lo.times(m.upper[q]))
				m.lower[x].less(m.lower[q].times(inv).times(up))
			}
		}
	}
	for k := range m.diag {
		for e := m.start[k]; e < m.start[k+1]; e++ {
			m.upper[e] = m.diag[k].times(m.upper[e])
		}
	}
	return true
}

// solve is in place, by unknown.
func (m *blocks) solve(x []complex128) {
	work := make([]complex128, len(x))
	for i, k := range m.place {
		work[k] = x[i]
	}
	for k, v := range work {
		for e := m.start[k]; e < m.start[k+1]; e++ {
			work[m.later[e]] -= m.lower[e].of(v)
		}
	}
	for k := len(work) - 1; k >= 0; k-- {
		v := m.diag[k].of(work[k])
		for e := m.start[k]; e < m.start[k+1]; e++ {
			v -= m.upper[e].of(work[m.later[e]])
		}
		work[k] = v
	}
	for i, k := range m.place {
		x[i] = work[k]
	}
}
