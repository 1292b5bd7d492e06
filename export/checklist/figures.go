package checklist

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/components/units"
	"rigline/export/solved"
	"rigline/rules/checks"
	"rigline/rules/tables"
)

// near passes within a tolerance of a figure and warns within twice that.
func near(figure, tol float64, unit string, working ...string) Expect {
	return Expect{Kind: Band, Lo: figure - tol, Hi: figure + tol, WarnLo: figure - 2*tol, WarnHi: figure + 2*tol, Unit: unit, Figure: figure, HasFigure: true, Working: working}
}

// atMost passes up to a limit and warns up to another.
func atMost(figure, limit, warn float64, unit string, working ...string) Expect {
	return Expect{Kind: Band, Lo: math.Inf(-1), Hi: limit, WarnLo: math.Inf(-1), WarnHi: math.Max(limit, warn), Unit: unit, Figure: figure, HasFigure: true, Working: working}
}

// atLeast passes from a limit and warns from another.
func atLeast(figure, limit, warn float64, unit string, working ...string) Expect {
	return Expect{Kind: Band, Lo: limit, Hi: math.Inf(1), WarnLo: math.Min(limit, warn), WarnHi: math.Inf(1), Unit: unit, Figure: figure, HasFigure: true, Working: working}
}

// unknown keeps the number and says why nothing is expected of it.
func unknown(unit, format string, args ...any) Expect {
	return Expect{Kind: Record, Unit: unit, Missing: fmt.Sprintf(format, args...)}
}

// figure is what an item expects of this rig at a place. It may say in the item
// with which load to test.
func (b *bench) figure(word string, at place, item *Item) Expect {
	switch word {
	case "torque":
		return b.torque(at)
	case "rest":
		return b.rest(at)
	case "tenth":
		return b.tenth(at)
	case "dc-amps", "dc-drop":
		return b.dcLoad(word, at)
	case "step-down":
		v := at.part.Figure("out_v")
		if !v.Known() {
			return unknown("V", "the output of %s is not told", at.part.ID)
		}
		return near(v.Value, 0.03*v.Value, "V", "its output as told in the drawing")
	case "site-legs":
		return b.siteLegs()
	case "charge-ac", "charge-dc":
		return b.charge(word, at)
	case "input-limit":
		return b.inputLimit(at)
	case "output":
		v := at.part.Figure("ac_v")
		if !v.Known() {
			return unknown("V", "the output voltage of %s is not told", at.part.ID)
		}
		return near(v.Value, 0.05*v.Value, "V", "its voltage a leg by the drawing")
	case "output-legs":
		return b.outputLegs(at)
	case "idle":
		return b.idleAmps(at)
	case "generator-legs":
		return b.generatorLegs()
	case "generator-neutral", "cord-neutral":
		return b.neutral(word)
	case "load-dc", "load-drop":
		return b.underLoad(word, at, item)
	case "joint":
		return b.joint(item)
	case "string":
		return b.string(at, item)
	case "panel-volts":
		return b.panelVolts(at)
	case "bank-limit":
		return b.bankLimit(at)
	case "capacity":
		ah, n := at.part.Figure("capacity_ah"), at.part.Figure("parallel")
		if !ah.Known() || !n.Known() {
			return unknown("Ah", "the capacity of %s is not told", at.part.ID)
		}
		return near(ah.Value*n.Value, 0.08*ah.Value*n.Value, "Ah", "capacity of a block × strings in parallel")
	case "cold-volts":
		return b.array(at)
	case "array-amps":
		return b.arrayAmps(at)
	case "alive-inverter":
		return b.alive(b.idle(), at, "on the inverter alone")
	case "alive-shore":
		return b.alive(b.charging(), at, "on shore")
	case "feed-drop", "alternator-amps":
		return b.alternator(word, at)
	}
	panic(fmt.Sprintf("the checklist has a figure %q, which nothing works out", word))
}

