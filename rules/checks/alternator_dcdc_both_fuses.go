package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// BothFuses asks for a device at each end of a DC-DC charger.
var BothFuses = &rules.Rule{
	ID:    "alternator.dcdc-both-fuses",
	Title: "A DC-DC charger is not fused at both of its ends",
	Must:  "The way from a DC-DC charger to each battery has its own fuse towards that battery: on the input side for 125 % of the current at the lowest input, on the output side for 125 % of the output. (overcurrent.source-distance tells how near the battery; overcurrent.rating-above-continuous holds the ratings of both.)",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.455", Says: "each ungrounded conductor at its source (boats; not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.9(A), 706.20(A)(5), 706.23(C)", Says: "protected at the source of the higher current; input at the lowest voltage (706 binds above 60 V, quoted as engineering basis below)", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: bothFuses,
}

func bothFuses(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.DCCharger || q.Gone() {
			continue
		}
		for _, port := range []string{"in", "out"} {
			if t, ok := p.Circuit.At(q.ID, port, components.Pos); ok {
				for _, o := range outlets(p, t) {
					chargerEnd(p, q, port, o)
				}
			}
		}
	}
}

// chargerEnd judges one way from a DC-DC charger to a battery's side.
func chargerEnd(p *rules.Pass, q components.Part, port string, o outlet) {
	amps, step, missing := chargerInput(p, q, 1)
	if port == "out" {
		out := q.Figure("output_a")
		amps, step, missing = out.Value, fmt.Sprintf("%s: %s A out", q.ID, numText(out.Value)), ""
		if !out.Known() {
			missing = "output_a"
		}
	}
	if o.Device != nil {
		inputFuse(p, q, port, *o.Device, amps, step, missing)
		return
	}
	for _, r := range o.Runs {
		limit, ahead, fed := bankLimit(p, r)
		if !fed {
			continue
		}
		a, err := runAmpacity(p, r, components.Pos)
		if err != nil {
			p.Unchecked(string(r.ID), err.Error(), string(q.ID))
			return
		}
		if limit <= a.Usable*1.001 {
			continue // the bar's own fuse is small enough for this way too
		}
		f := rules.Finding{
			At: string(q.ID) + "." + port, Also: []string{string(r.ID)},
			Message: fmt.Sprintf("No fuse stands between %s and the battery's side at its %sput: a short in %s is fed by the battery behind %s", q.ID, port, r.ID, ahead),
			Working: append([]string{step}, fmt.Sprintf("%s is good for %s A; nothing of its own opens before", r.ID, numText(a.Usable))),
			RestsOn: a.RestsOn,
		}
		family, _ := tables.FuseFamily("class-t")
		if rating, ok := family.AtLeast(1.25 * amps); ok && missing == "" {
			last := o.Runs[len(o.Runs)-1]
			end := p.Circuit.Terms[o.End].PortRef
			fuse := components.Part{ID: p.Doc.FreeID("F"), Kind: &components.Fuse, Name: "DC-DC charger fuse", At: towards(p.Doc, end, last.Other(end)),
				Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(rating)}}
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a %s A class T fuse at %s", numText(rating), end), Edits: fuseTowards(p.Doc, last, end, fuse)}}
		}
		p.Report(f)
		return
	}
}

// fuseTowards puts a fuse into the positive of a run, close to one of its ends, line
// side towards it.
func fuseTowards(doc *components.Document, r components.Run, end components.PortRef, fuse components.Part) []components.Edit {
	line, load, first := "line", "load", within7in
	if r.From != end {
		line, load, first = "load", "line", math.Max(0, r.Figure("length_ft").Value-within7in)
	}
	if len(doc.CoresOf(r)) > 1 {
		return insertInPole(doc, r, components.Pos, fuse, line, load)
	}
	return insert(doc, r, fuse, line, load, first)
}

// inputFuse holds the fuse on the input side to 125 % of the charging current
// there; what is below the plain demand too is told by the rule of all devices.
func inputFuse(p *rules.Pass, q components.Part, port string, d circuit.Device, amps float64, step, missing string) {
	if port != "in" || missing != "" || !d.RatingA.Known() {
		return
	}
	plain := q.Figure("output_a").Value * q.Figure("out_v").Value / (q.Figure("efficiency").Value * components.VoltClass(q.Figure("in_v").Value))
	need := 1.25 * amps
	if d.RatingA.Value >= need*0.999 || d.RatingA.Value < 1.25*plain*0.999 {
		return
	}
	p.Report(rules.Finding{
		At: d.Address(), Also: []string{string(q.ID)}, Level: rules.Violation,
		Message: fmt.Sprintf("%s is %s A; %s draws %s A at its charging voltage and asks for %s A there", d, numText(d.RatingA.Value), q.ID, numText(amps), numText(need)),
		Working: []string{step, fmt.Sprintf("125 %% × %s A = %s A > %s A", numText(amps), numText(need), numText(d.RatingA.Value))},
		Fixes:   largerDevice(p, d, need),
	})
}
