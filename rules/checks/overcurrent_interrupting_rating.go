package checks

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
	"rigline/rules/tables"
)

// InterruptingRating holds every device to the largest fault current that it may
// have to break, at the voltage it stands at.
var InterruptingRating = &rules.Rule{
	ID:    "overcurrent.interrupting-rating",
	Title: "A fuse or breaker cannot break the fault current",
	Must:  "Every fuse and breaker, AC and DC, in a hot, a positive or a negative, can break the largest fault current at its place in every state, from hot to neutral or from leg to leg, at a voltage not below the highest of its circuit. A battery management switch is not counted. Alternators, chargers and controllers limit themselves and are left out of a bank's fault current.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.9, 110.10, 706.21(C)", Says: "interrupting rating not below the available current (706 binds above 60 V, quoted as engineering basis below)", Seen: rules.Published},
		{Source: "ABYC E-11", Clause: "11.10", Says: "lithium banks: the declared current or 20 kA at 125 V (a marine standard, not law in a vehicle)", Seen: rules.Published},
		{Source: "33 CFR 183", Clause: "183.455(d)", Says: "voltage rating not below the circuit's (a marine rule, not law in a vehicle)", Seen: rules.Published},
	},
	Level: rules.Danger, OnePerPlace: true,
	Check: interruptingRating,
}

func interruptingRating(p *rules.Pass) {
	for i, d := range p.Circuit.Devices() {
		l := p.Circuit.Links[i]
		if !l.Closed || !l.Join.APole.Hot() && !(l.Join.APole.DC() && p.First()) {
			continue
		}
		part, _ := p.Doc.Part(d.Part)
		if l.Join.APole.Hot() {
			breaksAC(p, i, l, d, part)
		} else {
			breaksDC(p, i, l, d, part)
		}
	}
}

// worstThrough is the largest current through a device for a short on either
// side of it, against the return of any source that feeds it. Where the whole
// fault current is within a rating, the device's share of it need not be found.
func worstThrough(p *rules.Pass, link int, l circuit.Link, enough float64) (solve.Prospective, bool) {
	worst, found := solve.Prospective{}, false
	for _, ret := range shortsTo(p, l) {
		for _, t := range []circuit.Term{l.A, l.B} {
			whole, ok := p.Faults().HighestFault(t, ret)
			if ok && whole.Amps <= enough || cutsOf(p).Alone(link, l.Other(t)) { // no source beyond pushes back
				found = found || ok
				continue
			}
			if ok && cutsOf(p).Alone(link, t) { // all of it comes this way
				found = true
				if whole.Amps > worst.Amps {
					worst = whole
				}
				continue
			}
			if f, ok := p.Faults().FaultThrough(link, t, ret); ok {
				found = true
				if f.Amps > worst.Amps {
					worst = f
				}
			}
		}
	}
	return worst, found
}

// shortsTo is what a short at a device may be against: the return of any source that
// feeds it, and the other legs.
func shortsTo(p *rules.Pass, l circuit.Link) []circuit.Term {
	to := otherLegs(p, l)
	for _, src := range feedersOf(p, l) {
		ret := src.Return
		if l.Join.APole == components.Neg {
			ret = src.Hot // a post that touches metal beyond it
		}
		if !slices.Contains(to, ret) {
			to = append(to, ret)
		}
	}
	return to
}

// otherLegs are the hots beside a device in its own box that stand 240 V or 208 V from
// its own: behind a cable a short between the legs draws more than one to the neutral,
// since only one of the two conductors is the neutral's.
func otherLegs(p *rules.Pass, l circuit.Link) []circuit.Term {
	if !l.Join.APole.Hot() {
		return nil
	}
	var legs []circuit.Term
	for _, port := range []string{l.Join.APort, l.Join.BPort} {
		for _, pole := range []components.Pole{components.L1, components.L2} {
			t, ok := p.Circuit.At(l.Part, port, pole)
			if !ok {
				continue
			}
			switch p.Circuit.PhaseOf(t, l.A) {
			case circuit.Opposite, circuit.Wye:
				legs = append(legs, t)
			}
		}
	}
	return legs
}

