package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// OneBond holds every live AC network to exactly one neutral-to-ground bond.
var OneBond = &rules.Rule{
	ID:    "neutral.one-bond-per-state",
	Title: "Neutral and ground do not meet exactly once",
	Must:  "In each operating state exactly one neutral-to-ground bond belongs to the network of the source that is alive, and it stands at that source. The cord of a carried set at an inlet is taken to be out while the set stands still off grid.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "250.24(A)(5), 250.30(A)(1), 250.34, 250.6", Says: "one bond at the source, no objectionable current over ground", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2020", Clause: "250.6, 551.54(C)", Says: "on outside power no bond in the vehicle beside the site's (neutral.no-second-bond-on-shore): part of the neutral current flows in ground, as the two resistances share it", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "250.30(A)(1), 250.34(C), 551.30, 551.32", Says: "a source on board that runs alone is bonded at itself (neutral.bonded-when-source-on-board); that a fault then opens the breaker is for fault.far-end-clears", Seen: rules.Published},
		{Source: "UL 458", Says: "an inverter's ground relay bonds while it inverts", Seen: rules.Published},
	},
	Level: rules.Danger,
	Check: oneBond,
}

func oneBond(p *rules.Pass) {
	for _, isle := range p.Circuit.Islands() {
		isle.Bonds = oneOfTheSite(p, isle.Bonds)
		if len(isle.Bonds) <= 1 { // a second one stays a second one, whatever else comes to light
			if missing := unknownBond(p, isle); missing != "" {
				p.Unchecked(string(isle.Source), missing)
				continue
			}
		}
		if len(isle.Bonds) == 1 {
			continue
		}
		if src, ok := p.Doc.Part(isle.Source); ok && len(isle.Bonds) == 0 && !joinedAnywhere(p.Doc, src) {
			continue // it feeds nothing yet
		}
		var places, also []string
		for _, b := range isle.Bonds {
			places = append(places, fmt.Sprintf("%s (%s)", b.At, b.Via))
			if b.At != string(isle.Source) {
				also = append(also, b.At)
			}
		}
		f := rules.Finding{At: string(isle.Source), Also: also, Working: []string{fmt.Sprintf("bonds on the neutral of %s: %d", isle.Source, len(isle.Bonds))}}
		if len(isle.Bonds) == 0 {
			f.Message = fmt.Sprintf("%s feeds the rig with no neutral-to-ground bond: a hot wire on the frame makes the frame live and trips nothing", isle.Source)
			f.Fixes = bondFixes(p, isle)
		} else {
			f.Message = fmt.Sprintf("While %s feeds the rig, neutral and ground meet at %d places: %s. Neutral current flows in ground and frame", isle.Source, len(isle.Bonds), strings.Join(places, ", "))
			f.Working = append(f.Working, "each further bond is a second path for the neutral current: "+strings.Join(places, ", "))
			f.Working = append(f.Working, inGround(p)...)
			f.Fixes = unbondFixes(p, isle)
		}
		p.Report(f)
	}
}

// oneOfTheSite leaves one bond of a site whose outlets an adapter joins at an inlet: they
// stand behind the one bond of its service, however many are drawn.
func oneOfTheSite(p *rules.Pass, bonds []circuit.Bond) []circuit.Bond {
	atOneInlet := func(a, b circuit.Bond) bool {
		return slices.ContainsFunc(p.Doc.Parts(), func(q components.Part) bool {
			if q.Kind != &components.Inlet || q.Gone() {
				return false
			}
			sites := circuit.SuppliesAt(p.Doc, q.Ref("site"))
			return slices.Contains(sites, components.ID(a.At)) && slices.Contains(sites, components.ID(b.At))
		})
	}
	var each []circuit.Bond
	for _, b := range bonds {
		if b.Via != components.SiteBond || !slices.ContainsFunc(each, func(o circuit.Bond) bool { return o.Via == components.SiteBond && atOneInlet(o, b) }) {
			each = append(each, b)
		}
	}
	return each
}

