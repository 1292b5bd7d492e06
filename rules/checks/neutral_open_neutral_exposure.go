package checks

import (
	"fmt"
	"math"
	"math/cmplx"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// OpenNeutral tells what a lost neutral does to a two-leg rig.
var OpenNeutral = &rules.Rule{
	ID:    "neutral.open-neutral-exposure",
	Title: "A lost neutral sends one leg too high",
	Must:  "On two legs nothing opens the neutral while both lines stay closed; and where a plug or a lug may lose it, a protector that opens on a lost neutral stands ahead.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "300.13(B), 240.22, 110.14(D)", Says: "no device in the neutral; its lugs to torque", Seen: rules.Published},
		{Source: "circuit theory", Says: "two legs in series across 240 V share it as their resistances do; above 132 V (+10 %, this program's own line) appliances are spoilt", Seen: rules.Published},
	},
	Level: rules.Danger,
	Check: openNeutral,
}

// tooHighV is 10 % above 120 V: this program's own line.
const tooHighV = 132

// lampVA is the least that is taken to be plugged in at an outlet, common practice: whatever
// hangs there alone may be as light as that.
const lampVA = 60

func openNeutral(p *rules.Pass) {
	if p.Solution().Failure != nil {
		return
	}
	for _, q := range p.Doc.Parts() {
		switch {
		case q.Gone():
		case opensNeutralAlone(p.Circuit, q):
			if f, ok := lostAt(p, string(q.ID), func(l circuit.Link) bool { return l.Part == q.ID }); ok {
				f.Message = fmt.Sprintf("%s can open the neutral of two live legs: %s", q.ID, f.Message)
				f.Fixes = bridged(p.Doc, q)
				p.Report(f)
			}
		case q.Kind == &components.Inlet && p.State.Shore != "" && len(p.Doc.RunsAt(q.Ref("site"))) > 0:
			lostAtInlet(p, q)
		}
	}
}

// lostAtInlet speaks of the plug, unless a protector stands behind it.
func lostAtInlet(p *rules.Pass, inlet components.Part) {
	hot, ok := p.Circuit.At(inlet.ID, "rig", components.L1)
	if !ok || guarded(p, hot) {
		return
	}
	f, ok := lostAt(p, string(inlet.ID), func(l circuit.Link) bool { return l.Part == inlet.ID })
	if !ok {
		return
	}
	f.Level = rules.Advice
	f.Message = fmt.Sprintf("If plug or outlet at %s loses the neutral, %s; no protector that opens on a lost neutral stands behind it", inlet.ID, f.Message)
	f.Fixes = protectorBehind(p, inlet)
	p.Report(f)
}

// guarded tells whether the hot of an inlet goes straight into a protector that
// opens on a lost neutral.
func guarded(p *rules.Pass, hot circuit.Term) bool {
	reached := joined(p.Circuit, hot, func(l *circuit.Link) bool {
		q, _ := p.Doc.Part(l.Part)
		return q.Kind != &components.SurgeProtector || !q.Is("lost_neutral_trip")
	})
	for t := range reached {
		q, _ := p.Doc.Part(p.Circuit.Terms[t].Part)
		if q.Kind == &components.Panel && p.Circuit.Terms[t].Port == "bar" {
			return false
		}
	}
	return true
}

// lostAt opens the neutral at a link and shares 240 V out between the loads that
// lose it. Loads come and go, so the worst hour counts: the lightest of one leg
// alone against all of the other,
//
//	V1 = 240 V · P2 / (P1 + P2)
//
// with the powers at rated voltage, as resistances. At an outlet the lightest is a lamp.
func lostAt(p *rules.Pass, at string, opens func(circuit.Link) bool) (rules.Finding, bool) {
	c := p.Circuit
	nets := c.Nets(func(l *circuit.Link) bool {
		return l.Closed && !l.Bond && !(opens(*l) && c.Terms[l.A].Pole == components.N)
	})
	power := map[int]float64{}
	lightest := map[int]float64{}
	loads := map[int]components.ID{}
	for _, q := range p.Doc.Parts() {
		if q.Gone() || usesPort(q) == "" || len(poles(q)) != 1 {
			continue
		}
		hot, okH := c.At(q.ID, usesPort(q), components.L)
		n, okN := c.At(q.ID, usesPort(q), components.N)
		if !okH || !okN || !c.Live(hot) {
			continue
		}
		src := c.Feeds(hot)[0]
		if nets[src.Return] == nets[n] || c.Net(src.Return) != c.Net(n) {
			continue // still joined, or never was
		}
		leg := int(math.Round(src.Degrees))
		va := cmplx.Abs(p.Solution().Flows[q.ID].AC)
		power[leg] += va
		if q.Kind == &components.Receptacle {
			va = lampVA
			power[leg] = math.Max(power[leg], va)
		}
		if va > 0 && (lightest[leg] == 0 || va < lightest[leg]) {
			lightest[leg], loads[leg] = va, q.ID
		}
	}
	one, two := power[0], 0.0
	other := 0
	for deg, va := range power {
		if deg != 0 {
			two, other = va, deg
		}
	}
	if one <= 0 || two <= 0 || other%360 == 0 {
		return rules.Finding{}, false
	}
	across := 2 * 120 * math.Sin(math.Abs(float64(other))*math.Pi/360) // 240 V at 180°, 208 V at 120°
	v1, v2 := across*two/(lightest[0]+two), across*one/(one+lightest[other])
	light, small, large, high := loads[0], lightest[0], two, v1
	if v2 > v1 {
		light, small, large, high = loads[other], lightest[other], one, v2
	}
	if high <= tooHighV {
		return rules.Finding{}, false
	}
	return rules.Finding{
		At: at, Also: []string{string(light)},
		Message: fmt.Sprintf("%s alone on its leg sees %s V while the other leg's loads run", light, numText(high)),
		Working: []string{
			fmt.Sprintf("loads that lose the neutral: %s VA on one leg, %s VA on the other, in series across %s V", numText(small), numText(large), numText(across)),
			fmt.Sprintf("%s V × %s / (%s + %s) = %s V > 132 V", numText(across), numText(large), numText(small), numText(large), numText(high)),
		},
	}, true
}

// protectorBehind fits a protector of the inlet's rating behind it.
func protectorBehind(p *rules.Pass, inlet components.Part) []rules.Fix {
	ref := inlet.Ref("rig")
	runs := p.Doc.RunsAt(ref)
	if len(runs) != 1 {
		return nil
	}
	r := runs[0]
	sp := components.Part{ID: p.Doc.FreeID("SP"), Kind: &components.SurgeProtector, Name: "Supply protector", At: towards(p.Doc, ref, r.Other(ref)),
		Spec: components.Spec{"rating_a": components.Num(inlet.Figure("rating_a").Value)}}
	line, load := "line", "load"
	if r.From != ref {
		line, load = load, line
	}
	edits := insert(p.Doc, r, sp, line, load, 1)
	if _, err := p.Doc.Apply(edits...); err != nil {
		return nil
	}
	return []rules.Fix{{Title: fmt.Sprintf("Put a protector that opens on a lost neutral behind %s", inlet.ID), Edits: edits}}
}
