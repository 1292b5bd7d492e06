package checks

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// SourceLabels asks for the plates and signs of the AC sources.
var SourceLabels = &rules.Rule{
	ID:    "labelling.inlet-and-sources",
	Title: "A plate or sign of a source is wrong or missing",
	Must:  "A durable plate beside the inlet gives the supply that the vehicle takes; a generator is marked bonded or floating; a sign at the main names each source on board.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.46(D)", Says: "a plate beside the inlet with volts, wires, frequency and amperes", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "445.11", Says: "a generator's marking tells whether its neutral is bonded", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "702.7, 110.22", Says: "a sign names the sources (by analogy)", Seen: rules.Memory},
	},
	Level: rules.Violation, Stateless: true,
	Check: sourceLabels,
}

func sourceLabels(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		switch q.Kind {
		case &components.Inlet:
			inletPlate(p, q)
		case &components.Generator:
			askMarked(p, q, "neutral_marked", "whether the set says what its neutral is, is not: look for the mark beside its outlets")
			if v, from := q.Value("neutral_marked"); from != components.Missing && !v.Truth() {
				p.Report(rules.Finding{At: string(q.ID), Message: fmt.Sprintf("%s carries no mark that says whether its neutral is bonded", q.ID),
					Fixes: []rules.Fix{{Title: fmt.Sprintf("Mark %s: %s", q.ID, bondedWord(q)), Edits: []components.Edit{set(q.ID, "neutral_marked", components.Yes(true))}}}})
			}
		case &components.Panel:
			if len(onBoard(p)) > 0 {
				askMarked(p, q, "sources_sign", "whether a sign names the sources on board is not: look beside the main")
			}
			if v, from := q.Value("sources_sign"); from != components.Missing && !v.Truth() {
				if sources := onBoard(p); len(sources) > 0 {
					p.Report(rules.Finding{At: string(q.ID), Message: fmt.Sprintf("No sign at %s names the sources on board: %s", q.ID, strings.Join(sources, ", ")),
						Fixes: []rules.Fix{{Title: fmt.Sprintf("Put a sign at %s that names %s", q.ID, strings.Join(sources, ", ")), Edits: []components.Edit{set(q.ID, "sources_sign", components.Yes(true))}}}})
				}
			}
		}
	}
}

func bondedWord(q components.Part) string {
	if q.Is("bonded") {
		return "neutral bonded to frame"
	}
	return "neutral floating"
}

// onBoard are the AC sources that the vehicle carries.
func onBoard(p *rules.Pass) []string {
	var names []string
	for _, q := range p.Doc.Parts() {
		if !q.Gone() && (q.Kind == &components.Generator || q.Kind == &components.Inverter || q.Kind == &components.InverterCharger) {
			names = append(names, label(q))
		}
	}
	return names
}

// plateOf is the supply that an inlet's plate names.
func plateOf(rating float64) string {
	return map[float64]string{15: "15a-120", 20: "20a-120", 30: "30a-120", 50: "50a-120/240"}[rating]
}

func inletPlate(p *rules.Pass, q components.Part) {
	v, from := q.Value("plate")
	want := plateOf(q.Figure("rating_a").Value)
	if want == "" {
		return
	}
	if from == components.Missing {
		if q.Status == components.Existing || v.IsUnknown() {
			p.Unchecked(string(q.ID), fmt.Sprintf("plate of %s is not told: read the plate beside the inlet (none where there is none)", q.ID))
		}
		return // a new inlet's plate is ordered with it
	}
	if v.Str() == want {
		return
	}
	f := rules.Finding{At: string(q.ID), Working: []string{"wanted: " + want + "; there: " + v.Str()},
		Fixes: []rules.Fix{{Title: fmt.Sprintf("Fit a plate for %s beside %s", serviceText(want), q.ID), Edits: []components.Edit{set(q.ID, "plate", components.Str(want))}}}}
	if v.Str() == "none" {
		f.Message = fmt.Sprintf("No plate beside %s tells what supply it takes", q.ID)
	} else {
		f.Message = fmt.Sprintf("The plate beside %s says %s, but the inlet takes %s", q.ID, serviceText(v.Str()), serviceText(want))
	}
	p.Report(f)
}

// serviceText prints a service as its plate does.
func serviceText(service string) string {
	amps, volts, _ := strings.Cut(service, "a-")
	return amps + " A " + volts + " V"
}

