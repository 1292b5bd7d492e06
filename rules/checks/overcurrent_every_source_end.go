package checks

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// EverySourceEnd asks for a device where a conductor gets smaller.
var EverySourceEnd = &rules.Rule{
	ID:    "overcurrent.every-source-end",
	Title: "A thinner conductor taps off with no fuse of its own",
	Must:  "Every positive conductor is protected at the end where it is fed, including where the size steps down at a bus bar, a switch or a stud. (overcurrent.battery-unfused tells of leads that no device protects at all.)",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.455(a), (b)", Says: "each ungrounded conductor protected at the source of power (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.21", Says: "at the point where the conductor receives its supply", Seen: rules.Published},
	},
	Level: rules.Danger, OnePerPlace: true,
	Check: func(p *rules.Pass) { eachFedRun(p, true, endFuse(gapTap)) },
}

// TwoSource asks for a device at each end that can burn a conductor between two
// sources.
var TwoSource = &rules.Rule{
	ID:    "overcurrent.two-source-both-ends",
	Title: "A conductor between two sources is protected at one end only",
	Must:  "A conductor that joins two sources is protected at each end that can deliver more than its ampacity: always at the bank's end; a charge source that gives no more than the conductor carries needs none at its own.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.9(A)", Says: "protected at the source of higher current", Seen: rules.Published},
		{Source: "33 CFR 183", Clause: "183.455(a)", Says: "each ungrounded conductor protected at the source of power (a marine rule, not law in a vehicle)", Seen: rules.Published},
	},
	Level: rules.Danger, OnePerPlace: true,
	Check: func(p *rules.Pass) {
		eachFedRun(p, true, endFuse(gapTwoSources))
		eachBankLead(p, fusedAtFarBattery)
	},
}

// gap is whose words tell of a conductor that is smaller than its protection.
type gap int

const (
	gapDevice     gap = iota // a device is too large for the conductor behind it
	gapTap                   // a thinner conductor taps off a thicker one
	gapTwoSources            // the same, and another source at its far end
)

// gapOf tells which it is.
func gapOf(p *rules.Pass, f *fed) gap {
	if !steppedDown(p, f) {
		return gapDevice
	}
	if farSource(p, f) != "" {
		return gapTwoSources
	}
	return gapTap
}

// steppedDown tells whether a run leaves a bar, switch or stud where others leave
// too, and that a thicker run behind the same device meets.
func steppedDown(p *rules.Pass, f *fed) bool {
	c := p.Circuit
	if !f.Feed.HasDevice() || c.Terms[f.Feed.Enters].Part == f.Feed.Device.Part {
		return false
	}
	size, ok := f.Run.Size(components.Pos)
	if !ok {
		return false
	}
	others, thicker := 0, false
	own := size.Cmil() * math.Max(1, f.Run.Figure("sets").Value)
	for _, o := range leaving(p, f.Feed.Enters) {
		if o.run == f.Run.ID {
			continue
		}
		others++
		if o.cmil > own*1.01 && slices.ContainsFunc(p.Feeds()[o.link], func(x circuit.Feed) bool {
			return x.Source.Part == f.Feed.Source.Part && x.Device.At() == f.Feed.Device.At()
		}) {
			thicker = true
		}
		if thicker && others > 1 {
			return true
		}
	}
	return thicker && others > 1
}

// leaver is a positive run that leaves a bar, a switch or a stud, with its area, 0
// where its size is not told.
type leaver struct {
	run  components.ID
	link int
	cmil float64
}

// metalKey asks for the terminals of the piece of metal that one is of.
type metalKey circuit.Term

type leavingKey circuit.Term

// leaving are the positive runs that leave the metal that a terminal is of, the
// thickest first, worked out once for each such piece.
func leaving(p *rules.Pass, at circuit.Term) []leaver {
	c := p.Circuit
	piece := circuit.Lasting(c, metalKey(at), func() []circuit.Term {
		return slices.Sorted(maps.Keys(joined(c, at, func(l *circuit.Link) bool { return l.Run == "" && !l.Protects() })))
	})
	return rules.Once(p, leavingKey(piece[0]), func() []leaver {
		var all []leaver
		for _, t := range piece {
			for _, i := range c.LinksAt(t) {
				l := &c.Links[i]
				if l.Run == "" || !l.Closed || l.Core.From != components.Pos {
					continue
				}
				r, _ := p.Doc.Run(l.Run)
				size, _ := r.Size(components.Pos)
				all = append(all, leaver{l.Run, int(i), size.Cmil() * math.Max(1, r.Figure("sets").Value)})
			}
		}
		slices.SortFunc(all, func(a, b leaver) int {
			return cmp.Or(cmp.Compare(b.cmil, a.cmil), cmp.Compare(a.link, b.link))
		})
		return all
	})
}

// farSource names a charge source or another battery that stands at the far end
// of a run, seen from where a battery feeds it. An inverter/charger draws more than
// it gives, and counts as what the run feeds.
func farSource(p *rules.Pass, f *fed) components.ID {
	c := p.Circuit
	var far circuit.Term
	for _, end := range []components.PortRef{f.Run.From, f.Run.To} {
		if t, ok := c.Term(end.At(components.Pos)); ok && t != f.Feed.Enters {
			far = t
		}
	}
	beyond := joined(c, far, func(l *circuit.Link) bool { return l.Run != f.Run.ID && c.Terms[l.A].Pole == components.Pos })
	if beyond[f.Feed.Enters] {
		return ""
	}
	var found []components.ID
	for t := range beyond {
		q, _ := p.Doc.Part(c.Terms[t].Part)
		port := c.Terms[t].Port
		switch q.Kind {
		case &components.Battery:
			if q.ID != f.Feed.Source.Part {
				found = append(found, q.ID)
			}
		case &components.Charger, &components.Alternator:
			found = append(found, q.ID)
		case &components.SolarController:
			if port == "battery" {
				found = append(found, q.ID)
			}
		case &components.DCCharger:
			if port == "out" {
				found = append(found, q.ID)
			}
		}
	}
	if found = sortedIDs(found); len(found) == 0 {
		return ""
	}
	return found[0]
}