// alive is whether a breaker's circuit is alive in a state: the answer is yes where
// it is found as the drawing has it.
func (b *bench) alive(s *solved.State, at place, state string) Expect {
	port := "load"
	if _, p, ok := strings.Cut(at.id, "."); ok {
		port = p
	}
	live, dead := 0, 0
	for _, pole := range []components.Pole{components.L1, components.L2, components.L} {
		if t, ok := s.Circuit.At(at.part.ID, port, pole); ok {
			if s.Circuit.Live(t) {
				live++
			} else {
				dead++
			}
		}
	}
	says := "alive"
	switch {
	case live == 0:
		says = "dead"
	case dead > 0:
		says = "half alive, one leg of two"
	}
	return Expect{Kind: Check, Working: []string{says + " " + state + " by the drawing"}}
}

func (b *bench) torque(at place) Expect {
	told, says := 0.0, false
	for _, r := range b.doc.RunsAt(at.at) {
		key := "from_torque_nm"
		if r.From != at.at {
			key = "to_torque_nm"
		}
		if f := r.Figure(key); f.Known() && !r.Gone() {
			if says && f.Value != told {
				return unknown("N·m", "two runs at %s tell different torques", at.at)
			}
			told, says = f.Value, true
		}
	}
	if !says {
		return unknown("N·m", "the torque is by the maker's label")
	}
	return near(told, 0.1*told, "N·m", "the maker's torque as told in the drawing, ± 10 %")
}

// rest is a battery's voltage at rest, of the battery itself or of the bank at an
// inverter's studs: the figure at half charge, the band from there to 90 %.
func (b *bench) rest(at place) Expect {
	s := b.quiet()
	bats := []components.Part{at.part}
	tol := 0.02
	if at.part.Kind != &components.Battery {
		bats, tol = b.bankOf(s, at.part.ID, "dc"), 0.05
	}
	if len(bats) == 0 {
		return unknown("V", "no battery feeds %s on the drawing", at.part.ID)
	}
	p := bats[0]
	v, ok := posts(s, p.ID)
	chem, known := tables.BatteryChemistry(p.Word("chemistry"))
	volts, series := p.Figure("nominal_v"), p.Figure("series")
	if !ok || !known || !volts.Known() || !series.Known() {
		return unknown("V", "the chemistry or the voltage of %s is not told", p.ID)
	}
	high := chem.OpenCircuit(0.9) * volts.Value / chem.NominalVoltage * series.Value
	e := near(v, tol*v, "V", fmt.Sprintf("%s, rested at half charge %.2f V, at 90 %% %.2f V; ± %.0f %%", chem.Name, v, high, 100*tol))
	e.Hi, e.WarnHi = high*(1+tol), high*(1+2*tol)
	return e
}

// tenth is a tenth of the nominal voltage, left over after a pre-charge.
func (b *bench) tenth(at place) Expect {
	s := b.quiet()
	bats := b.bankOf(s, at.part.ID, "dc")
	if len(bats) == 0 || !bats[0].Figure("nominal_v").Known() {
		return unknown("V", "the voltage of the bank at %s is not known", at.part.ID)
	}
	v := bats[0].Figure("nominal_v").Value * bats[0].Figure("series").Value
	return atMost(0.1*v, 0.1*v, 0.1*v, "V", fmt.Sprintf("a tenth of %g V nominal", v))
}

