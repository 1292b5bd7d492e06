package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// StringFuse asks for a fuse of its own on every parallel string.
var StringFuse = &rules.Rule{
	ID:    "battery.per-string-fuse",
	Title: "A parallel battery string has no fuse of its own",
	Must:  "Each parallel string has its own device, so that one failed string cannot be fed by the others: any lithium string beside another, and any string of three or more; and no tie joins two strings between their batteries. Where one symbol stands for several, the fuse told on each carries 125 % of a string's share.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.455(a)", Says: "a lead that is fed from both ends is protected at both (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.9(A)", Says: "protected at the source of higher current", Seen: rules.Published},
		{Source: "two lithium strings, or three of any chemistry", Seen: rules.Practice},
		{Source: "NFPA 70 (NEC) 2017", Clause: "706.21(B)", Says: "125 % of the continuous current (binding above 60 V, quoted as engineering basis below)", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: stringFuse,
}

// stringFuse looks out from each post to what it meets before any device: the
// post of another battery, or the fuse that is another battery's own.
func stringFuse(p *rules.Pass) {
	if !p.First() {
		return
	}
	for _, bat := range p.Doc.Parts() {
		if bat.Kind != &components.Battery || bat.Gone() {
			continue
		}
		post, ok := p.Circuit.At(bat.ID, "pos", components.Pos)
		if !ok {
			continue
		}
		hiddenStrings(p, bat)
		tiedInside(p, bat)
		others := parallelWith(p, bat, post)
		if len(others) == 0 {
			continue
		}
		f := rules.Finding{
			At: bat.Ref("pos").String(), Also: []string{string(others[0])},
			Message: fmt.Sprintf("%s joins %s with no fuse of its own: a cell that fails in it is fed by the other strings", bat.ID, others[0]),
		}
		if len(others) == 1 {
			f.Message = fmt.Sprintf("%s joins %s with no fuse of its own: a cell that fails in it is fed by the other string", bat.ID, others[0])
		}
		if bat.Word("chemistry") != "lfp" && len(others) < 2 {
			f.Level = rules.Advice // two strings: each sees the other alone
		}
		if a, working, ok := postFault(p, post); ok {
			f.Working = append(working, fmt.Sprintf("%s can push such a current, %s A or so, into its lead", count(float64(len(others)), "other string", "other strings, each,"), numText(a)))
		}
		for _, l := range leads(p, post) {
			if fix, ok := fuseAtPost(p, bat, l); ok {
				f.Fixes = []rules.Fix{fix}
				break
			}
		}
		p.Report(f)
	}
}

// tiedInside finds strings that are tied between their batteries: there each battery is
// beside the others' with no fuse, whatever stands at the ends of the strings.
func tiedInside(p *rules.Pass, bat components.Part) {
	c := p.Circuit
	neg, ok := c.At(bat.ID, "neg", components.Neg)
	if !ok {
		return
	}
	var above, below []components.Part // whose negative, and whose positive, is on this net
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Battery || q.Gone() {
			continue
		}
		if t, ok := c.At(q.ID, "neg", components.Neg); ok && c.Net(t) == c.Net(neg) {
			above = append(above, q)
		}
		if t, ok := c.At(q.ID, "pos", components.Pos); ok && c.Net(t) == c.Net(neg) {
			below = append(below, q)
		}
	}
	if len(above) < 2 || len(below) < 2 || above[0].ID != bat.ID {
		return
	}
	f := rules.Finding{
		At: string(bat.ID), Also: []string{string(above[1].ID), string(below[0].ID), string(below[1].ID)},
		Message: fmt.Sprintf("The strings of %s and %s are tied below them: a cell that fails in %s is fed by %s, and the fuses at the ends of the strings do not see it", above[0].ID, above[1].ID, below[0].ID, below[1].ID),
		Working: []string{fmt.Sprintf("positives of batteries that meet there with no device: %d", len(below))},
	}
	if !lithium(bat) {
		f.Level = rules.Advice // lead is tied so here and there, to keep its blocks alike
	}
	for _, r := range p.Doc.Runs() {
		a, _ := p.Doc.Part(r.From.Part)
		b, _ := p.Doc.Part(r.To.Part)
		if r.Gone() || a.Kind != &components.Battery || b.Kind != &components.Battery || r.From.Port != r.To.Port {
			continue
		}
		if t, ok := c.Term(r.From.At(p.Doc.CoresOf(r)[0].From)); ok && c.Net(t) == c.Net(neg) {
			f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Take the tie %s out", r.ID), Edits: []components.Edit{components.RemoveRun{ID: r.ID}}})
		}
	}
	p.Report(f)
}

