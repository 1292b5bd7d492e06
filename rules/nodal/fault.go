package nodal

import "sync"

// Thevenin is the impedance between two nodes in ohms, with every EMF shorted
// and every current source and power load at rest; a load that alone holds one
// side to the other counts with its rated impedance. ok is false where the nodes
// are not in one live island. Nodes that ideal branches join have 0 between them.
func (f *Factored) Thevenin(a, b Node) (z complex128, ok bool) {
	if f.err != nil || !f.SameIsland(a, b) || f.Dead(a) {
		return 0, false
	}
	if f.at(a) == f.at(b) {
		return 0, true
	}
	n := len(f.base.ohms)
	room := scratch.Get().(*[]complex128)
	defer scratch.Put(room)
	if cap(*room) < n {
		*room = make([]complex128, n)
	}
	if f.low == nil {
		return f.base.between(f.at(a), f.at(b), (*room)[:n]), true
	}
	x := f.unit(a, b)
	return voltage(x, f.at(a), f.at(b)), true
}

// scratch is memory for questions that are asked again and again, all zero.
var scratch = sync.Pool{New: func() any { return new([]complex128) }}

// Unknown tells nodes apart that ideal branches do not join: those that they join
// share it, and so every Thevenin impedance. It is negative for those without one.
func (f *Factored) Unknown(n Node) int { return int(f.at(n)) }

func (f *Factored) at(n Node) int32 { return f.row[f.top.group[n]] }

// unit are the voltages that an ampere makes, driven into a and out of b.
func (f *Factored) unit(a, b Node) []complex128 {
	x := make([]complex128, len(f.base.ohms))
	if f.at(a) != f.at(b) {
		f.ampere(x, a, b)
		f.solve(x, nil)
	}
	return x
}

// ampere puts an ampere into a and takes it out of b.
func (f *Factored) ampere(x []complex128, a, b Node) {
	if k := f.at(a); k >= 0 {
		x[k]++
	}
	if k := f.at(b); k >= 0 {
		x[k]--
	}
}

// Fault is what flows when two nodes are joined. Power loads are at rest: they
// are small against a fault and uncertain in it.
type Fault struct {
	I       complex128 // A, from the first node through the fault to the second
	Open    complex128 // V between them before
	Z       complex128 // ohms of all that feeds it, without the fault's own
	*Result            // the network in the fault
}

// Contribution is what one source gives to a fault.
type Contribution struct {
	Branch Branch
	I      complex128 // A, out of its plus
}

// FaultCurrent joins a to b through zFault ohms, 0 for bolted. Its errors are
// Apart, Unlimited and those of Solve.
func (f *Factored) FaultCurrent(a, b Node, zFault complex128) (*Fault, error) {
	if f.err != nil {
		return nil, f.err
	}
	if !f.SameIsland(a, b) || f.Dead(a) {
		return nil, &Apart{a, b}
	}
	s, err := f.begin()
	if err != nil {
		return nil, err
	}
	s.linear()
	for _, anchor := range f.top.anchor { // a resting load still holds what it alone holds
		e := &f.net.elements[anchor.branch]
		if !f.top.live(e) {
			continue
		}
		la, lb := s.ends(e)
		s.loads = append(s.loads, load{branch: anchor.branch, a: la, b: lb, anchor: anchor.y})
	}
	x := f.unit(a, b)
	fault := &Fault{Z: voltage(x, f.at(a), f.at(b)), Open: s.node(int32(a)) - s.node(int32(b))}
	total := fault.Z + zFault
	if fault.Open != 0 {
		if total == 0 {
			return nil, &Unlimited{a, b}
		}
		fault.I = fault.Open / total
	}
	for k := range s.x {
		s.x[k] -= fault.I * x[k]
	}
	for k := range s.loads {
		l := &s.loads[k]
		l.i = l.anchor * s.across(&f.net.elements[l.branch])
	}
	var extra map[Node]complex128
	if a != b {
		extra = map[Node]complex128{a: fault.I, b: -fault.I}
	} else {
		extra = map[Node]complex128{}
	}
	fault.Result, err = s.result(extra)
	return fault, err
}

// Transfer is how the voltage across a branch answers a current between any two
// nodes.
type Transfer struct {
	f *Factored
	z complex128
	x []complex128 // voltages that an ampere makes, driven through the branch's ends
}

// Transfer solves for a branch once; ok is false for one that is ideal or in a dead
// island.
func (f *Factored) Transfer(b Branch) (t *Transfer, ok bool) {
	e := &f.net.elements[b]
	if f.err != nil || !e.passive() || !f.top.live(e) {
		return nil, false
	}
	return &Transfer{f, e.z, f.unit(Node(e.a), Node(e.b))}, true
}

// Amps is by how much the branch's current rises, from its first node to its second,
// for each ampere that is driven into a and out of b: what an ampere there makes
// here, an ampere here makes there.
func (t *Transfer) Amps(a, b Node) complex128 {
	return voltage(t.x, t.f.at(a), t.f.at(b)) / t.z
}

// Contributions are what the sources of the fault's island give, in the order of
// branches: EMFs and current sources.
func (x *Fault) Contributions() []Contribution {
	var all []Contribution
	for k := range x.f.net.elements {
		e := &x.f.net.elements[k]
		if (e.form == source || e.form == injection) && x.f.top.live(e) {
			all = append(all, Contribution{Branch(k), -x.i[k]})
		}
	}
	return all
}
