package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// AssistSum holds what hangs on a boosting inverter's output to the sum of what it
// passes and what it adds.
var AssistSum = &rules.Rule{
	ID:    "inverter.output-assist-sum",
	Title: "A boosting inverter can overload its output cable",
	Must:  "Where an inverter/charger adds to what it passes through, its output conductors carry the sum, or a breaker at its output holds them to what they carry.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.4, 240.21", Says: "conductors protected from every source together; 710.15(B) read by analogy", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.21(B)(1)", Says: "a tap of up to 10 ft is protected by the device at its end", Seen: rules.Memory},
		{Source: "UL 458 (2015)", Says: "protection of the output circuit exists in the circuit", Seen: rules.Published},
	},
	Level: rules.Danger, OnePerPlace: true,
	Check: assistSum,
}

func assistSum(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.InverterCharger || q.Gone() || p.Circuit.Positions[q.ID] != circuit.Passing {
			continue
		}
		askMarked(p, q, "boost", "what its output carries while it passes its input is not: look in its manual for adding to a limited supply")
		if !q.Is("boost") {
			continue
		}
		passed, text, ok := passedAmps(p, q)
		if !ok {
			p.Unchecked(string(q.ID), fmt.Sprintf("neither input_limit_a of %s nor the breaker ahead of it is known, so its output's largest current is not: read the setting", q.ID))
			continue
		}
		va, volts := q.Figure("continuous_va"), p.Doc.InverterVolts(q)
		if !va.Known() {
			p.Unchecked(string(q.ID), fmt.Sprintf("continuous_va of %s is not known, so what it adds is not: read its label", q.ID))
			continue
		}
		adds := va.Value / volts
		working := []string{text, fmt.Sprintf("added: %s VA ÷ %s V = %s A", numText(va.Value), numText(volts), numText(adds))}
		if legs := q.Word("inverts"); legs == "both-split" || legs == "both-in-phase" {
			adds /= 2
			working[1] = fmt.Sprintf("added a leg: %s VA ÷ 2 ÷ %s V = %s A", numText(va.Value), numText(volts), numText(adds))
		}
		working = append(working, fmt.Sprintf("%s A + %s A = %s A", numText(passed), numText(adds), numText(passed+adds)))
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			if t, ok := p.Circuit.At(q.ID, "ac-out", pole); ok {
				holdOutput(p, q, t, passed, passed+adds, working)
			}
		}
	}
}

// passedAmps is the most that comes through the input: the limit that is set, or
// the breaker ahead where none is told.
func passedAmps(p *rules.Pass, q components.Part) (float64, string, bool) {
	ahead, ok := aheadOfInput(p, q)
	most := math.Inf(1)
	text := ""
	if ok && !ahead.Unknown && !math.IsInf(ahead.LimitA, 1) {
		most, text = ahead.LimitA, fmt.Sprintf("passed through: %s", ahead)
	}
	if f := q.Figure("input_limit_a"); f.Known() && f.Value < most {
		most, text = f.Value, fmt.Sprintf("passed through: input limit %s A", numText(f.Value))
	}
	return most, text, !math.IsInf(most, 1)
}

// holdOutput follows an output leg outward with the sum, which each device on the
// way lowers, and holds every run to what reaches it. What the passed current alone
// would overload is for the ampacity rule.
func holdOutput(p *rules.Pass, q components.Part, from circuit.Term, passed, sum float64, working []string) {
	c := p.Circuit
	most := map[circuit.Term]float64{from: sum}
	by := map[circuit.Term]circuit.Device{}
	queue := []circuit.Term{from}
	for len(queue) > 0 {
		t := queue[0]
		queue = queue[1:]
		for _, i := range c.LinksAt(t) {
			l := c.Links[i]
			o := l.Other(t)
			if !l.Closed || l.Bond || l.Part == q.ID || !c.Terms[o].Pole.Hot() {
				continue
			}
			next, device := most[t], by[t]
			if d, ok := c.Device(l); ok && d.RatingA.Known() && d.RatingA.Value < next {
				next, device = d.RatingA.Value, d
			}
			if l.Run != "" {
				holdRun(p, q, l, passed, next, device, working)
			}
			if old, ok := most[o]; !ok || next > old {
				most[o], by[o] = next, device
				queue = append(queue, o)
			}
		}
	}
}

