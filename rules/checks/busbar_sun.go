package checks

import (
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// sunLugs are the runs on a bar between arrays and their controller, with what they
// bring in bright sun: 125 % of the short-circuit current of the arrays behind each
// (NEC 690.8(A)(1)). None where no array's conductor lands there; missing names an
// array whose figures are not known.
func sunLugs(p *rules.Pass, bar circuit.Term) (lugs []lug, missing components.ID) {
	c := p.Circuit
	pole := c.Terms[bar].Pole
	if !slices.ContainsFunc(allArrays(p), func(a arrayAt) bool {
		t, ok := c.Term(c.Terms[a.pos].PortRef.At(pole))
		return ok && c.Net(t) == c.Net(bar)
	}) {
		return nil, ""
	}
	controller := func(t circuit.Term) bool {
		q, _ := p.Doc.Part(c.Terms[t].Part)
		return q.Kind == &components.SolarController
	}
	var out []int // lugs that lead to a controller
	sum := 0.0
	for _, i := range c.LinksAt(bar) {
		own := &c.Links[i]
		if own.Run == "" || own.Bond {
			continue
		}
		var behind []pvArray
		leads := false
		for t := range c.Walk(func(l *circuit.Link, o circuit.Term) bool {
			q, _ := p.Doc.Part(l.Part)
			return o != bar && l.Closed && c.Terms[o].Pole == pole && q.Kind != &components.SolarController
		}, own.Other(bar)).Nearest() {
			q, _ := p.Doc.Part(c.Terms[t].Part)
			if q.Kind == &components.SolarArray {
				behind = append(behind, stringOf(p, q))
			}
			leads = leads || controller(t) && c.Terms[t].Port == "pv"
		}
		amps, unknown, _ := shortCircuitAmps(behind)
		if unknown != "" {
			missing = unknown
		}
		if leads {
			out = append(out, len(lugs))
			amps = 0
		}
		sum += brightSun * amps
		lugs = append(lugs, lug{own.Run, brightSun * amps})
	}
	if sum == 0 {
		return nil, missing
	}
	for _, k := range out {
		lugs[k].amps = -sum / float64(len(out))
	}
	return lugs, missing
}
