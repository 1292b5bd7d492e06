package checks

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// Inlet230 asks for the inlet and the main isolator of a 230 V caravan.
var Inlet230 = &rules.Rule{
	ID:    "inlet.230v-inlet-and-isolator",
	Title: "The inlet or the main isolator is not as a caravan's",
	Must:  "A 230 V caravan has one inlet of IEC 60309-2, 16 A unless more is needed, not above 1.8 m, and behind it one isolator within reach that opens line and neutral together.",
	Basis: []rules.Basis{
		{Source: "IEC 60364-7-721:2017", Clause: "721.55", Says: "the inlet, at most 1.8 m above ground, with a notice of voltage, frequency and current", Seen: rules.Published},
		{Source: "IEC 60364-7-721:2017", Clause: "721.46, 721.537", Says: "a main isolator for each installation, all live conductors", Seen: rules.Published},
		{Source: "IEC 60364-7-721:2017", Clause: "721.313", Says: "230 V single phase at most", Seen: rules.Memory},
	},
	Set:   components.Caravan,
	Level: rules.Violation, Stateless: true,
	Check: inlet230,
}

// highestInletM is how high the inlet may sit.
const highestInletM = 1.8

func inlet230(p *rules.Pass) {
	var inlets []components.Part
	for _, q := range p.Doc.Parts() {
		switch {
		case q.Gone():
		case q.Kind == &components.Shore && components.ServiceVolts(q.Word("service")) != p.Doc.MainsVolts():
			p.Report(rules.Finding{At: string(q.ID), Message: fmt.Sprintf("%s offers %s V, but the project's rule set is for a single 230 V supply: change the supply, or the rule set", q.ID, numText(components.ServiceVolts(q.Word("service"))))})
		case q.Kind == &components.Inlet && joinedAt(p.Doc, q, []string{"rig"}):
			inlets = append(inlets, q)
		}
	}
	if len(inlets) > 1 {
		manyInlets(p, inlets)
	}
	for _, q := range inlets {
		inletHeight(p, q)
		inletNotice(p, q)
		mainIsolator(p, q)
	}
}

func inletHeight(p *rules.Pass, q components.Part) {
	h := q.Figure("height_m")
	switch {
	case !h.Known():
		p.Unchecked(string(q.ID), fmt.Sprintf("height_m of %s is not told: measure from the ground to the middle of the inlet (1.8 m is the limit)", q.ID))
	case h.Value > highestInletM:
		p.Report(rules.Finding{
			At:      q.Ref("site").String(),
			Message: fmt.Sprintf("%s sits %s m above the ground; 1.8 m is the limit", q.ID, numText(h.Value)),
			Working: []string{fmt.Sprintf("%s m > 1.8 m", numText(h.Value))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Set %s lower, at 1.8 m or less", q.ID), Edits: []components.Edit{set(q.ID, "height_m", components.Num(highestInletM))}}},
		})
	}
}

func inletNotice(p *rules.Pass, q components.Part) {
	want := "16a-230"
	if v, from := q.Value("plate"); from != components.Missing && q.Figure("rating_a").Value == 16 && v.Str() != want {
		there := "No notice stands beside " + string(q.ID)
		if v.Str() != "none" {
			there = fmt.Sprintf("The notice beside %s says %s", q.ID, serviceText(v.Str()))
		}
		p.Report(rules.Finding{
			At:      q.Ref("rig").String(),
			Message: there + "; it tells voltage, frequency and current: 230 V, 50 Hz, 16 A",
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fix a notice for %s beside %s", serviceText(want), q.ID), Edits: []components.Edit{set(q.ID, "plate", components.Str(want))}}},
		})
	}
}

// mainIsolator asks that the first device on each way from the inlet opens line and
// neutral.
func mainIsolator(p *rules.Pass, inlet components.Part) {
	from, ok := p.Circuit.At(inlet.ID, "rig", components.L)
	if !ok {
		return
	}
	_, devices, open := toDevices(p, from)
	var way []string
	for _, t := range open {
		if part := p.Circuit.Terms[t].Part; part != inlet.ID {
			way = append(way, string(part))
		}
	}
	if len(way) > 0 || len(devices) == 0 {
		p.Report(rules.Finding{
			At: string(inlet.ID), Also: way,
			Message: fmt.Sprintf("No main isolator stands behind %s%s: nothing on board cuts line and neutral off", inlet.ID, onWay(way)),
			Working: []string{"isolators on the way: 0"},
		})
	}
	single := map[string]bool{}
	for _, d := range devices {
		if d.Neutral || single[d.Address()] {
			continue
		}
		single[d.Address()] = true
		if polesUnread(p, d) {
			p.Unchecked(d.Address(), fmt.Sprintf("whether %s, the first switch behind %s, opens the neutral too is not told: look at its poles", d, inlet.ID), string(inlet.ID))
			continue
		}
		f := rules.Finding{
			At: d.Address(), Also: []string{string(inlet.ID)},
			Message: fmt.Sprintf("%s is the first switch behind %s and opens the line alone; the main isolator opens line and neutral", d, inlet.ID),
			Working: []string{"poles opened: 1; wanted: 2"},
		}
		if edit, ok := twoPole(p, d); ok {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a two-pole device as %s", d), Edits: []components.Edit{edit}}}
		}
		p.Report(f)
	}
}

func onWay(parts []string) string {
	if len(parts) == 0 {
		return ""
	}
	return " on the way to " + strings.Join(parts, ", ")
}

// twoPole is the edit that makes a device open the neutral too.
func twoPole(p *rules.Pass, d circuit.Device) (components.Edit, bool) {
	part, _ := p.Doc.Part(d.Part)
	switch {
	case part.Kind == &components.ACBreaker:
		return set(d.Part, "opens_neutral", components.Yes(true)), true
	case part.Kind == &components.Panel && d.Place == "main":
		return set(d.Part, "main_opens_neutral", components.Yes(true)), true
	case part.Kind == &components.Panel:
		rows := part.Rows("circuits")
		next := make([]components.Spec, len(rows))
		for i, row := range rows {
			next[i] = row
			if fmt.Sprintf("c%d", i+1) == d.Place {
				next[i] = row.With("opens_neutral", components.Yes(true))
			}
		}
		return set(d.Part, "circuits", components.Table(next...)), true
	}
	return nil, false
}

// polesUnread tells whether a survey left open if a device opens the neutral.
func polesUnread(p *rules.Pass, d circuit.Device) bool {
	part, _ := p.Doc.Part(d.Part)
	switch d.Place {
	case "":
		return part.Told("opens_neutral").IsUnknown()
	case "main":
		return part.Told("main_opens_neutral").IsUnknown()
	}
	for i, row := range part.Rows("circuits") {
		if fmt.Sprintf("c%d", i+1) == d.Place {
			return row["opens_neutral"].IsUnknown()
		}
	}
	return false
}
