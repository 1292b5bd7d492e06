package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// pair is a port at which a positive and a negative are joined, by their nets.
type pair struct {
	at       components.PortRef
	pos, neg circuit.Term
}

// givenBack finds arrays and house batteries whose positive is joined to others and whose
// negative is not joined to any of theirs: the others still run, on what is left.
func givenBack(p *rules.Pass, over []circuit.Term) {
	c := p.Circuit
	var pairs []pair
	join := func(q components.Part, port string) {
		pos, okP := c.At(q.ID, port, components.Pos)
		neg, okN := c.At(q.ID, port, components.Neg)
		if okP && okN {
			pairs = append(pairs, pair{q.Ref(port), c.Net(pos), neg})
		}
	}
	var sources []components.Part
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		for _, port := range returning(q) {
			join(q, port)
		}
		if q.Kind == &components.SolarArray {
			join(q, "out")
		}
		if q.Kind == &components.SolarArray || q.Kind == &components.Battery && q.Word("role") != "starting" {
			sources = append(sources, q)
		}
	}
	for _, q := range sources {
		pos, ok := c.At(q.ID, givesAt(q)[0], components.Pos)
		src, own := ownSource(c, q, pos)
		if !ok || !own {
			continue
		}
		var far *pair
		for i, o := range pairs {
			if o.at.Part == q.ID || o.pos != c.Net(pos) {
				continue
			}
			if over[o.neg] == over[src.Return] || withinString(p, src, o.neg) {
				far = nil
				break
			}
			far = &pairs[i]
		}
		if far == nil {
			continue
		}
		if back, _ := comesBack(p, over, far.at.Part, pos, far.neg); back == overConductors { // to another; else told there
			noneGivenBack(p, q, src, *far)
		}
	}
}

// ownSource is what a part gives at its positive.
func ownSource(c *circuit.Circuit, q components.Part, pos circuit.Term) (circuit.Source, bool) {
	for _, s := range c.Feeds(pos) {
		if s.Part == q.ID {
			return s, true
		}
	}
	return circuit.Source{}, false
}

func noneGivenBack(p *rules.Pass, q components.Part, src circuit.Source, far pair) {
	f := rules.Finding{
		At: string(q.ID), Also: []string{string(far.at.Part)},
		Message: fmt.Sprintf("The positive of %s leads to %s, and its negative to nothing that is joined there: it gives nothing, whatever the others carry in its place", q.ID, far.at),
		Working: []string{fmt.Sprintf("negative conductors from %s to %s: 0", far.at, q.ID)},
	}
	from := q.Ref(givesAt(q)[0])
	if runs := p.Doc.RunsAt(from); len(runs) > 0 {
		f.Fixes = []rules.Fix{negativeLike(p, runs[0], p.Circuit.Terms[src.Return].PortRef, besideOthers(p, q, far.at))}
	}
	p.Report(f)
}

// besideOthers is where the negatives of the other batteries on a battery's positive net
// come to, most of them first; else the port that was found.
func besideOthers(p *rules.Pass, q components.Part, found components.PortRef) components.PortRef {
	if q.Kind != &components.Battery {
		return found
	}
	own, _ := p.Circuit.At(q.ID, "pos", components.Pos)
	count, best := map[components.PortRef]int{}, found
	for _, o := range p.Doc.Parts() {
		pos, ok := p.Circuit.At(o.ID, "pos", components.Pos)
		if o.Kind != &components.Battery || o.Gone() || o.ID == q.ID || !ok || p.Circuit.Net(pos) != p.Circuit.Net(own) {
			continue
		}
		whole := inString(p, o)
		bottom := whole[len(whole)-1]
		for _, r := range p.Doc.RunsAt(bottom.Ref("neg")) {
			if far := r.Other(bottom.Ref("neg")); !r.Gone() {
				if count[far]++; count[far] > count[best] {
					best = far
				}
			}
		}
	}
	return best
}
