package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// WayRound asks how loads are fed while their inverter is out of order.
var WayRound = &rules.Rule{
	ID:    "inverter.way-round",
	Title: "Nothing feeds the loads while their inverter is out of order",
	Must:  "Loads that are fed through an inverter can be fed from the site or the generator without it: by a hand switch that joins one source at a time, or by a plug that moves. Where there is no such way, people join input to output as best they can.",
	Basis: []rules.Basis{
		{Source: "common practice, no source", Says: "a bypass, interlocked so that the inverter's output and the supply never meet", Seen: rules.Practice},
		{Source: "NFPA 70 (NEC) 2023", Clause: "702.5", Says: "a bypass is transfer equipment: it keeps two sources from feeding one conductor", Seen: rules.Memory},
	},
	Level: rules.Advice,
	Check: wayRound,
}

func wayRound(p *rules.Pass) {
	if !p.First() {
		return
	}
	for _, inv := range p.Doc.Parts() {
		if inv.Gone() || inv.Kind != &components.Inverter && inv.Kind != &components.InverterCharger {
			continue
		}
		told := inv.Word("way_round")
		if told == "bypass-switch" || told == "plug" {
			continue
		}
		lost, otherwise := LostWithout(p.Circuit, inv.ID)
		if !otherwise {
			continue // nothing else makes AC
		}
		if len(lost) == 0 {
			continue
		}
		if told == "" {
			p.Unchecked(string(inv.ID), fmt.Sprintf("how %s are fed while %s is out of order is not told: look for a bypass switch beside it, or for a plug that moves to a site outlet", list(lost), inv.ID))
			continue
		}
		f := rules.Finding{
			At:      string(inv.ID),
			Message: fmt.Sprintf("While %s is out of order nothing feeds %s", inv.ID, list(lost)),
			Working: []string{fmt.Sprintf("from the site and the generator, without %s, no conductor leads there", inv.ID)},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a bypass switch at %s, which joins one source at a time", inv.ID), Edits: []components.Edit{set(inv.ID, "way_round", components.Str("bypass-switch"))}}},
		}
		for _, id := range lost {
			f.Also = append(f.Also, string(id))
		}
		p.Report(f)
	}
}

// LostWithout are the loads and outlets that lack a hot conductor while an inverter is
// out of order, in whatever position switches and breakers stand: one that needs both
// legs is lost with one. The second result tells whether anything else on the drawing
// makes AC.
func LostWithout(c *circuit.Circuit, inv components.ID) (lost []components.ID, otherwise bool) {
	supplied := beyond(c, func(q components.Part) bool { return q.Kind == &components.Shore || q.Kind == &components.Generator }, "out", inv)
	behind := beyond(c, func(q components.Part) bool { return q.ID == inv }, "ac-out", inv)
	for _, q := range c.Doc.Parts() {
		if q.Kind != &components.ACLoad && q.Kind != &components.Receptacle {
			continue
		}
		for t := range behind {
			if c.Terms[t].Part == q.ID && !supplied[t] {
				lost = append(lost, q.ID)
				break
			}
		}
	}
	return lost, len(supplied) > 0
}

// beyond are the terminals that hot conductors lead to from a port of some parts, but
// not over one part.
func beyond(c *circuit.Circuit, from func(components.Part) bool, port string, not components.ID) map[circuit.Term]bool {
	var start []circuit.Term
	for _, q := range c.Doc.Parts() {
		if !from(q) {
			continue
		}
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			if t, ok := c.At(q.ID, port, pole); ok {
				start = append(start, t)
			}
		}
	}
	return c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return l.Part != not && l.Join.When != components.PluggedIn && c.Terms[o].Pole.Hot()
	}, start...).Reached()
}
