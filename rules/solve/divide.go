package solve

import (
	"math"
	"slices"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// Division is how a current divides over conductors on its way.
type Division struct {
	Shares  map[components.ID]float64 // of the whole, by run; runs that carry none are left out
	Missing []string                  // figures that are not told, so that the shares are not known
}

// DivideReturn is how a current that enters a DC negative divides on its way to a
// source's return: as Kirchhoff's laws have it for the resistances of the runs, with
// bars, shunts and contacts ideal and all runs equally warm. Where a figure of a run that
// carries some is not told, that run is taken as 1 mΩ and Missing says so.
func DivideReturn(c *circuit.Circuit, from, home circuit.Term) Division {
	d := Division{Shares: map[components.ID]float64{}}
	nodes := map[circuit.Term]nodal.Node{}
	for t := range c.Walk(negative(c), home).Nearest() {
		nodes[t] = nodal.Node(len(nodes))
	}
	if _, joined := nodes[from]; !joined {
		return d
	}
	net := nodal.New(len(nodes))
	branches := map[int]nodal.Branch{}
	missing := map[int]string{}
	for i := range c.Links {
		l := &c.Links[i]
		a, okA := nodes[l.A]
		b, okB := nodes[l.B]
		if !okA || !okB || !negative(c)(l, l.B) {
			continue
		}
		z := complex128(0)
		if l.Run != "" {
			const warm, unknown = 75, 1e-3
			z = unknown
			if core := c.Impedance(i); core.Missing == "" {
				z = core.Ohms(warm, false)
			} else {
				missing[i] = core.Missing
			}
		}
		branches[i] = net.Branch(a, b, z)
	}
	const far = 1e6 // Ω, so that the source takes no part in the division
	drive := net.Source(nodes[from], nodes[home], far, far)
	f, err := net.Factor()
	if err != nil {
		return d
	}
	r, err := f.Solve()
	if err != nil {
		return d
	}
	whole := math.Abs(real(r.I(drive)))
	for i, b := range branches {
		share := math.Abs(real(r.I(b))) / whole
		run := c.Links[i].Run
		if run == "" || !(share > 1e-6) {
			continue
		}
		d.Shares[run] = max(d.Shares[run], share)
		if why := missing[i]; why != "" && !slices.Contains(d.Missing, why) {
			d.Missing = append(d.Missing, why)
		}
	}
	slices.Sort(d.Missing)
	return d
}

// negative tells which links a current on its way back may take.
func negative(c *circuit.Circuit) func(*circuit.Link, circuit.Term) bool {
	return func(l *circuit.Link, o circuit.Term) bool {
		return l.Closed && !l.Bond && c.Terms[l.A].Pole == components.Neg && c.Terms[l.B].Pole == components.Neg
	}
}