// feedersOf are the sources whose current a device carries: those of its conductor,
// or, in a negative, those that come back over it.
func feedersOf(p *rules.Pass, l circuit.Link) []circuit.Source {
	switch {
	case l.Join.APole != components.Neg && p.Circuit.Net(l.A) == p.Circuit.Net(l.B):
		return p.Circuit.Feeds(l.A)
	case l.Join.APole != components.Neg:
		return append(p.Circuit.Feeds(l.A), p.Circuit.Feeds(l.B)...)
	}
	var back []circuit.Source
	for _, src := range p.Circuit.Sources {
		if net := p.Circuit.Net(src.Return); net == p.Circuit.Net(l.A) || net == p.Circuit.Net(l.B) {
			back = append(back, src)
		}
	}
	return back
}

func breaksAC(p *rules.Pass, link int, l circuit.Link, d circuit.Device, part components.Part) {
	rating := part.Figure("interrupting_a")
	for _, src := range p.Circuit.Feeds(l.A) {
		if why, missing := p.Assumed(src.Part); missing && p.Circuit.Terms[src.Hot].Pole.Hot() {
			p.Unchecked(string(src.Part), fmt.Sprintf("%s: what a short behind it draws cannot be worked out", why))
			return
		}
	}
	f, ok := worstThrough(p, link, l, rating.Value)
	if !ok {
		return
	}
	if !rating.Known() {
		p.Unchecked(d.Address(), fmt.Sprintf("the interrupting rating of %s is not known: read the kA figure on its label", d))
		return
	}
	if f.Amps <= rating.Value {
		return
	}
	find := rules.Finding{
		At: d.Address(), Level: rules.Violation, RestsOn: assumedLengths(p),
		Message: fmt.Sprintf("%s can break %s A, but a short there draws %s A", d, numText(rating.Value), numText(math.Round(f.Amps))),
		Working: []string{fmt.Sprintf("%s V / %s Ω = %s A", numText(f.Volts), numText(f.Ohms), numText(f.Amps))},
	}
	if f.Amps <= 10000 {
		title := fmt.Sprintf("Fit breakers of 10 kA in %s", part.ID)
		if part.Kind == &components.Fuse {
			title = fmt.Sprintf("Fit a fuse that breaks 10 kA as %s", part.ID)
		}
		find.Fixes = []rules.Fix{{Title: title, Edits: []components.Edit{set(part.ID, "interrupting_a", components.Num(10000))}}}
	}
	p.Report(find)
}

// dcRating is what a DC device breaks at a voltage: the figures on it, or its
// family's.
func dcRating(part components.Part, volts float64) (amps float64, because string, known bool) {
	family, ok := tables.FuseFamily(part.Word("family"))
	if part.Kind == &components.DCPanel {
		family, ok = tables.FuseFamily("blade-atc")
	}
	told, toldV := part.Figure("interrupting_a"), part.Figure("volts_dc")
	switch {
	case toldV.Known() && toldV.Value < volts:
		return 0, fmt.Sprintf("rated %s V DC on a circuit of %s V", numText(toldV.Value), numText(volts)), true
	case told.Known() && toldV.Known():
		return told.Value, "as printed on it", true
	case told.Known() && ok && volts > family.VoltsDC:
		return 0, fmt.Sprintf("%s: %s V DC at most, circuit %s V", family.Name, numText(family.VoltsDC), numText(volts)), true
	case told.Known():
		return told.Value, "as told, its voltage rating taken from the family", true
	case ok && toldV.Known():
		return family.Interrupts(math.Min(toldV.Value, volts)), family.Name + ", family figure", true
	case ok:
		if volts > family.VoltsDC {
			return 0, fmt.Sprintf("%s: %s V DC at most, circuit %s V", family.Name, numText(family.VoltsDC), numText(volts)), true
		}
		return family.Interrupts(volts), family.Name + ", family figure", true
	}
	return 0, "", false
}

