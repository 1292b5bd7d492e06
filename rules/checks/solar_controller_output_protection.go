package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// ControllerOutput holds the conductor between a solar controller and the bank to
// both of its ends.
var ControllerOutput = &rules.Rule{
	ID:    "solar.controller-output-protection",
	Title: "A controller's output is not protected at the bank, or too thin",
	Must:  "The conductor from a controller to the bank has its fuse at the bank's end, within 18 in, and carries 125 % of the controller's output; the array's short-circuit current stays within the controller's limit. (overcurrent.rating-above-continuous holds the fuse to 125 %.)",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.9(A)", Says: "protected at the source of the higher current, the bank", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.8(B), 706.23(C)(1)", Says: "125 % of the output (706 binds above 60 V, quoted as engineering basis below)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(E)(4)", Says: "18 in (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) {
		eachController(p, func(cc components.Part, arrays []pvArray) { controllerOutput(p, cc, arrays) })
	},
}

// outlet is the way of a conductor from a charge source to where it meets the
// bank's side: the runs in order, and the last device before that end.
type outlet struct {
	Runs   []components.Run
	Device *circuit.Device
	After  []components.Run // between the device and the end
	End    circuit.Term
}

// outlets follows each positive run at a terminal through inline parts to a bar, a
// post or an appliance.
func outlets(p *rules.Pass, from circuit.Term) []outlet {
	c := p.Circuit
	var all []outlet
	for _, i := range c.LinksAt(from) {
		if c.Links[i].Run == "" || !c.Links[i].Closed || c.Links[i].Bond {
			continue
		}
		o, at, link := outlet{}, from, int(i)
		for range len(c.Links) {
			l := c.Links[link]
			if r, ok := p.Doc.Run(l.Run); ok {
				o.Runs, o.After = append(o.Runs, r), append(o.After, r)
			} else if d, ok := c.Device(l); ok {
				o.Device, o.After = &d, nil
			}
			at = l.Other(at)
			next, ok := onward(p, at, link)
			if !ok {
				break
			}
			link = next
		}
		o.End = at
		all = append(all, o)
	}
	return all
}

// onward is the one other link at a terminal of an inline part.
func onward(p *rules.Pass, t circuit.Term, came int) (int, bool) {
	q, _ := p.Doc.Part(p.Circuit.Terms[t].Part)
	if q.Kind.Role != components.Protects && q.Kind.Role != components.Switches && q.Kind != &components.Splice {
		return 0, false
	}
	next, n := 0, 0
	for _, i := range p.Circuit.LinksAt(t) {
		if l := p.Circuit.Links[i]; int(i) != came && l.Closed && !blind(p, l, l.Other(t)) {
			next = int(i)
			n++
		}
	}
	return next, n == 1
}

func controllerOutput(p *rules.Pass, cc components.Part, arrays []pvArray) {
	arrayLimit(p, cc, arrays)
	t, ok := p.Circuit.At(cc.ID, "battery", components.Pos)
	if !ok {
		return
	}
	for _, o := range outlets(p, t) {
		bankEndFuse(p, cc, o)
		outputAmpacity(p, cc, o)
	}
}

// arrayLimit holds the array to the controller's own current limit, where told.
func arrayLimit(p *rules.Pass, cc components.Part, arrays []pvArray) {
	most := cc.Figure("max_pv_a")
	isc, missing, working := shortCircuitAmps(arrays)
	if !most.Known() || missing != "" || isc <= most.Value {
		return
	}
	f := rules.Finding{
		At: string(cc.ID), Level: rules.Violation,
		Message: fmt.Sprintf("The array can push %s A; %s stands %s A", numText(isc), cc.ID, numText(most.Value)),
		Working: []string{working},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a controller for %s A of array as %s", numText(math.Ceil(isc)), cc.ID), Edits: []components.Edit{set(cc.ID, "max_pv_a", components.Num(math.Ceil(isc)))}}},
	}
	for _, q := range arrays {
		f.Also = append(f.Also, string(q.ID))
	}
	p.Report(f)
}

