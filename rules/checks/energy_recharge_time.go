package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/energy"
)

// RechargeTime holds each source that is run for the purpose to the hours that a
// recharge may take.
var RechargeTime = &rules.Rule{
	ID:    "energy.recharge-time",
	Title: "Recharging takes longer than wanted",
	Must:  "Site supply, generator or engine fills the bank from its usable depth within the hours that its owner wants: t = Ah/(efficiency·I) plus the end of the charge, 0.5 h for lithium and 3 h for lead.",
	Basis: []rules.Basis{{Source: "charge time with a coulombic efficiency and a slow end of charge", Seen: rules.Practice}},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) { eachDay(p, func(c energy.Case, q components.Part) { rechargeTime(p, c) }) },
}

func rechargeTime(p *rules.Pass, c energy.Case) {
	want, at := wished(p, c, "recharge_h")
	if at == "" {
		return
	}
	var best energy.Source
	for _, s := range c.Sources {
		if s.Kind != energy.Sun && s.Kind != energy.OtherBank && s.Watts > best.Watts {
			best = s
		}
	}
	if best.Watts == 0 {
		return
	}
	out := c.Bank.AmpHours * c.Bank.Depth
	amps := math.Min(best.Watts/c.Bank.Volts, c.Bank.ChargeA)
	hours := c.Bank.RechargeHours(out, amps)
	if hours <= want.Value*1.001 {
		return
	}
	f := rules.Finding{
		At: string(at), RestsOn: p.Day().RestsOn,
		Message: fmt.Sprintf("%s fills the bank in %s h at %s A (%s); %s h are wanted", best.Name, numText(hours), numText(amps), best.Holds, numText(want.Value)),
		Working: []string{fmt.Sprintf("%s Ah / (%v × %s A) + %v h = %s h", numText(out), c.Bank.Coulombic, numText(amps), c.Bank.Tail(), numText(hours))},
	}
	if need := math.Ceil(out / (c.Bank.Coulombic * (want.Value - c.Bank.Tail()))); want.Value > c.Bank.Tail() && need <= c.Bank.ChargeA {
		for _, q := range p.Doc.Parts() {
			if (q.Kind == &components.InverterCharger || q.Kind == &components.Charger) && !q.Gone() && q.Figure("charge_a").Known() && chargesBank(p, q, at) {
				f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Fit %s A of charge current in %s", numText(need), q.ID), Edits: []components.Edit{setCharge(q.ID, need)}})
				break
			}
		}
	}
	p.Report(f)
}

// chargesBank tells whether a charger's output is the net of a battery.
func chargesBank(p *rules.Pass, q components.Part, bank components.ID) bool {
	a, okA := p.Circuit.At(q.ID, "dc", components.Pos)
	b, okB := p.Circuit.At(bank, "pos", components.Pos)
	return okA && okB && p.Circuit.Net(a) == p.Circuit.Net(b)
}
