package checks

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// CrossedPoles finds a conductor that joins what must never be joined.
var CrossedPoles = &rules.Rule{
	ID:    "conductor.crossed-poles",
	Title: "A conductor joins two poles that must never meet",
	Must:  "A conductor joins hot to hot, neutral to neutral, ground to ground, positive to positive, negative to negative; a bond alone joins neutral or negative to ground. A run from one battery's negative to another's positive puts them in series; such a string is best drawn as one battery that tells how many blocks it has, and two arrays in series as one array that tells the modules of its strings.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "200.11, 250.6", Says: "polarity kept; no grounded conductor where it reverses", Seen: rules.Memory},
		{Source: "Ohm's law", Says: "such a conductor is a short circuit or a reversed device", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Explains: []string{"fault.far-end-clears", "neutral.returns-to-own-source", "supply.cannot-carry", "load.never-fed", "supply.leads-nowhere", "supply.unused-leg", "inverter.leg-topology"},
	Check: func(p *rules.Pass) {
		for _, r := range p.Doc.Runs() {
			if r.Gone() {
				continue
			}
			for _, c := range p.Doc.CoresOf(r) {
				if !crossedCore(c) {
					continue
				}
				if f, ok := seriesJoint(p, r, c); ok {
					p.Report(f)
					continue
				}
				if f, ok := arraysInSeries(p, r, c); ok {
					p.Report(f)
					continue
				}
				p.Report(rules.Finding{
					At: string(r.ID), Also: []string{r.From.String(), r.To.String()},
					Message: fmt.Sprintf("%s joins the %s of %s to the %s of %s", r.ID, class(c.From), r.From, class(c.To), r.To),
					Fixes:   uncross(p, r),
					Causes:  joinedWith(p, r),
				})
			}
		}
	},
}

// seriesJoint tells of a run that puts two batteries in series, which are then two
// symbols for one string; batteries that stand in parallel as well it shorts.
func seriesJoint(p *rules.Pass, r components.Run, c components.Core) (rules.Finding, bool) {
	t, ok := p.Circuit.Term(r.From.At(c.From))
	if !ok {
		return rules.Finding{}, false
	}
	top, bottom, ok := seriesAt(p, t)
	if !ok {
		return rules.Finding{}, false
	}
	f := rules.Finding{
		At: string(r.ID), Also: []string{string(top.ID), string(bottom.ID)}, Level: rules.Advice,
		Message: fmt.Sprintf("%s puts %s and %s in series as two symbols. They are taken as one string in all that is checked, set and measured: where they are alike, one battery of blocks in series says it in less, draw them as that", r.ID, top.ID, bottom.ID),
	}
	if fix, ok := oneSymbol(p, r, top, bottom); ok {
		f.Fixes = []rules.Fix{fix}
	}
	return f, true
}

// seriesAt are the two batteries between which a terminal stands in a string.
func seriesAt(p *rules.Pass, t circuit.Term) (top, bottom components.Part, ok bool) {
	for _, s := range p.Circuit.Sources {
		all := p.Circuit.InSeries(s.Part)
		if len(all) < 2 {
			continue
		}
		if neg, ok := p.Circuit.At(s.Part, "neg", components.Neg); !ok || p.Circuit.Net(neg) != p.Circuit.Net(t) {
			continue
		}
		top, _ = p.Doc.Part(all[0])
		bottom, _ = p.Doc.Part(all[1])
		return top, bottom, true
	}
	return top, bottom, false
}

// oneSymbol makes two like batteries in series one, where nothing else is joined
// between them.
func oneSymbol(p *rules.Pass, joint components.Run, top, bottom components.Part) (rules.Fix, bool) {
	for _, key := range []string{"chemistry", "nominal_v", "capacity_ah", "parallel"} {
		a, _ := top.Value(key)
		if b, _ := bottom.Value(key); a.String() != b.String() {
			return rules.Fix{}, false
		}
	}
	if len(p.Doc.RunsAt(top.Ref("neg"))) != 1 || len(p.Doc.RunsAt(bottom.Ref("pos"))) != 1 {
		return rules.Fix{}, false
	}
	edits := []components.Edit{components.RemoveRun{ID: joint.ID}}
	for _, r := range p.Doc.RunsAt(top.Ref("pos")) {
		edit := r.Rerouted()
		if edit.Path = nil; edit.From == top.Ref("pos") {
			edit.From = bottom.Ref("pos")
		} else {
			edit.To = bottom.Ref("pos")
		}
		edits = append(edits, edit)
	}
	n := top.Figure("series").Value + bottom.Figure("series").Value
	edits = append(edits, components.RemovePart{ID: top.ID}, set(bottom.ID, "series", components.Num(n)))
	return rules.Fix{Title: fmt.Sprintf("Draw %s and %s as one battery of %s blocks in series, %s", top.ID, bottom.ID, numText(n), bottom.ID), Edits: edits}, true
}

// arraysInSeries tells of a run that puts two solar arrays in series, which then are
// two symbols for one string.
func arraysInSeries(p *rules.Pass, r components.Run, c components.Core) (rules.Finding, bool) {
	top, bottom := r.From, r.To
	if c.From == components.Pos {
		top, bottom = bottom, top
	}
	high, okHigh := p.Doc.Part(top.Part)
	low, okLow := p.Doc.Part(bottom.Part)
	if !okHigh || !okLow || high.Kind != &components.SolarArray || low.Kind != &components.SolarArray || high.ID == low.ID || !c.From.DC() || !c.To.DC() {
		return rules.Finding{}, false
	}
	f := rules.Finding{
		At: string(r.ID), Also: []string{string(high.ID), string(low.ID)}, Level: rules.Advice,
		Message: fmt.Sprintf("%s puts %s and %s in series as two symbols. The rules add up their voltages; the lists and the checklist take each by itself: draw them as one array that tells how many modules its strings have, where the modules are alike", r.ID, high.ID, low.ID),
	}
	if fix, ok := oneArray(p, r, high, low); ok {
		f.Fixes = []rules.Fix{fix}
	}
	return f, true
}

// oneArray makes two arrays of the same modules one with longer strings.
func oneArray(p *rules.Pass, joint components.Run, high, low components.Part) (rules.Fix, bool) {
	for _, key := range []string{"parallel", "voc_v", "isc_a", "vmp_v", "imp_a"} {
		a, _ := high.Value(key)
		if b, _ := low.Value(key); a.String() != b.String() || !a.Known() {
			return rules.Fix{}, false
		}
	}
	n := high.Figure("series").Value + low.Figure("series").Value
	if !high.Figure("series").Known() || !low.Figure("series").Known() || n > 24 {
		return rules.Fix{}, false
	}
	edits := []components.Edit{components.RemoveRun{ID: joint.ID}}
	for _, r := range p.Doc.RunsAt(high.Ref("out")) {
		if r.ID == joint.ID {
			continue
		}
		if r.Ends(low.Ref("out")) {
			return rules.Fix{}, false
		}
		edit := r.Rerouted()
		if edit.Path, edit.Cores = nil, p.Doc.CoresOf(r); edit.From == high.Ref("out") {
			edit.From = low.Ref("out")
		} else {
			edit.To = low.Ref("out")
		}
		edits = append(edits, edit)
	}
	edits = append(edits, components.RemovePart{ID: high.ID}, set(low.ID, "series", components.Num(n)))
	return rules.Fix{Title: fmt.Sprintf("Draw %s and %s as one array of %s modules in series, %s", high.ID, low.ID, numText(n), low.ID), Edits: edits}, true
}

// class is what a pole is, whatever leg it stands on.
func class(p components.Pole) string {
	switch p {
	case components.N:
		return "neutral"
	case components.G:
		return "ground"
	case components.Pos:
		return "positive"
	case components.Neg:
		return "negative"
	}
	return "hot"
}

// uncross lands the conductors of a run on their own poles, and those of others that are
// crossed at one of its ends: one of a pair alone would short it. What has no such pole at
// the other end is taken out, and the run where nothing is left of it.
func uncross(p *rules.Pass, r components.Run) []rules.Fix {
	var edits []components.Edit
	var landed, short, out []string
	for _, o := range p.Doc.Runs() {
		if o.ID != r.ID && !(crossedRun(p, o) && (o.Ends(r.From) || o.Ends(r.To))) {
			continue
		}
		edit := o.Rerouted()
		edit.Cores = straight(p.Doc, o)
		switch {
		case len(edit.Cores) == 0:
			out = append(out, string(o.ID))
			edits = append(edits, components.RemoveRun{ID: o.ID})
			continue
		case len(edit.Cores) < len(p.Doc.CoresOf(o)):
			short = append(short, string(o.ID))
		default:
			landed = append(landed, string(o.ID))
		}
		edits = append(edits, edit)
	}
	var does []string
	for _, what := range []struct {
		do   string
		runs []string
	}{{"land each conductor of %s on its own pole", landed}, {"take the crossed conductor out of %s", short}, {"disconnect %s", out}} {
		if len(what.runs) > 0 {
			does = append(does, fmt.Sprintf(what.do, strings.Join(what.runs, " and ")))
		}
	}
	title := strings.Join(does, ", ")
	return []rules.Fix{{Title: strings.ToUpper(title[:1]) + title[1:], Edits: edits}}
}

// crossedRun tells whether a run joins unlike poles, neither a bond nor a string.
func crossedRun(p *rules.Pass, r components.Run) bool {
	return !r.Gone() && slices.ContainsFunc(p.Doc.CoresOf(r), func(c components.Core) bool {
		if !crossedCore(c) {
			return false
		}
		_, joint := seriesJoint(p, r, c)
		_, arrays := arraysInSeries(p, r, c)
		return !joint && !arrays
	})
}

// crossedCore tells whether a core joins what must never be joined.
func crossedCore(c components.Core) bool {
	a, b := class(c.From), class(c.To)
	bond := a == "ground" && (b == "neutral" || b == "negative") || b == "ground" && (a == "neutral" || a == "negative")
	return a != b && !bond
}

// groundCrossed lands the conductors of a cable whose neutral and ground are crossed: its
// other conductors are needed.
func groundCrossed(p *rules.Pass, id components.ID) (rules.Fix, bool) {
	r, ok := p.Doc.Run(id)
	if !ok || len(p.Doc.CoresOf(r)) < 2 {
		return rules.Fix{}, false
	}
	return uncross(p, r)[0], true
}

// straight are the cores of a run as they ought to be: those that join like to like as
// they are, and each crossed one at the like pole of the other end that is free.
func straight(doc *components.Document, r components.Run) []components.Core {
	_, from, okFrom := doc.Port(r.From)
	_, to, okTo := doc.Port(r.To)
	if !okFrom || !okTo {
		return nil
	}
	var cores, crossed []components.Core
	usedFrom, usedTo := map[components.Pole]bool{}, map[components.Pole]bool{}
	keep := func(c components.Core) {
		cores = append(cores, c)
		usedFrom[c.From], usedTo[c.To] = true, true
	}
	for _, o := range doc.RunsAt(r.From) { // what another run joins already needs no second one
		for _, c := range doc.CoresOf(o) {
			if o.ID != r.ID && !o.Gone() && o.Other(r.From) == r.To && class(c.From) == class(c.To) {
				if o.From == r.From {
					usedFrom[c.From], usedTo[c.To] = true, true
				} else {
					usedFrom[c.To], usedTo[c.From] = true, true
				}
			}
		}
	}
	for _, c := range doc.CoresOf(r) {
		if class(c.From) == class(c.To) {
			keep(c)
		} else {
			crossed = append(crossed, c)
		}
	}
	like := func(pole components.Pole, at components.PortRef, poles []components.Pole, used map[components.Pole]bool) (components.Pole, bool) {
		var free []components.Pole
		for _, o := range poles {
			if class(o) == class(pole) && !used[o] {
				free = append(free, o)
			}
		}
		// its own name first, then one where no other run lands
		slices.SortStableFunc(free, func(a, b components.Pole) int {
			return cmp.Or(-cmpBool(a == pole, b == pole), cmpBool(landsAt(doc, r, at, a), landsAt(doc, r, at, b)))
		})
		if len(free) == 0 {
			return "", false
		}
		return free[0], true
	}
	for _, c := range crossed {
		if o, ok := like(c.From, r.To, to.Poles, usedTo); ok && !usedFrom[c.From] {
			keep(components.Core{From: c.From, To: o})
		} else if o, ok := like(c.To, r.From, from.Poles, usedFrom); ok && !usedTo[c.To] {
			keep(components.Core{From: o, To: c.To})
		}
	}
	return cores
}

// landsAt tells whether another run lands on a pole of a port.
func landsAt(doc *components.Document, r components.Run, at components.PortRef, pole components.Pole) bool {
	return slices.ContainsFunc(doc.RunsAt(at), func(o components.Run) bool {
		return o.ID != r.ID && !o.Gone() && slices.ContainsFunc(doc.CoresOf(o), func(c components.Core) bool {
			return o.From == at && c.From == pole || o.To == at && c.To == pole
		})
	})
}

func cmpBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// joinedWith are the parts that live conductors lead to from the ends of a run, whatever
// poles they stand on: what a crossing there starves.
func joinedWith(p *rules.Pass, r components.Run) []string {
	var ends []circuit.Term
	for _, c := range p.Doc.CoresOf(r) {
		for _, t := range []components.Terminal{r.From.At(c.From), r.To.At(c.To)} {
			if t, ok := p.Circuit.Term(t); ok && p.Circuit.Terms[t].Pole != components.G {
				ends = append(ends, t)
			}
		}
	}
	var parts []string
	seen := map[components.ID]bool{}
	for t := range p.Circuit.Walk(func(_ *circuit.Link, o circuit.Term) bool { return p.Circuit.Terms[o].Pole != components.G }, ends...).Nearest() {
		if id := p.Circuit.Terms[t].Part; !seen[id] {
			seen[id] = true
			parts = append(parts, string(id))
		}
	}
	return parts
}
