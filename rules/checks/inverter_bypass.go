package checks

import (
	"context"
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// bypassRound are the ways to get round an inverter that is out of order: a switch
// that is drawn, where it can be drawn soundly, and one that is only noted, as the
// one that is built into a unit is.
func bypassRound(p *rules.Pass, inv components.Part) []rules.Fix {
	noted := func(why string) rules.Fix {
		return rules.Fix{
			Title: fmt.Sprintf("Fit a bypass switch at %s, which joins one source at a time, and note it here%s", inv.ID, why),
			Edits: []components.Edit{set(inv.ID, "way_round", components.Str("bypass-switch"))},
		}
	}
	drawn, why := drawnBypass(p, inv)
	if why != "" {
		return []rules.Fix{noted("; it is not drawn: " + why)}
	}
	return []rules.Fix{drawn, noted(", where it is built into the unit")}
}

// drawnBypass puts a hand-turned transfer switch behind an inverter/charger: at a it
// passes what the unit gives, at b what feeds the unit. Where it does not, it tells
// why.
func drawnBypass(p *rules.Pass, inv components.Part) (fix rules.Fix, why string) {
	if inv.Kind == &components.Inverter {
		return fix, "which circuit of the site's panel goes round it is for whoever fits it to choose"
	}
	in, out := inv.Ref("ac-in"), inv.Ref("ac-out")
	supply, okIn := onlyRun(p.Doc, in)
	feeder, okOut := onlyRun(p.Doc, out)
	poles, switches := polesAt(p.Doc, in), []string(nil)
	for _, pole := range poles {
		if pole.Hot() || pole == components.N {
			switches = append(switches, string(pole))
		}
	}
	site, shore := siteOf(p)
	ahead := 0.0
	if okIn {
		ahead = ratingAhead(p, supply)
	}
	rating, ok := tables.StandardAtLeast(ahead, false)
	switch {
	case inv.Is("in_step"):
		return fix, "one switch does not pass a pair of units"
	case !okIn || !okOut || !brings(p.Doc, supply, in, poles) || !brings(p.Doc, feeder, out, polesAt(p.Doc, out)):
		return fix, "its supply or its output is more than one run"
	case !slices.Equal(poles, polesAt(p.Doc, out)):
		return fix, "its output has other conductors than its input"
	case !shore:
		return fix, "no site is drawn"
	case handTurned(p.Doc):
		return fix, "another switch on the drawing is turned by hand, and which stands where together is for its owner to tell"
	case ahead == 0 || !ok:
		return fix, fmt.Sprintf("what protects %s is not known", supply.ID)
	}
	ts := components.Part{ID: p.Doc.FreeID("TS"), Kind: &components.TransferSwitch, Name: "Bypass of " + string(inv.ID), At: towards(p.Doc, out, feeder.Other(out)),
		Spec: components.Spec{"rating_a": components.Num(rating), "switches": components.Words(switches...), "manual": components.Yes(true)}}
	edits := behindBypass(p.Doc, ts, supply, feeder, in, out)
	edits = append(edits, clearTold(inv, "way_round")...)
	if states := p.Doc.States; len(states) > 0 {
		edits = append(edits, components.SetStates{States: append(states[:len(states):len(states)], components.State{Name: freeState(states, "Service bypass"), Shore: site, SoC: 0.5, Bypass: true})})
	}
	if why := upsets(p.Doc, edits, inv.ID); why != "" {
		return fix, why
	}
	return rules.Fix{Title: fmt.Sprintf("Fit a %s A bypass switch, turned by hand, as %s behind %s", numText(rating), ts.ID, inv.ID), Edits: edits}, ""
}

// behindBypass leads the feeder over the switch's a, and the supply to its b as well.
func behindBypass(doc *components.Document, ts components.Part, supply, feeder components.Run, in, out components.PortRef) []components.Edit {
	const beside = 2.0 // ft, from the unit to a switch beside it
	tail := from(feeder, out)
	head := tail
	tail.ID, head.To, head.Cores, head.Path = doc.FreeID("W"), ts.Ref("a"), nil, nil
	tail.From, tail.Path = ts.Ref("out"), nil
	round := from(supply, supply.Other(in))
	round.To, round.Path = ts.Ref("b"), nil
	if feeder.Figure("length_ft").Known() { // the rest stays as long as it was: its route is not known to get shorter
		head.Spec = feeder.Spec.With("length_ft", components.Num(beside))
	}
	edits := []components.Edit{components.RemoveRun{ID: feeder.ID}, components.AddPart{Part: ts}, components.AddRun{Run: head}, components.AddRun{Run: tail}}
	if next, err := doc.Apply(edits...); err == nil {
		round.ID = next.FreeID("W")
	}
	return append(edits, components.AddRun{Run: round})
}

// from is a run as drawn from one of its ends.
func from(r components.Run, end components.PortRef) components.Run {
	if r.From == end {
		return r
	}
	r.From, r.To = r.To, r.From
	if r.Cores != nil {
		cores := make([]components.Core, len(r.Cores))
		for i, c := range r.Cores {
			cores[i] = components.Core{From: c.To, To: c.From}
		}
		r.Cores = cores
	}
	return r
}

func onlyRun(doc *components.Document, at components.PortRef) (components.Run, bool) {
	runs := doc.RunsAt(at)
	if len(runs) != 1 || runs[0].Gone() {
		return components.Run{}, false
	}
	return runs[0], true
}

func handTurned(doc *components.Document) bool {
	return slices.ContainsFunc(doc.Parts(), func(q components.Part) bool {
		return q.Kind == &components.TransferSwitch && !q.Gone() && q.Is("manual")
	})
}

func polesAt(doc *components.Document, at components.PortRef) []components.Pole {
	_, port, _ := doc.Port(at)
	return port.Poles
}

// brings tells whether a run brings every pole to a port.
func brings(doc *components.Document, r components.Run, at components.PortRef, poles []components.Pole) bool {
	n := 0
	for _, c := range doc.CoresOf(r) {
		pole := c.From
		if r.To == at {
			pole = c.To
		}
		if slices.Contains(poles, pole) {
			n++
		}
	}
	return n == len(poles)
}

// ratingAhead is the largest rating that protects a run in any state; +Inf where one
// is not known or is no device at all.
func ratingAhead(p *rules.Pass, r components.Run) float64 {
	most := 0.0
	for _, q := range p.All() {
		for i := range q.Circuit.LinksOf(r.ID) {
			for _, f := range q.Feeds()[i] {
				if f.Unknown {
					return math.Inf(1)
				}
				most = math.Max(most, f.LimitA)
			}
		}
	}
	return most
}

// siteOf is the service of a site on the drawing.
func siteOf(p *rules.Pass) (string, bool) {
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Shore && !q.Gone() {
			return q.Word("service"), true
		}
	}
	return "", false
}

