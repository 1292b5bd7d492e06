package checklist

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules/tables"
)

// array is the open-circuit voltage of a string between a warm and a cold module.
func (b *bench) array(at place) Expect {
	voc, series := at.part.Figure("voc_v"), at.part.Figure("series")
	if !voc.Known() || !series.Known() {
		return unknown("V", "the voltage or the number of modules of %s is not told", at.part.ID)
	}
	beta, cold := at.part.Figure("voc_pct_per_c"), 0.0
	slope, says := beta.Value, "the module's coefficient"
	if !beta.Known() {
		slope, says = -0.3, "a coefficient of −0.3 %/°C, common for silicon, no source"
	}
	if c := at.part.Figure("coldest_c"); c.Known() {
		cold = c.Value
	}
	stc := voc.Value * series.Value
	high, err := tables.ColdVoc(units.Volt(stc), slope, units.Celsius(cold))
	if err != nil {
		return unknown("V", "%v", err)
	}
	low := stc * (1 + slope/100*(65-25))
	return Expect{Kind: Band, Lo: 0.95 * low, Hi: 1.03 * float64(high), WarnLo: 0.9 * low, WarnHi: 1.06 * float64(high), Unit: "V", Figure: stc, HasFigure: true,
		Working: []string{fmt.Sprintf("%g modules × %g V = %.1f V at 25 °C; from 65 °C, %.1f V, to %g °C, %.1f V, by %s", series.Value, voc.Value, stc, low, cold, float64(high), says)}}
}

// arrayAmps is what the arrays of a controller give at noon.
func (b *bench) arrayAmps(at place) Expect {
	s := b.quiet()
	t, ok := s.Circuit.At(at.part.ID, "pv", components.Pos)
	total, tags := 0.0, []string{}
	for _, p := range b.parts(&components.SolarArray) {
		x, found := s.Circuit.At(p.ID, "out", components.Pos)
		if !ok || !found || s.Circuit.Net(x) != s.Circuit.Net(t) {
			continue
		}
		i, n := p.Figure("isc_a"), p.Figure("parallel")
		if !i.Known() || !n.Known() {
			return unknown("A", "the short-circuit current of %s is not told", p.ID)
		}
		total += i.Value * n.Value
		tags = append(tags, string(p.ID))
	}
	if len(tags) == 0 {
		return unknown("A", "no array stands on %s", at.part.ID)
	}
	figure := 0.75 * total
	return atLeast(figure, 0.7*figure, 0.4*figure, "A", fmt.Sprintf("0.75 × %.1f A of short-circuit current of %s in full sun (common practice, no source), − 30 %%", total, strings.Join(tags, ", ")))
}
