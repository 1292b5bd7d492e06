package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// ReceptacleFits holds outlets to the breaker of their circuit.
var ReceptacleFits = &rules.Rule{
	ID:    "receptacle.rating-fits-circuit",
	Title: "An outlet does not fit its circuit",
	Must:  "A single outlet is rated not below its circuit. Of several on one circuit, 15 A outlets stand on 15 or 20 A, 20 A on 20 A, 30 A on 30 A, 50 A on 40 or 50 A. One appliance beside them takes at most 80 % of the circuit, one that is fastened in place at most half.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.21(B), Table 210.21(B)(3)", Says: "outlet ratings by circuit rating", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.23(A)", Says: "80 % of the circuit for one appliance beside outlets, 50 % for those fastened in place", Seen: rules.Published},
	},
	Set:   components.USVehicle,
	Level: rules.Violation,
	Check: receptacleFits,
}

func receptacleFits(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Receptacle || q.Gone() {
			continue
		}
		hot, ok := p.Circuit.At(q.ID, "in", components.L)
		if !ok {
			continue
		}
		ahead, ok := loosestAhead(p, hot)
		if ok && ahead.Last.Part != "" && !ahead.Last.RatingA.Known() {
			p.Unchecked(ahead.Last.Address(), fmt.Sprintf("the rating of %s is not known, so whether %s fits its circuit is not: read it off the device", ahead.Last, q.ID), string(q.ID))
			continue
		}
		if !ok || ahead.Unknown || math.IsInf(ahead.LimitA, 1) {
			continue // no device at all: overcurrent.every-line-at-source speaks
		}
		ahead = ahead.Branch()
		outletFits(p, q, ahead)
		besideOutlet(p, q, hot, ahead)
	}
}

// loosestAhead is the loosest protection of a load's hot terminal in this state.
func loosestAhead(p *rules.Pass, hot circuit.Term) (circuit.Feed, bool) {
	var ahead circuit.Feed
	found := false
	for _, i := range p.Circuit.LinksAt(hot) {
		for _, f := range p.Feeds()[int(i)] {
			if !found || f.LimitA > ahead.LimitA {
				ahead, found = f, true
			}
		}
	}
	return ahead, found
}

// slack lets a source's own limit, such as an inverter's 16.7 A, pass for the
// standard rating next to it.
const slack = 1.15

func outletFits(p *rules.Pass, q components.Part, ahead circuit.Feed) {
	rating, circuitA := q.Figure("rating_a"), ahead.LimitA
	if !rating.Known() {
		p.Unchecked(string(q.ID), fmt.Sprintf("the rating of %s is not known: read it off the outlet's face", q.ID))
		return
	}
	most := rating.Value
	switch {
	case rating.Value == 15:
		most = 20 // two or more; a duplex outlet is two
	case !ahead.HasDevice():
		most = rating.Value * slack
	}
	outlets := q.Figure("outlets")
	single := outlets.Known() && outlets.Value == 1 && ahead.HasDevice() && !sharesCircuit(p, q, *ahead.Device)
	if single {
		most = rating.Value
	}
	f := rules.Finding{At: string(q.ID)}
	if ahead.HasDevice() {
		f.Also = []string{ahead.Device.Address()}
	}
	switch {
	case circuitA > most:
		f.Message = fmt.Sprintf("%s is a %s A outlet, but %s protects it: what is plugged in can burn the outlet before a breaker opens", q.ID, numText(rating.Value), ahead)
		f.Working = []string{fmt.Sprintf("a %s A outlet stands on at most %s A; %s A > %s A", numText(rating.Value), numText(most), numText(circuitA), numText(most))}
		if ahead.HasDevice() {
			if fix, ok := lowerRating(p.Doc, *ahead.Device, most); ok {
				f.Fixes = append(f.Fixes, fix)
			}
		}
		if circuitA == 20 || circuitA == 30 || circuitA == 50 {
			f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Fit a %s A outlet as %s", numText(circuitA), q.ID), Edits: []components.Edit{set(q.ID, "rating_a", components.Num(circuitA))}})
		}
		p.Report(f)
	case (ahead.HasDevice() || breaksItself(p, ahead)) && !single && tooLarge(rating.Value, circuitA):
		if !outlets.Known() {
			p.Unchecked(string(q.ID), fmt.Sprintf("%s is a %s A outlet on a circuit of %s A, which is right for a single outlet alone on it: tell outlets, how many there are (a duplex is two)", q.ID, numText(rating.Value), numText(circuitA)))
			return
		}
		f.Message = fmt.Sprintf("%s holds %s A outlets on a circuit of %s A: a plug for %s A fits, and its load opens the breaker", q.ID, numText(rating.Value), numText(circuitA), numText(rating.Value))
		f.Working = []string{fmt.Sprintf("several outlets on %s A are rated at most %s A; %s A > %s A", numText(circuitA), numText(circuitA), numText(rating.Value), numText(circuitA))}
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit %s A outlets as %s", numText(circuitA), q.ID), Edits: []components.Edit{set(q.ID, "rating_a", components.Num(circuitA))}}}
		p.Report(f)
	}
}

