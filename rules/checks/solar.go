package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// eachController calls judge for each solar controller with the arrays on its
// input. Which arrays hang there does not depend on the sun of a state.
func eachController(p *rules.Pass, judge func(cc components.Part, arrays []pvArray)) {
	if !p.First() {
		return
	}
	for _, cc := range p.Doc.Parts() {
		if cc.Kind != &components.SolarController || cc.Gone() {
			continue
		}
		if t, ok := p.Circuit.At(cc.ID, "pv", components.Pos); ok {
			judge(cc, arraysOn(p, t))
		}
	}
}

// shortCircuitAmps is Isc times the strings in parallel, summed over arrays;
// missing names one whose figures are not known.
func shortCircuitAmps(arrays []pvArray) (amps float64, missing components.ID, working string) {
	for _, q := range arrays {
		if o, _, unknown := q.missing("isc_a", "parallel"); unknown {
			return 0, o.ID, ""
		}
		if working != "" {
			working += " + "
		}
		working += fmt.Sprintf("%v × %s A of %s", q.strings(), numText(q.isc()), q.ID)
		amps += q.isc() * q.strings()
	}
	return amps, "", fmt.Sprintf("short-circuit current = %s = %s A", working, numText(amps))
}

// chargingVolts is the highest voltage of the banks on a terminal's net while
// they are charged, 0 where none is there or its make is not known.
func chargingVolts(p *rules.Pass, t circuit.Term) float64 {
	v := 0.0
	for _, src := range p.Circuit.Feeds(t) {
		q, _ := p.Doc.Part(src.Part)
		if chem, ok := tables.BatteryChemistry(q.Word("chemistry")); ok && q.Kind == &components.Battery {
			v = math.Max(v, chem.ChargeVoltage.Max*src.Volts/chem.NominalVoltage)
		}
	}
	return v
}

// coldVoc is an array's open-circuit voltage on the coldest morning: by its
// coefficient, or by the factor of NEC Table 690.7(A) where it is not told, the
// largest, 1.25, where the temperature is not told either.
func coldVoc(a pvArray) (volts float64, rests []string) {
	for _, q := range a.all() {
		factor, rest := coldFactor(q)
		volts += q.Figure("series").Value * q.Figure("voc_v").Value * factor
		rests = append(rests, rest...)
	}
	return volts, rests
}

func coldFactor(q components.Part) (factor float64, rests []string) {
	const largest = 1.25
	beta, coldest := q.Figure("voc_pct_per_c"), q.Figure("coldest_c")
	if !coldest.Known() {
		return largest, []string{fmt.Sprintf("coldest morning of %s not told: factor 1.25, the largest of Table 690.7(A)", q.ID)}
	}
	if beta.Known() {
		return 1 + beta.Value/100*(coldest.Value-25), nil
	}
	f, err := tables.ColdVocFactor(units.Celsius(coldest.Value))
	if err != nil && coldest.Value > -40 { // a band that is not held falls to the next colder one
		for t := coldest.Value; err != nil && t > -41; t-- {
			f, err = tables.ColdVocFactor(units.Celsius(t))
		}
	}
	if err != nil {
		return largest, []string{fmt.Sprintf("coefficient of %s not told, and %s °C is outside Table 690.7(A): factor 1.25", q.ID, numText(coldest.Value))}
	}
	return f, []string{fmt.Sprintf("coefficient of %s not told: factor %v of Table 690.7(A) at %s °C, for crystalline silicon", q.ID, f, numText(coldest.Value))}
}
