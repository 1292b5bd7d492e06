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
	if bottom := p.Circuit.Terms[src.Return].Part; bottom != q.ID { // of a string
		f.Also = append(f.Also, string(bottom))
		f.Message = fmt.Sprintf("The positive of %s leads to %s, and the negative of its string, at %s, to nothing that is joined there: it gives nothing, whatever the others carry in its place", q.ID, far.at, bottom)
	}
	from := q.Ref(givesAt(q)[0])
	if runs := p.Doc.RunsAt(from); len(runs) > 0 && besideOthers(p, q, far.at) != p.Circuit.Terms[src.Return].PortRef {
		f.Fixes = []rules.Fix{negativeLike(p, runs[0], p.Circuit.Terms[src.Return].PortRef, besideOthers(p, q, far.at))}
	}
	if fix, ok := seriesJumper(p, q); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// seriesJumper joins a battery whose negative leads nowhere to one whose positive does,
// where that makes its string as long as those beside it.
func seriesJumper(p *rules.Pass, q components.Part) (rules.Fix, bool) {
	if q.Kind != &components.Battery || len(p.Doc.RunsAt(q.Ref("neg"))) > 0 {
		return rules.Fix{}, false
	}
	own, _ := p.Circuit.At(q.ID, "pos", components.Pos)
	volts, longest := 0.0, 0.0
	if v := q.Figure("nominal_v"); v.Known() {
		volts = v.Value * q.Figure("series").Value
	}
	var like components.Run
	for _, o := range p.Doc.Parts() {
		if t, ok := p.Circuit.At(o.ID, "pos", components.Pos); ok && o.Kind == &components.Battery && p.Circuit.Net(t) == p.Circuit.Net(own) {
			longest = max(longest, p.Circuit.StringVolts(o))
			for _, r := range p.Doc.RunsAt(o.Ref("neg")) {
				if r.Other(o.Ref("neg")).Port == "pos" {
					like = r
				}
			}
		}
	}
	for _, o := range p.Doc.Parts() {
		if o.Kind != &components.Battery || o.Gone() || o.ID == q.ID || len(p.Doc.RunsAt(o.Ref("pos"))) > 0 || len(p.Doc.RunsAt(o.Ref("neg"))) == 0 {
			continue
		}
		if volts == 0 || volts+p.Circuit.StringVolts(o) != longest || like.ID == "" {
			continue
		}
		run := components.Run{ID: p.Doc.FreeID("W"), From: q.Ref("neg"), To: o.Ref("pos"), Cores: []components.Core{{From: components.Neg, To: components.Pos}}, Spec: components.Spec{}}
		for _, key := range []string{"size", "cable", "length_ft"} {
			if v := like.Told(key); v.Told() {
				run.Spec[key] = v
			}
		}
		return rules.Fix{Title: fmt.Sprintf("Join %s to %s, in series as %s does", run.From, run.To, like.ID), Edits: []components.Edit{components.AddRun{Run: run}}}, true
	}
	return rules.Fix{}, false
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