// breaksItself tells whether what protects a circuit is the breaker built into its inverter.
func breaksItself(p *rules.Pass, ahead circuit.Feed) bool {
	src, _ := p.Doc.Part(ahead.Source.Part)
	own := src.Figure("output_breaker_a")
	return !ahead.HasDevice() && own.Known() && own.Value == ahead.LimitA
}

// tooLarge tells whether several outlets of a rating may not stand on a circuit
// because they are larger than it (Table 210.21(B)(3); 50 A outlets stand on 40 A).
func tooLarge(outlet, circuitA float64) bool {
	return outlet > circuitA && !(outlet == 50 && circuitA >= 40)
}

// sharesCircuit tells whether another outlet hangs on the same device.
func sharesCircuit(p *rules.Pass, q components.Part, d circuit.Device) bool {
	for _, o := range p.Doc.Parts() {
		if o.Kind != &components.Receptacle || o.ID == q.ID || o.Gone() {
			continue
		}
		if t, ok := p.Circuit.At(o.ID, "in", components.L); ok {
			if f, ok := loosestAhead(p, t); ok && f.Device.At() == d.At() {
				return true
			}
		}
	}
	return false
}

// besideOutlet holds one appliance on an outlet's circuit to 80 % of it.
func besideOutlet(p *rules.Pass, q components.Part, hot circuit.Term, ahead circuit.Feed) {
	if !ahead.HasDevice() {
		return
	}
	behind := joined(p.Circuit, hot, func(l *circuit.Link) bool {
		return l.Part == "" || l.Join.When == components.Fixed && l.Part != ahead.Device.Part
	})
	for t := range behind {
		o, _ := p.Doc.Part(p.Circuit.Terms[t].Part)
		va := o.Figure("va")
		if o.Kind != &components.ACLoad || o.Gone() || !va.Known() || o.Figure("hots").Value == 2 {
			continue
		}
		amps := va.Value / 120
		if amps <= 0.8*ahead.LimitA {
			besideFastened(p, o, q, ahead, amps)
			continue
		}
		p.Report(rules.Finding{
			At: string(o.ID), Also: []string{string(q.ID)},
			Message: fmt.Sprintf("%s takes %s A beside the outlet %s on %s: one appliance there may take %s A", o.ID, numText(amps), q.ID, ahead, numText(0.8*ahead.LimitA)),
			Working: []string{fmt.Sprintf("%s VA ÷ 120 V = %s A > 80 %% × %s A = %s A", numText(va.Value), numText(amps), numText(ahead.LimitA), numText(0.8*ahead.LimitA))},
		})
	}
}

// besideFastened holds an appliance that is built in, beside outlets, to half of the
// circuit.
func besideFastened(p *rules.Pass, o, outlet components.Part, ahead circuit.Feed, amps float64) {
	v, from := o.Value("fastened")
	switch {
	case amps <= 0.5*ahead.LimitA:
	case from == components.Missing:
		p.Unchecked(string(o.ID), fmt.Sprintf("whether %s, which takes %s A beside the outlet %s on %s, is fastened in place is not told (fastened): built in it may take %s A, with a plug %s A", o.ID, numText(amps), outlet.ID, ahead, numText(0.5*ahead.LimitA), numText(0.8*ahead.LimitA)), string(outlet.ID))
	case v.Truth():
		p.Report(rules.Finding{
			At: string(o.ID), Also: []string{string(outlet.ID)},
			Message: fmt.Sprintf("%s is fastened in place and takes %s A beside the outlet %s on %s: built in it may take %s A", o.ID, numText(amps), outlet.ID, ahead, numText(0.5*ahead.LimitA)),
			Working: []string{fmt.Sprintf("%s A > 50 %% × %s A = %s A", numText(amps), numText(ahead.LimitA), numText(0.5*ahead.LimitA))},
		})
	}
}