// hiddenStrings asks about the strings that one symbol stands for.
func hiddenStrings(p *rules.Pass, bat components.Part) {
	n, fuse := bat.Figure("parallel"), bat.Figure("string_fuse_a")
	if n.Value >= 2 && fuse.Known() {
		hiddenFuse(p, bat, n.Value, fuse.Value)
	}
	if bat.Word("chemistry") != "lfp" || n.Value < 2 || fuse.Known() {
		return
	}
	p.Unchecked(string(bat.ID), fmt.Sprintf("%s stands for %v strings in parallel, and no fuse on each is told: look for one on every positive post, and tell its rating or draw every string", bat.ID, n.Value))
}

// hiddenFuse holds the fuse on each string of one symbol to the share of a string.
func hiddenFuse(p *rules.Pass, bat components.Part, strings, rating float64) {
	post, _ := p.Circuit.At(bat.ID, "pos", components.Pos)
	own := bank{Parts: []components.Part{bat}, Posts: []circuit.Term{post}}
	d := p.Demand()
	amps := math.Max(math.Abs(own.gives(p, d.Drawing)[0]), math.Abs(own.gives(p, d.Charging)[0])) / strings
	need := 1.25 * amps
	if rating >= need*0.999 {
		return
	}
	f := rules.Finding{
		At: string(bat.ID), Level: rules.Violation,
		Message: fmt.Sprintf("Each string of %s carries up to %s A for hours; its fuse should be %s A or more and is %s A", bat.ID, numText(amps), numText(math.Ceil(need)), numText(rating)),
		Working: []string{fmt.Sprintf("125 %% × %s A / %s strings = %s A > %s A", numText(amps*strings), numText(strings), numText(need), numText(rating))},
	}
	if r, ok := fuseAtLeast(need); ok {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a %s A class T fuse on each string of %s", numText(r), bat.ID), Edits: []components.Edit{set(bat.ID, "string_fuse_a", components.Num(r))}}}
	}
	p.Report(f)
}

// parallelWith names the batteries that a post meets with no device of its own
// between: directly, or across a bar that several devices leave. Where all that
// leaves the post is one device, that device is the string's own.
func parallelWith(p *rules.Pass, bat components.Part, post circuit.Term) []components.ID {
	c := p.Circuit
	near := reach(p, post)
	direct := batteriesIn(p, near, bat.ID)
	var across []components.ID
	devices := 0
	for t := range near {
		for _, i := range c.LinksAt(t) {
			l := &c.Links[i]
			if !l.Protects() || !l.Closed {
				continue
			}
			devices++
			across = append(across, batteriesIn(p, reach(p, l.Other(t)), bat.ID)...)
		}
	}
	if devices < 2 {
		across = nil
	}
	return sortedIDs(append(direct, across...))
}

// batteriesIn are the batteries whose posts are among terminals, but for one.
func batteriesIn(p *rules.Pass, terms map[circuit.Term]bool, but components.ID) []components.ID {
	var ids []components.ID
	for t := range terms {
		if q, _ := p.Doc.Part(p.Circuit.Terms[t].Part); q.Kind == &components.Battery && q.ID != but {
			ids = append(ids, q.ID)
		}
	}
	return ids
}

// reach is every terminal of the same pole that is met with no device between.
func reach(p *rules.Pass, from circuit.Term) map[circuit.Term]bool {
	c := p.Circuit
	return c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return !l.Protects() && l.Closed && c.Terms[o].Pole == c.Terms[from].Pole
	}, from).Reached()
}
