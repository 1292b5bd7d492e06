package checks

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// FarEnd asks that a short at the far end of a circuit opens its device.
var FarEnd = &rules.Rule{
	ID:    "fault.far-end-clears",
	Title: "A short at the far end may not open the device",
	Must: "The lowest prospective current at the far end of a circuit, conductors hot and one source alone, opens the device that protects it before the conductor is spoilt: 3.5 times the rating of a fuse, 5 times that of a breaker. " +
		"On the AC side it is a fault from hot to the circuit's own ground at loads, outlets, chargers, inputs of inverters and mains of panels, from hot to neutral where a ground-fault device stands ahead. " +
		"No time is worked out for a breaker, whose curve is not held: five times its rating stands for its quick trip. What only the breaker of a site or of a generator protects is left out.",
	Basis: []rules.Basis{
		{Source: "ICEA P-32-382", Says: "what a copper conductor bears, and for how long", Seen: rules.Published},
		{Source: "ISO 8820, UL 248 time points", Says: "opening times at 350 % of rating", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2023", Clause: "250.4(A)(5)", Says: "a path of low impedance lets the device operate from any point where a fault may occur; no time is given", Seen: rules.Published},
		{Source: "IEC 60364-4-41", Clause: "411.3.2, Table 41.1", Says: "in a 230 V caravan: 0.4 s in final circuits; the residual-current device does it (gfci.rcd-230v)", Seen: rules.Published},
		{Source: "five times the rating for a breaker's quick trip", Seen: rules.Practice},
	},
	Level: rules.Violation, OnePerPlace: true,
	Check: farEnd,
}

// The multiples of a rating: what opens quickly, and below what it may not open
// at all for long.
const (
	quickFuse    = 3.5
	quickBreaker = 5.0
	slow         = 2.0
)

// farEnd looks at every load, outlet and converter input: the device that is
// tightest on the way to it, and the lowest current of a short there.
func farEnd(p *rules.Pass) {
	// A lowest current worked out without an impedance would be too high, and silence false.
	if missing := words(p.AssumedRuns()); len(missing) > 0 {
		if p.First() {
			p.Unchecked(missing[0], fmt.Sprintf("the length or size of %s is not known, so no short at a far end can be worked out: measure along the cables", strings.Join(missing, ", ")), missing[1:]...)
		}
		return
	}
	feeds := p.Feeds()
	for i := range p.Circuit.Links {
		l := &p.Circuit.Links[i]
		if l.Run == "" || l.Core.From != l.Core.To && !l.Core.From.Hot() {
			continue
		}
		for _, f := range feeds[i] {
			if !f.HasDevice() || f.Unknown {
				continue
			}
			end := l.Other(f.Enters)
			term := p.Circuit.Terms[end]
			q, _ := p.Doc.Part(term.Part)
			ret, ok := returnOf(p, q, term)
			if !ok || p.Circuit.Terms[f.Source.Hot].Pole.Hot() && fromInverter(p, f) {
				continue // an inverter's own electronics end such a fault
			}
			low, ok := p.Faults().LowestFaultFrom(f.Source.Part, end, ret)
			if !ok {
				continue
			}
			tooLow(p, f, *l, term, low.Amps, low.Volts)
		}
	}
}

// returnOf is where a short flows to at the terminal where a circuit ends: at that of a
// load, or of a converter's DC side, and at the end of an AC feeder. On the AC side that
// is ground, or neutral where a ground-fault device would open on the least current in
// ground; the negative for DC.
func returnOf(p *rules.Pass, q components.Part, t components.Terminal) (circuit.Term, bool) {
	uses := q.Kind.Role == components.Uses
	switch {
	case t.Pole.Hot() && (uses || endsAC(q, t.Port)):
		if hot, ok := p.Circuit.Term(t); ok && protectedAhead(p, hot) {
			return p.Circuit.Term(t.PortRef.At(components.N))
		}
		return p.Circuit.Term(t.PortRef.At(components.G))
	case t.Pole == components.Pos && (uses || q.Kind.Role == components.Converts): // an inverter, a charger, a step-down
		return p.Circuit.Term(t.PortRef.At(components.Neg))
	}
	return 0, false
}

// endsAC tells whether an AC circuit or feeder ends at a port of a part.
func endsAC(q components.Part, port string) bool {
	switch q.Kind {
	case &components.Charger, &components.InverterCharger:
		return port == "ac-in"
	case &components.Panel:
		return port == "main"
	}
	return false
}

func fromInverter(p *rules.Pass, f circuit.Feed) bool {
	q, _ := p.Doc.Part(f.Source.Part)
	return q.Kind.Role == components.Converts
}

func tooLow(p *rules.Pass, f circuit.Feed, l circuit.Link, end components.Terminal, amps, volts float64) {
	part, _ := p.Doc.Part(f.Device.Part)
	quick := quickFuse
	if part.Kind == &components.Panel || part.Kind == &components.ACBreaker || part.Kind == &components.DCBreaker {
		quick = quickBreaker
	}
	multiple := amps / f.LimitA
	r, _ := p.Doc.Run(l.Run)
	size, sized := r.Size(l.Core.From)
	stands := bears(r, size, amps)
	opens, weak, opening := clearing(p, f, nil, amps)
	late := sized && !weak && opens > stands // the conductor is spoilt first
	if multiple >= quick && !late {
		return
	}
	level := rules.Advice
	if multiple < slow || late {
		level = rules.Violation
	}
	working := []string{
		fmt.Sprintf("lowest current at %s = %s A (%s V before it, conductors hot, one source)", end.PortRef, numText(amps), numText(volts)),
		fmt.Sprintf("%s A / %s A = %.1f times the rating; %.1f opens it quickly", numText(amps), numText(f.LimitA), multiple, quick),
	}
	if sized {
		working = append(working, fmt.Sprintf("%s (%s) bears that for %s s (%d to %d °C)", r.ID, size, numText(stands), warmC, spoiltC))
	}
	if !weak {
		working = append(working, opening())
	}
	find := rules.Finding{
		At: string(l.Run), Also: []string{f.Device.Address(), end.PortRef.String()}, Level: level,
		Message: fmt.Sprintf("A short at %s draws as little as %s A, %.1f times the rating of %s: it opens late", end.PortRef, numText(amps), multiple, f.Device),
		Working: working,
	}
	if late && !math.IsInf(opens, 1) {
		find.Message += fmt.Sprintf(", within %s s, and %s bears that for %s s", numText(opens), r.ID, numText(stands))
	}
	find.Fixes = sooner(p, f, r, l, amps, quick)
	p.Report(find)
}

// sooner are the ways to have a short at the far end cut off in time: a smaller rating,
// or, where the conductor is spoilt first, a thicker one.
func sooner(p *rules.Pass, f circuit.Feed, r components.Run, l circuit.Link, amps, quick float64) []rules.Fix {
	var fixes []rules.Fix
	part, _ := p.Doc.Part(f.Device.Part)
	size, sized := r.Size(l.Core.From)
	stands := bears(r, size, amps)
	for most := math.Min(amps/quick, 0.999*f.LimitA); most >= 1; most *= 0.9 {
		rating, ok := ratingAtMost(p.Doc, *f.Device, most)
		if !ok {
			break
		}
		if opens, last := tables.FuseClears(familyOf(part), rating, amps); sized && last >= promisedM && opens > stands {
			continue
		}
		if fix, ok := lowerRating(p.Doc, *f.Device, most); ok {
			fixes = append(fixes, fix)
		}
		break
	}
	opens, weak, _ := clearing(p, f, nil, amps)
	if !sized || weak || opens <= stands {
		return fixes
	}
	enough, _ := sizeFor(p, r, l.Core.From, f.LimitA) // so that the repair also suits the ampacity
	for _, s := range sizesLike(p.Doc, r, l.Core.From) {
		if size.Less(s) && !s.Less(enough) && bears(r, s, amps) >= opens {
			return append(fixes, replaceBy(p.Doc, r, s))
		}
	}
	return fixes
}