func breaksDC(p *rules.Pass, link int, l circuit.Link, d circuit.Device, part components.Part) {
	volts := highestVolts(p, l)
	enough, _, _ := dcRating(part, volts)
	least, formTold := weakestForm(part, volts)
	if !formTold {
		enough = math.Min(enough, least)
	}
	f, ok := worstThrough(p, link, l, enough)
	if missing := unknownBank(p, l); missing != "" {
		p.Unchecked(d.Address(), missing)
		return
	}
	if !ok {
		return
	}
	amps, because, known := dcRating(part, volts)
	if !known {
		p.Unchecked(d.Address(), fmt.Sprintf("neither family nor interrupting_a of %s is known: read it off the device", d))
		return
	}
	if f.Amps <= amps {
		if !formTold && f.Amps > least {
			p.Unchecked(d.Address(), fmt.Sprintf("the form and the interrupting rating of %s are not known, and not every form breaks the %s A that a short there draws at %s V: read the A or kA figure on its label", d, numText(math.Round(f.Amps)), numText(volts)))
		}
		return
	}
	if rated, _, told := ratedVolts(part); told && rated < volts {
		return // overcurrent.voltage-rating speaks of the voltage
	}
	working := []string{fmt.Sprintf("%s V / %s mΩ = %s A through %s, conductors at 20 °C, bank full, cell-level resistance", numText(f.Volts), numText(1000*f.Ohms), numText(f.Amps), d), because}
	if high, ok := behindLimiting(p, l, d, volts); ok {
		p.Report(rules.Finding{
			At: d.Address(), Also: []string{high}, Level: rules.Advice,
			Message: fmt.Sprintf("%s can break %s A and a short there draws %s A; only the current-limiting %s ahead of it stands between: ask the maker for a series rating, or lengthen the feed", d, numText(amps), numText(f.Amps), high),
			Working: working,
		})
		return
	}
	if open := bareOfCable(p, l, d); len(open) > 0 && amps >= withCable*f.Amps {
		p.Unchecked(d.Address(), fmt.Sprintf("the length or size of %s is not known, so whether %s breaks a short there is not: with no cable at all it draws %s A, and %s can break %s A. Measure along the cables", strings.Join(open, ", "), d, numText(math.Round(f.Amps)), d, numText(amps)), open...)
		return
	}
	find := rules.Finding{
		At:      d.Address(),
		RestsOn: assumedLengths(p),
		Message: fmt.Sprintf("%s can break %s A at %s V, but a short there draws %s A: it bursts or arcs on", d, numText(amps), numText(volts), numText(math.Round(f.Amps))),
		Working: working,
	}
	if part.Kind == &components.Fuse {
		if t, _ := tables.FuseFamily("class-t"); t.Interrupts(volts) >= f.Amps {
			if rating, ok := t.AtLeast(part.Figure("rating_a").Value); ok {
				find.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a %s A class T fuse as %s", numText(rating), d), Edits: classT(part, rating)}}
			}
		}
	}
	p.Report(find)
}

// withCable is the share of a bank's own short-circuit current that is left behind a
// few feet of its cables: 6 ft of 4/0 AWG, there and back, beside the half milliohm of
// four blocks (by Ohm's law; that no bank has less cable is common practice, no source).
const withCable = 2.0 / 3

// bareOfCable are the runs between the batteries that feed a device and itself, and at
// their negative posts, whose resistance is taken as none for want of a figure.
func bareOfCable(p *rules.Pass, l circuit.Link, d circuit.Device) []string {
	assumed := p.AssumedRuns()
	var open []string
	note := func(id components.ID) {
		if slices.Contains(assumed, id) && !slices.Contains(open, string(id)) {
			open = append(open, string(id))
		}
	}
	for _, src := range feedersOf(p, l) {
		bat, _ := p.Doc.Part(src.Part)
		post, ok := p.Circuit.At(bat.ID, "pos", components.Pos)
		if bat.Kind != &components.Battery || !ok {
			continue
		}
		for _, way := range leads(p, post) {
			if way.Device == nil || way.Device.Address() != d.Address() {
				continue
			}
			for _, id := range way.Runs {
				note(id)
			}
			for _, r := range p.Doc.RunsAt(bat.Ref("neg")) {
				note(r.ID)
			}
		}
	}
	return open
}

// weakestForm is the least that any form of DC breaker breaks at a voltage; told
// where the form or the figure of this one is.
func weakestForm(part components.Part, volts float64) (amps float64, told bool) {
	_, form := part.Value("family")
	if part.Kind != &components.DCBreaker || form == components.Given || part.Figure("interrupting_a").Known() {
		return 0, true
	}
	amps = math.Inf(1)
	field, _ := part.Kind.Field("family")
	for _, form := range field.Choices {
		if family, ok := tables.FuseFamily(form); ok {
			amps = math.Min(amps, family.Interrupts(volts))
		}
	}
	return amps, false
}