// dcLoad is the current of a DC load, and the drop from the bank's posts to it,
// with all DC loads on.
func (b *bench) dcLoad(word string, at place) Expect {
	s := b.loads()
	unit := map[string]string{"dc-amps": "A", "dc-drop": "V"}[word]
	if !s.Solved() {
		return unknown(unit, "no solution: %s", s.Solution.Failure.Reason)
	}
	if why, missing := s.Solution.Assumed[at.part.ID]; missing {
		return unknown(unit, "%s", why)
	}
	if word == "dc-amps" {
		f, ok := s.Solution.Flows[at.part.ID]
		if !ok {
			return unknown(unit, "nothing feeds %s on the bank alone", at.part.ID)
		}
		a := math.Abs(f.DCAmps)
		e := near(a, 0.05*a+0.3, "A", "its current by the drawing at a half-full bank; ± 5 % and 0.3 A for the meter")
		return e
	}
	v, ok := volts(s, at.part.ID, "in", components.Pos, "in", components.Neg)
	bats := b.bankOf(s, at.part.ID, "in")
	if !ok || len(bats) == 0 {
		return unknown(unit, "no battery stands on the circuit of %s: it is fed through a converter", at.part.ID)
	}
	if why, missing := assumed(s); missing {
		return unknown(unit, "a figure on the way may be missing (%s)", why)
	}
	full, _ := posts(s, bats[0].ID)
	return b.drop(full-v, fmt.Sprintf("%s at its posts %.3f V, %s at its terminals %.3f V, all DC loads on", bats[0].ID, full, at.part.ID, v))
}

// drop is what a drop may come to: joints add up to 30 %, and a meter shows
// hundredths of a volt.
func (b *bench) drop(figure float64, working string) Expect {
	return atMost(figure, 1.3*figure+0.02, 1.6*figure+0.04, "V", working, fmt.Sprintf("%.3f V by the drawing, + 30 %% for joints, + 0.02 V for the meter", figure))
}

func (b *bench) siteLegs() Expect {
	if b.site.Word("service") == "50a-120/208" {
		return Expect{Kind: Band, Lo: 198, Hi: 218, WarnLo: 190, WarnHi: 225, Unit: "V", Figure: 207.8, HasFigure: true, Working: []string{"two legs of a three-phase site, 120 V × √3"}}
	}
	return Expect{Kind: Band, Lo: 228, Hi: 252, WarnLo: 202, WarnHi: 260, Unit: "V", Figure: 240, HasFigure: true, Working: []string{"two opposite legs of 120 V"}}
}

// charge is what an inverter/charger draws from shore and gives the bank while it
// charges alone.
func (b *bench) charge(word string, at place) Expect {
	s := b.charging()
	if !s.Solved() {
		return unknown("A", "no solution on shore: %s", s.Solution.Failure.Reason)
	}
	if why, missing := s.Solution.Assumed[at.part.ID]; missing {
		return unknown("A", "%s", why)
	}
	f, ok := s.Solution.Flows[at.part.ID]
	if !ok || f.DCAmps == 0 {
		return unknown("A", "%s does not charge on shore by the drawing", at.part.ID)
	}
	if word == "charge-ac" {
		pole := components.L
		if _, ok := s.Circuit.At(at.part.ID, "ac-in", pole); !ok {
			pole = components.L1
		}
		a, ok := drawnAt(s, at.part.ID, "ac-in", pole)
		if !ok {
			return unknown("A", "nothing feeds the input of %s on shore", at.part.ID)
		}
		return near(a, 0.2*a, "A", "its input current by the drawing, bulk charging with every load off, ± 20 %")
	}
	amps := math.Abs(f.DCAmps)
	e := near(amps, 0.2*amps, "A", "its charge current by the drawing, bulk charging, ± 20 %")
	limit, known := 0.0, true
	for _, p := range b.bankOf(s, at.part.ID, "dc") {
		c := p.Figure("charge_a")
		known = known && c.Known()
		limit += c.Value * p.Figure("parallel").Value
	}
	if known && limit > 0 && limit*1.05 < e.Hi {
		e.Hi, e.WarnHi = limit*1.05, limit*1.05
		e.Working = append(e.Working, fmt.Sprintf("not above the bank's charge limit of %g A", limit))
	}
	return e
}

