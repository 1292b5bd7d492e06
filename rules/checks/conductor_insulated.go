package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// Insulated finds live conductors without insulation, and mains on wire that is made for
// a vehicle's low voltage.
var Insulated = &rules.Rule{
	ID:    "conductor.insulated-for-its-voltage",
	Title: "A conductor is not insulated for what it carries",
	Must:  "Bare copper carries ground alone: a hot, a positive, a neutral and a negative are insulated, but for a covered strap of up to 18 in between the studs of bus bars, fuses and switches. Mains lie in building wire, cable or cord, not in battery cable and primary wire, whose insulation is rated for the low voltage of a vehicle; nor does an array of more than 60 V. A two-core cable holds two conductors.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "310.3(D)", Says: "conductors are insulated, but where a bare one is permitted in so many words", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2023", Clause: "250.118, 250.119", Says: "an equipment grounding conductor may be bare", Seen: rules.Memory},
		{Source: "a strap of up to 18 in between the studs of bus bars, fuses and switches is bare, and covered", Seen: rules.Practice},
		{Source: "SAE J1127, SAE J1128", Says: "battery cable and primary wire for 60 V DC or less", Seen: rules.Memory},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) {
		for _, r := range p.Doc.Runs() {
			if !r.Gone() {
				insulated(p, r)
				tooManyCores(p, r)
				arrayInLowVoltage(p, r)
			}
		}
	},
}

// strapFt is how long a bare strap between the studs of a bus bar, a fuse and a switch is
// at most, in feet (common practice, no source).
const strapFt = 1.5

// lowVoltage are the constructions that are made for a vehicle's low voltage.
var lowVoltage = map[string]bool{"battery-105": true, "primary-105": true}

func insulated(p *rules.Pass, r components.Run) {
	cable, told := r.Cable()
	if !told {
		return // conductor.ampacity-covers-overcurrent and its like ask for it
	}
	if cable.ID != "bare-copper" && !lowVoltage[cable.ID] {
		return
	}
	short := false
	if cable.ID == "bare-copper" { // what is not read does not bring the rule back
		length := r.Figure("length_ft")
		short = length.Known() && length.Value <= strapFt
	}
	level, worst := rules.Level(0), components.Pole("")
	for _, core := range p.Doc.CoresOf(r) {
		l := rules.Level(0)
		switch pole := core.From; {
		case pole == components.G || core.To == components.G, short && pole == components.Neg && cable.ID == "bare-copper":
		case short && pole == components.Pos && cable.ID == "bare-copper":
			l = rules.Advice
		case cable.ID == "bare-copper" && (pole.Hot() || pole == components.Pos):
			l = rules.Danger
		case cable.ID == "bare-copper", lowVoltage[cable.ID] && !pole.DC():
			l = rules.Violation
		}
		if l > level {
			level, worst = l, core.From
		}
	}
	if level == 0 {
		return
	}
	message := fmt.Sprintf("%s of %s is bare copper, which may carry ground alone", worst, r.ID)
	if level == rules.Advice {
		message = fmt.Sprintf("%s of %s is a bare copper strap: cover it, so that no tool bridges it to ground", worst, r.ID)
	}
	want := "battery-105"
	if cable.ID != "bare-copper" {
		message = fmt.Sprintf("%s of %s carries mains in %s, which is made for the low voltage of a vehicle", worst, r.ID, cable.Title)
	}
	if !worst.DC() {
		if want = "thhn"; p.Doc.Basis == components.Caravan {
			want = "h07v-k"
		}
	}
	made, _ := components.FindConstruction(want)
	p.Report(rules.Finding{
		At: string(r.ID), Level: level,
		Message: message,
		Working: []string{fmt.Sprintf("there: %s; conductor: %s", cable.Title, worst)},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, made.Title), Edits: []components.Edit{set(r.ID, "cable", components.Str(want))}}},
	})
}

// tooManyCores finds more conductors drawn in a two-core cable than it has.
func tooManyCores(p *rules.Pass, r components.Run) {
	const cores = 2
	cable, told := r.Cable()
	if n := len(p.Doc.CoresOf(r)); told && cable.ID == "duplex-105" && n > cores {
		want := "tray-90"
		if p.Doc.Basis == components.Caravan {
			want = "h05vv-f"
		}
		made, _ := components.FindConstruction(want)
		p.Report(rules.Finding{
			At: string(r.ID), Level: rules.Violation,
			Message: fmt.Sprintf("%s is %s, and %d conductors are drawn in it, where two fit", r.ID, cable.Title, n),
			Working: []string{fmt.Sprintf("%d conductors > %d cores", n, cores)},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, made.Title), Edits: []components.Edit{set(r.ID, "cable", components.Str(want))}}},
		})
	}
}

// lowVolts is what battery cable and primary wire are made for, V DC.
const lowVolts = 60

// arrayInLowVoltage finds battery cable and primary wire on an array of more than 60 V.
func arrayInLowVoltage(p *rules.Pass, r components.Run) {
	cable, told := r.Cable()
	if !told || !lowVoltage[cable.ID] {
		return
	}
	for _, core := range p.Doc.CoresOf(r) {
		t, ok := p.Circuit.Term(r.From.At(core.From))
		if !ok || core.From != components.Pos {
			continue
		}
		for _, a := range arraysOn(p, t) {
			volts, rests := coldVoc(a)
			if volts <= lowVolts {
				continue
			}
			made, _ := components.FindConstruction("pv-90")
			p.Report(rules.Finding{
				At: string(r.ID), Also: []string{string(a.ID)}, Level: rules.Violation, RestsOn: rests,
				Message: fmt.Sprintf("%s is %s, made for %d V, and %s reaches %s V on its coldest morning", r.ID, cable.Title, lowVolts, a.name(), numText(volts)),
				Working: []string{coldWorking(a, volts), fmt.Sprintf("%s V > %d V", numText(volts), lowVolts)},
				Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, made.Title), Edits: []components.Edit{set(r.ID, "cable", components.Str("pv-90"))}}},
			})
			return
		}
	}
}
