package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// DCReturn finds a DC device whose negative does not come back.
var DCReturn = &rules.Rule{
	ID:    "conductor.dc-return",
	Title: "The negative of a DC device does not come back",
	Must:  "Where a positive brings current to a device, a negative leads back to the battery or source that gives it; every array and battery that shares a positive with others shares their negative. A device without one is dead, or finds a way over its case ground, a screen or a signal wire, none of them made for it; one that comes back over the frame alone sends its current through whatever joins the frame's parts. The vehicle's own battery and alternator may return over the frame, and so may loads behind 15 A or less that are not critical.",
	Basis: []rules.Basis{
		{Source: "Kirchhoff's laws", Says: "what goes out comes back", Seen: rules.Published},
		{Source: "46 CFR 111", Clause: "111.05-11(a)", Says: "a hull carries no current as a conductor, but for engine starting with one wire (a rule of ships, not law in a vehicle)", Seen: rules.Published},
		{Source: "lamps, steps and the like of a trailer come back over its frame; 15 A is this program's own limit", Seen: rules.Practice},
		{Source: "ABYC E-11", Clause: "11.5", Says: "two-wire DC systems: the return is a conductor (a marine standard, not law in a vehicle)", Seen: rules.Memory},
	},
	Level: rules.Violation,
	Check: dcReturn,
}

func dcReturn(p *rules.Pass) {
	over := p.Circuit.Nets(func(l *circuit.Link) bool { return l.Closed }) // bonds and frame too
	panels := map[circuit.Term]bool{}
	for _, first := range []bool{true, false} { // a panel before what hangs on it
		for _, q := range p.Doc.Parts() {
			if q.Gone() || first != (q.Kind == &components.DCPanel) {
				continue
			}
			for _, port := range returning(q) {
				pos, okP := p.Circuit.At(q.ID, port, components.Pos)
				neg, okN := p.Circuit.At(q.ID, port, components.Neg)
				if !okP || !okN || panels[p.Circuit.Net(neg)] {
					continue
				}
				back, src := comesBack(p, over, q.ID, pos, neg)
				if back == overConductors || back == overFrame && (q.Kind == &components.Alternator || lampOverFrame(p, q)) {
					continue
				}
				if first {
					panels[p.Circuit.Net(neg)] = true
				}
				noReturn(p, q, port, src, back)
			}
		}
	}
	givenBack(p, over)
}

// returning are the DC ports of a part at which current goes in and comes out.
func returning(q components.Part) []string {
	switch q.Kind {
	case &components.DCLoad:
		return []string{"in"}
	case &components.DCPanel:
		return []string{"feed"}
	case &components.Inverter, &components.InverterCharger, &components.Charger:
		return []string{"dc"}
	case &components.SolarController:
		return []string{"battery", "pv"}
	case &components.DCCharger, &components.DCConverter:
		return []string{"in", "out"}
	case &components.Alternator:
		return []string{"out"}
	}
	return nil
}

// wayBack is how a negative comes back.
type wayBack int

const (
	overConductors wayBack = iota
	overFrame
	nowhere
)

// comesBack tells how a negative leads to the return of a source of its positive, and
// names the source. Where no other part gives that positive anything there is nothing
// to come back.
func comesBack(p *rules.Pass, over []circuit.Term, own components.ID, pos, neg circuit.Term) (way wayBack, src circuit.Source) {
	way = overConductors
	for _, s := range p.Circuit.Feeds(pos) {
		q, _ := p.Doc.Part(s.Part)
		vehicle := q.Kind == &components.Alternator || q.Word("role") == "starting"
		switch {
		case s.Part == own:
			continue
		case p.Circuit.Net(s.Return) == p.Circuit.Net(neg), withinString(p, s, neg), over[s.Return] == over[neg] && vehicle:
			return overConductors, s
		case over[s.Return] == over[neg]:
			way, src = overFrame, s
		case way == overConductors:
			way, src = nowhere, s
		}
	}
	return way, src
}

// withinString tells whether a terminal is on the negative of a battery of a string,
// which carries what is joined to a part of it alone.
func withinString(p *rules.Pass, top circuit.Source, neg circuit.Term) bool {
	return slices.ContainsFunc(p.Circuit.InSeries(top.Part), func(id components.ID) bool {
		t, ok := p.Circuit.At(id, "neg", components.Neg)
		return ok && top.Stores && p.Circuit.Net(t) == p.Circuit.Net(neg)
	})
}

