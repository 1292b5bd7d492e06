package checks

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// BatteryUnfused finds positive conductors of a bank with no overcurrent device.
var BatteryUnfused = &rules.Rule{
	ID:    "overcurrent.battery-unfused",
	Title: "A battery lead has no fuse",
	Must:  "Every positive conductor of a bank passes a fuse or breaker before it reaches anything else, each parallel string its own. (A jumper of up to 18 in from post to post is for battery.per-string-fuse.)",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.455(a), (b)", Says: "each ungrounded conductor protected at the source of power (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(E)(4)", Says: "within 18 in of where the supply joins (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Explains: []string{"overcurrent.source-distance", "fault.conductor-withstand", "battery.per-string-fuse"},
	Check:    func(p *rules.Pass) { eachPost(p, unfused) },
}

// SourceDistance holds the first device to its distance from the post.
var SourceDistance = &rules.Rule{
	ID:    "overcurrent.source-distance",
	Title: "The battery fuse is too far from the post",
	Must:  "The first fuse or breaker of a battery lead stands within 18 in of the post, measured along the conductor.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(E)(4)", Says: "18 in (450 mm) (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
		{Source: "33 CFR 183", Clause: "183.455(b)", Says: "7 in, or 40 in where sheathed throughout (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "ABYC E-11", Clause: "11.10", Says: "7 in, or 72 in on the battery post and sheathed throughout (a marine standard, not law in a vehicle)", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) { eachBankLead(p, tooFar) },
}

// The distances of the three documents, in feet.
const (
	within18in = 1.5
	within7in  = 7.0 / 12
	within40in = 40.0 / 12
	within72in = 6.0
)

// eachPost calls judge for each battery with the ways that leave its positive post.
func eachPost(p *rules.Pass, judge func(*rules.Pass, components.Part, []lead)) {
	if !p.First() {
		return
	}
	for _, bat := range p.Doc.Parts() {
		if bat.Kind != &components.Battery || bat.Gone() {
			continue
		}
		if post, ok := p.Circuit.At(bat.ID, "pos", components.Pos); ok {
			judge(p, bat, leads(p, post))
		}
	}
}

func eachBankLead(p *rules.Pass, judge func(*rules.Pass, components.Part, lead)) {
	eachPost(p, func(p *rules.Pass, bat components.Part, all []lead) {
		for _, l := range all {
			judge(p, bat, l)
		}
	})
}

// unfused tells of each conductor at a post once, whatever it leads to.
func unfused(p *rules.Pass, bat components.Part, all []lead) {
	var order []components.ID
	bare := map[components.ID][]lead{}
	for _, l := range all {
		if l.Device != nil || jumper(p, l) {
			continue
		}
		var own components.ID
		if len(l.Runs) > 0 {
			own = l.Runs[0]
		}
		if bare[own] == nil {
			order = append(order, own)
		}
		bare[own] = append(bare[own], l)
	}
	for _, own := range order {
		unfusedLead(p, bat, bare[own])
	}
}

// jumper tells whether a way is a short one from post to post: battery.per-string-fuse
// speaks of it.
func jumper(p *rules.Pass, l lead) bool {
	q, _ := p.Doc.Part(p.Circuit.Terms[l.End].Part)
	return q.Kind == &components.Battery && l.Unknown == "" && l.Feet <= within18in
}

// unfusedLead tells of the ways that one conductor at a post begins.
func unfusedLead(p *rules.Pass, bat components.Part, ways []lead) {
	c := p.Circuit
	whole := ways[0]
	whole.Runs = nil
	var ends, also []string
	alternators := true
	for _, l := range ways {
		far := c.Terms[l.End]
		ends = append(ends, far.PortRef.String())
		q, _ := p.Doc.Part(far.Part)
		alternators = alternators && q.Kind == &components.Alternator
		for _, id := range l.Runs {
			if !slices.Contains(whole.Runs, id) {
				whole.Runs, also = append(whole.Runs, id), append(also, string(id))
			}
		}
	}
	post, to := c.Terms[whole.Post].PortRef, strings.Join(ends, ", ")
	f := rules.Finding{
		At: post.String(), Also: also,
		Message: fmt.Sprintf("No fuse or breaker between %s and %s: a chafed lead burns", post, to) + pastMain(p, whole),
	}
	if bat.Word("role") == "starting" && alternators {
		f.Level = rules.Advice // the vehicle maker's own lead
		f.Message = fmt.Sprintf("No fuse is drawn between %s and %s: look for the vehicle maker's fusible link, and draw it", post, to)
	}
	if a, working, ok := postFault(p, whole.Post); ok && len(also) > 0 {
		f.Working = append(working, fmt.Sprintf("a short anywhere on %s draws up to %.0f A until something melts", also[0], a))
	}
	if fix, ok := fuseAtPost(p, bat, whole); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

func tooFar(p *rules.Pass, bat components.Part, l lead) {
	if l.Device == nil || bat.Word("chemistry") == "lfp" && len(parallelWith(p, bat, l.Post)) > 0 {
		return // another rule speaks
	}
	if _, ok := farBattery(p, bat, l); ok {
		return // overcurrent.two-source-both-ends speaks
	}
	if l.Unknown != "" {
		p.Unchecked(string(l.Unknown), fmt.Sprintf("the length of %s, between %s and %s, is not known: measure along the cable (18 in is the limit)", l.Unknown, bat.ID, l.Device), l.Device.Address())
		return
	}
	if l.Feet <= within18in || len(l.Runs) == 0 {
		return
	}
	level := rules.Violation
	if l.Feet > within72in {
		level = rules.Danger
	}
	working := []string{fmt.Sprintf("%s in of conductor > 18 in", numText(l.Feet*12)), l.ruleSets()}
	if l.Sheathed && l.Feet <= within72in {
		working = append(working, "sheathed throughout: inside the 72 in of ABYC E-11, not inside the 18 in of the trailer rule")
		level = rules.Advice
	}
	f := rules.Finding{
		At: l.Device.Address(), Also: []string{p.Circuit.Terms[l.Post].PortRef.String(), string(l.Runs[0])}, Level: level,
		Message: fmt.Sprintf("%s stands %s in from %s along the cable; 18 in is the limit", l.Device, numText(l.Feet*12), p.Circuit.Terms[l.Post].PortRef) + pastMain(p, l),
		Working: working,
	}
	if len(l.Runs) == 1 {
		r, _ := p.Doc.Run(l.Runs[0])
		f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Move %s to within 18 in of the post and shorten %s", l.Device, r.ID),
			Edits: shift(p.Doc, r, *l.Device, l.Feet-1)})
	}
	if fix, ok := fuseAtPost(p, bat, l); ok {
		f.Fixes = append(f.Fixes, fix)
	}
	p.Report(f)
}

// ruleSets tells by which of the documents a lead of this length passes.
func (l lead) ruleSets() string {
	most := within7in
	if l.Sheathed {
		most = within40in
	}
	marine, yacht := "fails", "fails"
	if l.Feet <= most {
		marine = "passes"
	}
	if l.Feet <= within7in || l.Sheathed && l.Feet <= within72in {
		yacht = "passes"
	}
	trailer := "fails"
	if l.Feet <= within18in {
		trailer = "passes"
	}
	bare := "not sheathed throughout"
	if l.Sheathed {
		bare = "sheathed throughout"
	}
	return fmt.Sprintf("%s: %s 33 CFR 183 (7 in, 40 in sheathed), %s ABYC E-11 (7 in, 72 in sheathed), %s the trailer rule (18 in)", bare, marine, yacht, trailer)
}

// pastMain says in its own words that a thinner lead leaves a post beside the
// main fuse, where that does not protect it.
func pastMain(p *rules.Pass, l lead) string {
	if len(l.Runs) == 0 {
		return ""
	}
	own, _ := p.Doc.Run(l.Runs[0])
	size, ok := own.Size(components.Pos)
	for _, o := range leads(p, l.Post) {
		if !ok || o.Device == nil || len(o.Runs) == 0 || l.Device != nil && o.Device.At() == l.Device.At() {
			continue
		}
		r, _ := p.Doc.Run(o.Runs[0])
		if s, ok := r.Size(components.Pos); ok && s.Cmil() > size.Cmil() {
			return fmt.Sprintf(". %s leaves the post past %s, which does not protect it", own.ID, o.Device)
		}
	}
	return ""
}

// shift moves cable from ahead of a device to behind it, where the device is a
// part with one run on either side.
func shift(doc *components.Document, head components.Run, d circuit.Device, feet float64) []components.Edit {
	edits := []components.Edit{set(head.ID, "length_ft", components.Num(tenth(head.Figure("length_ft").Value-feet)))}
	for _, q := range doc.PortsOf(d.Part) {
		ref := components.PortRef{Part: d.Part, Port: q.Name}
		if head.Ends(ref) {
			continue
		}
		if runs := doc.RunsAt(ref); len(runs) == 1 && runs[0].Figure("length_ft").Known() {
			return append(edits, set(runs[0].ID, "length_ft", components.Num(tenth(runs[0].Figure("length_ft").Value+feet))))
		}
	}
	return edits
}

// fuseAtPost fits a class T fuse within 7 in of the post, as large as the
// thinnest conductor on the way allows, and as the fuses of the strings beside it are.
func fuseAtPost(p *rules.Pass, bat components.Part, l lead) (rules.Fix, bool) {
	if len(l.Runs) == 0 {
		return rules.Fix{}, false
	}
	limit := math.Inf(1)
	for _, id := range l.Runs {
		r, _ := p.Doc.Run(id)
		a, err := runAmpacity(p, r, components.Pos)
		if err != nil {
			continue
		}
		limit = math.Min(limit, a.Usable)
	}
	limit = math.Min(limit, besideIt(p, bat, l.Post))
	rating, ok := fuseAtMost(limit)
	if !ok || math.IsInf(limit, 1) {
		rating, ok = fuseAtMost(400)
		if !ok {
			return rules.Fix{}, false
		}
	}
	r, _ := p.Doc.Run(l.Runs[0])
	post := bat.Ref("pos")
	line, load := "line", "load"
	if r.From != post {
		line, load = load, line
	}
	fuse := components.Part{ID: p.Doc.FreeID("F"), Kind: &components.Fuse, Name: "Battery fuse", At: towards(p.Doc, post, r.Other(post)),
		Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(rating)}}
	edits := insert(p.Doc, r, fuse, line, load, within7in)
	if r.From != post { // the piece at the post is the tail
		if length := r.Figure("length_ft"); length.Known() {
			edits = insert(p.Doc, r, fuse, line, load, math.Max(0, length.Value-within7in))
		}
	}
	return rules.Fix{Title: fmt.Sprintf("Fit a %s A class T fuse within 7 in of %s", numText(rating), post), Edits: edits}, true
}

// besideIt is the largest fuse that a battery in parallel with one has at its own post,
// +Inf where none has.
func besideIt(p *rules.Pass, bat components.Part, post circuit.Term) float64 {
	most := 0.0
	for _, id := range parallelWith(p, bat, post) {
		own, ok := p.Circuit.At(id, "pos", components.Pos)
		if !ok {
			continue
		}
		for _, l := range leads(p, own) {
			if l.Device != nil && l.Device.RatingA.Known() && len(l.Runs) == 1 {
				most = math.Max(most, l.Device.RatingA.Value)
			}
		}
	}
	if most == 0 {
		return math.Inf(1)
	}
	return most
}
