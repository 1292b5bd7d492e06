package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// CRate holds charge and discharge to the rate that the chemistry stands.
var CRate = &rules.Rule{
	ID:    "battery.c-rate-limit",
	Title: "The bank is charged or discharged faster than its chemistry stands",
	Must:  "Charge and discharge currents, as a share of the capacity, stay within the block's own limit or else its chemistry's: lithium 1.0 both ways, absorbed glass mat 1.0 and 0.4, gel and vented 0.5 and 0.2 an hour; better within half of that. A lithium block whose own limit is not told may stand more than 1.0: that is advice here, and battery.bms-discharge-limit asks for the limit.",
	Basis: []rules.Basis{
		{Source: "data sheets of lithium iron phosphate blocks", Says: "1.0 of the capacity an hour at most, 0.5 recommended", Seen: rules.Published},
		{Source: "data sheets of lead-acid blocks", Says: "highest and usual rates", Seen: rules.Memory},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, cRate) },
}

func cRate(p *rules.Pass, all bank) {
	b, ok := all.house()
	if !ok {
		return
	}
	for _, q := range b.Parts {
		if _, ok := tables.BatteryChemistry(q.Word("chemistry")); !ok || !q.Figure("capacity_ah").Known() {
			return // overcurrent.interrupting-rating asks for it
		}
		if q.Word("chemistry") != b.Parts[0].Word("chemistry") {
			return // battery.string-uniformity speaks
		}
	}
	d := p.Demand()
	out, in := b.gives(p, d.Drawing), b.gives(p, d.Charging)
	sources := interlocked(charging(p, b), in)
	q, amps := hardest(b, out, 1)
	rate(p, q, "discharge", "discharge_a", amps, nil)
	q, amps = hardest(b, in, -1)
	rate(p, q, "charge", "charge_a", amps, sources)
}

// interlocked names those of the charge sources that may run together, and lowers what
// the batteries take to what those give: the demand has all of them on. Where an output
// is not known nothing is lowered.
func interlocked(all []components.Part, in []float64) []string {
	var ids []string
	together, taken := 0.0, 0.0
	for _, s := range atOnce(all) {
		ids, together = append(ids, string(s.ID)), together+chargeOutput(s).Value
	}
	for _, a := range in {
		taken -= a
	}
	unknown := slices.ContainsFunc(all, func(s components.Part) bool { return !chargeOutput(s).Known() })
	if unknown || len(ids) == len(all) || taken <= together {
		return ids
	}
	for i := range in {
		in[i] *= together / taken
	}
	return ids
}

// hardest is the battery with the most current for its capacity, one way.
func hardest(b bank, flow []float64, sign float64) (q components.Part, amps float64) {
	most := math.Inf(-1)
	for i, part := range b.Parts {
		if c := sign * flow[i] / (part.Figure("capacity_ah").Value * stringsOf(part)); c > most*1.0001 || most < 0 {
			most, q, amps = c, part, sign*flow[i]
		}
	}
	return q, amps
}

// rate judges one direction of one battery. A block's own limit stands in place
// of the chemistry's: then the rules of that limit speak.
func rate(p *rules.Pass, q components.Part, way, key string, amps float64, also []string) {
	chem, _ := tables.BatteryChemistry(q.Word("chemistry"))
	r := chem.DischargeRate
	if way == "charge" {
		r = chem.ChargeRate
	}
	ah := q.Figure("capacity_ah").Value * stringsOf(q)
	c := amps / ah
	own := q.Figure(key)
	f := rules.Finding{At: string(q.ID), Also: also, Level: rules.Advice,
		Working: []string{fmt.Sprintf("%s A / %s Ah = %.2f of the capacity an hour", numText(amps), numText(ah), c)}}
	switch {
	case c > r.Max*1.001 && !own.Known() && !lithium(q):
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("%s is asked for a %s of %s A, %.2f of its %s Ah an hour; %s stands %s", q.ID, way, numText(amps), c, numText(ah), chem.Name, numText(r.Max))
		f.RestsOn = []string{fmt.Sprintf("%s of %s not told: the highest rate of %s, %s", key, q.ID, chem.Name, numText(r.Max))}
		if alone(p, q) {
			f.Fixes = moreCapacity(q, amps/r.Max)
		}
		if way == "charge" {
			f.Fixes = append(lowerCharge(p, also, amps-r.Usual*ah), f.Fixes...)
		}
	case c > r.Usual*1.001 && !(own.Known() && amps <= own.Value*stringsOf(q)*0.5):
		f.Message = fmt.Sprintf("A %s of %s A is %.2f of the %s Ah of %s an hour; %s lasts longer within %s", way, numText(amps), c, numText(ah), q.ID, chem.Name, numText(r.Usual))
		if c > r.Max*1.001 && !own.Known() {
			f.Message = fmt.Sprintf("A %s of %s A is %.2f of the %s Ah of %s an hour; most %s stands %s, and whether this one stands more is not told", way, numText(amps), c, numText(ah), q.ID, chem.Name, numText(r.Max))
		}
	default:
		return
	}
	p.Report(f)
}

// moreCapacity is as many strings as a current asks for.
func moreCapacity(q components.Part, ah float64) []rules.Fix {
	n := math.Ceil(ah/q.Figure("capacity_ah").Value - 1e-9)
	if n > 16 {
		return nil
	}
	return []rules.Fix{{Title: fmt.Sprintf("Fit %s such strings in parallel as %s", numText(n), q.ID), Edits: []components.Edit{set(q.ID, "parallel", components.Num(n))}}}
}

// lowerCharge sets a charger lower by a current, where one alone charges.
func lowerCharge(p *rules.Pass, sources []string, by float64) []rules.Fix {
	if len(sources) != 1 {
		return nil
	}
	q, _ := p.Doc.Part(components.ID(sources[0]))
	now := q.Figure("charge_a")
	want := math.Floor(now.Value - by + 1e-9)
	if !now.Known() || want < 1 {
		return nil
	}
	return []rules.Fix{{Title: fmt.Sprintf("Set the charge current of %s to %s A", q.ID, numText(want)), Edits: []components.Edit{set(q.ID, "charge_a", components.Num(want))}}}
}