// endFuse tells of the runs whose gap is of one sort.
func endFuse(of gap) func(*rules.Pass, *fed) {
	return func(p *rules.Pass, f *fed) {
		if !f.Feed.HasDevice() || p.Circuit.Terms[f.Feed.Enters].Part == f.Feed.Device.Part {
			return // right at its device
		}
		if !f.Over.is || f.Over.level != rules.Danger || gapOf(p, f) != of {
			return
		}
		a, limit := &f.Carries, f.Over.limit
		enters := p.Circuit.Terms[f.Feed.Enters].PortRef
		find := rules.Finding{
			At: string(f.Run.ID), Also: f.also(), RestsOn: a.RestsOn,
			Message: fmt.Sprintf("%s (%s, %s A) leaves %s with no fuse of its own; only %s it", f.Run.ID, f.Run.Told("size"), numText(a.Usable), enters, f.protects()),
			Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A > 150 %% of %s A = %s A", numText(limit), numText(a.Table), numText(1.5*a.Table))),
		}
		if of == gapTwoSources {
			far := farSource(p, f)
			find.Also = append(find.Also, string(far))
			find.Message = fmt.Sprintf("%s (%s, %s A) joins %s to the bank with no fuse at the bank's end, %s; only %s it there", f.Run.ID, f.Run.Told("size"), numText(a.Usable), far, enters, f.protects())
		}
		if fix, ok := fuseAtEnd(p, f, a.Usable); ok && 1.25*demandOf(p, f.Run.ID) <= a.Usable {
			find.Fixes = append(find.Fixes, fix)
		}
		find.Fixes = append(find.Fixes, sizeFixes(p, f, a.Usable, limit)...)
		p.Report(find)
	}
}

// fuseAtEnd fits a class T fuse within 7 in of where a one-core run is fed, as
// large as the run allows.
func fuseAtEnd(p *rules.Pass, f *fed, usable float64) (rules.Fix, bool) {
	rating, ok := fuseAtMost(usable)
	r := f.Run
	if !ok || len(p.Doc.CoresOf(r)) != 1 {
		return rules.Fix{}, false
	}
	enters := p.Circuit.Terms[f.Feed.Enters].PortRef
	line, load, first := "line", "load", within7in
	if r.From != enters {
		line, load = load, line
		if length := r.Figure("length_ft"); length.Known() {
			first = math.Max(0, length.Value-within7in)
		}
	}
	fuse := components.Part{ID: p.Doc.FreeID("F"), Kind: &components.Fuse, Name: "Tap fuse", At: towards(p.Doc, enters, r.Other(enters)),
		Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(rating)}}
	return rules.Fix{Title: fmt.Sprintf("Fit a %s A class T fuse within 7 in of %s", numText(rating), enters), Edits: insert(p.Doc, r, fuse, line, load, first)}, true
}

// fusedAtFarBattery tells of a lead between two batteries whose only device is
// the other battery's.
func fusedAtFarBattery(p *rules.Pass, bat components.Part, l lead) {
	other, ok := farBattery(p, bat, l)
	if others := parallelWith(p, bat, l.Post); !ok || len(others) > 0 && (lithium(bat) || len(others) > 1) {
		return // where others stand in parallel battery.per-string-fuse speaks
	}
	also := []string{l.Device.Address(), string(other)}
	for _, id := range l.Runs {
		also = append(also, string(id))
	}
	f := rules.Finding{
		At: p.Circuit.Terms[l.Post].PortRef.String(), Also: also,
		Message: fmt.Sprintf("%s joins %s and %s and has its only fuse, %s, at the end of %s: a short beside %s is fed by %s with nothing to open", l.Runs[0], bat.ID, other, l.Device, other, bat.ID, bat.ID),
		Working: []string{fmt.Sprintf("%s in of conductor between %s and %s > 18 in", numText(12*l.Feet), bat.ID, l.Device)},
	}
	if fix, ok := fuseAtPost(p, bat, l); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// farBattery names the battery that stands right behind a lead's first device,
// where that device is far from the lead's own post.
func farBattery(p *rules.Pass, bat components.Part, l lead) (components.ID, bool) {
	if l.Device == nil || len(l.Runs) == 0 || l.Unknown != "" || l.Feet <= within18in {
		return "", false
	}
	for _, i := range p.Circuit.LinksAt(l.End) {
		link := p.Circuit.Links[i]
		if d, ok := p.Circuit.Device(link); ok && d.At() == l.Device.At() {
			if others := sortedIDs(batteriesIn(p, reach(p, link.Other(l.End)), bat.ID)); len(others) > 0 {
				return others[0], true
			}
		}
	}
	return "", false
}

// demandOf is the largest continuous current in the positive core of a run, in A.
func demandOf(p *rules.Pass, run components.ID) float64 {
	most, d := 0.0, p.Demand()
	for i, l := range p.Circuit.LinksOf(run) {
		if l.Core.From == components.Pos {
			most = math.Max(most, d.Amps[i])
		}
	}
	return most
}
