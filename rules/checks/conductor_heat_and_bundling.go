package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
)

// HeatAndBundling holds the load of an AC conductor to what it carries in the heat
// and the company that it runs in.
var HeatAndBundling = &rules.Rule{
	ID:    "conductor.heat-and-bundling",
	Title: "A conductor carries more than it may where it runs",
	Must:  "The load of a conductor is within its ampacity, reduced for the hottest place on its way and for more than three loaded conductors together, also where its breaker is the next standard size above; behind such a breaker of more than 50 A, 125 % of what runs for three hours or more are within its ampacity before reductions. The breaker itself is held to the reduced ampacity by conductor.ampacity-covers-overcurrent.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "310.15(B), 310.15(C)(1), 310.15(E), 310.15(F)", Says: "factors for the air and for conductors together; the neutral of opposite legs is not counted, one that carries the sum is, grounds never", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.19(A), 215.2(A)", Says: "the reduced ampacity is not below the load; 125 % of a continuous load before reductions", Seen: rules.Published},
	},
	Level: rules.Violation, OnePerPlace: true,
	Set:   components.USVehicle, // in a caravan no device is rounded up
	Check: heatAndBundling,
}

func heatAndBundling(p *rules.Pass) {
	if p.Solution().Failure != nil {
		return
	}
	feeds := p.Feeds()
	for i, l := range p.Circuit.Links {
		if l.Run == "" || !l.Core.From.Hot() {
			continue
		}
		amps, solved := p.Solution().Amps(i)
		if !solved || amps < 1 {
			continue
		}
		limit := 0.0
		for _, f := range feeds[i] {
			limit = math.Max(limit, f.LimitA)
		}
		r, _ := p.Doc.Run(l.Run)
		a, err := runAmpacity(p, r, l.Core.From)
		if err != nil || listedSet(p, r) || limit <= a.Usable*1.001 {
			continue // a missing figure is asked for by the ampacity rule
		}
		if math.Min(amps, limit) <= a.Usable*1.001 {
			forHours(p, r, i, l.Core.From, math.Min(amps, limit), limit)
			continue
		}
		if next, ok := standardAtLeast(a.Usable); !ok || next < limit {
			continue // conductor.ampacity-covers-overcurrent speaks of the breaker
		}
		amps = math.Min(amps, limit)
		f := rules.Finding{
			At:      string(r.ID),
			Message: fmt.Sprintf("%s (%s) carries %s A with everything on, and is good for %s A where it runs", r.ID, r.Told("size"), numText(amps), numText(a.Usable)),
			Working: append(slices.Clone(a.Working), fmt.Sprintf("load %s A > %s A; its breaker of %s A lets it", numText(amps), numText(a.Usable), numText(limit))),
			RestsOn: a.RestsOn,
		}
		if size, ok := sizeFor(p, r, l.Core.From, amps); ok {
			f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: enlarged(r, size.String())})
		}
		if apart := set(r.ID, "with", components.Num(0)); r.Figure("with").Value > 0 && carriesAfter(p, r, l.Core.From, apart, amps) {
			f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Take %s out of the bundle", r.ID), Edits: []components.Edit{apart}})
		}
		p.Report(f)
	}
}

// forHours holds a conductor whose device is the next standard size above it to 125 % of
// what runs for hours, by its ampacity before reductions. Up to 50 A the sizes of breakers
// and conductors see to it.
func forHours(p *rules.Pass, r components.Run, link int, pole components.Pole, amps, limit float64) {
	const seenTo = 50
	continuous := math.Min(amps, continuousAmps(p, link))
	need := amps + 0.25*continuous
	if limit <= seenTo || continuous < 1 {
		return
	}
	plain := r
	plain.Spec = r.Spec.With("with", components.Num(0)).With("ambient_c", components.Num(math.Min(30, p.Doc.AmbientOf(r))))
	a, err := runAmpacity(p, plain, pole)
	if err != nil || need <= a.Usable*1.001 {
		return
	}
	f := rules.Finding{
		At:      string(r.ID),
		Message: fmt.Sprintf("%s (%s) carries %s A, %s A of it for hours, and is good for %s A before reductions: 125 %% of what runs for hours counts", r.ID, r.Told("size"), numText(amps), numText(continuous), numText(a.Usable)),
		Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A + 25 %% × %s A = %s A > %s A, behind %s A", numText(amps), numText(continuous), numText(need), numText(a.Usable), numText(limit))),
		RestsOn: a.RestsOn,
	}
	if size, ok := sizeFor(p, r, pole, need); ok {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: enlarged(r, size.String())}}
	}
	p.Report(f)
}

// carriesAfter tells whether a run carries a current after an edit of its own.
func carriesAfter(p *rules.Pass, r components.Run, pole components.Pole, edit components.Edit, amps float64) bool {
	next, err := p.Doc.Apply(edit)
	if err != nil {
		return false
	}
	changed, _ := next.Run(r.ID)
	a, err := runAmpacity(p, changed, pole)
	return err == nil && a.Usable >= amps
}

// enlarged makes a run larger, and its ground as large as its lines.
func enlarged(r components.Run, size string) []components.Edit {
	edits := []components.Edit{set(r.ID, "size", components.Str(size))}
	if r.Told("ground_size").Told() {
		edits = append(edits, set(r.ID, "ground_size", components.Str(size)))
	}
	return edits
}
