package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// ProfileMatch holds the set points of what charges a bank to its chemistry.
var ProfileMatch = &rules.Rule{
	ID:    "charger.profile-match",
	Title: "A charger's set points do not suit the bank",
	Must:  "The absorption voltage of every charge source stays within the chemistry, and above the nominal voltage of the bank: lithium 14.6 V at most, absorbed glass mat 14.8 V, gel 14.4 V, vented 15.5 V for each 12 V. Lithium is not equalized and its set point does not follow temperature. The sources of one bank agree within 0.2 V for each 12 V.",
	Basis: []rules.Basis{
		{Source: "data sheets of lithium iron phosphate blocks", Says: "14.6 V at most, no equalizing", Seen: rules.Published},
		{Source: "data sheets of lead-acid blocks", Says: "highest charging voltages", Seen: rules.Memory},
		{Source: "sources that agree within 0.2 V", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, profileMatch) },
}

func profileMatch(p *rules.Pass, all bank) {
	b, ok := all.house()
	if !ok {
		b = all
	}
	q := b.Parts[0]
	chem, ok := tables.BatteryChemistry(q.Word("chemistry"))
	volts, known := voltsOf(p, q)
	if !ok || !known {
		return // overcurrent.interrupting-rating asks for them
	}
	blocks, most, right := volts.Blocks, volts.Max, components.Num(math.Round(10*volts.Absorb)/10)
	var low, high components.Part
	var lowV, highV float64
	for _, src := range charging(p, b) {
		key := "absorb_v"
		if src.Kind == &components.Alternator {
			key = "volts"
		}
		absorb := src.Figure(key)
		if anotherClass(src, volts) {
			continue // battery.voltage-class speaks
		}
		badProfile(p, b, src, chem, key, absorb, volts, right)
		if !absorb.Known() {
			if src.Status == components.Existing && lithium(q) && src.Kind != &components.Alternator {
				p.Unchecked(string(src.ID), fmt.Sprintf("absorb_v of %s is not told: it stays from before and charges lithium now. Read its setting, or its voltage at the end of a charge (%s V at most)", src.ID, numText(most)), string(q.ID))
			}
			continue
		}
		if low.Kind == nil || absorb.Value < lowV {
			low, lowV = src, absorb.Value
		}
		if high.Kind == nil || absorb.Value > highV {
			high, highV = src, absorb.Value
		}
	}
	if spread := highV - lowV; low.Kind != nil && spread > 0.2*blocks*1.001 && highV <= most*1.0001 && low.Kind != &components.Alternator {
		p.Report(rules.Finding{
			At: string(low.ID), Also: []string{string(high.ID), string(q.ID)}, Level: rules.Advice,
			Message: fmt.Sprintf("%s ends its charge at %s V and %s at %s V: one stops while the other goes on", low.ID, numText(lowV), high.ID, numText(highV)),
			Working: []string{fmt.Sprintf("%s V − %s V = %s V > 0.2 V × %s", numText(highV), numText(lowV), numText(spread), numText(blocks))},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Set %s to %s V", low.ID, numText(highV)), Edits: []components.Edit{set(low.ID, "absorb_v", components.Num(highV))}}},
		})
	}
}

// anotherClass tells whether a source is made for a bank of another voltage: no set
// point of it suits this one.
func anotherClass(src components.Part, volts stringVolts) bool {
	key := map[*components.Kind]string{&components.Charger: "dc_v", &components.InverterCharger: "dc_v", &components.DCCharger: "out_v", &components.Alternator: "volts"}[src.Kind]
	if key == "" {
		return false
	}
	f := src.Figure(key)
	return f.Known() && components.VoltClass(f.Value) != components.VoltClass(volts.Nominal)
}

// badProfile tells what is wrong with one source's set points, all in one finding.
func badProfile(p *rules.Pass, b bank, src components.Part, chem tables.Chemistry, key string, absorb components.Figure, volts stringVolts, right components.Value) {
	var wrong, working []string
	var edits []components.Edit
	most := volts.Max
	if absorb.Known() && absorb.Value < volts.Nominal*0.9999 && src.Kind != &components.Alternator { // battery.voltage-class looks at that one
		wrong = append(wrong, fmt.Sprintf("it ends its charge at %s V, below the nominal %s V of %s, and never fills it", numText(absorb.Value), numText(volts.Nominal), b.name()))
		working = append(working, fmt.Sprintf("%s V < %s V", numText(absorb.Value), numText(volts.Nominal)))
		edits = append(edits, set(src.ID, key, right))
	}
	if absorb.Known() && absorb.Value > most*1.0001 {
		wrong = append(wrong, fmt.Sprintf("it charges to %s V, and %s %s %s V", numText(absorb.Value), b.name(), b.verb("stands", "stand"), numText(most)))
		working = append(working, fmt.Sprintf("%s V > %s V, the most of %s", numText(absorb.Value), numText(most), chem.Name))
		edits = append(edits, set(src.ID, key, right))
	}
	if eq := src.Figure("equalize_v"); eq.Known() && (chem.ID == "lfp" || eq.Value > most*1.0001) {
		wrong = append(wrong, fmt.Sprintf("it equalizes at %s V, which %s does not stand", numText(eq.Value), chem.Name))
		working = append(working, fmt.Sprintf("equalizing %s V; the most of %s is %s V", numText(eq.Value), chem.Name, numText(most)))
		edits = append(edits, set(src.ID, "equalize_v", components.Value{}))
	}
	if chem.ID == "lfp" && src.Is("compensated") {
		wrong = append(wrong, "its voltage rises in the cold, as lead wants it and lithium does not")
		working = append(working, "temperature compensation on; off for lithium")
		edits = append(edits, set(src.ID, "compensated", components.Yes(false)))
	}
	if len(wrong) == 0 {
		return
	}
	message := fmt.Sprintf("The profile of %s does not suit %s: %s", src.ID, b.name(), wrong[0])
	for _, w := range wrong[1:] {
		message += "; " + w
	}
	var rests []string
	if absorb.From == components.Default {
		rests = []string{fmt.Sprintf("%s of %s taken as %s V: %s", key, src.ID, numText(absorb.Value), absorb.Field.DefaultFrom)}
	}
	p.Report(rules.Finding{At: string(src.ID), Also: []string{string(b.Parts[0].ID)}, Message: message, Working: working, RestsOn: rests,
		Fixes: []rules.Fix{{Title: fmt.Sprintf("Set %s to the profile of %s", src.ID, chem.Name), Edits: edits}}})
}
