package nodal

import "math"

// mesh is a network eliminated node by node. When its turn comes, a node has
// admittances y_j to later neighbours and g to ground, in all Y = g + Σ y_j; its
// star becomes a mesh of y_i·y_j/Y between the neighbours and y_j·g/Y from each
// to ground. Nothing is subtracted, so small admittances beside large ones keep
// their digits. What stays is the part f_j = y_j/Y of a node's current that goes
// to each neighbour, and 1/Y.
type mesh struct {
	*pattern
	part []complex128 // by entry: f_j
	ohms []complex128 // by place: 1/Y
}

// eliminate puts the ties' admittances in and eliminates. bad is the unknown
// whose admittances cancel, -1 if none does.
func (p *pattern) eliminate(ties []tie) (m *mesh, bad int32) {
	n := len(p.place)
	m = &mesh{pattern: p, part: make([]complex128, len(p.later)), ohms: make([]complex128, n)}
	ground := m.ohms // by place, until its turn
	for _, t := range ties {
		switch {
		case t.a == t.b:
		case t.a < 0:
			ground[p.place[t.b]] += t.y
		case t.b < 0:
			ground[p.place[t.a]] += t.y
		default:
			at, ok := p.entry(t.a, t.b)
			if !ok {
				panic("nodal: a tie that its pattern does not have")
			}
			m.part[at] += t.y
		}
	}
	at := make([]int32, n) // where the later place j is in the list at hand
	for k := range n {
		from, to := p.start[k], p.start[k+1]
		sum, gross := ground[k], size(ground[k])
		for _, y := range m.part[from:to] {
			sum += y
			gross += size(y)
		}
		if !(size(sum) > 1e-13*gross) {
			for i, q := range p.place {
				if q == int32(k) {
					return nil, int32(i)
				}
			}
		}
		ohms, g := 1/sum, ground[k]
		for e := from; e < to; e++ {
			y := m.part[e]
			f := y * ohms
			j := p.later[e]
			if g != 0 {
				ground[j] += f * g
			}
			if e+1 < to {
				s := p.start[j]
				for x, o := range p.later[s:p.start[j+1]] {
					at[o] = s + int32(x)
				}
				for q := e + 1; q < to; q++ {
					m.part[at[p.later[q]]] += f * m.part[q]
				}
			}
			m.part[e] = f
		}
		m.ohms[k] = ohms
	}
	return m, -1
}

// size is a cheap magnitude, within √2 of the true one.
func size(z complex128) float64 { return math.Abs(real(z)) + math.Abs(imag(z)) }

// solve turns the currents driven into the unknowns into their voltages, in
// place; work is as long or nil.
func (m *mesh) solve(x, work []complex128) {
	if work == nil {
		work = make([]complex128, len(x))
	}
	for i, k := range m.place {
		work[k] = x[i]
	}
	for k, i := range work {
		if i == 0 {
			continue
		}
		for e := m.start[k]; e < m.start[k+1]; e++ {
			work[m.later[e]] += m.part[e] * i
		}
	}
	for k := len(work) - 1; k >= 0; k-- {
		v := work[k] * m.ohms[k]
		for e := m.start[k]; e < m.start[k+1]; e++ {
			v += m.part[e] * work[m.later[e]]
		}
		work[k] = v
	}
	for i, k := range m.place {
		x[i] = work[k]
	}
}

// between is the voltage from a to b, two unknowns of which either may be -1, that
// an ampere driven into a and out of b makes. Only what is eliminated after them
// and hangs together with them is visited. The elimination is A⁻¹ = Fᵀ·D·F with F
// its sweep forwards and D its ohms, so the answer is the sum of ohms times the
// square of what arrives. work is as long as the unknowns, and zero before and after.
func (m *mesh) between(a, b int32, work []complex128) (z complex128) {
	end := int32(len(m.place))
	start := func(i int32, amps complex128) int32 {
		if i < 0 {
			return end
		}
		work[m.place[i]] += amps
		return m.place[i]
	}
	j, k := start(a, 1), start(b, -1)
	for {
		at := min(j, k)
		if at == end {
			return z
		}
		i, next := work[at], end
		work[at] = 0
		z += i * i * m.ohms[at]
		for e := m.start[at]; e < m.start[at+1]; e++ {
			work[m.later[e]] += m.part[e] * i
			next = min(next, m.later[e])
		}
		if j == at {
			j = next
		}
		if k == at {
			k = next
		}
	}
}
