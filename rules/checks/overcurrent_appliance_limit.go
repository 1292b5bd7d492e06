package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// ApplianceLimit holds a branch breaker to the appliance that it feeds.
var ApplianceLimit = &rules.Rule{
	ID:    "overcurrent.appliance-limit",
	Title: "A breaker is larger than its appliance allows",
	Must:  "A branch breaker is not above the maximum marked on the appliance; one that feeds a single appliance of 13.3 A or more is not above 150 % of it where nothing is marked.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.43(A)", Says: "150 % of a single appliance of 13.3 A or more; the rating marked on an air conditioner or motor appliance (seen in the parallel 550.11(B))", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "440.22(A)", Says: "175 % of a compressor's current, as the most that a plate is likely to forbid less than", Seen: rules.Memory},
	},
	Level: rules.Violation, Stateless: true,
	Set:   components.USVehicle,
	Check: applianceLimit,
}

const (
	singleFromA   = 13.3
	singleTimes   = 1.5
	compressorTop = 1.75

	smallestBreaker = 15 // A, of the standard ratings (240.6(A)): no plate asks for less of a branch
)

func applianceLimit(p *rules.Pass) {
	for _, b := range branchCircuits(p) {
		if !b.device.RatingA.Known() {
			continue // overcurrent.rating-above-continuous asks
		}
		for _, q := range b.feeds {
			if q.Kind == &components.ACLoad {
				holdAppliance(p, b, q)
			}
		}
	}
}

func holdAppliance(p *rules.Pass, b branch, q components.Part) {
	rating, amps := b.device.RatingA.Value, ratedAmps(p, q)
	marked := q.Figure("max_breaker_a")
	f := rules.Finding{At: b.device.Address(), Also: []string{string(q.ID)}}
	limit := 0.0
	switch {
	case marked.Known() && rating > marked.Value:
		limit = marked.Value
		f.Message = fmt.Sprintf("%s is %s A, but the plate of %s allows %s A", b.device, numText(rating), q.ID, numText(limit))
		f.Working = []string{fmt.Sprintf("%s A > %s A marked", numText(rating), numText(limit))}
	case marked.Known():
		return
	case q.Told("max_breaker_a").IsUnknown() && rating > smallestBreaker:
		p.Unchecked(string(q.ID), fmt.Sprintf("max_breaker_a of %s is not known, so whether it allows %s, %s A, is not: read the largest fuse or breaker off its plate", q.ID, b.device, numText(rating)), b.device.Address())
		return
	case q.Is("motor") && rating > compressorTop*amps && amps > 0:
		p.Unchecked(string(q.ID), fmt.Sprintf("max_breaker_a of %s is not told, and %s is %s A for a motor of %s A: read the largest fuse or breaker off its plate", q.ID, b.device, numText(rating), numText(amps)), b.device.Address())
		return
	case len(b.feeds) == 1 && amps >= singleFromA && rating > singleTimes*amps:
		limit = singleTimes * amps
		f.Message = fmt.Sprintf("%s is %s A and feeds %s alone, which takes %s A: %s A is the most", b.device, numText(rating), q.ID, numText(amps), numText(limit))
		f.Working = []string{fmt.Sprintf("150 %% × %s A = %s A < %s A", numText(amps), numText(limit), numText(rating))}
	default:
		return
	}
	if fix, ok := lowerRating(p.Doc, b.device, limit); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// ratedAmps is the current of an appliance at its rated voltage.
func ratedAmps(p *rules.Pass, q components.Part) float64 {
	return q.Figure("va").Value / p.Doc.MainsVolts() / float64(len(poles(q)))
}

// markedFor tells whether a run ends at an appliance whose plate allows a device
// above the ordinary ones, and whose current, with a quarter on top, the run
// carries (NEC 240.4(G), 440.22, 440.32).
func markedFor(p *rules.Pass, f *fed, limit, usable float64) bool {
	for _, end := range []components.PortRef{f.Run.From, f.Run.To} {
		q, _ := p.Doc.Part(end.Part)
		if q.Kind != &components.ACLoad || !q.Figure("va").Known() {
			continue
		}
		marked := q.Figure("max_breaker_a")
		return marked.Known() && limit <= marked.Value && 1.25*ratedAmps(p, q) <= usable
	}
	return false
}