// tapFeet is how long a lead may be that is protected by the breaker at its end.
const tapFeet = 10

// endsAtDevice finds the device that a run from an inverter's output ends at, and
// at nothing else.
func endsAtDevice(p *rules.Pass, l circuit.Link, q components.Part) (circuit.Device, bool) {
	end := l.A
	if p.Circuit.Terms[end].Part == q.ID {
		end = l.B
	}
	at := p.Circuit.LinksAt(end)
	if len(at) != 2 {
		return circuit.Device{}, false
	}
	for _, i := range at {
		if d, ok := p.Circuit.Device(p.Circuit.Links[i]); ok {
			return d, true
		}
	}
	return circuit.Device{}, false
}

func holdRun(p *rules.Pass, q components.Part, l circuit.Link, passed, amps float64, device circuit.Device, working []string) {
	r, _ := p.Doc.Run(l.Run)
	a, err := runAmpacity(p, r, l.Core.From)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return
	}
	usable := a.Usable
	if next, ok := standardAtLeast(usable); ok && device.Part != "" && next >= amps {
		usable = next // the next standard device is accepted (240.4(B))
	}
	if size, ok := r.Size(l.Core.From); ok {
		if most, capped := smallCap(p, r, size); capped {
			usable = min(usable, most)
		}
	}
	if amps <= usable || passed > usable {
		return
	}
	if d, ok := endsAtDevice(p, l, q); ok && d.RatingA.Known() && d.RatingA.Value <= usable {
		switch length := r.Figure("length_ft"); {
		case !length.Known():
			p.Unchecked(string(r.ID), fmt.Sprintf("the length of %s, from %s to %s, is not known: measure along the cable (10 ft is the limit of a lead that only the breaker at its end protects)", r.ID, q.ID, d))
			return
		case length.Value <= tapFeet:
			return
		}
	}
	f := rules.Finding{
		At: string(r.ID), Also: []string{string(q.ID)},
		Message: fmt.Sprintf("%s (%s) is good for %s A; %s passes and adds up to %s A into it while it boosts", r.ID, r.Told("size"), numText(min(a.Usable, usable)), q.ID, numText(amps)),
		Working: append(append(append([]string{}, working...), a.Working...), fmt.Sprintf("%s A < %s A", numText(usable), numText(amps))),
		RestsOn: a.RestsOn,
	}
	if device.Part != "" {
		f.Message = fmt.Sprintf("%s (%s) is good for %s A, but while %s boosts %s lets %s A into it", r.ID, r.Told("size"), numText(min(a.Usable, usable)), q.ID, device, numText(amps))
	} else {
		f.Fixes = outputBreaker(p, q, r, usable)
	}
	if size, ok := sizeFor(p, r, l.Core.From, amps); ok {
		f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}})
	}
	p.Report(f)
}

// outputBreaker puts a breaker at an inverter's output, into a run that starts
// there.
func outputBreaker(p *rules.Pass, q components.Part, r components.Run, most float64) []rules.Fix {
	ref := q.Ref("ac-out")
	rating, ok := breakerAtMost(most)
	if !ok || !r.Ends(ref) {
		return nil
	}
	_, near, _ := p.Doc.Port(ref)
	_, far, _ := p.Doc.Port(r.Other(ref))
	if far.Has(components.L) != near.Has(components.L) {
		return nil // the run changes poles on the way
	}
	hots := 1.0
	if near.Has(components.L1) {
		hots = 2
	}
	breaker := components.Part{ID: p.Doc.FreeID("CB"), Kind: &components.ACBreaker, At: towards(p.Doc, ref, r.Other(ref)),
		Spec: components.Spec{"rating_a": components.Num(rating), "hots": components.Num(hots)}}
	line, load := "line", "load"
	if r.From != ref {
		line, load = load, line
	}
	return []rules.Fix{{Title: fmt.Sprintf("Put a %s A breaker at the output of %s", numText(rating), q.ID), Edits: insert(p.Doc, r, breaker, line, load, 1)}}
}
