package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// ChargerLoop finds a charger that an inverter feeds from the bank that it charges.
var ChargerLoop = &rules.Rule{
	ID:    "inverter.charger-not-on-own-output",
	Title: "The inverter feeds the charger of its own bank",
	Must:  "While an inverter makes AC, it feeds no charger or converter of its own bank and no element that is meant for outside power.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.3(B)", Says: "used as its maker says", Seen: rules.Memory},
		{Source: "conservation of energy", Says: "the bank gives more than it gets back: it empties", Seen: rules.Practice},
	},
	Level: rules.Violation,
	Check: chargerLoop,
}

func chargerLoop(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		port := "in"
		switch {
		case q.Gone() || slices.Contains(p.State.Off, q.ID):
			continue
		case q.Kind == &components.Charger:
			port = "ac-in"
		case q.Kind != &components.ACLoad || !q.Is("shore_only"):
			continue
		}
		inv, ok := invertingSource(p, q, port)
		if !ok {
			continue
		}
		f := rules.Finding{At: string(q.ID), Also: []string{string(inv.ID)}}
		if q.Kind == &components.ACLoad {
			f.Message = fmt.Sprintf("%s is meant for outside power, but %s feeds it from the bank", q.ID, inv.ID)
			f.Working = []string{fmt.Sprintf("%s draws %s VA from %s", q.ID, numText(q.Figure("va").Value), inv.ID)}
		} else if !sameBank(p, q, inv) {
			continue
		} else {
			f.Message = fmt.Sprintf("%s feeds %s, which charges the bank that %s draws from: the bank empties into heat", inv.ID, q.ID, inv.ID)
			f.Working = loopWorking(q, inv)
		}
		f.Fixes = offInverter(p, q, port, inv)
		p.Report(f)
	}
}

// invertingSource is the inverter that feeds a part from the bank in this state.
func invertingSource(p *rules.Pass, q components.Part, port string) (components.Part, bool) {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		t, ok := p.Circuit.At(q.ID, port, pole)
		if !ok {
			continue
		}
		for _, s := range p.Circuit.Feeds(t) {
			if p.Circuit.Positions[s.Part] == circuit.Inverting {
				return p.Doc.Part(s.Part)
			}
		}
	}
	return components.Part{}, false
}

// sameBank tells whether two converters hang on one DC positive.
func sameBank(p *rules.Pass, a, b components.Part) bool {
	x, okX := p.Circuit.At(a.ID, "dc", components.Pos)
	y, okY := p.Circuit.At(b.ID, "dc", components.Pos)
	return okX && okY && p.Circuit.Net(x) == p.Circuit.Net(y)
}

func loopWorking(q, inv components.Part) []string {
	amps, v, eff := q.Figure("charge_a"), q.Figure("dc_v"), q.Figure("efficiency")
	invEff := inv.Figure("efficiency")
	if !amps.Known() || !v.Known() || !eff.Known() || !invEff.Known() {
		return []string{fmt.Sprintf("the charge current of %s is not known; any of it is lost twice", q.ID)}
	}
	out := amps.Value * v.Value
	ac := out / eff.Value
	return []string{
		fmt.Sprintf("%s gives %s A × %s V = %s W and draws %s W ÷ %s = %s W of AC", q.ID, numText(amps.Value), numText(v.Value), numText(out), numText(out), numText(eff.Value), numText(ac)),
		fmt.Sprintf("%s takes %s W ÷ %s = %s W from the bank for the %s W that come back", inv.ID, numText(ac), numText(invEff.Value), numText(ac/invEff.Value), numText(out)),
	}
}

// offInverter takes a load or charger off the inverter's output: to a panel that
// the inverter does not feed, or, where the inverter charges the bank itself, out.
func offInverter(p *rules.Pass, q components.Part, port string, inv components.Part) []rules.Fix {
	var fixes []rules.Fix
	if fix, ok := toOtherPanel(p, q, port, inv); ok {
		fixes = append(fixes, fix)
	}
	if q.Kind == &components.Charger && inv.Kind == &components.InverterCharger {
		edit := q.Described()
		edit.Status = components.Remove
		edits := []components.Edit{edit}
		for _, r := range p.Doc.RunsOf(q.ID) {
			gone := r.Rerouted()
			gone.Status = components.Remove
			edits = append(edits, gone)
		}
		fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Take %s out: %s charges the bank", q.ID, inv.ID), Edits: edits})
	}
	return fixes
}

// toOtherPanel moves the one run that feeds a part to a new circuit of a panel
// that is dead while the inverter makes AC, behind a breaker like its old one.
func toOtherPanel(p *rules.Pass, q components.Part, port string, inv components.Part) (rules.Fix, bool) {
	runs := p.Doc.RunsAt(q.Ref(port))
	if len(runs) != 1 {
		return rules.Fix{}, false
	}
	run := runs[0]
	old, _ := p.Doc.Part(run.Other(q.Ref(port)).Part)
	breaker := 15.0
	for i, l := range p.Circuit.LinksOf(run.ID) {
		if l.Core.From.Hot() {
			for _, f := range p.Feeds()[i] {
				if f.HasDevice() && !f.Unknown && !math.IsInf(f.LimitA, 1) {
					breaker = f.LimitA
				}
			}
		}
	}
	if q.Figure("hots").Value == 2 {
		return rules.Fix{}, false
	}
	for _, panel := range p.Doc.Parts() {
		if panel.Kind != &components.Panel || panel.Gone() || panel.ID == old.ID || fedBy(p, panel, inv) || len(p.Doc.RunsAt(panel.Ref("main"))) == 0 {
			continue
		}
		rows := slices.Clone(panel.Rows("circuits"))
		row := components.Spec{"breaker_a": components.Num(breaker), "label": components.Str(label(q))}
		if panel.Figure("legs").Value == 2 {
			row["leg"] = components.Str(lighterLeg(rows))
		}
		move := run.Rerouted()
		to := panel.Ref(fmt.Sprintf("c%d", len(rows)+1))
		if move.From == q.Ref(port) {
			move.To = to
		} else {
			move.From = to
		}
		move.Path, move.Cores = nil, nil
		return rules.Fix{
			Title: fmt.Sprintf("Move %s to a new circuit of %s", q.ID, panel.ID),
			Edits: []components.Edit{set(panel.ID, "circuits", components.Table(append(rows, row)...)), move},
		}, true
	}
	return rules.Fix{}, false
}

// fedBy tells whether a panel is alive from an inverter in this state.
func fedBy(p *rules.Pass, panel, inv components.Part) bool {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		if t, ok := p.Circuit.At(panel.ID, "main", pole); ok {
			for _, s := range p.Circuit.Feeds(t) {
				if s.Part == inv.ID {
					return true
				}
			}
		}
	}
	return false
}

// lighterLeg is the leg with the smaller sum of breakers.
func lighterLeg(rows []components.Spec) string {
	sum := map[string]float64{}
	for _, r := range rows {
		sum[r["leg"].Str()] += r["breaker_a"].Num()
	}
	if sum["L2"] < sum["L1"] {
		return "L2"
	}
	return "L1"
}

// label is what a panel's directory calls a part.
func label(q components.Part) string {
	if q.Name != "" {
		return q.Name
	}
	return string(q.ID)
}
