package checklist

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules/tables"
)

// arrays are the strings of modules, each at the array that its positive leaves from.
func (b *bench) arrays() []place {
	var all []place
	for _, p := range placesOf(b.parts(&components.SolarArray)) {
		if c := b.sunny(); !c.Carries(p.part.ID) {
			if tags := c.InSeries(p.part.ID); len(tags) > 1 {
				p.name = "string of " + joined(tags)
			}
			all = append(all, p)
		}
	}
	return all
}

func joined(tags []components.ID) string {
	text := ""
	for i, id := range tags {
		if i > 0 {
			text += " + "
		}
		text += string(id)
	}
	return text + " in series"
}

// array is the open-circuit voltage of a string between a warm and a cold module, the
// arrays added up that stand in series.
func (b *bench) array(at place) Expect {
	var stc, low, high float64
	var working []string
	for _, id := range b.sunny().InSeries(at.part.ID) {
		p, _ := b.doc.Part(id)
		voc, series := p.Figure("voc_v"), p.Figure("series")
		if !voc.Known() || !series.Known() {
			return unknown("V", "the voltage or the number of modules of %s is not told", p.ID)
		}
		beta, cold := p.Figure("voc_pct_per_c"), 0.0
		slope, says := beta.Value, "the module's coefficient"
		if !beta.Known() {
			slope, says = -0.3, "a coefficient of −0.3 %/°C, common for silicon, no source"
		}
		if c := p.Figure("coldest_c"); c.Known() {
			cold = c.Value
		}
		own := voc.Value * series.Value
		top, err := tables.ColdVoc(units.Volt(own), slope, units.Celsius(cold))
		if err != nil {
			return unknown("V", "%v", err)
		}
		bottom := own * (1 + slope/100*(65-25))
		stc, low, high = stc+own, low+bottom, high+float64(top)
		modules := "modules"
		if series.Value == 1 {
			modules = "module"
		}
		working = append(working, fmt.Sprintf("%s: %g %s × %g V = %.1f V at 25 °C; from 65 °C, %.1f V, to %g °C, %.1f V, by %s", p.ID, series.Value, modules, voc.Value, own, bottom, cold, float64(top), says))
	}
	if len(working) > 1 {
		working = append(working, fmt.Sprintf("%.1f V at 25 °C in series", stc))
	}
	return Expect{Kind: Band, Lo: 0.95 * low, Hi: 1.03 * high, WarnLo: 0.9 * low, WarnHi: 1.06 * high, Unit: "V", Figure: stc, HasFigure: true, Working: working}
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
