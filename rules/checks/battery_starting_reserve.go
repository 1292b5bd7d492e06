package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// StartingReserve keeps house loads off the battery that starts the engine.
var StartingReserve = &rules.Rule{
	ID:    "battery.starting-reserve",
	Title: "House loads hang on the battery that starts the engine",
	Must:  "Where a rig has a house bank, a relay, a switch or a DC-DC charger parts it from the battery that starts the engine, and its inverters and DC loads hang on that: with every switch and relay between the banks open none of them is left on a starting battery alone. What the vehicle had before (existing) and what stays on at rest is the vehicle's own.",
	Basis: []rules.Basis{
		{Source: "a starting battery is made for short currents; a night's loads leave it too empty to start", Seen: rules.Practice},
	},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) {
		if p.First() {
			startingReserve(p)
		}
	},
}

func startingReserve(p *rules.Pass) {
	c := p.Circuit
	posts := postsOf(p)
	if len(posts[true]) == 0 || len(posts[false]) == 0 {
		return
	}
	apart := c.Nets(func(l *circuit.Link) bool {
		q, _ := p.Doc.Part(l.Part)
		return l.Closed && !l.Bond && (q.Kind != &components.DCSwitch || !betweenBanks(c, *l, posts))
	})
	house := map[circuit.Term]bool{}
	for _, t := range posts[false] {
		house[apart[t]] = true
	}
	for _, start := range posts[true] {
		if house[apart[start]] {
			p.Report(rules.Finding{
				At:      string(c.Terms[start].Part),
				Message: fmt.Sprintf("Nothing parts %s, which starts the engine, from the house bank: a night's loads empty both. A relay, a switch or a DC-DC charger stands between", c.Terms[start].Part),
				Working: []string{fmt.Sprintf("switches between the banks: 0; %s and a house battery are on one net with them open", c.Terms[start].Part)},
			})
			continue
		}
		var loads []string
		for _, q := range p.Doc.Parts() {
			port := takesFromBankAt(q)
			if port == "" || q.Gone() || q.Status == components.Existing || q.Is("always_on") {
				continue
			}
			if t, ok := c.At(q.ID, port, components.Pos); ok && apart[t] == apart[start] {
				loads = append(loads, string(q.ID))
			}
		}
		if len(loads) == 0 {
			continue
		}
		p.Report(rules.Finding{
			At: string(c.Terms[start].Part), Also: loads, Fixes: toHouse(p, c.Terms[start].Part, loads),
			Message: fmt.Sprintf("On %s, which starts the engine, and not on the house bank, hangs %s: a night of that and it does not start", c.Terms[start].Part, strings.Join(loads, ", ")),
			Working: []string{fmt.Sprintf("batteries that %s reaches with the switches between the banks open: %s alone", strings.Join(loads, ", "), c.Terms[start].Part)},
		})
	}
}

// postsOf are the positive posts of the batteries, by whether they start the engine.
func postsOf(p *rules.Pass) map[bool][]circuit.Term {
	posts := map[bool][]circuit.Term{}
	for _, q := range p.Doc.Parts() {
		if t, ok := p.Circuit.At(q.ID, "pos", components.Pos); ok && q.Kind == &components.Battery && !q.Gone() {
			starts := q.Word("role") == "starting"
			posts[starts] = append(posts[starts], t)
		}
	}
	return posts
}

// takesFromBankAt is the DC port at which a part takes from a bank as it likes.
func takesFromBankAt(q components.Part) string {
	switch q.Kind {
	case &components.DCLoad, &components.DCConverter:
		return "in"
	case &components.Inverter, &components.InverterCharger:
		return "dc"
	}
	return ""
}

// betweenBanks tells whether a switch's link joins a starting battery to a house battery:
// with it open, each side reaches another sort.
func betweenBanks(c *circuit.Circuit, l circuit.Link, posts map[bool][]circuit.Term) bool {
	sides := [2][2]bool{}
	for i, t := range []circuit.Term{l.A, l.B} {
		met := c.Walk(func(o *circuit.Link, to circuit.Term) bool {
			return o.Closed && !o.Bond && o.Part != l.Part && c.Terms[to].Pole == components.Pos
		}, t).Reached()
		for j, starts := range []bool{true, false} {
			for _, post := range posts[starts] {
				sides[i][j] = sides[i][j] || met[post]
			}
		}
	}
	return sides[0][0] && sides[1][1] || sides[0][1] && sides[1][0]
}

// toHouse moves what leads from the posts of a starting battery to house loads alone to
// the bars of the house bank.
func toHouse(p *rules.Pass, start components.ID, loads []string) []rules.Fix {
	bars := map[components.Pole]components.PortRef{}
	for _, pole := range []components.Pole{components.Pos, components.Neg} {
		ref, ok := houseBar(p, pole)
		if !ok {
			return nil
		}
		bars[pole] = ref
	}
	battery, _ := p.Doc.Part(start)
	var edits []components.Edit
	var moved []string
	for port, pole := range map[string]components.Pole{"pos": components.Pos, "neg": components.Neg} {
		at := battery.Ref(port)
		for _, r := range p.Doc.RunsAt(at) {
			if r.Gone() || !leadsToLoads(p, r, at, pole, loads) {
				continue
			}
			edit := r.Rerouted()
			edit.Path, edit.Cores = nil, []components.Core{{From: pole, To: pole}}
			if edit.From == at {
				edit.From = bars[pole]
			} else {
				edit.To = bars[pole]
			}
			edits, moved = append(edits, edit), append(moved, string(r.ID))
		}
	}
	if len(edits) == 0 {
		return nil
	}
	slices.SortFunc(edits, func(a, b components.Edit) int {
		return components.CompareIDs(a.(components.Reroute).ID, b.(components.Reroute).ID)
	})
	slices.SortFunc(moved, func(a, b string) int { return components.CompareIDs(components.ID(a), components.ID(b)) })
	return []rules.Fix{{Title: fmt.Sprintf("Move %s to the bars of the house bank", strings.Join(moved, ", ")), Edits: edits}}
}

// houseBar is the bar of a pole on the house bank's side at which most runs end.
func houseBar(p *rules.Pass, pole components.Pole) (components.PortRef, bool) {
	best, most := components.PortRef{}, 0
	for _, q := range p.Doc.Parts() {
		t, ok := p.Circuit.At(q.ID, "bar", pole)
		if !ok || q.Kind != &components.Busbar || q.Gone() {
			continue
		}
		if pole == components.Pos {
			if house, _ := batteriesOf(p, t); house == "" {
				continue
			}
		}
		if n := len(p.Doc.RunsAt(q.Ref("bar"))); n > most {
			best, most = q.Ref("bar"), n
		}
	}
	return best, most > 0
}

// leadsToLoads tells whether a run leads from a battery's post to some loads and to no
// source.
func leadsToLoads(p *rules.Pass, r components.Run, at components.PortRef, pole components.Pole, loads []string) bool {
	cores := p.Doc.CoresOf(r)
	from, ok := p.Circuit.Term(r.Other(at).At(pole))
	if !ok || len(cores) != 1 || cores[0].From != pole || cores[0].To != pole {
		return false
	}
	c, found := p.Circuit, false
	for t := range c.Walk(func(l *circuit.Link, o circuit.Term) bool { return l.Run != r.ID && c.Terms[o].Pole == pole }, from).Nearest() {
		switch q, _ := p.Doc.Part(c.Terms[t].Part); {
		case slices.Contains(loads, string(q.ID)):
			found = true
		case len(givesAt(q)) > 0, q.Kind == &components.BondKind:
			return false
		}
	}
	return found
}
