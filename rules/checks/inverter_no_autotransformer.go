package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// NoAutotransformer keeps autotransformers out of the vehicle's supply.
var NoAutotransformer = &rules.Rule{
	ID:    "inverter.no-autotransformer",
	Title: "An autotransformer stands in the vehicle's supply",
	Must:  "No autotransformer stands in the vehicle's AC supply or in combined AC and DC equipment; a transformer with two windings is accepted.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.20(E)", Says: "no autotransformers in combined AC and DC systems; whether that reaches voltage boosters and leg balancers is argued, so ask the authority", Seen: rules.Published},
	},
	Set:   components.USVehicle,
	Level: rules.Violation, Stateless: true,
	Check: noAutotransformer,
}

func noAutotransformer(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Autotransformer || q.Gone() || len(p.Doc.RunsOf(q.ID)) == 0 {
			continue
		}
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s is an autotransformer in the vehicle's supply: one winding joins both legs, and the neutral behind it hangs on that winding alone", q.ID),
			Working: []string{"autotransformers allowed in a vehicle's supply: 0; drawn: " + string(q.ID)},
			Fixes:   bypassPart(p, q, "a", "b"),
		})
	}
}

// bypassPart takes a part out and joins the one run at each of its two sides
// into one.
func bypassPart(p *rules.Pass, q components.Part, in, out string) []rules.Fix {
	a, b := p.Doc.RunsAt(q.Ref(in)), p.Doc.RunsAt(q.Ref(out))
	drop := p.Doc.Delete(q.ID)
	if len(a) == 1 && len(b) == 1 && len(p.Doc.RunsOf(q.ID)) == 2 {
		one := a[0]
		one.From, one.To, one.Path = a[0].Other(q.Ref(in)), b[0].Other(q.Ref(out)), nil
		one.Cores = acrossCores(p, a[0], b[0], q.Ref(in), q.Ref(out))
		if x, y := a[0].Figure("length_ft"), b[0].Figure("length_ft"); x.Known() && y.Known() {
			one.Spec = one.Spec.With("length_ft", components.Num(tenth(x.Value+y.Value)))
		}
		edits := append(drop, components.AddRun{Run: one})
		if _, err := p.Doc.Apply(edits...); err == nil {
			return []rules.Fix{{Title: fmt.Sprintf("Take %s out and join its cables", q.ID), Edits: edits}}
		}
	}
	return []rules.Fix{{Title: fmt.Sprintf("Take %s out", q.ID), Edits: drop}}
}

// acrossCores are the cores of two runs that meet at a part, as one run's: a pole
// at the far end of the first to the pole it reaches at the far end of the second.
func acrossCores(p *rules.Pass, first, second components.Run, in, out components.PortRef) []components.Core {
	ends := func(r components.Run, at components.PortRef) map[components.Pole]components.Pole { // near pole to far pole
		m := map[components.Pole]components.Pole{}
		for _, c := range p.Doc.CoresOf(r) {
			if r.From == at {
				m[c.From] = c.To
			} else {
				m[c.To] = c.From
			}
		}
		return m
	}
	a, b := ends(first, in), ends(second, out)
	var cores []components.Core
	for _, pole := range components.Poles {
		if x, ok := a[pole]; ok {
			if y, ok := b[pole]; ok {
				cores = append(cores, components.Core{From: x, To: y})
			}
		}
	}
	return cores
}
