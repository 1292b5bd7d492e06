package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// NotInNeutral finds a device that opens the neutral and leaves the hot closed.
var NotInNeutral = &rules.Rule{
	ID:    "overcurrent.not-in-neutral",
	Title: "A fuse stands in the neutral",
	Must:  "No fuse, breaker or switch opens a neutral alone: what opens it opens every hot of the circuit with it. In a 230 V caravan the breaker of every final circuit opens both.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.22", Says: "no overcurrent device in a grounded conductor, unless it opens all conductors at once", Seen: rules.Memory},
		{Source: "IEC 60364-7-721:2017", Clause: "721.43", Says: "in a 230 V caravan the device of every final circuit opens line and neutral", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Explains: []string{"neutral.open-neutral-exposure"},
	Check:    notInNeutral,
}

func notInNeutral(p *rules.Pass) {
	if european(p.Doc) {
		finalCircuits(p)
	}
	for _, q := range p.Doc.Parts() {
		if q.Gone() || !opensNeutralAlone(p.Circuit, q) {
			continue
		}
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s stands in the neutral alone: when it opens, everything behind it is dead to the touch of a switch and still live at %s V", q.ID, numText(p.Doc.MainsVolts())),
			Working: []string{"conductors that " + string(q.ID) + " opens: N; hots that open with it: none"},
			Fixes:   bridged(p.Doc, q),
		})
	}
}

// finalCircuits asks of a caravan that the breaker of each circuit in use opens the
// neutral with the line.
func finalCircuits(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Panel || q.Gone() {
			continue
		}
		for i, row := range q.Rows("circuits") {
			port := fmt.Sprintf("c%d", i+1)
			if row["opens_neutral"].Truth() || len(p.Doc.RunsAt(q.Ref(port))) == 0 {
				continue
			}
			d := circuit.Device{Part: q.ID, Place: port}
			if row["opens_neutral"].IsUnknown() {
				p.Unchecked(d.Address(), fmt.Sprintf("whether %s opens the neutral too is not told: look at its poles", d))
				continue
			}
			f := rules.Finding{
				At: d.Address(), Level: rules.Violation,
				Message: fmt.Sprintf("%s opens the line alone; a caravan's final circuit opens line and neutral, since a pitch may be wired the wrong way round", d),
				Working: []string{"poles opened: 1; wanted: 2"},
			}
			if edit, ok := twoPole(p, d); ok {
				f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a two-pole breaker as %s", d), Edits: []components.Edit{edit}}}
			}
			p.Report(f)
		}
	}
}

// opensNeutralAlone tells whether a part has a contact in a neutral and none of
// the same kind in a hot.
func opensNeutralAlone(c *circuit.Circuit, q components.Part) bool {
	neutral, hot := false, false
	for _, l := range c.LinksIn(q.ID) {
		if l.Join.When == components.Closable {
			neutral, hot = neutral || l.Join.APole == components.N, hot || l.Join.APole.Hot()
		}
	}
	return neutral && !hot
}

// bridged takes a part with one run on either side out and makes the two runs one.
func bridged(doc *components.Document, q components.Part) []rules.Fix {
	line, load := doc.RunsAt(q.Ref("line")), doc.RunsAt(q.Ref("load"))
	if len(line) != 1 || len(load) != 1 {
		return nil
	}
	whole := line[0]
	whole.From, whole.To, whole.Path = line[0].Other(q.Ref("line")), load[0].Other(q.Ref("load")), nil
	whole.Cores = []components.Core{{From: components.N, To: components.N}}
	if a, b := line[0].Figure("length_ft"), load[0].Figure("length_ft"); a.Known() && b.Known() {
		whole.Spec = whole.Spec.With("length_ft", components.Num(tenth(a.Value+b.Value)))
	}
	edits := append(doc.Delete(q.ID), components.AddRun{Run: whole})
	if _, err := doc.Apply(edits...); err != nil {
		return nil
	}
	return []rules.Fix{{Title: fmt.Sprintf("Take %s out and let %s run through", q.ID, whole.ID), Edits: edits}}
}
