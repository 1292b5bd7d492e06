package nodal

// lowRank corrects the answers of a mesh for a few admittances that have changed
// since it was eliminated (Woodbury's formula):
//
//	x' = x - W·(1/Δ + Uᵀ·W)⁻¹·Uᵀ·x,  W = Y⁻¹·U
//
// where a column of U has +1 and -1 at the ends of a changed branch and Δ is the
// change of its admittance.
type lowRank struct {
	ties []tie // y is the change
	w    [][]complex128
	lu   [][]complex128
	turn []int // row that elimination took in each step
}

const (
	mostRank = 8
	// A pivot that keeps less than this of what it is the difference of has lost
	// too many digits.
	leastPivot = 1e-5
)

// grow adds the changes of some branches to those that there were; nil if no
// admittance has changed in the end.
func (l *lowRank) grow(f *Factored, w *Network, touched []Branch, before int) *lowRank {
	g := &lowRank{}
	if l != nil {
		g.ties = append(g.ties, l.ties...)
	}
	for _, b := range touched {
		now, was := &w.elements[b], complex128(0)
		if int(b) < before {
			was = f.net.elements[b].admittance()
		}
		x, y := f.ends(now)
		if dy := now.admittance() - was; dy != 0 && x != y {
			g.ties = append(g.ties, tie{x, y, dy})
		}
	}
	if len(g.ties) == 0 {
		return nil
	}
	return g
}

// admittance is what an element has in the matrix.
func (e *element) admittance() complex128 {
	if !e.passive() {
		return 0
	}
	return 1 / e.z
}

// ready finds the correction; false where it would not be accurate.
func (l *lowRank) ready(m *mesh) bool {
	k := len(l.ties)
	if k > mostRank {
		return false
	}
	work := make([]complex128, len(m.ohms))
	for _, t := range l.ties {
		x := make([]complex128, len(m.ohms))
		if t.a >= 0 {
			x[t.a]++
		}
		if t.b >= 0 {
			x[t.b]--
		}
		m.solve(x, work)
		l.w = append(l.w, x)
	}
	for i, t := range l.ties {
		row := make([]complex128, k)
		for j := range row {
			row[j] = voltage(l.w[j], t.a, t.b)
		}
		row[i] += 1 / t.y
		l.lu = append(l.lu, row)
	}
	return l.eliminate()
}

// eliminate factors the small matrix, the largest pivot of each column first.
func (l *lowRank) eliminate() bool {
	k := len(l.ties)
	gross := make([]float64, k)
	for i, t := range l.ties {
		gross[i] = 1/abs(t.y) + abs(voltage(l.w[i], t.a, t.b))
	}
	l.turn = make([]int, k)
	for c := range k {
		best := c
		for r := c + 1; r < k; r++ {
			if abs(l.lu[r][c]) > abs(l.lu[best][c]) {
				best = r
			}
		}
		l.turn[c] = best
		l.lu[c], l.lu[best] = l.lu[best], l.lu[c]
		gross[c], gross[best] = gross[best], gross[c]
		p := l.lu[c][c]
		if !(abs(p) > leastPivot*gross[c]) {
			return false
		}
		for r := c + 1; r < k; r++ {
			q := l.lu[r][c] / p
			l.lu[r][c] = q
			for j := c + 1; j < k; j++ {
				l.lu[r][j] -= q * l.lu[c][j]
			}
		}
	}
	return true
}

// correct turns the mesh's answer into that of the changed network.
func (l *lowRank) correct(x []complex128) {
	k := len(l.ties)
	t := make([]complex128, k)
	for i, e := range l.ties {
		t[i] = voltage(x, e.a, e.b)
	}
	for c := range k {
		t[c], t[l.turn[c]] = t[l.turn[c]], t[c]
	}
	for c := range k {
		for r := c + 1; r < k; r++ {
			t[r] -= l.lu[r][c] * t[c]
		}
	}
	for c := k - 1; c >= 0; c-- {
		for j := c + 1; j < k; j++ {
			t[c] -= l.lu[c][j] * t[j]
		}
		t[c] /= l.lu[c][c]
	}
	for i, w := range l.w {
		for n := range x {
			x[n] -= w[n] * t[i]
		}
	}
}