func (b *bench) inputLimit(at place) Expect {
	for _, c := range b.sites() {
		for _, set := range c.Set {
			if set.Device != at.part.ID || c.Title != at.name {
				continue
			}
			var a float64
			if _, err := fmt.Sscanf(set.Value, "%g A", &a); err != nil {
				return Expect{Kind: Check, Working: []string{set.What + " " + set.Value + ": " + set.Why}}
			}
			return atMost(a, a, a, "A", "as on the card of this supply: "+set.Why)
		}
	}
	return unknown("A", "no card sets %s", at.part.ID)
}

func (b *bench) outputLegs(at place) Expect {
	if at.part.Word("inverts") == "both-in-phase" {
		return atMost(0, 8, 16, "V", "both legs in phase: their neutral carries the sum")
	}
	return near(240, 8, "V", "two opposite legs of 120 V")
}

func (b *bench) idleAmps(at place) Expect {
	s := b.idle()
	if !at.part.Figure("idle_w").Known() {
		return unknown("A", "the idle power of %s is not told", at.part.ID)
	}
	f, ok := s.Solution.Flows[at.part.ID]
	if !s.Solved() || !ok {
		return unknown("A", "%s does not run on the bank by the drawing", at.part.ID)
	}
	return near(f.DCAmps, 0.3*f.DCAmps, "A", fmt.Sprintf("idle power %g W at the bank's voltage, ± 30 %%", at.part.Figure("idle_w").Value))
}

func (b *bench) generatorLegs() Expect {
	for _, p := range b.parts(&components.Generator) {
		switch p.Word("legs") {
		case "opposite":
			return near(240, 8, "V", string(p.ID)+" has opposite windings")
		case "same-phase":
			return atMost(0, 8, 16, "V", string(p.ID)+" feeds both legs in phase: the neutral carries the sum")
		}
	}
	return unknown("V", "the windings of the generator are not told: measure and tell the drawing")
}

// neutral is the current of the neutral at a generator or at the site, the largest
// of the states that use it, held against what its smallest core may carry or the
// site gives.
func (b *bench) neutral(word string) Expect {
	kind := &components.Shore
	if word == "generator-neutral" {
		kind = &components.Generator
	}
	amps, state, found := 0.0, "", false
	least := math.Inf(1)
	missing := ""
	for _, s := range b.rig.States {
		for _, p := range b.parts(kind) {
			if kind == &components.Shore && s.Shore == "" || kind == &components.Generator && !s.Generator {
				continue
			}
			t, ok := s.Circuit.At(p.ID, "out", components.N)
			if !ok {
				continue
			}
			if a, ok := drawnAt(s, p.ID, "out", components.N); ok && (!found || a > amps) {
				amps, state, found = a, s.Name, true
			}
			for _, i := range s.Circuit.LinksAt(t) {
				r, isRun := b.doc.Run(s.Circuit.Links[i].Run)
				if !isRun {
					continue
				}
				a, err := checks.Ampacity(s.Circuit, r, components.N)
				if err != nil {
					missing = err.Error()
					continue
				}
				least = math.Min(least, a.Usable)
			}
		}
	}
	if kind == &components.Shore && b.site != nil {
		least, missing = components.ServiceAmps(b.site.Word("service")), ""
	}
	switch {
	case !found:
		return unknown("A", "no state of the drawing uses it")
	case missing != "" || infinite(least):
		return unknown("A", "%s", missing)
	}
	return atMost(amps, least, least, "A", fmt.Sprintf("%.1f A by the drawing in %s, with every load on; at most %g A", amps, state, least))
}