func freeState(states []components.State, name string) string {
	free := name
	for n := 2; ; n++ {
		if !slices.ContainsFunc(states, func(s components.State) bool { return s.Name == free }) {
			return free
		}
		free = fmt.Sprintf("%s %d", name, n)
	}
}

// upsets tries the edits, and tells what is then no better: something is lost without
// the inverter still, or a rule that a second way can break speaks where it was
// silent.
func upsets(doc *components.Document, edits []components.Edit, inv components.ID) string {
	next, err := doc.Apply(edits...)
	if err != nil {
		return err.Error()
	}
	laid := circuit.Lay(next)
	for _, s := range next.Operating() {
		if lost, _ := LostWithout(laid.In(s), inv); len(lost) > 0 {
			return fmt.Sprintf("its supply does not reach %s either", list(lost))
		}
	}
	book := []*rules.Rule{NeverParallel, OneBond, OwnNeutral, NoSourceLoop, DeadPins, TransferPoles, TransferRating, AmpacityCovers, SmallWireCap, AboveContinuous, DemandWithinMain}
	before, err := rules.Check(context.Background(), doc, book)
	if err != nil {
		return err.Error()
	}
	after, err := rules.Check(context.Background(), next, book)
	if err != nil {
		return err.Error()
	}
	stood := map[string]bool{}
	for _, f := range before.All() {
		stood[f.Rule.ID+" "+f.At] = true
	}
	for _, f := range after.All() {
		if f.Level > rules.Advice && !stood[f.Rule.ID+" "+f.At] {
			return fmt.Sprintf("in the state %s it is not enough that the switch stands at b: %s", f.States[0], f.Message)
		}
	}
	return ""
}
