package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// NoController finds an array that is joined to a bank with nothing that ends its
// charge.
var NoController = &rules.Rule{
	ID:    "solar.no-controller",
	Title: "An array is joined to a bank with no controller",
	Must:  "A controller stands between an array and a bank: the array goes on pushing when the bank is full, up to its open-circuit voltage. A lead-acid bank may do without where the array is made for its voltage and its short-circuit current is less than 3 % of the capacity an hour; a lithium bank never.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2014", Clause: "690.72(A)", Says: "charge control, unless the array is matched to the voltage and its current for an hour is less than 3 % of the capacity", Seen: rules.Memory},
		{Source: "data sheets of lithium iron phosphate blocks", Says: "14.6 V at most for each 12 V; its own switch opens above, and the bus then follows the array", Seen: rules.Published},
		{Source: "an array is made for a bank where its voltage at full power is at most 1.6 times the nominal one", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Explains: []string{"overcurrent.voltage-rating", "battery.voltage-class", "conductor.insulated-for-its-voltage"},
	Check:    func(p *rules.Pass) { eachBank(p, noController) },
}

const (
	uncontrolledShare = 0.03 // of the capacity an hour
	matchedVmp        = 1.6  // times the nominal voltage
)

func noController(p *rules.Pass, b bank) {
	for _, q := range arraysOn(p, b.Posts[0]) {
		if slices.ContainsFunc(b.Parts, lithium) {
			onBank(p, b, q, "")
			continue
		}
		amps, missing, working := shortCircuitAmps([]pvArray{q})
		hours := 0.0
		for _, bat := range b.Parts {
			if _, ok := tables.BatteryChemistry(bat.Word("chemistry")); !ok || !bat.Figure("capacity_ah").Known() {
				missing = bat.ID
			}
			hours += bat.Figure("capacity_ah").Value * stringsOf(bat)
		}
		vmp, nominal := q.vmp(), p.Circuit.StringVolts(b.Parts[0])
		switch {
		case missing != "":
			p.Unchecked(string(q.ID), fmt.Sprintf("how %s compares with %s, which it charges with no controller, is not known: tell its short-circuit current, the chemistry and the capacity, or fit a controller", q.ID, b.name()), string(missing))
		case vmp > matchedVmp*nominal:
			onBank(p, b, q, fmt.Sprintf("%s V at full power > %v × %s V", numText(vmp), matchedVmp, numText(nominal)))
		case amps >= uncontrolledShare*hours:
			onBank(p, b, q, fmt.Sprintf("%s ≥ 3 %% of %s Ah an hour, %s A", working, numText(hours), numText(uncontrolledShare*hours)))
		}
	}
}

func onBank(p *rules.Pass, b bank, q pvArray, because string) {
	at, also := b.at()
	volts, rests := coldVoc(q)
	f := rules.Finding{
		At: string(q.ID), Also: append([]string{at}, also...), Causes: reachedBy(p, q),
		Message: fmt.Sprintf("%s is joined to %s with no controller between: nothing ends its charge, and where the bank switches itself off the bus follows the array up to %s V", q.ID, b.name(), numText(volts)),
		Working: []string{coldWorking(q, volts)}, RestsOn: rests,
	}
	if because != "" {
		f.Message = fmt.Sprintf("%s is joined to %s with no controller between: nothing ends its charge, and it boils the bank dry", q.ID, b.name())
		f.Working = append(f.Working, because)
	}
	if fix, ok := controllerBetween(p, q, b.Posts[0]); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// reachedBy is every part and run that an array puts its voltage on.
func reachedBy(p *rules.Pass, q pvArray) []string {
	pos, _ := p.Circuit.At(q.ID, "out", components.Pos)
	neg, _ := p.Circuit.At(q.ID, "out", components.Neg)
	seen := map[string]bool{}
	var reached []string
	for _, l := range p.Circuit.Links {
		net := p.Circuit.Net(l.A)
		if at := l.Address(); (net == p.Circuit.Net(pos) || net == p.Circuit.Net(neg)) && !seen[at] {
			seen[at] = true
			reached = append(reached, at)
		}
	}
	return reached
}

// controllerBetween puts a controller at an array: what ended at the array ends at
// the controller's battery side.
func controllerBetween(p *rules.Pass, q pvArray, post circuit.Term) (rules.Fix, bool) {
	volts, _ := coldVoc(q)
	watts := q.watts()
	nominal := 0.0
	for _, s := range p.Circuit.Feeds(post) {
		if s.Stores {
			nominal = s.Volts
		}
	}
	runs := p.Doc.RunsAt(q.Ref("out"))
	isc := q.isc() * q.strings()
	if volts == 0 || watts == 0 || nominal == 0 || len(runs) == 0 {
		return rules.Fix{}, false
	}
	cc := components.Part{ID: p.Doc.FreeID("CC"), Kind: &components.SolarController, At: towards(p.Doc, q.Ref("out"), runs[0].Other(q.Ref("out"))),
		Spec: components.Spec{"max_pv_v": components.Num(math.Ceil(volts/50) * 50), "max_pv_a": components.Num(math.Ceil(isc)), "output_a": components.Num(math.Ceil(watts/nominal/10) * 10)}}
	edits := []components.Edit{components.AddPart{Part: cc}}
	for _, r := range runs {
		cores := p.Doc.CoresOf(r) // the far port may hold more poles than the run had
		edits = append(edits, components.RemoveRun{ID: r.ID})
		if r.From == q.Ref("out") {
			r.From = cc.Ref("battery")
		} else {
			r.To = cc.Ref("battery")
		}
		r.Path, r.Cores = nil, slices.Clone(cores)
		edits = append(edits, components.AddRun{Run: r})
	}
	both := components.Run{ID: p.Doc.FreeID("W"), From: q.Ref("out"), To: cc.Ref("pv"), Spec: components.Spec{"cable": components.Str("pv-90")}}
	if size := runs[0].Told("size"); size.Told() {
		both.Spec["size"] = size
	}
	return rules.Fix{Title: fmt.Sprintf("Fit a controller of %s V and %s A as %s between %s and the bank", cc.Told("max_pv_v"), cc.Told("output_a"), cc.ID, q.ID), Edits: append(edits, components.AddRun{Run: both})}, true
}