// underLoad is the inverter's DC current with its test load, and what the way from
// the bank to it loses.
func (b *bench) underLoad(word string, at place, item *Item) Expect {
	unit := map[string]string{"load-dc": "A", "load-drop": "V"}[word]
	s, load, ok := b.test(at.part)
	if !ok {
		return unknown(unit, "no load of known power hangs on %s off grid: use one of known power and reckon amperes as watts / (bank volts × efficiency)", at.part.ID)
	}
	item.Do += fmt.Sprintf(" The test load is %s, %g VA.", described(load), load.Figure("va").Value)
	if !s.Solved() {
		return unknown(unit, "no solution: %s", s.Solution.Failure.Reason)
	}
	f := s.Solution.Flows[at.part.ID]
	if word == "load-dc" {
		if !at.part.Figure("efficiency").Known() {
			return unknown(unit, "the efficiency of %s is not known", at.part.ID)
		}
		return near(f.DCAmps, 0.1*f.DCAmps, "A", fmt.Sprintf("%s at %s's efficiency of %g from a half-full bank, ± 10 %%", load.ID, at.part.ID, at.part.Figure("efficiency").Value))
	}
	v, okV := volts(s, at.part.ID, "dc", components.Pos, "dc", components.Neg)
	bats := b.bankOf(s, at.part.ID, "dc")
	if !okV || len(bats) == 0 {
		return unknown(unit, "no battery feeds %s on the drawing", at.part.ID)
	}
	if why, missing := assumed(s); missing {
		return unknown(unit, "a figure on the way may be missing (%s)", why)
	}
	item.Points = fmt.Sprintf("posts of %s less DC studs of %s, same instant", bats[0].ID, at.part.ID)
	full, _ := posts(s, bats[0].ID)
	return b.drop(full-v, fmt.Sprintf("%.1f A: %s at its posts %.3f V, %s at its studs %.3f V", f.DCAmps, bats[0].ID, full, at.part.ID, v))
}

func described(p components.Part) string {
	if p.Name == "" {
		return string(p.ID)
	}
	return string(p.ID) + " " + p.Name
}

// joint is what one joint of the bank's loop may lose: 0.2 mΩ at the test load's
// current, and never less than a meter shows.
func (b *bench) joint(item *Item) Expect {
	for _, inv := range b.parts(&components.Inverter, &components.InverterCharger) {
		s, load, ok := b.test(inv)
		if !ok || !s.Solved() {
			continue
		}
		amps := s.Solution.Flows[inv.ID].DCAmps
		mv := math.Max(10, 0.2*amps)
		item.Do += fmt.Sprintf(" The test load is %s on %s.", described(load), inv.ID)
		return atMost(mv, mv, 1.5*mv, "mV", fmt.Sprintf("%.0f A × 0.2 mΩ a joint (common practice, no source), 10 mV at least", amps))
	}
	return unknown("mV", "no load of known power hangs on an inverter off grid: 0.2 mV for each ampere, 10 mV at least")
}

// string is one battery's share of the test load.
func (b *bench) string(at place, item *Item) Expect {
	for _, inv := range b.parts(&components.Inverter, &components.InverterCharger) {
		s, load, ok := b.test(inv)
		if !ok || !s.Solved() {
			continue
		}
		f, flows := s.Solution.Flows[at.part.ID]
		if !flows || math.Abs(f.DCAmps) < 0.5 {
			continue
		}
		if why, missing := assumed(s); missing {
			return unknown("A", "a figure on the way may be missing (%s)", why)
		}
		a := -f.DCAmps
		item.Do += fmt.Sprintf(" The test load is %s on %s.", described(load), inv.ID)
		return near(a, 0.15*math.Abs(a), "A", "its share by the lengths and sizes of the drawing, ± 15 %")
	}
	return unknown("A", "no load of known power draws on %s", at.part.ID)
}

