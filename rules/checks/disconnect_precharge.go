package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// Precharge asks that a large inverter's capacitors are filled slowly.
var Precharge = &rules.Rule{
	ID:    "disconnect.precharge",
	Title: "Closing the switch onto the inverter is not limited",
	Must:  "Where a switch or a battery's own switch closes onto an inverter of 1.5 kVA or more, a resistor fills its capacitors first, or the inverter limits its inrush itself.",
	Basis: []rules.Basis{
		{Source: "charging of a capacitor, I = V/R", Says: "the first moment sees only the loop; over 1 kA in public pages", Seen: rules.Published},
		{Source: "from 1.5 kVA on; a resistor for about 1 to 2 A", Seen: rules.Practice},
	},
	Level: rules.Advice, Stateless: true,
	Check: precharge,
}

// prechargeFromVA is the inverter from which the rule speaks.
const prechargeFromVA = 1500

func precharge(p *rules.Pass) {
	if !p.First() {
		return
	}
	for _, inv := range p.Doc.Parts() {
		if inv.Kind != &components.Inverter && inv.Kind != &components.InverterCharger || inv.Gone() || inv.Figure("continuous_va").Value < prechargeFromVA || inv.Is("soft_connect") {
			continue
		}
		pos, okP := p.Circuit.At(inv.ID, "dc", components.Pos)
		neg, okN := p.Circuit.At(inv.ID, "dc", components.Neg)
		if !okP || !okN {
			continue
		}
		peak, ok := p.Faults().HighestFault(pos, neg)
		if !ok {
			continue
		}
		inrush(p, inv, pos, peak.Amps, peak.Volts, peak.Ohms)
	}
}

func inrush(p *rules.Pass, inv components.Part, pos circuit.Term, amps, volts, ohms float64) {
	switches := switchesBefore(p, pos)
	for _, sw := range switches {
		if sw.Figure("precharge_ohm").Known() {
			return
		}
	}
	for _, sw := range switches {
		if askMarked(p, sw, "precharge_ohm", fmt.Sprintf("whether the capacitors of %s are charged before it closes is not: look for a resistor and a button across it", inv.ID)) {
			return
		}
	}
	f := rules.Finding{
		At: string(inv.ID), RestsOn: assumedLengths(p),
		Message: fmt.Sprintf("Connecting %s draws up to %s A into its empty capacitors: contacts pit, and a battery's protection may latch off", inv.ID, numText(math.Round(amps/100)*100)),
		Working: []string{fmt.Sprintf("%s V / %s mΩ of bank and cable = %s A in the first moment, less what its own inductance takes off", numText(volts), numText(1000*ohms), numText(math.Round(amps)))},
	}
	if len(switches) > 0 {
		sw, resistor := switches[0], 10.0
		if volts > 30 {
			resistor = 25
		}
		f.Also = []string{string(sw.ID)}
		f.Working = append(f.Working, fmt.Sprintf("over %s Ω: %s V / %s Ω = %s A, %s W in the first moment; close the switch after three time constants", numText(resistor), numText(volts), numText(resistor), numText(volts/resistor), numText(math.Round(volts*volts/resistor))))
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a pre-charge resistor of %s Ω with a button across %s, and note the order on the drawing", numText(resistor), sw.ID), Edits: []components.Edit{set(sw.ID, "precharge_ohm", components.Num(resistor))}}}
	}
	p.Report(f)
}

// switchesBefore are the DC switches that each cut a terminal off from every
// battery.
func switchesBefore(p *rules.Pass, t circuit.Term) []components.Part {
	c := p.Circuit
	var found []components.Part
	for i := range c.Links {
		out := &c.Links[i]
		if c.Net(out.A) != c.Net(t) || out.Join.When != components.Closable || out.Join.APole != components.Pos {
			continue
		}
		sw, _ := p.Doc.Part(out.Part)
		if sw.Kind != &components.DCSwitch {
			continue
		}
		nets := c.Nets(func(l *circuit.Link) bool { return l.Closed && !l.Bond && l != out })
		fed := false
		for _, s := range c.Sources {
			fed = fed || s.Stores && nets[s.Hot] == nets[t]
		}
		if !fed {
			found = append(found, sw)
		}
	}
	return found
}
