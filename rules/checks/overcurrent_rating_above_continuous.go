package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// AboveContinuous asks that a device carries its continuous load with a margin.
var AboveContinuous = &rules.Rule{
	ID:    "overcurrent.rating-above-continuous",
	Title: "A fuse or breaker is too small for its continuous load",
	Must:  "A device carries what is not continuous plus 125 % of what runs for three hours or more, at the nominal voltage; on the DC side 125 % of the inverter's current at its lowest input voltage. On 230 V by IEC 60364 it carries all that runs.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.20(A), 215.3", Says: "125 % of the continuous load", Seen: rules.Published, Set: components.USVehicle},
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.19(A), 215.2(A)", Says: "the conductor too, by its figure before corrections (overcurrent.continuous-load): up to 50 A that follows from the breaker's size and conductor.ampacity-covers-overcurrent", Seen: rules.Published, Set: components.USVehicle},
		coordination,
		{Source: "NFPA 70 (NEC) 2017", Clause: "706.20(A)(3), 706.21(B), 690.9(B)", Says: "rated power at the lowest input voltage; 125 % (binding above 60 V, quoted as engineering basis below)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.8(A)(4)", Says: "an inverter's input at rated power and lowest voltage, P/(efficiency · V): cable, fuse, switch, shunt and bank are all sized for it (inverter-dc.current-at-low-voltage)", Seen: rules.Published},
		{Source: "an inverter's input swings at twice the line frequency: i = I·(1 − cos 2ωt) has an rms value of √1.5 = 1.22 times its mean at worst, which the 125 % covers (inverter-dc.ripple-rms)", Seen: rules.Practice},
	},
	Level: rules.Violation,
	Check: aboveContinuous,
}

func aboveContinuous(p *rules.Pass) {
	if p.First() {
		dcContinuous(p)
	}
	acContinuous(p)
}

func dcContinuous(p *rules.Pass) {
	demand := p.Demand()
	for i, d := range p.Circuit.Devices() {
		if l := &p.Circuit.Links[i]; !l.Closed || l.Join.APole != components.Pos {
			continue
		}
		amps := demand.Amps[i]
		if amps < 0.01 {
			continue
		}
		if !d.RatingA.Known() {
			p.Unchecked(d.Address(), fmt.Sprintf("the rating of %s is not known: read it off the device", d))
			continue
		}
		need := 1.25 * amps
		if d.RatingA.Value >= need*0.999 {
			continue
		}
		f := rules.Finding{
			At:      d.Address(),
			Message: fmt.Sprintf("%s carries up to %s A for hours; it should be %s A or more and is %s A", d, numText(amps), numText(math.Ceil(need)), numText(d.RatingA.Value)),
			Working: []string{fmt.Sprintf("125 %% × %s A = %s A > %s A (inverters at rated power and lowest input voltage, or all charge sources)", numText(amps), numText(need), numText(d.RatingA.Value))},
		}
		f.Fixes = largerDevice(p, d, need)
		p.Report(f)
	}
}

func acContinuous(p *rules.Pass) {
	if p.Solution().Failure != nil {
		return
	}
	for i, d := range p.Circuit.Devices() {
		if l := &p.Circuit.Links[i]; !l.Closed || !l.Join.APole.Hot() {
			continue
		}
		amps, ok := p.Solution().Amps(i)
		if !ok || amps < 0.01 {
			continue
		}
		if !d.RatingA.Known() {
			p.Unchecked(d.Address(), fmt.Sprintf("the rating of %s is not known: read it off the breaker", d))
			continue
		}
		solved := amps
		amps = atNominal(p, i, amps)
		continuous := math.Min(amps, continuousAmps(p, i))
		need := amps
		if !european(p.Doc) {
			need += 0.25 * continuous
		}
		if need <= d.RatingA.Value*1.001 {
			continue
		}
		if isMain(p, d) && overMain(d, solved) {
			continue // load.demand-within-main speaks
		}
		f := rules.Finding{
			At:      d.Address(),
			Message: fmt.Sprintf("%s is %s A, but %s A runs through it with everything on, %s A of it for hours", d, numText(d.RatingA.Value), numText(amps), numText(continuous)),
			Working: []string{fmt.Sprintf("%s A + 25 %% × %s A continuous = %s A > %s A", numText(amps), numText(continuous), numText(need), numText(d.RatingA.Value))},
		}
		if european(p.Doc) {
			f.Message = fmt.Sprintf("%s is %s A, but %s A runs through it with everything on", d, numText(d.RatingA.Value), numText(amps))
			f.Working = []string{fmt.Sprintf("I_B = %s A > I_n = %s A", numText(amps), numText(d.RatingA.Value))}
		}
		if larger := largerDevice(p, d, need); need <= fedWith(p, i)*1.001 { // else it would stand above its supply
			f.Fixes = larger
		}
		if amps > d.RatingA.Value || len(f.Fixes) == 0 { // not the margin alone is missing
			f.Fixes = append(f.Fixes, limitInputFix(p, d)...)
		}
		p.Report(f)
	}
}

// fedWith is the most that a source gives into a link, A.
func fedWith(p *rules.Pass, link int) float64 {
	most := 0.0
	for _, f := range p.Feeds()[link] {
		most = math.Max(most, f.Source.LimitA)
	}
	return most
}