// panelVolts is the lowest voltage of a leg at any panel on shore with everything
// on.
func (b *bench) panelVolts(at place) Expect {
	s := b.shore()
	if !s.Solved() {
		return unknown("V", "no solution on shore: %s", s.Solution.Failure.Reason)
	}
	lowest, which := math.Inf(1), ""
	for _, p := range b.parts(&components.Panel) {
		for _, pole := range []components.Pole{components.L1, components.L2, components.L} {
			t, ok := s.Circuit.At(p.ID, "main", pole)
			if !ok {
				continue
			}
			for _, f := range s.Circuit.Feeds(t) {
				if f.Part != at.part.ID || s.Circuit.Terms[f.Hot].Pole != at.pole {
					continue
				}
				if v, ok := volts(s, p.ID, "main", pole, "main", components.N); ok && v < lowest {
					lowest, which = v, string(p.ID)
				}
			}
		}
	}
	if infinite(lowest) {
		return unknown("V", "no panel hangs on %s", at.id)
	}
	mains := b.doc.MainsVolts()
	return atLeast(lowest, 0.9*mains, 0.867*mains, "V", fmt.Sprintf("%.1f V at %s by the drawing, from a site of %g V with every load on", lowest, which, mains))
}

func (b *bench) bankLimit(at place) Expect {
	limit, tags := 0.0, []string{}
	for _, p := range b.bankOf(b.idle(), at.part.ID, "dc") {
		f, n := p.Figure("discharge_a"), p.Figure("parallel")
		if !f.Known() || !n.Known() {
			return unknown("A", "the discharge limit of %s is not told", p.ID)
		}
		limit += f.Value * n.Value
		tags = append(tags, string(p.ID))
	}
	if len(tags) == 0 {
		return unknown("A", "no battery feeds %s on the drawing", at.part.ID)
	}
	return atMost(limit, limit, limit, "A", fmt.Sprintf("the discharge limits of %s added up", strings.Join(tags, ", ")))
}

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

// alternator is what an alternator gives, and what its feed loses to what it
// charges.
func (b *bench) alternator(word string, at place) Expect {
	s := b.engine()
	unit := map[string]string{"feed-drop": "V", "alternator-amps": "A"}[word]
	if !s.Solved() {
		return unknown(unit, "no solution with the engine running: %s", s.Solution.Failure.Reason)
	}
	f, ok := s.Solution.Flows[at.part.ID]
	if !ok {
		return unknown(unit, "%s feeds nothing on the drawing", at.part.ID)
	}
	if word == "alternator-amps" {
		limit := at.part.Figure("rating_a")
		if !limit.Known() {
			return unknown(unit, "the rating of %s is not told", at.part.ID)
		}
		return atMost(math.Abs(f.DCAmps), limit.Value, limit.Value, "A", fmt.Sprintf("%.1f A by the drawing with no load on; its rating is %g A, and hot at idle it is good for less", math.Abs(f.DCAmps), limit.Value))
	}
	if why, missing := assumed(s); missing {
		return unknown(unit, "a figure on the way may be missing (%s)", why)
	}
	from, _ := volts(s, at.part.ID, "out", components.Pos, "out", components.Neg)
	far, end := b.chargedBy(s, at.part)
	if end == "" {
		return unknown(unit, "nothing that %s charges is on the drawing", at.part.ID)
	}
	return b.drop(from-far, fmt.Sprintf("%.1f A: %s %.3f V, %s %.3f V", math.Abs(f.DCAmps), at.part.ID, from, end, far))
}

// chargedBy is the voltage at a DC charger on the alternator's circuit, or else at
// a battery there.
func (b *bench) chargedBy(s *solved.State, alt components.Part) (float64, string) {
	t, ok := s.Circuit.At(alt.ID, "out", components.Pos)
	if !ok {
		return 0, ""
	}
	for _, p := range b.parts(&components.DCCharger) {
		if x, found := s.Circuit.At(p.ID, "in", components.Pos); found && s.Circuit.Net(x) == s.Circuit.Net(t) {
			if v, ok := volts(s, p.ID, "in", components.Pos, "in", components.Neg); ok {
				return v, string(p.ID)
			}
		}
	}
	for _, p := range b.bankOf(s, alt.ID, "out") {
		if v, ok := posts(s, p.ID); ok {
			return v, string(p.ID)
		}
	}
	return 0, ""
}
