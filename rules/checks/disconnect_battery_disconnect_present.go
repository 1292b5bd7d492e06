package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// BatteryDisconnect asks for a switch between the bank and all that it feeds.
var BatteryDisconnect = &rules.Rule{
	ID:    "disconnect.battery-disconnect-present",
	Title: "The bank cannot be switched off by hand",
	Must:  "A switch or breaker in the positive isolates a lithium bank, or one above 800 A of cold cranking (above 100 Ah where that is not told), from all that it feeds. Past it may go, each behind its own fuse: alarms, memories and the battery's own electronics, and charging sources. An inverter may not.",
	Basis: []rules.Basis{
		{Source: "ABYC E-11", Clause: "11.6.1.2", Says: "a battery switch in each positive conductor above 800 A of cold cranking, and what may bypass it (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "480.7(A), 706.7(A)", Says: "a disconnecting means (binding above 60 V, quoted as engineering basis below)", Seen: rules.Published},
		{Source: "any lithium bank, and 100 Ah where the cranking current is not told", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: batteryDisconnect,
}

// The bank from which a switch is asked for: by its cold-cranking current, or by its
// capacity where that is not told.
const (
	switchAboveCCA = 800
	switchAboveAh  = 100
)

func batteryDisconnect(p *rules.Pass) {
	seen := map[circuit.Term]bool{}
	for _, bat := range p.Doc.Parts() {
		post, ok := p.Circuit.At(bat.ID, "pos", components.Pos)
		if bat.Kind != &components.Battery || bat.Gone() || bat.Word("role") == "starting" || !ok || seen[post] {
			continue
		}
		way := unswitched(p, post, nil)
		for t := range way {
			seen[t] = true
		}
		fed := drawers(p, way)
		if len(fed) == 0 {
			continue
		}
		undisconnected(p, bat, post, way, fed)
	}
}

// unswitched is every terminal of the positive side that a post reaches with no
// switch between, and the run that each was reached by.
func unswitched(p *rules.Pass, post circuit.Term, without map[components.ID]bool) map[circuit.Term]components.ID {
	c := p.Circuit
	return c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return l.Closed && c.Terms[o].Pole == components.Pos && !byHand(p, *l) && (l.Run == "" || !without[l.Run])
	}, post).ByRun()
}

// drawers are the parts among terminals that draw from the bank and may not bypass
// its switch.
func drawers(p *rules.Pass, way map[circuit.Term]components.ID) []components.ID {
	var fed []components.ID
	for t := range way {
		term := p.Circuit.Terms[t]
		q, _ := p.Doc.Part(term.Part)
		switch q.Kind {
		case &components.Inverter, &components.InverterCharger:
			fed = append(fed, q.ID)
		case &components.DCConverter:
			if term.Port == "in" {
				fed = append(fed, q.ID)
			}
		case &components.DCPanel:
			if term.Port == "feed" {
				fed = append(fed, q.ID)
			}
		case &components.DCLoad:
			if !q.Is("always_on") && !behindPanel(p, way, t) {
				fed = append(fed, q.ID)
			}
		}
	}
	return sortedIDs(fed)
}

// behindPanel tells whether a load hangs on a panel, which is then named instead.
func behindPanel(p *rules.Pass, way map[circuit.Term]components.ID, t circuit.Term) bool {
	r, ok := p.Doc.Run(way[t])
	if !ok {
		return false
	}
	for _, end := range []components.PortRef{r.From, r.To} {
		if q, _ := p.Doc.Part(end.Part); q.Kind == &components.DCPanel {
			return true
		}
	}
	return false
}

func undisconnected(p *rules.Pass, bat components.Part, post circuit.Term, way map[circuit.Term]components.ID, fed []components.ID) {
	ah, cca, cranks, unknown, lithium := 0.0, 0.0, true, components.ID(""), false
	for _, id := range bankBehind(p, post, way) {
		q, _ := p.Doc.Part(id)
		lithium = lithium || q.Word("chemistry") == "lfp"
		if !q.Figure("capacity_ah").Known() {
			unknown = id
		}
		ah += q.Figure("capacity_ah").Value * q.Figure("parallel").Value
		cca += q.Figure("cca_a").Value * q.Figure("parallel").Value
		cranks = cranks && q.Figure("cca_a").Known()
	}
	f := rules.Finding{At: string(bat.ID)}
	switch {
	case lithium:
		f.Working = []string{"a lithium bank: a switch whatever its size"}
	case cca > switchAboveCCA:
		f.Working = []string{fmt.Sprintf("%s A of cold cranking > %d A", numText(cca), switchAboveCCA)}
	case cranks:
		return
	case ah > switchAboveAh:
		f.Working = []string{fmt.Sprintf("%s Ah > %d Ah", numText(ah), switchAboveAh)}
	case unknown != "":
		p.Unchecked(string(unknown), fmt.Sprintf("capacity_ah of %s is not known, so whether its bank needs a switch is not: read the battery's label (over %d Ah it does)", unknown, switchAboveAh))
		return
	default:
		return
	}
	for _, id := range fed {
		f.Also = append(f.Also, string(id))
	}
	f.Message = fmt.Sprintf("No switch or breaker isolates %s from %s", bat.ID, list(fed))
	if fix, ok := disconnectFix(p, post, way, fed); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// bankBehind are the batteries that keep live what has no switch, and those that a switch
// joins to them: one string past the switch is as large a bank as all of them together.
func bankBehind(p *rules.Pass, post circuit.Term, way map[circuit.Term]components.ID) []components.ID {
	found := batteriesIn(p, terms(way), "")
	for _, s := range p.Circuit.Feeds(post) {
		if q, _ := p.Doc.Part(s.Part); s.Stores && q.Word("role") != "starting" && !slices.Contains(found, s.Part) {
			found = append(found, s.Part)
		}
	}
	return sortedIDs(found)
}

func terms(way map[circuit.Term]components.ID) map[circuit.Term]bool {
	all := map[circuit.Term]bool{}
	for t := range way {
		all[t] = true
	}
	return all
}

// list names parts for a sentence.
func list(ids []components.ID) string {
	text := ""
	for i, id := range ids {
		switch {
		case i > 0 && i == len(ids)-1:
			text += " and "
		case i > 0:
			text += ", "
		}
		text += string(id)
	}
	return text
}

// disconnectFix puts one switch where it isolates everything, behind the first
// fuse if it can, or one before each thing that is fed.
func disconnectFix(p *rules.Pass, post circuit.Term, way map[circuit.Term]components.ID, fed []components.ID) (rules.Fix, bool) {
	var behind, ahead []components.ID
	onWay := runsTo(p, post, fed[0])
	for _, r := range p.Doc.Runs() {
		if !onWay[r.ID] { // and so does not cut it off
			continue
		}
		t, ok := p.Circuit.Term(r.From.At(components.Pos))
		if _, on := way[t]; !ok || !on || r.Gone() || !hasCore(p.Doc, r, components.Pos) {
			continue
		}
		if len(drawers(p, unswitched(p, post, map[components.ID]bool{r.ID: true}))) > 0 {
			continue
		}
		if fuseAhead(p, r) {
			behind = append(behind, r.ID)
		} else {
			ahead = append(ahead, r.ID)
		}
	}
	if at := append(behind, ahead...); len(at) > 0 {
		sw, edits := switchIn(p, p.Doc, at[0])
		return rules.Fix{Title: fmt.Sprintf("Fit a switch of %s in %s", sw.Kind.Rating(sw.Spec), at[0]), Edits: edits}, len(edits) > 0
	}
	doc, fix := p.Doc, rules.Fix{Title: "Fit a switch before each of " + list(fed)}
	done := map[components.ID]bool{}
	for t, run := range way {
		term := p.Circuit.Terms[t]
		if done[run] || run == "" || !contained(fed, term.Part) {
			continue
		}
		done[run] = true
	}
	for _, r := range p.Doc.Runs() {
		if !done[r.ID] {
			continue
		}
		_, edits := switchIn(p, doc, r.ID)
		next, err := doc.Apply(edits...)
		if err != nil {
			return fix, false
		}
		doc, fix.Edits = next, append(fix.Edits, edits...)
	}
	return fix, len(fix.Edits) > 0
}

// runsTo are the runs on one unswitched way from a post to a part.
func runsTo(p *rules.Pass, post circuit.Term, part components.ID) map[components.ID]bool {
	c := p.Circuit
	walk := c.Walk(func(l *circuit.Link, o circuit.Term) bool {
		return l.Closed && c.Terms[o].Pole == components.Pos && !byHand(p, *l)
	}, post)
	for t := range walk.Nearest() {
		if c.Terms[t].Part == part {
			way, _ := walk.Way(t)
			runs := map[components.ID]bool{}
			for _, i := range way {
				if l := &c.Links[i]; l.Run != "" {
					runs[l.Run] = true
				}
			}
			return runs
		}
	}
	return nil
}

func contained(ids []components.ID, id components.ID) bool {
	for _, o := range ids {
		if o == id {
			return true
		}
	}
	return false
}

// fuseAhead tells whether a device stands between a battery and a run.
func fuseAhead(p *rules.Pass, r components.Run) bool {
	for i, l := range p.Circuit.LinksOf(r.ID) {
		if l.Core.From != components.Pos {
			continue
		}
		for _, f := range p.Feeds()[i] {
			if f.Source.Stores && !f.HasDevice() {
				return false
			}
		}
	}
	return true
}

// switchIn puts a switch into a run, large enough for what flows there and for
// what the fuses ahead let through.
func switchIn(p *rules.Pass, doc *components.Document, run components.ID) (components.Part, []components.Edit) {
	r, _ := doc.Run(run)
	amps, surge, volts := 0.0, 0.0, 0.0
	d := p.Demand()
	for i, l := range p.Circuit.LinksOf(run) {
		if l.Core.From == components.Pos {
			fuse, _ := switchFuse(p, i)
			amps, surge = math.Max(amps, math.Max(d.Amps[i], fuse/1.5)), math.Max(surge, d.Surge[i])
			volts = math.Max(volts, highestVolts(p, *l))
		}
	}
	rating := by50(amps)
	spec := components.Spec{"rating_a": components.Num(rating), "volts_dc": components.Num(math.Max(32, math.Ceil(volts/10)*10))}
	if surge > rating {
		spec["surge_a"] = components.Num(by50(surge))
	}
	sw := components.Part{ID: doc.FreeID("SW"), Kind: &components.DCSwitch, Name: "Battery switch", At: towards(doc, r.From, r.To), Spec: spec}
	line, load := "line", "load"
	return sw, insertInPole(doc, r, components.Pos, sw, line, load)
}
