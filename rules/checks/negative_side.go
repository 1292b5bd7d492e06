package checks

import (
	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// negatives is every negative terminal that is met from one over runs, bars and
// inline parts, but over no shunt and through no appliance, with the run that each
// was met by.
func negatives(p *rules.Pass, from circuit.Term) map[circuit.Term]components.ID {
	c := p.Circuit
	return c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return l.Closed && c.Terms[o].Pole == components.Neg && (l.Part == "" || inline(p, l.Part))
	}, from).ByRun()
}

// inline tells whether current goes through a part unmeasured and unused.
func inline(p *rules.Pass, id components.ID) bool {
	q, _ := p.Doc.Part(id)
	switch q.Kind.Role {
	case components.Carries, components.Protects, components.Switches:
		return true
	}
	return false
}

// eachShunt calls judge for each shunt with the negatives on its two sides.
func eachShunt(p *rules.Pass, judge func(p *rules.Pass, sht components.Part, bank, system circuit.Term)) {
	if !p.First() {
		return
	}
	for _, sht := range p.Doc.Parts() {
		bank, okB := p.Circuit.At(sht.ID, "battery", components.Neg)
		system, okS := p.Circuit.At(sht.ID, "system", components.Neg)
		if sht.Kind == &components.Shunt && !sht.Gone() && okB && okS {
			judge(p, sht, bank, system)
		}
	}
}

// houseBanks are the house batteries whose negative posts are among terminals.
func houseBanks(p *rules.Pass, met map[circuit.Term]components.ID) []components.ID {
	var banks []components.ID
	for t := range met {
		q, _ := p.Doc.Part(p.Circuit.Terms[t].Part)
		if q.Kind == &components.Battery && q.Word("role") != "starting" {
			banks = append(banks, q.ID)
		}
	}
	return sortedIDs(banks)
}

// misplaced are the runs that bring the negative of something other than a
// battery to the bank's side of a shunt.
func misplaced(p *rules.Pass, met map[circuit.Term]components.ID) map[components.ID]components.ID {
	found := map[components.ID]components.ID{}
	for t, run := range met {
		q, _ := p.Doc.Part(p.Circuit.Terms[t].Part)
		switch q.Kind.Role {
		case components.Uses, components.Converts, components.Distributes, components.Supplies:
			found[run] = q.ID
		}
	}
	return found
}

// systemEnd is where a negative belongs: a negative bar on the system's side of a
// shunt, or the shunt itself.
func systemEnd(p *rules.Pass, sht components.Part, system circuit.Term) components.PortRef {
	met := negatives(p, system)
	for _, q := range p.Doc.Parts() {
		if t, ok := p.Circuit.At(q.ID, "bar", components.Neg); ok && q.Kind == &components.Busbar {
			if _, on := met[t]; on {
				return q.Ref("bar")
			}
		}
	}
	return sht.Ref("system")
}

// moveEnd reroutes the end of a run that stands among terminals to another port.
// A cable of several cores cannot be moved by one of them.
func moveEnd(p *rules.Pass, id components.ID, met map[circuit.Term]components.ID, to components.PortRef) ([]components.Edit, bool) {
	r, ok := p.Doc.Run(id)
	if !ok || len(p.Doc.CoresOf(r)) != 1 {
		return nil, false
	}
	core := p.Doc.CoresOf(r)[0]
	e := r.Rerouted()
	e.Path, e.Cores = nil, []components.Core{core}
	a, okA := p.Circuit.Term(r.From.At(core.From))
	b, okB := p.Circuit.Term(r.To.At(core.To))
	_, nearA := met[a]
	_, nearB := met[b]
	source := func(ref components.PortRef) bool {
		q, _ := p.Doc.Part(ref.Part)
		return q.Kind == &components.Battery || q.Kind == &components.Shunt || q.Kind.Role == components.Carries
	}
	switch {
	case okA && nearA && source(r.From) && r.To != to:
		e.From = to
	case okB && nearB && source(r.To) && r.From != to:
		e.To = to
	default:
		return nil, false
	}
	return []components.Edit{e}, true
}
