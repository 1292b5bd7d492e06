package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// WayRound asks how loads are fed while their inverter is out of order.
var WayRound = &rules.Rule{
	ID:    "inverter.way-round",
	Title: "Nothing feeds the loads while their inverter is out of order",
	Must: "Loads that are fed through an inverter can be fed from the site or the generator without it: by a hand switch that joins one source at a time, or by a plug that moves. Where there is no such way, people join input to output as best they can. " +
		"Hots and neutral both have to come another way: a neutral that comes back through the unit alone is open as soon as it is taken out. " +
		"The repair draws the switch, with its runs, where one supply run enters an inverter/charger and one run leaves it, both with the same conductors, a site feeds it through a device of a known rating, no other switch is turned by hand, and the switched rig then feeds everything it lost. " +
		"Elsewhere it only notes that a switch is fitted: a plain inverter has no supply of its own to go round with, and which circuit gives it one is for whoever fits it to choose; a pair of units, or one that makes two legs out of one, is not passed by one switch.",
	Basis: []rules.Basis{
		{Source: "common practice, no source", Says: "a bypass, interlocked so that the inverter's output and the supply never meet", Seen: rules.Practice},
		{Source: "NFPA 70 (NEC) 2023", Clause: "702.5", Says: "a bypass is transfer equipment: it keeps two sources from feeding one conductor", Seen: rules.Memory},
	},
	Level: rules.Advice, Stateless: true,
	Check: wayRound,
}

func wayRound(p *rules.Pass) {
	for _, inv := range p.Doc.Parts() {
		if inv.Gone() || inv.Kind != &components.Inverter && inv.Kind != &components.InverterCharger {
			continue
		}
		told := inv.Word("way_round")
		if told == "bypass-switch" || told == "plug" {
			continue
		}
		without, otherwise := lossWithout(p.Circuit, inv.ID)
		if !otherwise {
			continue // nothing else makes AC
		}
		if all := without.all(); told == "" && len(without.dark) > 0 {
			p.Unchecked(string(inv.ID), fmt.Sprintf("how %s %s fed while %s is out of order is not told: look for a bypass switch beside it, or for a plug that moves to a site outlet", list(all), isOrAre(len(all)), inv.ID))
			continue
		}
		f := rules.Finding{
			At:      string(inv.ID),
			Message: fmt.Sprintf("While %s is out of order nothing feeds %s", inv.ID, list(without.dark)),
			Working: []string{fmt.Sprintf("from the site and the generator, without %s, no conductor leads there", inv.ID)},
			Fixes:   bypassRound(p, inv),
		}
		switch {
		case len(without.all()) == 0:
			continue
		case len(without.dark) == 0:
			f.Message = fmt.Sprintf("The way round %s brings %s the hots alone: the neutral comes back through %s, and is open as soon as the unit is taken out", inv.ID, list(without.open), inv.ID)
			f.Working = []string{fmt.Sprintf("from the site and the generator, without %s, no neutral leads there", inv.ID)}
			f.Fixes = nil
		case len(without.open) > 0:
			f.Message += fmt.Sprintf(", and the neutral of %s comes back through it alone", list(without.open))
		}
		for _, id := range without.all() {
			f.Also = append(f.Also, string(id))
		}
		p.Report(f)
	}
}

// loss is what lacks a conductor while an inverter is out of order: a hot, or the
// neutral alone.
type loss struct{ dark, open []components.ID }

func (l loss) all() []components.ID {
	return sortedIDs(append(append([]components.ID{}, l.dark...), l.open...))
}

// LostWithout are the loads and outlets that lack a hot conductor or their neutral
// while an inverter is out of order, in whatever position switches and breakers
// stand: one that needs both legs is lost with one. The second result tells whether
// anything else on the drawing makes AC.
func LostWithout(c *circuit.Circuit, inv components.ID) (lost []components.ID, otherwise bool) {
	without, otherwise := lossWithout(c, inv)
	return without.all(), otherwise
}

func lossWithout(c *circuit.Circuit, inv components.ID) (without loss, otherwise bool) {
	supplies := func(q components.Part) bool {
		return q.Kind == &components.Shore || q.Kind == &components.Generator
	}
	itself := func(q components.Part) bool { return q.ID == inv }
	hots := []components.Pole{components.L, components.L1, components.L2}
	neutral := []components.Pole{components.N}
	supplied, back := beyond(c, supplies, "out", hots, inv), beyond(c, supplies, "out", neutral, inv)
	behind, returns := beyond(c, itself, "ac-out", hots, inv), beyond(c, itself, "ac-out", neutral, inv)
	for _, q := range c.Doc.Parts() {
		if q.Kind != &components.ACLoad && q.Kind != &components.Receptacle {
			continue
		}
		dark, open := false, false
		for _, pole := range append(hots, components.N) {
			t, ok := c.At(q.ID, "in", pole)
			dark = dark || ok && behind[t] && !supplied[t]
			open = open || ok && returns[t] && !back[t]
		}
		switch {
		case dark:
			without.dark = append(without.dark, q.ID)
		case open:
			without.open = append(without.open, q.ID)
		}
	}
	return without, len(supplied) > 0
}

// beyond are the terminals that conductors of some poles lead to from a port of some
// parts, but not over one part.
func beyond(c *circuit.Circuit, from func(components.Part) bool, port string, of []components.Pole, not components.ID) map[circuit.Term]bool {
	var start []circuit.Term
	for _, q := range c.Doc.Parts() {
		if !from(q) {
			continue
		}
		for _, pole := range of {
			if t, ok := c.At(q.ID, port, pole); ok {
				start = append(start, t)
			}
		}
	}
	return c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return l.Part != not && !l.Join.When.Plug() && slices.Contains(of, c.Terms[o].Pole)
	}, start...).Reached()
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
