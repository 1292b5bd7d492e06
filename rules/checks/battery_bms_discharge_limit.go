package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// DischargeLimit holds a bank's demand to what its blocks may give.
var DischargeLimit = &rules.Rule{
	ID:    "battery.bms-discharge-limit",
	Title: "The bank is asked for more than its blocks may give",
	Must:  "The blocks' continuous discharge limit, a tenth less where several share, covers the inverters at rated power and lowest input voltage with all DC loads; their pulse limit covers the surge for as long as it lasts.",
	Basis: []rules.Basis{
		{Source: "the block's own limit", Clause: "label or data sheet", Says: "continuous and pulse current of its management system", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2017", Clause: "706.20(A)(3)", Says: "the demand: rated power at the lowest input voltage (binding above 60 V, quoted as engineering basis below)", Seen: rules.Published},
		{Source: "a tenth for uneven sharing of parallel blocks", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, dischargeLimit) },
}

// unevenShare is what is left of the sum of parallel blocks' limits, since they
// never share evenly.
const unevenShare = 0.9

func dischargeLimit(p *rules.Pass, all bank) {
	b, ok := all.house()
	if !ok || askedForDemand(p, b) {
		return
	}
	amps := total(b.gives(p, p.Demand().Drawing))
	if amps < 0.5 {
		return
	}
	limit, working, known := b.limit(p, "discharge_a", amps)
	if !known {
		return
	}
	at, also := b.at()
	if amps > limit*1.001 {
		p.Report(rules.Finding{
			At: at, Also: also,
			Message: fmt.Sprintf("%s may give %s A for long and is asked for %s A: it switches itself off under load", b.name(), numText(limit), numText(amps)),
			Working: append(working, fmt.Sprintf("inverters at rated power and lowest input voltage, all DC loads on = %s A > %s A", numText(amps), numText(limit))),
			Fixes:   moreStrings(p, b, amps/limit),
		})
		return
	}
	pulse(p, b, limit)
}

// limit is what a bank may give by a limit of its blocks, in A. Where a block's is
// not told it asks.
func (b bank) limit(p *rules.Pass, key string, amps float64) (limit float64, working []string, known bool) {
	known = true
	for _, q := range b.Parts {
		f := q.Figure(key)
		if !f.Known() && lithium(q) { // a lead-acid block has no such limit: battery.c-rate-limit speaks
			p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known, so whether it gives the %s A of its bank is not: read the limit of its management system off the label", key, q.ID, numText(math.Ceil(amps))))
			return 0, nil, false
		}
		known = known && f.Known()
		limit += f.Value * stringsOf(q)
		working = append(working, fmt.Sprintf("%s: %s × %s A", q.ID, numText(stringsOf(q)), numText(f.Value)))
	}
	if !known {
		return 0, nil, false
	}
	if b.strings() > 1 {
		working = append(working, fmt.Sprintf("× %v since they never share evenly = %s A", unevenShare, numText(limit*unevenShare)))
		limit *= unevenShare
	}
	return limit, working, true
}

// pulse holds the surge to the blocks' pulse limit.
func pulse(p *rules.Pass, b bank, continuous float64) {
	surge := total(b.gives(p, p.Demand().Surging))
	if surge <= continuous*1.001 {
		return
	}
	seconds := 0.0
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Inverter || q.Kind == &components.InverterCharger {
			seconds = math.Max(seconds, q.Figure("surge_s").Value)
		}
	}
	limit, least := 0.0, math.Inf(1)
	for _, q := range b.Parts {
		a, s := q.Figure("surge_a"), q.Figure("surge_s")
		if !a.Known() && q.Told("chemistry").Known() && !lithium(q) {
			return // lead has no management system that switches it off
		}
		if !a.Known() {
			p.Unchecked(string(q.ID), fmt.Sprintf("surge_a of %s is not known, so whether it gives the %s A of a surge is not: read the pulse limit of its management system off the data sheet", q.ID, numText(math.Ceil(surge))))
			return
		}
		limit += a.Value * stringsOf(q)
		if s.Known() {
			least = math.Min(least, s.Value)
		}
		askMarked(p, q, "surge_s", fmt.Sprintf("whether it gives its pulse for the %s s of a surge is not: read the data sheet", numText(seconds)))
	}
	if b.strings() > 1 {
		limit *= unevenShare
	}
	at, also := b.at()
	f := rules.Finding{At: at, Also: also, Level: rules.Advice}
	switch {
	case surge > limit*1.001:
		f.Message = fmt.Sprintf("The surge of the inverters draws %s A; %s gives %s A in a pulse: it switches itself off when something starts", numText(surge), b.name(), numText(limit))
		f.Working = []string{fmt.Sprintf("%s A > %s A", numText(surge), numText(limit))}
		f.Fixes = moreStrings(p, b, surge/limit)
	case least < seconds:
		f.Message = fmt.Sprintf("%s gives its pulse for %s s; the inverters' surge of %s A lasts %s s", b.name(), numText(least), numText(surge), numText(seconds))
		f.Working = []string{fmt.Sprintf("%s s < %s s", numText(least), numText(seconds))}
	default:
		return
	}
	p.Report(f)
}