// isMain tells whether a device feeds more than one circuit.
func isMain(p *rules.Pass, d circuit.Device) bool {
	if d.Place == "main" {
		return true
	}
	if d.Place != "" {
		return feedsPanel(p, d.Part, d.Place)
	}
	part, _ := p.Doc.Part(d.Part)
	for _, q := range part.PortNames() {
		if feedsPanel(p, d.Part, q) {
			return true
		}
	}
	return false
}

// feedsPanel tells whether a run from a port leads, perhaps over an inverter or a
// switch, to a panel rather than to one load.
func feedsPanel(p *rules.Pass, part components.ID, port string) bool {
	for _, r := range p.Doc.RunsAt(components.PortRef{Part: part, Port: port}) {
		o, _ := p.Doc.Part(r.Other(components.PortRef{Part: part, Port: port}).Part)
		switch o.Kind.Role {
		case components.Distributes, components.Converts, components.Switches:
			return true
		}
	}
	return false
}

// continuousAmps is the current of the continuous loads and chargers that hang on
// a link alone: those cut off from every source when it opens.
func continuousAmps(p *rules.Pass, link int) float64 {
	total := 0.0
	for q := range eatersBehind(p, link) {
		if q.Kind != &components.ACLoad || q.Is("continuous") {
			total += chargerOrLoadAmps(p, q)
		}
	}
	return total
}

// atNominal is the current of a link as loads are counted, at the nominal voltage (NEC
// 220.5): what a low voltage at their end adds to it is no fault of their number. It is
// found where all that hangs on the link hangs on it alone.
func atNominal(p *rules.Pass, link int, amps float64) float64 {
	const lowest = 0.9 // of the nominal voltage: less is not the wiring's doing, but a load that is not alone there
	nominal := 0.0
	for q := range eatersBehind(p, link) {
		amps := chargerOrLoadAmps(p, q)
		if amps > 0 && q.Kind == &components.ACLoad {
			amps = ratedAmps(p, q) // one that behaves as a resistance takes less on a low supply
		}
		nominal += amps
	}
	if nominal < lowest*amps {
		return amps
	}
	return math.Min(amps, nominal)
}

func chargerOrLoadAmps(p *rules.Pass, q components.Part) float64 {
	f := p.Solution().Flows[q.ID]
	va := math.Hypot(real(f.AC), imag(f.AC))
	if q.Kind == &components.ACLoad && q.Figure("hots").Value == 2 {
		return va / (2 * p.Doc.MainsVolts())
	}
	return va / p.Doc.MainsVolts()
}

// largerDevice fits the next standard device, where the conductors behind it
// allow it, and larger conductors with it where they do not.
func largerDevice(p *rules.Pass, d circuit.Device, need float64) []rules.Fix {
	part, _ := p.Doc.Part(d.Part)
	rating, ok := tables.StandardAtLeast(need, false)
	if european(p.Doc) && part.Kind != &components.Fuse && part.Kind != &components.DCPanel {
		rating, ok = iecBreakerAtLeast(need)
	}
	if family, found := tables.FuseFamily(part.Word("family")); found {
		rating, ok = family.AtLeast(need)
	}
	if !ok {
		return nil
	}
	fix, ok := lowerRating(p.Doc, d, rating*1.0001)
	if !ok {
		return nil
	}
	fix.Title = fmt.Sprintf("Fit %s A in %s", numText(rating), d)
	if d.Place == "" {
		fix.Edits = []components.Edit{set(d.Part, "rating_a", components.Num(rating))}
	}
	enlarged := map[components.ID]bool{}
	for i, l := range p.Circuit.Links {
		if l.Run == "" || enlarged[l.Run] || l.Core.From != components.Pos && !l.Core.From.Hot() {
			continue
		}
		for _, f := range p.Feeds()[i] {
			if f.Device.At() != d.At() || enlarged[l.Run] {
				continue
			}
			r, _ := p.Doc.Run(l.Run)
			a, err := runAmpacity(p, r, l.Core.From)
			capA, capped := 0.0, false
			if s, ok := r.Size(l.Core.From); ok && !l.Core.From.DC() {
				capA, capped = smallCap(p, r, s)
			}
			if err != nil || a.Usable >= rating && (!capped || capA >= rating) {
				continue
			}
			if size, ok := sizeFor(p, r, l.Core.From, rating); ok {
				enlarged[l.Run] = true
				fix.Edits = append(fix.Edits, set(r.ID, "size", components.Str(size.String())))
				fix.Title += fmt.Sprintf(", and %s as %s", size, r.ID)
			}
		}
	}
	return []rules.Fix{fix}
}

// heldFor is what a device passes for hours, in whole amperes: 80 % of its rating,
// and all of it under IEC 60364.
func heldFor(doc *components.Document, rating float64) float64 {
	if european(doc) {
		return math.Floor(rating)
	}
	return math.Floor(0.8 * rating)
}

// limitInputFix lowers the input limit of an inverter/charger behind a device.
func limitInputFix(p *rules.Pass, d circuit.Device) []rules.Fix {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.InverterCharger || q.Gone() {
			continue
		}
		want := heldFor(p.Doc, d.RatingA.Value)
		if limit := q.Figure("input_limit_a"); !limit.Known() || limit.Value > want {
			return []rules.Fix{{Title: fmt.Sprintf("Set the input limit of %s to %s A", q.ID, numText(want)), Edits: []components.Edit{set(q.ID, "input_limit_a", components.Num(want))}}}
		}
	}
	return nil
}
