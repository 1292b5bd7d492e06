package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// FourPerStud limits the lugs on one stud.
var FourPerStud = &rules.Rule{
	ID:    "busbar.four-terminals-per-stud",
	Title: "Too many terminals on one stud",
	Must:  "At most four terminals stand on one stud, the largest next to its base, with no washer between the lowest and the bar.",
	Basis: []rules.Basis{
		{Source: "ABYC E-11", Says: "four terminals on a stud (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "no washer under the lowest lug", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: fourPerStud,
}

const lugsPerStud = 4

func fourPerStud(p *rules.Pass) {
	lugs := map[circuit.Term]int{}
	for _, l := range p.Circuit.Links {
		if l.Run == "" {
			continue
		}
		r, _ := p.Doc.Run(l.Run)
		sets := int(math.Max(1, r.Figure("sets").Value))
		lugs[l.A] += sets
		lugs[l.B] += sets
	}
	for t, term := range p.Circuit.Terms {
		q, _ := p.Doc.Part(term.Part)
		n := lugs[circuit.Term(t)]
		switch {
		case n <= lugsPerStud:
		case q.Kind == &components.Busbar:
			barStuds(p, q, n)
		case q.Kind == &components.Chassis, term.Pole.DC() && hasStud(q):
			crowded(p, q, term, n)
		}
	}
}

// hasStud tells whether a DC part ends in studs; panels and splices do not.
func hasStud(q components.Part) bool {
	switch q.Kind.Role {
	case components.Stores, components.Protects, components.Switches, components.Measures, components.Converts, components.Bonds:
		return true
	}
	return false
}

func barStuds(p *rules.Pass, q components.Part, n int) {
	studs := q.Figure("studs")
	if !studs.Known() {
		p.Unchecked(string(q.ID), fmt.Sprintf("studs of %s is not known, and %d terminals stand there: count its studs, four terminals fit on each", q.ID, n))
		return
	}
	if float64(n) <= lugsPerStud*studs.Value {
		return
	}
	want := math.Ceil(float64(n) / lugsPerStud)
	p.Report(rules.Finding{
		At:      string(q.ID),
		Message: fmt.Sprintf("%s × 4 terminals fit %s, and %d stand there", numText(studs.Value), q.ID, n),
		Working: []string{fmt.Sprintf("%d > 4 × %s", n, numText(studs.Value))},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a bar of %s as %s", count(want, "stud", "studs"), q.ID), Edits: []components.Edit{set(q.ID, "studs", components.Num(want))}}},
	})
}

func crowded(p *rules.Pass, q components.Part, term components.Terminal, n int) {
	f := rules.Finding{
		At:      term.PortRef.String(),
		Message: fmt.Sprintf("%d terminals stand on one stud at %s; four are the most", n, term.PortRef),
		Working: []string{fmt.Sprintf("%d > %d: they loosen and heat", n, lugsPerStud)},
	}
	if q.Kind == &components.Chassis {
		f.At = string(q.ID)
		f.Fixes = secondStud(p.Doc, q)
	} else if fix, ok := barFor(p, q, term, n); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// secondStud moves all but the first four runs to a stud of their own.
func secondStud(doc *components.Document, q components.Part) []rules.Fix {
	stud := components.Part{ID: doc.FreeID("CH"), Kind: &components.Chassis, Name: q.Name, At: snap(clear(doc, q.At.Add(components.Point{X: 100})))}
	edits := []components.Edit{components.AddPart{Part: stud}}
	for i, r := range doc.RunsAt(q.Ref("stud")) {
		if i < lugsPerStud {
			continue
		}
		edits = append(edits, rerouteEnd(doc, r, q.Ref("stud"), stud.Ref("stud")))
	}
	return []rules.Fix{{Title: fmt.Sprintf("Land the fifth and further runs of %s on a stud of their own", q.ID), Edits: edits}}
}

// rerouteEnd moves one end of a run, its cores as they are.
func rerouteEnd(doc *components.Document, r components.Run, from, to components.PortRef) components.Edit {
	e := r.Rerouted()
	e.Path, e.Cores = nil, doc.CoresOf(r)
	if e.From == from {
		e.From = to
	} else {
		e.To = to
	}
	return e
}

// barFor puts a bus bar beside a stud, moves the runs to it, and joins the two by
// the thickest of them.
func barFor(p *rules.Pass, q components.Part, term components.Terminal, n int) (rules.Fix, bool) {
	amps := 0.0
	thick := components.Run{}
	var edits []components.Edit
	bar := components.Part{ID: p.Doc.FreeID("BUS"), Kind: &components.Busbar, Name: "Bus bar",
		At: snap(clear(p.Doc, q.At.Add(components.Point{X: 100, Y: -80})))}
	t, _ := p.Circuit.Term(term)
	d := p.Demand()
	for _, i := range p.Circuit.LinksAt(t) {
		l := p.Circuit.Links[i]
		r, ok := p.Doc.Run(l.Run)
		if !ok {
			continue
		}
		if len(p.Doc.CoresOf(r)) != 1 {
			return rules.Fix{}, false
		}
		amps += d.Amps[int(i)]
		size, known := r.Size(term.Pole)
		if best, _ := thick.Size(term.Pole); thick.ID == "" || known && best.Less(size) {
			thick = r
		}
		edits = append(edits, rerouteEnd(p.Doc, r, term.PortRef, bar.Ref("bar")))
	}
	if thick.ID == "" || !thick.Figure("length_ft").Known() {
		return rules.Fix{}, false
	}
	bar.Spec = components.Spec{"rating_a": components.Num(math.Max(250, by50(amps))), "studs": components.Num(float64(n) + 1), "pole": components.Str(string(term.Pole))}
	lead := components.Run{ID: p.Doc.FreeID("W"), From: term.PortRef, To: bar.Ref("bar"), Cores: []components.Core{{From: term.Pole, To: term.Pole}},
		Spec: thick.Spec.With("length_ft", components.Num(within7in/2))}
	edits = append([]components.Edit{components.AddPart{Part: bar}}, append(edits, components.AddRun{Run: lead})...)
	return rules.Fix{Title: fmt.Sprintf("Put a bus bar beside %s, and one cable to it", term.PortRef), Edits: edits}, true
}
