package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// DisconnectRating holds every DC switch to what it has to carry.
var DisconnectRating = &rules.Rule{
	ID:    "disconnect.rating",
	Title: "A DC switch is too small for what it carries",
	Must:  "A DC switch carries the largest continuous current, stands the surge of the inverters behind it, and its fuse is at most half as large again as its rating. (overcurrent.voltage-rating holds it to the voltage.)",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(F)", Says: "DC rating at least the connected load (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
		{Source: "a fuse of at most 150 % of the switch ahead of or behind it", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: disconnectRating,
}

func disconnectRating(p *rules.Pass) {
	for i, l := range p.Circuit.Links {
		sw, _ := p.Doc.Part(l.Part)
		if sw.Kind != &components.DCSwitch || !l.Join.When.Opens() || len(arraysOn(p, l.A)) > 0 {
			continue // solar.battery-first holds the array's own switch
		}
		switchRating(p, sw, i, l)
	}
}

func switchRating(p *rules.Pass, sw components.Part, link int, l circuit.Link) {
	d := p.Demand()
	rating, amps, surge := sw.Figure("rating_a"), d.Amps[link], d.Surge[link]
	if !rating.Known() {
		p.Unchecked(string(sw.ID), fmt.Sprintf("rating_a of %s is not known: read the continuous figure off the switch (%s)", sw.ID, leastText(p, amps, link)))
		return
	}
	short := sw.Figure("surge_a")
	fuse, ahead := switchFuse(p, link)
	f := rules.Finding{At: string(sw.ID), Working: []string{
		fmt.Sprintf("largest continuous current through %s = %s A (inverters at rated power and lowest input voltage, or all charge sources)", sw.ID, numText(amps)),
	}}
	want := by50(math.Max(amps, fuse/1.5))
	switch {
	case fuse > 0 && amps > 2*fuse:
		return // a crossed lead: overcurrent.rating-above-continuous and conductor.crossed-poles speak
	case amps > rating.Value*1.001:
		f.Message = fmt.Sprintf("%s carries up to %s A for hours and is rated %s A", sw.ID, numText(amps), numText(rating.Value))
	case fuse > 1.5*rating.Value*1.001:
		f.Message = fmt.Sprintf("%s is rated %s A behind %s: the fuse lets it overheat", sw.ID, numText(rating.Value), ahead)
		f.Working = append(f.Working, fmt.Sprintf("%s A > 150 %% × %s A = %s A", numText(fuse), numText(rating.Value), numText(1.5*rating.Value)))
	case short.Known() && surge > short.Value*1.001 && surge > rating.Value:
		f.Message = fmt.Sprintf("The surge of the inverters drives %s A through %s, whose intermittent rating is %s A", numText(surge), sw.ID, numText(short.Value))
		f.Working = append(f.Working, fmt.Sprintf("surge power at the lowest input voltage = %s A > %s A", numText(surge), numText(short.Value)))
	case askDemand(p, l.A, string(sw.ID)):
		return
	case !short.Known() && surge > rating.Value*1.001:
		p.Unchecked(string(sw.ID), fmt.Sprintf("surge_a of %s is not known: read its intermittent figure off the switch (%s A at least, for the seconds of a surge)", sw.ID, numText(math.Ceil(surge))))
		return
	default:
		return
	}
	want = math.Max(want, rating.Value)
	edits := []components.Edit{set(sw.ID, "rating_a", components.Num(want))}
	title := fmt.Sprintf("Fit a switch of %s A as %s", numText(want), sw.ID)
	if surge > want {
		edits = append(edits, set(sw.ID, "surge_a", components.Num(by50(surge))))
		title = fmt.Sprintf("Fit a switch of %s A, %s A for seconds, as %s", numText(want), numText(by50(surge)), sw.ID)
	} else {
		edits = append(edits, clearTold(sw, "surge_a")...)
	}
	f.Fixes = []rules.Fix{{Title: title, Edits: edits}}
	p.Report(f)
}

// switchFuse is what the devices ahead of a switch let through from the batteries,
// 0 where none is ahead.
func switchFuse(p *rules.Pass, link int) (amps float64, names string) {
	feeds := p.Feeds()[link]
	for _, f := range feeds {
		if !f.Source.Stores || !f.HasDevice() || f.Unknown {
			continue
		}
		limit, text := f.LimitA, f.String()
		for _, o := range joint(feeds, f) {
			limit += o.LimitA
			text += " and " + o.String()
		}
		if limit > amps && !math.IsInf(limit, 1) {
			amps, names = limit, text
		}
	}
	return amps, names
}
