package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// InverterFault asks that an inverter trips the breakers behind it, or gives up by
// itself in time.
var InverterFault = &rules.Rule{
	ID:    "overcurrent.inverter-fault-level",
	Title: "The inverter is too weak to trip a breaker",
	Must: "While inverting, the inverter pushes five times a breaker's rating into a short, or shuts down within 5 s, or the breaker has ground-fault protection. The breaker built into the unit at its output counts where no other stands ahead of a load. " +
		"Told to hold a short for longer than 5 s that its breaker does not open, it is a violation: metal that the fault makes live stays so. A DC step-down is left out: its own limit protects the conductors behind it, and they are held to that. " +
		"Where its maker's figures are not told, the rule asks for them if the breaker is fed by an inverter in every state, so that nothing stronger ever opens it, or if the unit is told to hold a short for longer than 5 s. " +
		"Where a site or a generator feeds the same breaker in another state it does not ask: a fault that lasts meets a source there that opens the breaker, and what is left is a fault that comes while inverting.",
	Basis: []rules.Basis{
		{Source: "UL 458 (2015), rationale", Says: "low fault current of inverters", Seen: rules.Published},
		{Source: "IEC 60364-5-55", Clause: "551.5", Says: "protection works from every source", Seen: rules.Memory},
		{Source: "five times the rating for a breaker's quick trip, 5 s", Seen: rules.Practice},
	},
	Level: rules.Violation,
	Check: inverterFault,
}

const shutdownS = 5.0

func inverterFault(p *rules.Pass) {
	for _, inv := range p.Doc.Parts() {
		fault, shut := inv.Figure("fault_a"), inv.Figure("fault_s")
		if inv.Gone() || p.Circuit.Positions[inv.ID] != circuit.Inverting || shut.Known() && shut.Value <= shutdownS {
			continue
		}
		everywhere := fault.Known() || shut.Known()
		worst, ok := largestBehind(p, inv, func(use components.Terminal) bool { return everywhere || onlyInverters(p, use) })
		switch {
		case !ok:
		case !fault.Known():
			p.Unchecked(string(inv.ID), asksForFault(inv, worst), worst.Address)
		case fault.Value < quickBreaker*worst.RatingA:
			f := rules.Finding{
				At: string(inv.ID), Also: []string{worst.Address}, Level: rules.Advice,
				Message: fmt.Sprintf("%s pushes %s A into a short, %.1f times %s (%s A): the breaker may not open while it inverts", inv.ID, numText(fault.Value), fault.Value/worst.RatingA, worst.Name, numText(worst.RatingA)),
				Working: []string{fmt.Sprintf("%s A < 5 × %s A = %s A; shutdown within 5 s not told (fault_s)", numText(fault.Value), numText(worst.RatingA), numText(5*worst.RatingA))},
			}
			if shut.Known() {
				f.Level = rules.Violation
				f.Message += fmt.Sprintf(", and it holds a short for %s s", numText(shut.Value))
				f.Working = []string{fmt.Sprintf("%s A < 5 × %s A = %s A; %s s > 5 s", numText(fault.Value), numText(worst.RatingA), numText(5*worst.RatingA), numText(shut.Value))}
			}
			if fix, ok := groundFaultBreaker(p, worst.Device); ok {
				f.Fixes = append(f.Fixes, fix)
			}
			p.Report(f)
		}
	}
}

func asksForFault(inv components.Part, worst lastBreaker) string {
	why := fmt.Sprintf("no other source ever opens %s", worst.Name)
	if shut := inv.Figure("fault_s"); shut.Known() {
		why = fmt.Sprintf("it holds one for %s s, and %s has to open", numText(shut.Value), worst.Name)
	}
	return fmt.Sprintf("what %s pushes into a short is not known, and %s: look in its manual for the output short-circuit current (fault_a) and how soon it shuts down (fault_s)", inv.ID, why)
}

// lastBreaker is one that stands last ahead of a load: in the rig, or built into the
// inverter that feeds it.
type lastBreaker struct {
	Device        circuit.Device // of the rig; empty for one built in
	Name, Address string
	RatingA       float64
}

// largestBehind is the largest breaker without ground-fault protection that stands
// last ahead of a load or outlet which the inverter feeds in this state, of those that
// pass a test.
func largestBehind(p *rules.Pass, inv components.Part, counts func(use components.Terminal) bool) (worst lastBreaker, ok bool) {
	own := inv.Figure("output_breaker_a")
	for _, q := range p.Doc.Parts() {
		if q.Gone() || usesPort(q) == "" {
			continue
		}
		for _, pole := range poles(q) {
			use := components.Terminal{PortRef: q.Ref(usesPort(q)), Pole: pole}
			t, drawn := p.Circuit.Term(use)
			if !drawn {
				continue
			}
			f, fed := loosestAhead(p, t)
			if !fed || f.Source.Part != inv.ID {
				continue
			}
			last := lastBreaker{Name: "the breaker at its output", Address: string(q.ID), RatingA: own.Value}
			switch {
			case f.Last.Part != "" && f.Last.GFCI:
				continue
			case f.Last.Part != "":
				last = lastBreaker{*f.Last, f.Last.String(), f.Last.Address(), f.Last.RatingA.Value}
			}
			if last.RatingA > worst.RatingA && counts(use) {
				worst, ok = last, true
			}
		}
	}
	return worst, ok
}

// onlyInverters tells whether nothing but inverters feeds a terminal in any state.
func onlyInverters(p *rules.Pass, use components.Terminal) bool {
	for _, q := range p.All() {
		t, ok := q.Circuit.Term(use)
		if !ok {
			continue
		}
		for _, s := range q.Circuit.Feeds(t) {
			if q.Circuit.Positions[s.Part] != circuit.Inverting {
				return false
			}
		}
	}
	return true
}