// bankEndFuse looks at what protects the conductor against the bank.
func bankEndFuse(p *rules.Pass, cc components.Part, o outlet) {
	bare, feet, unknown := o.Runs, 0.0, false
	if o.Device != nil {
		bare = o.After
		for _, r := range bare {
			length := r.Figure("length_ft")
			unknown = unknown || !length.Known()
			feet += length.Value
		}
		if !unknown && feet <= within18in {
			return
		}
	}
	for _, r := range bare {
		limit, ahead, ok := bankLimit(p, r)
		if !ok {
			continue
		}
		a, err := runAmpacity(p, r, components.Pos)
		if err != nil {
			p.Unchecked(string(r.ID), err.Error(), string(cc.ID))
			return
		}
		if next, _ := standardAtLeast(a.Usable); limit <= math.Max(a.Usable, next) {
			continue
		}
		if unknown {
			p.Unchecked(string(r.ID), fmt.Sprintf("the length of %s, between the bank's side and %s, is not known: measure along the cable (18 in is the limit)", r.ID, o.Device), string(cc.ID))
			return
		}
		f := rules.Finding{
			At: string(cc.ID), Also: []string{string(r.ID)},
			Message: fmt.Sprintf("No fuse protects %s, from %s to the bank, against the bank: %s", r.ID, cc.ID, ahead),
			Working: []string{fmt.Sprintf("%s is good for %s A < %s A", r.ID, numText(a.Usable), numText(limit))},
			RestsOn: a.RestsOn,
		}
		if math.IsInf(limit, 1) {
			f.Working = []string{"nothing limits what the bank drives into it"}
		}
		if o.Device != nil {
			f.Message = fmt.Sprintf("%s stands %s in from the bank's end of the controller's cable; 18 in is the limit, and the bank feeds %s behind %s only", o.Device, numText(12*feet), r.ID, ahead)
		}
		if fix, ok := fuseAtBank(p, cc, o); ok {
			f.Fixes = []rules.Fix{fix}
		}
		p.Report(f)
		return
	}
}

// bankLimit is what stands between the batteries and a run, +Inf where nothing
// does; ok is false where no battery feeds it.
func bankLimit(p *rules.Pass, r components.Run) (amps float64, ahead string, ok bool) {
	for i, l := range p.Circuit.LinksOf(r.ID) {
		if l.Core.From != components.Pos {
			continue
		}
		feeds := p.Feeds()[i]
		for _, f := range feeds {
			if !f.Source.Stores || f.Unknown {
				continue
			}
			limit := f.LimitA
			for _, j := range joint(feeds, f) {
				limit += j.LimitA
			}
			if limit > amps {
				amps, ahead, ok = limit, f.String(), true
			}
		}
	}
	if math.IsInf(amps, 1) {
		ahead = "nothing at all"
	}
	return amps, ahead, ok
}

// fuseAtBank fits a class T fuse for the controller's output at the bank's end.
func fuseAtBank(p *rules.Pass, cc components.Part, o outlet) (rules.Fix, bool) {
	out := cc.Figure("output_a")
	family, _ := tables.FuseFamily("class-t")
	rating, ok := family.AtLeast(1.25 * out.Value)
	if !out.Known() || !ok || len(o.Runs) == 0 {
		return rules.Fix{}, false
	}
	r := o.Runs[len(o.Runs)-1]
	end := p.Circuit.Terms[o.End].PortRef
	fuse := components.Part{ID: p.Doc.FreeID("F"), Kind: &components.Fuse, Name: "Controller fuse", At: towards(p.Doc, end, r.Other(end)),
		Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(rating)}}
	title := fmt.Sprintf("Fit a %s A class T fuse at %s", numText(rating), end)
	switch {
	case len(p.Doc.CoresOf(r)) > 1 && r.From == end:
		return rules.Fix{Title: title, Edits: insertInPole(p.Doc, r, components.Pos, fuse, "line", "load")}, true
	case len(p.Doc.CoresOf(r)) > 1:
		return rules.Fix{Title: title, Edits: insertInPole(p.Doc, r, components.Pos, fuse, "load", "line")}, true
	case r.From == end:
		return rules.Fix{Title: title, Edits: insert(p.Doc, r, fuse, "line", "load", within7in)}, true
	}
	return rules.Fix{Title: title, Edits: insert(p.Doc, r, fuse, "load", "line", math.Max(0, r.Figure("length_ft").Value-within7in))}, true
}

// outputAmpacity holds each run of the way to the controller's output.
func outputAmpacity(p *rules.Pass, cc components.Part, o outlet) {
	out := cc.Figure("output_a")
	if !out.Known() {
		p.Unchecked(string(cc.ID), fmt.Sprintf("output_a of %s is not known: read its label", cc.ID))
		return
	}
	need := 1.25 * out.Value
	for _, r := range o.Runs {
		a, err := runAmpacity(p, r, components.Pos)
		if err != nil {
			p.Unchecked(string(r.ID), err.Error(), string(cc.ID))
			continue
		}
		if a.Usable >= need*0.999 {
			continue
		}
		f := rules.Finding{
			At: string(r.ID), Also: []string{string(cc.ID)}, Level: rules.Violation,
			Message: fmt.Sprintf("%s (%s) is good for %s A; the output of %s asks for %s A", r.ID, r.Told("size"), numText(a.Usable), cc.ID, numText(need)),
			Working: append(append([]string{}, a.Working...), fmt.Sprintf("125 %% × %s A = %s A > %s A", numText(out.Value), numText(need), numText(a.Usable))),
			RestsOn: a.RestsOn,
		}
		if size, ok := sizeFor(p, r, components.Pos, need); ok {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}}}
		}
		p.Report(f)
	}
}