// moreStrings are as many strings as a demand asks for, where one symbol stands
// for the bank; or an inverter of the power that the bank carries.
func moreStrings(p *rules.Pass, b bank, times float64) []rules.Fix {
	var fixes []rules.Fix
	if q := b.Parts[0]; len(b.Parts) == 1 && alone(p, q) {
		n := math.Ceil(times*stringsOf(q) - 1e-9)
		if stringsOf(q) == 1 {
			n = math.Max(2, math.Ceil(times/unevenShare-1e-9))
		}
		edits := []components.Edit{set(q.ID, "parallel", components.Num(n))}
		if a := q.Figure("string_fuse_a"); lithium(q) && !a.Known() {
			if f, ok := stringFuseFor(q); ok {
				edits = append(edits, set(q.ID, "string_fuse_a", components.Num(f)))
			}
		}
		if n <= 16 {
			fixes = append(fixes, rules.Fix{Title: fmt.Sprintf("Fit %s such strings in parallel as %s", numText(n), q.ID), Edits: edits})
		}
	}
	if fix, ok := smallerInverter(p, b, times); ok {
		fixes = append(fixes, fix)
	}
	return fixes
}

// stringFuseFor is a class T fuse a quarter above a block's limit.
func stringFuseFor(q components.Part) (float64, bool) {
	return fuseAtLeast(1.25 * q.Figure("discharge_a").Value)
}

// smallerInverter lowers the one inverter of a bank to the power that it carries.
func smallerInverter(p *rules.Pass, b bank, times float64) (rules.Fix, bool) {
	var found []components.Part
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Inverter && q.Kind != &components.InverterCharger || q.Gone() {
			continue
		}
		if t, ok := p.Circuit.At(q.ID, "dc", components.Pos); ok && p.Circuit.Net(t) == p.Circuit.Net(b.Posts[0]) {
			found = append(found, q)
		}
	}
	if len(found) != 1 {
		return rules.Fix{}, false
	}
	q := found[0]
	amps := total(b.gives(p, p.Demand().Drawing))
	volts := q.Figure("efficiency").Value * q.Figure("dc_low_v").Value
	over := amps - amps/times
	va := math.Floor((q.Figure("continuous_va").Value-over*volts)/100) * 100
	if va < 300 {
		return rules.Fix{}, false
	}
	return rules.Fix{Title: fmt.Sprintf("Fit an inverter of %s VA as %s", numText(va), q.ID), Edits: append([]components.Edit{set(q.ID, "continuous_va", components.Num(va))}, clearTold(q, "surge_va")...)}, true
}

// askedForDemand asks once a part for the figure that its current follows from.
func askedForDemand(p *rules.Pass, b bank) bool {
	return askDemand(p, b.Posts[0], b.name())
}