// unknownBond names a bond that a survey has not settled and that this network's
// neutral would meet. An inverter's ground relay counts while it inverts.
func unknownBond(p *rules.Pass, isle circuit.Island) string {
	for _, q := range p.Doc.Parts() {
		for _, key := range []string{"bonded", "bond_relay", "neutral_bonded"} {
			if !q.Told(key).IsUnknown() || key == "bond_relay" && p.Circuit.Positions[q.ID] != circuit.Inverting {
				continue
			}
			if q.Gone() || !meetsNeutral(p, q, isle) {
				continue
			}
			return fmt.Sprintf("%s of %s is unknown, so the bonds cannot be counted: measure neutral to ground there with everything off", key, q.ID)
		}
	}
	return ""
}

// meetsNeutral tells whether a neutral of a part belongs to a network.
func meetsNeutral(p *rules.Pass, q components.Part, isle circuit.Island) bool {
	for _, port := range q.Kind.Ports(q.Spec) {
		if t, ok := p.Circuit.At(q.ID, port.Name, components.N); ok && p.Circuit.Net(t) == p.Circuit.Net(isle.Neut) {
			return true
		}
	}
	return false
}

// inGround says how much of the neutral current the solved state sends over
// ground conductors and frame, where it is any.
func inGround(p *rules.Pass) []string {
	if p.Solution().Failure != nil {
		return nil
	}
	at, most := "", 0.0
	for i, l := range p.Circuit.Links {
		if l.Run == "" || l.Core.From != components.G || l.Core.To != components.G {
			continue
		}
		if amps, ok := p.Solution().Amps(i); ok && amps > most*(1+1e-6) { // the first of those in a row
			at, most = string(l.Run), amps
		}
	}
	if most < 0.01 {
		return nil
	}
	return []string{fmt.Sprintf("with everything on, %s A of neutral current flow in the ground of %s, as the resistances share it; one bond: 0 A", numText(most), at)}
}

// bondFixes bond the source itself.
func bondFixes(p *rules.Pass, isle circuit.Island) []rules.Fix {
	src, ok := p.Doc.Part(isle.Source)
	if !ok {
		return nil
	}
	switch src.Kind {
	case &components.InverterCharger:
		return oneBondAfter(p, []rules.Fix{{Title: "Enable the ground relay of " + string(src.ID), Edits: []components.Edit{set(src.ID, "bond_relay", components.Yes(true))}}})
	case &components.Inverter, &components.Generator:
		return oneBondAfter(p, []rules.Fix{{Title: fmt.Sprintf("Bond the neutral of %s at %s", src.ID, src.ID), Edits: []components.Edit{set(src.ID, "bonded", components.Yes(true))}}})
	}
	return nil
}

// unbondFixes take out a bond that the vehicle should not have, or switch the
// neutral that joins two sources.
func unbondFixes(p *rules.Pass, isle circuit.Island) []rules.Fix {
	var fixes []rules.Fix
	for _, b := range isle.Bonds {
		id := components.ID(b.At)
		if b.At == string(isle.Source) {
			continue
		}
		q, ok := p.Doc.Part(id)
		if !ok {
			if _, run := p.Doc.Run(id); run {
				fix, ok := groundCrossed(p, id)
				if !ok {
					fix = rules.Fix{Title: "Remove " + b.At, Edits: []components.Edit{components.RemoveRun{ID: id}}}
				}
				fixes = append(fixes, fix)
			}
			continue
		}
		switch q.Kind {
		case &components.Panel:
			fixes = append(fixes, rules.Fix{Title: "Take the green screw out of " + b.At, Edits: []components.Edit{set(id, "neutral_bonded", components.Yes(false))}})
		case &components.BondKind:
			fixes = append(append(fixes, rules.Fix{Title: "Remove the jumper " + b.At, Edits: p.Doc.Delete(id)}), switchNeutral(p, q)...)
		case &components.InverterCharger:
			if b.Via == "ground relay" {
				fixes = append(fixes, rules.Fix{Title: "Switch off the ground relay of " + b.At + ", beside another unit's", Edits: []components.Edit{set(id, "bond_relay", components.Yes(false))}})
			}
			if b.Via == "inverter bond" {
				fixes = append(fixes, rules.Fix{Title: "Take the fixed bond out of " + b.At + " and use its ground relay",
					Edits: []components.Edit{set(id, "bonded", components.Yes(false)), set(id, "bond_relay", components.Yes(true))}})
			}
		case &components.Generator, &components.Inverter:
			fixes = append(fixes, switchNeutral(p, q)...)
		}
	}
	return allBondedAfter(p, fixes)
}