func noReturn(p *rules.Pass, q components.Part, port string, src circuit.Source, back wayBack) {
	f := rules.Finding{
		At: string(q.ID), Also: []string{string(src.Part)},
		Message: fmt.Sprintf("%s brings a positive to %s of %s, and no negative leads back from there: it is dead, or its current finds a way that is not made for it", src.Part, port, q.ID),
		Working: []string{fmt.Sprintf("negative conductors from %s to %s: 0", q.Ref(port), src.Part)},
	}
	if back == overFrame {
		f.Message = fmt.Sprintf("What %s takes at %s comes back to %s over the frame alone, through whatever joins the frame's parts", q.ID, port, src.Part)
	}
	if q.Kind == &components.Alternator {
		f.Message = fmt.Sprintf("%s gives into the positive of %s, and nothing brings it back: look for the strap from the engine to the negative or the frame, and draw it", q.ID, src.Part)
		if q.Status == components.Existing {
			f.Level = rules.Advice // the vehicle maker's own strap, most likely
		}
	}
	if q.Kind == &components.Inverter || q.Kind == &components.InverterCharger {
		f.Level = rules.Danger // hundreds of amperes over the case ground
	}
	if fix, ok := drawReturn(p, q, port, src); ok {
		for _, r := range p.Doc.RunsAt(q.Ref(port)) { // what led to the frame would be a second bond
			o, _ := p.Doc.Part(r.Other(q.Ref(port)).Part)
			cores := p.Doc.CoresOf(r)
			if back == overFrame && len(cores) == 1 && (o.Kind == &components.BondKind || o.Kind == &components.Chassis) {
				fix.Edits = append([]components.Edit{components.RemoveRun{ID: r.ID}}, fix.Edits...)
				fix.Title += ", in place of " + string(r.ID)
			}
		}
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// drawReturn runs the negative as thick and long as the positive, to the negative bar of
// the source where most appliances come back, or to its post.
func drawReturn(p *rules.Pass, q components.Part, port string, src circuit.Source) (rules.Fix, bool) {
	to, most := p.Circuit.Terms[src.Return].PortRef, -1
	for _, bar := range p.Doc.Parts() {
		t, ok := p.Circuit.At(bar.ID, "bar", components.Neg)
		if !ok || bar.Kind != &components.Busbar || bar.Gone() || p.Circuit.Net(t) != p.Circuit.Net(src.Return) {
			continue
		}
		n := 0
		for _, r := range p.Doc.RunsAt(bar.Ref("bar")) {
			if o, _ := p.Doc.Part(r.Other(bar.Ref("bar")).Part); len(returning(o)) > 0 {
				n++
			}
		}
		if n > most {
			to, most = bar.Ref("bar"), n
		}
	}
	for _, r := range p.Doc.RunsAt(q.Ref(port)) {
		if cores := p.Doc.CoresOf(r); len(cores) == 0 || !cores[0].From.DC() {
			continue
		}
		return negativeLike(p, r, q.Ref(port), to), true
	}
	return rules.Fix{}, false
}

// negativeLike runs a negative that is what a run of the positive is.
func negativeLike(p *rules.Pass, like components.Run, from, to components.PortRef) rules.Fix {
	run := components.Run{ID: p.Doc.FreeID("W"), From: from, To: to, Cores: []components.Core{{From: components.Neg, To: components.Neg}}, Spec: components.Spec{}}
	for _, key := range []string{"size", "cable", "length_ft", "sets"} {
		if v := like.Told(key); v.Told() {
			run.Spec[key] = v
		}
	}
	return rules.Fix{Title: fmt.Sprintf("Run a negative from %s to %s, as thick as %s", from, to, like.ID), Edits: []components.Edit{components.AddRun{Run: run}}}
}

// frameAmps is the device behind which a load may come back over the frame, A.
const frameAmps = 15

// lampOverFrame tells whether a part is one of the small loads that trailers have always
// brought back over the frame.
func lampOverFrame(p *rules.Pass, q components.Part) bool {
	if q.Kind != &components.DCLoad || q.Is("critical") {
		return false
	}
	feed, ok := bankFeed(p, q.ID, "in")
	return ok && feed.HasDevice() && !feed.Unknown && feed.LimitA <= frameAmps
}