// PanelDirectory asks that every breaker is named and conductors have their colours.
var PanelDirectory = &rules.Rule{
	ID:    "labelling.panel-directory",
	Title: "The panel's directory or a conductor's colour is wrong",
	Must:  "Each breaker in use is named by what it feeds, no two alike; a neutral of its own is white or grey, a ground green or bare; in a 230 V caravan brown, blue, and green-and-yellow.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "408.4(A)", Says: "every circuit identified, none described by what may change", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2023", Clause: "200.6, 250.119", Says: "white or grey neutral; green, green with yellow, or bare ground", Seen: rules.Memory},
		{Source: "IEC 60445", Says: "in a 230 V caravan: brown line, blue neutral, green-and-yellow protective conductor", Seen: rules.Published},
	},
	Level: rules.Advice, Stateless: true,
	Check: panelDirectory,
}

func panelDirectory(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Panel && !q.Gone() {
			directory(p, q)
		}
	}
	for _, r := range p.Doc.Runs() {
		if !r.Gone() {
			coreColour(p, r)
		}
	}
}

func directory(p *rules.Pass, q components.Part) {
	rows := q.Rows("circuits")
	first := map[string]int{}
	for i, row := range rows {
		port := fmt.Sprintf("c%d", i+1)
		name := strings.TrimSpace(row["label"].Str())
		used := len(p.Doc.RunsAt(q.Ref(port))) > 0
		f := rules.Finding{At: fmt.Sprintf("%s.%s", q.ID, port)}
		folded := strings.ToLower(name)
		switch j, twice := first[folded]; {
		case !used:
			continue
		case name == "":
			f.Message = fmt.Sprintf("Circuit %d of %s feeds something and has no name in the directory", i+1, q.ID)
		case folded == "spare" || folded == "blank" || folded == "unused":
			f.Message = fmt.Sprintf("Circuit %d of %s is called %q and feeds something", i+1, q.ID, name)
		case twice:
			f.Message = fmt.Sprintf("Circuits %d and %d of %s are both called %q", j+1, i+1, q.ID, name)
		default:
			first[folded] = i
			continue
		}
		f.Fixes = nameCircuit(p, q, rows, i)
		p.Report(f)
	}
}

// nameCircuit names a circuit by what its run leads to.
func nameCircuit(p *rules.Pass, q components.Part, rows []components.Spec, i int) []rules.Fix {
	ref := q.Ref(fmt.Sprintf("c%d", i+1))
	for _, r := range p.Doc.RunsAt(ref) {
		far, ok := p.Doc.Part(r.Other(ref).Part)
		if !ok {
			continue
		}
		name := label(far)
		for _, row := range rows {
			if strings.EqualFold(row["label"].Str(), name) {
				name = fmt.Sprintf("%s (%s)", name, far.ID)
			}
		}
		named := append([]components.Spec{}, rows...)
		named[i] = rows[i].With("label", components.Str(name))
		return []rules.Fix{{Title: fmt.Sprintf("Call circuit %d of %s %q", i+1, q.ID, name), Edits: []components.Edit{set(q.ID, "circuits", components.Table(named...))}}}
	}
	return nil
}

// coreColour looks at runs of one core, whose colour is that core's.
func coreColour(p *rules.Pass, r components.Run) {
	cores := p.Doc.CoresOf(r)
	colour := strings.ToLower(r.Told("color").Str())
	if len(cores) != 1 || colour == "" || cores[0].From.DC() || cores[0].To.DC() {
		return
	}
	role := cores[0].Role()
	want := colourOf(p.Doc.Basis, role, colour)
	if want == "" {
		return
	}
	p.Report(rules.Finding{
		At:      string(r.ID),
		Message: fmt.Sprintf("%s is a %s conductor and is drawn %s: want %s", r.ID, poleWord(role), colour, want),
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Make %s %s", r.ID, want), Edits: []components.Edit{set(r.ID, "color", components.Str(want))}}},
	})
}

// colourOf is the colour that a conductor ought to have where it has a wrong one,
// "" where its own is right. In a caravan a line is brown (black and grey serve
// too), a neutral blue, the protective conductor green and yellow; else a neutral
// is white or grey, a ground green or bare, and a hot neither.
func colourOf(set string, role components.Pole, colour string) string {
	green := strings.Contains(colour, "green") || colour == "bare"
	white := colour == "white" || colour == "grey" || colour == "gray"
	blue := strings.Contains(colour, "blue")
	if set == components.Caravan {
		switch {
		case role == components.G && !(strings.Contains(colour, "green") && strings.Contains(colour, "yellow")) && colour != "bare":
			return "green and yellow"
		case role == components.N && !blue:
			return "blue"
		case role.Hot() && (green || blue || colour == "white" || colour == "yellow"):
			return "brown"
		}
		return ""
	}
	switch {
	case role == components.G && !green:
		return "green"
	case role == components.N && !white:
		return "white"
	case role.Hot() && (green || white):
		return "black"
	}
	return ""
}

func poleWord(pole components.Pole) string {
	switch {
	case pole == components.G:
		return "ground"
	case pole == components.N:
		return "neutral"
	}
	return "hot"
}