// behindLimiting names a current-limiting fuse that stands ahead of a device seen
// from every battery. It clears a bolted short within its first half cycle, so
// that the smaller device behind seldom has to; without a listed series rating
// that is practice, not proof.
func behindLimiting(p *rules.Pass, l circuit.Link, d circuit.Device, volts float64) (string, bool) {
	name := ""
	for _, src := range feedersOf(p, l) {
		if !src.Stores {
			continue
		}
		ahead := limitingAhead(p, src, d, volts)
		if ahead == "" {
			return "", false
		}
		name = ahead
	}
	return name, name != ""
}

// limitingAhead finds a class T or J fuse in every way from a source's terminal
// to a device, whose own rating covers the bank.
func limitingAhead(p *rules.Pass, src circuit.Source, d circuit.Device, volts float64) string {
	var found []string
	for _, lead := range leads(p, src.Hot) {
		if lead.Device == nil {
			continue
		}
		part, _ := p.Doc.Part(lead.Device.Part)
		family, ok := tables.FuseFamily(part.Word("family"))
		if lead.Device.At() == d.At() || !ok || !family.Limiting || family.Interrupts(volts) == 0 {
			return ""
		}
		found = append(found, lead.Device.Address())
	}
	if len(found) == 0 {
		return ""
	}
	return found[0]
}

// assumedLengths lists runs taken as having no length, which makes a fault
// current the highest it can be.
func assumedLengths(p *rules.Pass) []string {
	var rests []string
	for _, id := range p.AssumedRuns() {
		why, _ := p.Assumed(id)
		rests = append(rests, why+": taken as none, the highest current")
	}
	return rests
}

// highestVolts is the highest voltage that a DC link sees in service: the
// charging limit of the bank, or the source's own voltage.
func highestVolts(p *rules.Pass, l circuit.Link) float64 {
	if l.Join.APole == components.Neg {
		return chargedVolts(p, feedersOf(p, l))
	}
	return math.Max(netVolts(p, l.A), netVolts(p, l.B))
}

type netVoltsKey circuit.Term

// netVolts is the same for what a terminal is joined to.
func netVolts(p *rules.Pass, t circuit.Term) float64 {
	net := p.Circuit.Net(t)
	return circuit.WhileSet(p.Circuit, netVoltsKey(net), func() float64 { return chargedVolts(p, p.Circuit.Feeds(net)) })
}

// chargedVolts is the highest voltage of sources, batteries at their charging limit.
func chargedVolts(p *rules.Pass, sources []circuit.Source) float64 {
	v := 0.0
	for _, src := range sources {
		q, _ := p.Doc.Part(src.Part)
		if q.Kind == &components.Battery {
			if known, ok := voltsOf(p, q); ok {
				v = math.Max(v, known.Max)
				continue
			}
		}
		v = math.Max(v, src.Volts)
	}
	return v
}

// unknownBank names a bank whose fault current cannot be worked out.
func unknownBank(p *rules.Pass, l circuit.Link) string {
	for _, src := range feedersOf(p, l) {
		q, _ := p.Doc.Part(src.Part)
		if q.Kind != &components.Battery {
			continue
		}
		var missing []string
		for _, key := range []string{"chemistry", "nominal_v", "series", "parallel"} {
			if _, from := q.Value(key); from == components.Missing {
				missing = append(missing, key)
			}
		}
		if !q.Figure("capacity_ah").Known() && !q.Figure("fault_a").Known() && !q.Figure("internal_mohm").Known() {
			missing = append(missing, "capacity_ah")
		}
		if len(missing) > 0 {
			return fmt.Sprintf("%s of %s is not known, so its short-circuit current is not: read the battery's label", strings.Join(missing, ", "), q.ID)
		}
	}
	return ""
}

// postFault is the prospective current at a battery's own posts.
func postFault(p *rules.Pass, post circuit.Term) (float64, []string, bool) {
	neg, ok := p.Circuit.At(p.Circuit.Terms[post].Part, "neg", components.Neg)
	if !ok {
		return 0, nil, false
	}
	f, ok := p.Faults().HighestFault(post, neg)
	if !ok {
		return 0, nil, false
	}
	return f.Amps, []string{fmt.Sprintf("prospective current at the posts = %s V / %s mΩ = %s A", numText(f.Volts), numText(1000*f.Ohms), numText(math.Round(f.Amps)))}, true
}