// switchNeutral makes transfer switches that leave the neutral solid switch it.
func switchNeutral(p *rules.Pass, _ components.Part) []rules.Fix {
	var fixes []rules.Fix
	for _, ts := range p.Doc.Parts() {
		if ts.Kind == &components.TransferSwitch && !ts.Gone() && !switchesNeutral(ts) {
			fixes = append(fixes, rules.Fix{Title: "Fit a switch that also switches the neutral as " + string(ts.ID), Edits: []components.Edit{withNeutral(ts)}})
		}
	}
	return fixes
}

func switchesNeutral(ts components.Part) bool {
	v, _ := ts.Value("switches")
	for _, w := range v.Words() {
		if w == string(components.N) {
			return true
		}
	}
	return false
}

func withNeutral(ts components.Part) components.Edit {
	v, _ := ts.Value("switches")
	return set(ts.ID, "switches", components.Words(append(append([]string{}, v.Words()...), string(components.N))...))
}

// bondedAfter makes a repair that takes a bond out bond the sources too that it leaves
// without one in some state; ok is false where such a source cannot be bonded.
func bondedAfter(p *rules.Pass, fix rules.Fix) (rules.Fix, bool) {
	next, err := p.Doc.Apply(fix.Edits...)
	if err != nil {
		return fix, false
	}
	done := map[components.ID]bool{}
	for _, s := range next.Operating() {
		for _, isle := range circuit.Build(next, s).Islands() {
			if len(isle.Bonds) > 0 || done[isle.Source] {
				continue
			}
			src, _ := next.Part(isle.Source)
			key := map[*components.Kind]string{&components.InverterCharger: "bond_relay", &components.Inverter: "bonded", &components.Generator: "bonded"}[src.Kind]
			if key == "" {
				return fix, false
			}
			done[isle.Source] = true
			fix.Title += fmt.Sprintf(", and bond %s itself", isle.Source)
			fix.Edits = append(fix.Edits[:len(fix.Edits):len(fix.Edits)], set(isle.Source, key, components.Yes(true)))
		}
	}
	if len(done) == 0 {
		return fix, true
	}
	if len(oneBondAfter(p, []rules.Fix{fix})) > 0 {
		return fix, true
	}
	for _, ts := range switchNeutral(p, components.Part{}) { // a bond more has to be kept apart
		fix.Title += ", and " + strings.ToLower(ts.Title[:1]) + ts.Title[1:]
		fix.Edits = append(fix.Edits, ts.Edits...)
	}
	return fix, len(oneBondAfter(p, []rules.Fix{fix})) > 0
}

// allBondedAfter are the repairs that take a bond out and leave every source one, those
// first that ask for nothing more.
func allBondedAfter(p *rules.Pass, fixes []rules.Fix) []rules.Fix {
	var kept, with []rules.Fix
	for _, f := range fixes {
		switch after, ok := bondedAfter(p, f); {
		case !ok:
		case len(after.Edits) == len(f.Edits):
			kept = append(kept, after)
		default:
			with = append(with, after)
		}
	}
	return append(kept, with...)
}

// oneBondAfter keeps the repairs that leave no state with two bonds: a bond that
// helps one state may double another's.
func oneBondAfter(p *rules.Pass, fixes []rules.Fix) []rules.Fix {
	var kept []rules.Fix
fix:
	for _, f := range fixes {
		next, err := p.Doc.Apply(f.Edits...)
		if err != nil {
			continue
		}
		for _, s := range next.Operating() {
			for _, isle := range circuit.Build(next, s).Islands() {
				if len(isle.Bonds) > 1 {
					continue fix
				}
			}
		}
		kept = append(kept, f)
	}
	return kept
}
