package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// Uniformity asks for equal batteries in one bank.
var Uniformity = &rules.Rule{
	ID:    "battery.string-uniformity",
	Title: "Unlike batteries share one bank",
	Must:  "The batteries of a bank match in chemistry, voltage and capacity, no more blocks stand in series than their maker allows, and nothing is joined between two that stand in series.",
	Basis: []rules.Basis{
		{Source: "battery makers' limits", Says: "blocks in series; no mixing of chemistry, capacity or age", Seen: rules.Published},
		{Source: "capacities within 5 %", Seen: rules.Practice},
		{Source: "nothing takes from, or charges, a part of a string alone", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Explains: []string{"conductor.load-within-ampacity", "busbar.rating", "battery.parallel-balance", "battery.bms-discharge-limit", "battery.c-rate-limit", "overcurrent.rating-above-continuous",
		"overcurrent.surge-hold", "voltage-drop.critical-3-percent", "voltage-drop.general-10-percent", "shunt.rating", "disconnect.rating", "supply.cannot-carry", "battery.voltage-class", "charger.profile-match",
		"battery.string-uniformity", "overcurrent.voltage-rating", "supply.leads-nowhere", "conductor.crossed-poles", "disconnect.charge-source-not-stranded"},
	Check: func(p *rules.Pass) { eachBank(p, uniform) },
}

func uniform(p *rules.Pass, b bank) {
	first := b.Parts[0]
	for _, q := range b.Parts {
		backwards(p, q)
	}
	for _, q := range b.Parts {
		switch all := inString(p, q); {
		case p.Circuit.Carries(q.ID): // the string is told of at its top
		case len(all) > 1:
			for i := range all[1:] {
				seriesAlike(p, all[i], all[i+1])
			}
			overSeries(p, q)
			taps(p, q)
		default:
			seriesBlocks(p, q)
		}
		switch {
		case q.ID == first.ID:
		case alike(p, first, q) || q.Word("role") == first.Word("role"):
		default: // of unlike roles, with nothing else to tell: then beside the first of its own
			for _, o := range b.Parts {
				if o.ID == q.ID {
					break
				}
				if o.Word("role") == q.Word("role") {
					alike(p, o, q)
					break
				}
			}
		}
	}
}

// backwards finds a battery whose posts are the wrong way round beside another's: they
// short each other.
func backwards(p *rules.Pass, q components.Part) {
	c := p.Circuit
	net := func(o components.Part, port string, pole components.Pole) circuit.Term {
		t, ok := c.At(o.ID, port, pole)
		if !ok {
			return -1
		}
		return c.Net(t)
	}
	pos, neg := net(q, "pos", components.Pos), net(q, "neg", components.Neg)
	for _, o := range p.Doc.Parts() {
		if o.Kind != &components.Battery || o.Gone() || o.ID == q.ID || pos < 0 || neg < 0 || net(o, "pos", components.Pos) != neg || net(o, "neg", components.Neg) != pos {
			continue
		}
		if !crossedAt(p, q) && crossedAt(p, o) || crossedAt(p, q) == crossedAt(p, o) && q.ID < o.ID {
			continue // the other one is told of
		}
		f := rules.Finding{
			At: string(q.ID), Also: []string{string(o.ID)},
			Message: fmt.Sprintf("%s stands the wrong way round: its positive is on the negative of %s and its negative on the positive, and the two short each other", q.ID, o.ID),
			Working: []string{fmt.Sprintf("%s and %s in a ring of two", q.ID, o.ID)},
			Causes:  append(onDCOf(p, q), onDCOf(p, o)...),
		}
		if fix, ok := turnBattery(p, q); ok {
			f.Fixes = []rules.Fix{fix}
		}
		p.Report(f)
		return
	}
}

// crossedAt tells whether a run at the posts of a battery joins unlike poles.
func crossedAt(p *rules.Pass, q components.Part) bool {
	for _, r := range p.Doc.RunsOf(q.ID) {
		if slices.ContainsFunc(p.Doc.CoresOf(r), crossedCore) {
			return true
		}
	}
	return false
}

// turnBattery changes what ends at one post of a battery with what ends at the other.
func turnBattery(p *rules.Pass, q components.Part) (rules.Fix, bool) {
	other := map[components.PortRef]components.PortRef{q.Ref("pos"): q.Ref("neg"), q.Ref("neg"): q.Ref("pos")}
	pole := map[components.PortRef]components.Pole{q.Ref("pos"): components.Pos, q.Ref("neg"): components.Neg}
	var edits []components.Edit
	for _, at := range []components.PortRef{q.Ref("pos"), q.Ref("neg")} {
		for _, r := range p.Doc.RunsAt(at) {
			cores := slices.Clone(p.Doc.CoresOf(r))
			if r.Gone() || len(cores) != 1 || r.Other(at).Part == q.ID {
				return rules.Fix{}, false
			}
			edit := r.Rerouted()
			edit.Path = nil
			if edit.From == at {
				edit.From, cores[0].From = other[at], pole[other[at]]
			} else {
				edit.To, cores[0].To = other[at], pole[other[at]]
			}
			edit.Cores = cores
			edits = append(edits, edit)
		}
	}
	return rules.Fix{Title: fmt.Sprintf("Turn %s round", q.ID), Edits: edits}, len(edits) > 0
}

// alike holds two batteries on one net to each other, and tells whether it found anything.
func alike(p *rules.Pass, a, b components.Part) bool {
	f := rules.Finding{At: string(b.ID), Also: []string{string(a.ID)}}
	chemA, chemB := a.Word("chemistry"), b.Word("chemistry")
	va, vb := p.Circuit.StringVolts(a), p.Circuit.StringVolts(b)
	ahA, ahB := a.Figure("capacity_ah"), b.Figure("capacity_ah")
	switch {
	case chemA == "" || chemB == "":
		p.Unchecked(string(b.ID), fmt.Sprintf("the chemistry of %s or %s is not known, and they stand in parallel: read their labels", a.ID, b.ID), string(a.ID))
		return true
	case va > 0 && vb > 0 && components.VoltClass(va) != components.VoltClass(vb): // whatever they are made of
		f.Message = unlikeVolts(a.ID, b.ID, va, vb)
	case chemA != chemB && (chemA == "lfp" || chemB == "lfp"):
		f.Message = fmt.Sprintf("%s (%s) stands in parallel with %s (%s): one drives the other, whatever the charger is set to", b.ID, chemB, a.ID, chemA)
	case chemA != chemB && a.Word("role") != b.Word("role") && partedByRelay(p, a, b):
		f.Level = rules.Advice
		f.Message = fmt.Sprintf("While a relay joins them, %s (%s) and %s (%s) are charged with one voltage, which is not the best for both", b.ID, chemB, a.ID, chemA)
	case chemA != chemB:
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("%s (%s) stands in parallel with %s (%s): no one charging voltage suits both", b.ID, chemB, a.ID, chemA)
	case va > 0 && vb > 0 && math.Abs(va-vb) > 0.05*va:
		f.Message = unlikeVolts(a.ID, b.ID, va, vb)
	case ahA.Known() && ahB.Known() && math.Abs(ahA.Value-ahB.Value) > 0.05*math.Max(ahA.Value, ahB.Value) && a.Word("role") == b.Word("role"):
		f.Level = rules.Advice
		f.Message = fmt.Sprintf("%s of %s Ah stands in parallel with %s of %s Ah: they do not share evenly, and the smaller one ages sooner", b.ID, numText(ahB.Value), a.ID, numText(ahA.Value))
		f.Working = []string{fmt.Sprintf("%s Ah against %s Ah: more than 5 %% apart", numText(ahB.Value), numText(ahA.Value))}
	default:
		return false
	}
	upper, beside := inString(p, a), inString(p, b)
	f.Fixes = fitLikeString(upper, beside)
	for i := range beside[1:] { // which of the string it is
		if len(upper) == len(beside) && unlike(upper[i+1], beside[i+1]) {
			f.Also = append(f.Also, string(beside[i+1].ID))
		}
	}
	if f.Level == 0 { // a danger
		f.Causes = onDCOf(p, a)
	}
	p.Report(f)
	return true
}

// partedByRelay tells whether two batteries that stand in parallel here are apart in a state
// in which a relay between them is open.
func partedByRelay(p *rules.Pass, a, b components.Part) bool {
	return slices.ContainsFunc(p.All(), func(s *rules.Pass) bool {
		x, okX := s.Circuit.At(a.ID, "pos", components.Pos)
		y, okY := s.Circuit.At(b.ID, "pos", components.Pos)
		return okX && okY && s.Circuit.Net(x) != s.Circuit.Net(y)
	})
}

func unlikeVolts(a, b components.ID, va, vb float64) string {
	return fmt.Sprintf("%s of %s V stands in parallel with %s of %s V: current runs from one into the other until something gives", b, numText(vb), a, numText(va))
}

// onDCOf are the parts and runs that conductors lead to from the posts of a string and of
// those beside it: what flows in them is not to be believed while unlike batteries drive
// each other.
func onDCOf(p *rules.Pass, a components.Part) []string {
	c := p.Circuit
	var posts []circuit.Term
	var all []components.Part
	own, _ := c.At(a.ID, "pos", components.Pos)
	for _, q := range p.Doc.Parts() {
		if t, ok := c.At(q.ID, "pos", components.Pos); ok && q.Kind == &components.Battery && !q.Gone() && c.Net(t) == c.Net(own) {
			all = append(all, inString(p, q)...)
		}
	}
	for _, q := range all {
		for port, pole := range map[string]components.Pole{"pos": components.Pos, "neg": components.Neg} {
			if t, ok := c.At(q.ID, port, pole); ok {
				posts = append(posts, t)
			}
		}
	}
	slices.Sort(posts)
	var places []string
	seen := map[string]bool{}
	add := func(id string) {
		if id != "" && !seen[id] {
			seen[id] = true
			places = append(places, id)
		}
	}
	for t := range c.Walk(func(_ *circuit.Link, o circuit.Term) bool { return c.Terms[o].Pole.DC() }, posts...).Nearest() {
		add(string(c.Terms[t].Part))
		for _, i := range c.LinksAt(t) {
			add(string(c.Links[i].Run))
		}
	}
	return places
}

// fitLikeString fits batteries like those of one string in place of those of another that
// are not.
func fitLikeString(a, b []components.Part) []rules.Fix {
	if len(a) != len(b) {
		return nil
	}
	fix := rules.Fix{}
	for i := range a {
		if !unlike(a[i], b[i]) {
			continue
		}
		one := fitLike(a[i], b[i])
		if fix.Edits == nil {
			fix.Title = one.Title
		} else {
			fix.Title += fmt.Sprintf(", and like %s as %s", a[i].ID, b[i].ID)
		}
		fix.Edits = append(fix.Edits, one.Edits...)
	}
	if fix.Edits == nil {
		return nil
	}
	return []rules.Fix{fix}
}

// unlike tells whether two batteries are of another chemistry, voltage or capacity.
func unlike(a, b components.Part) bool {
	for _, key := range []string{"chemistry", "nominal_v", "capacity_ah", "series"} {
		x, _ := a.Value(key)
		if y, _ := b.Value(key); x.String() != y.String() {
			return true
		}
	}
	return false
}

// fitLike fits a battery like one in place of another.
func fitLike(a, b components.Part) rules.Fix {
	edits := []components.Edit{}
	for _, key := range []string{"chemistry", "nominal_v", "capacity_ah", "series", "discharge_a", "charge_a", "min_charge_c", "cold_cutoff", "internal_mohm", "fault_a"} {
		if a.Told(key).Told() || b.Told(key).Told() {
			edits = append(edits, set(b.ID, key, a.Told(key)))
		}
	}
	return rules.Fix{Title: fmt.Sprintf("Fit a battery like %s as %s", a.ID, b.ID), Edits: edits}
}

// seriesBlocks holds the blocks of a string to what their protection stands.
func seriesBlocks(p *rules.Pass, q components.Part) {
	n, most := q.Figure("series"), q.Figure("series_max")
	if n.Value < 2 || !lithium(q) && !most.Known() {
		return
	}
	if !most.Known() {
		p.Unchecked(string(q.ID), fmt.Sprintf("series_max of %s is not known, and %v of its blocks stand in series: its manual says how many its protection stands", q.ID, n.Value))
		return
	}
	if n.Value <= most.Value {
		return
	}
	f := rules.Finding{
		At:      string(q.ID),
		Message: fmt.Sprintf("%v blocks of %s stand in series; their maker allows %v: the switch of one that trips sees the whole string's voltage and fails", n.Value, q.ID, most.Value),
		Working: []string{fmt.Sprintf("%v > %v", n.Value, most.Value)},
	}
	if v := q.Figure("nominal_v"); v.Known() && v.Value*n.Value <= 60 {
		ah := q.Figure("capacity_ah")
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit blocks of %s V as %s", numText(v.Value*n.Value), q.ID), Edits: []components.Edit{
			set(q.ID, "nominal_v", components.Num(v.Value*n.Value)), set(q.ID, "series", components.Num(1)), set(q.ID, "capacity_ah", components.Num(ah.Value)),
		}}}
		if !ah.Known() {
			f.Fixes[0].Edits = f.Fixes[0].Edits[:2]
		}
	}
	p.Report(f)
}
