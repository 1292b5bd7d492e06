package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// VoltageRating holds every DC device and switch to the highest voltage that it
// may have to open.
var VoltageRating = &rules.Rule{
	ID:    "overcurrent.voltage-rating",
	Title: "A DC device is rated below the voltage it has to open",
	Must:  "The DC voltage rating of each fuse, breaker and switch is at least the highest voltage of its circuit: the charging limit of the bank, or the array on its coldest morning.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.455(d)", Says: "voltage rating not below the circuit's (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.7", Says: "rated for the highest voltage of the array", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "706.21(C), 552.10(F)", Says: "rated for the highest voltage, and for direct current (706 binds above 60 V, quoted as engineering basis below; 552 is for park trailers, as article 551 excludes low voltage)", Seen: rules.Published},
	},
	Level: rules.Danger,
	Check: voltageRating,
}

func voltageRating(p *rules.Pass) {
	mainsFuses(p)
	told := map[components.ID]bool{}
	for _, l := range p.Circuit.Links {
		if l.Part == "" || !l.Join.When.Opens() || !l.Join.APole.DC() || told[l.Part] {
			continue
		}
		part, _ := p.Doc.Part(l.Part)
		volts, rests := serviceVolts(p, l)
		if volts == 0 {
			continue
		}
		rated, because, known := ratedVolts(part)
		if !known {
			if part.Kind == &components.DCSwitch {
				told[l.Part] = true
				p.Unchecked(string(part.ID), fmt.Sprintf("the DC voltage rating of %s is not known: read it off the switch (%s V at least)", part.ID, numText(volts)))
			}
			continue
		}
		if rated >= volts {
			continue
		}
		told[l.Part] = true
		f := rules.Finding{
			At:      string(part.ID),
			Message: fmt.Sprintf("%s is rated %s V DC, but its circuit reaches %s V: its arc does not go out", part.ID, numText(rated), numText(volts)),
			Working: []string{because, fmt.Sprintf("%s V < %s V", numText(rated), numText(volts))}, RestsOn: rests,
		}
		if t, _ := tables.FuseFamily("class-t"); part.Kind == &components.Fuse && volts <= t.VoltsDC {
			if rating, ok := t.AtLeast(part.Figure("rating_a").Value); ok {
				f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a %s A class T fuse as %s", numText(rating), part.ID), Edits: classT(part, rating)}}
			}
		}
		if part.Kind == &components.DCSwitch {
			want := math.Ceil(volts/10) * 10
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a switch of %s V DC or more as %s", numText(want), part.ID), Edits: []components.Edit{set(part.ID, "volts_dc", components.Num(want))}}}
		}
		p.Report(f)
	}
}

// serviceVolts is the highest voltage of a DC contact in service.
func serviceVolts(p *rules.Pass, l circuit.Link) (volts float64, rests []string) {
	volts = highestVolts(p, l)
	for _, t := range []circuit.Term{l.A, l.B} {
		for _, q := range arraysOn(p, t) {
			if v, rest := coldVoc(q); v > volts {
				volts, rests = v, rest
			}
		}
	}
	return volts, rests
}

// ratedVolts is what a device opens: as told, or its family's.
func ratedVolts(part components.Part) (volts float64, because string, known bool) {
	if v := part.Figure("volts_dc"); v.Known() {
		return v.Value, "as printed on it", true
	}
	family, ok := tables.FuseFamily(part.Word("family"))
	if part.Kind == &components.DCPanel {
		family, ok = tables.FuseFamily("blade-atc")
	}
	return family.VoltsDC, family.Name + ", family figure", ok
}

// vehicleFuses are the families that are made for a vehicle's low voltage alone.
var vehicleFuses = map[string]bool{"blade-atc": true, "blade-mini": true, "blade-maxi": true, "anl": true, "strip-sf51": true, "strip-sf30": true, "terminal-block": true}

// mainsFuses finds fuses of a vehicle's low voltage in a circuit of the mains.
func mainsFuses(p *rules.Pass) {
	if !p.First() {
		return
	}
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Fuse || q.Gone() || !vehicleFuses[q.Word("family")] {
			continue
		}
		if pole := q.Word("pole"); pole != "L" && pole != "N" {
			continue
		}
		family, _ := tables.FuseFamily(q.Word("family"))
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s is made for the %s V of a vehicle and stands at %s V AC: its arc does not go out. Protect the circuit by a breaker", q.ID, numText(family.VoltsDC), numText(p.Doc.MainsVolts())),
			Working: []string{fmt.Sprintf("%s: %s V DC, no AC rating", family.Name, numText(family.VoltsDC))},
		})
	}
}
