package energy

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules/circuit"
)

// Plan is what a drawing says of an ordinary day.
type Plan struct {
	Cases   []Case          // one for each bank
	Idle    []components.ID // loads that no bank carries off grid
	Missing []Missing
	RestsOn []string

	seen     map[int]bool // cases under way, against banks that charge each other in a ring
	doc      *components.Document
	off      *circuit.Circuit
	circuits []*circuit.Circuit
	bank     map[components.ID]int // battery to case
	notes    notes
}

// Starts is the hour at which engine, generator and site supply begin: nothing in a
// drawing says when.
const Starts = 8

// Survey reads the plan of a day off the settled circuits of a document's states.
func Survey(doc *components.Document, circuits []*circuit.Circuit) *Plan {
	p := &Plan{doc: doc, circuits: circuits, bank: map[components.ID]int{}, seen: map[int]bool{}}
	p.off = p.find(func(s components.State) bool {
		return s.Shore == "" && !s.Generator && s.Sun == 0 && !s.Engine
	})
	if p.off == nil {
		p.off = circuit.Build(doc, components.State{Name: "Off grid", SoC: 0.5})
	}
	p.banks()
	p.loads()
	p.sources()
	p.leftOut()
	p.Missing, p.RestsOn = p.notes.missing, p.notes.rests
	return p
}

// Of surveys a document in all its states.
func Of(doc *components.Document) *Plan {
	var all []*circuit.Circuit
	for _, s := range doc.Operating() {
		all = append(all, circuit.Build(doc, s))
	}
	return Survey(doc, all)
}

func (p *Plan) find(is func(components.State) bool) *circuit.Circuit {
	for _, c := range p.circuits {
		if is(c.State) {
			return c
		}
	}
	return nil
}

// banks gathers the house batteries that share a positive net.
func (p *Plan) banks() {
	var nets []circuit.Term
	var groups [][]components.Part
	for _, q := range p.doc.Parts() {
		if q.Gone() || q.Kind != &components.Battery || q.Word("role") == "starting" || p.off.Carries(q.ID) {
			continue
		}
		t, ok := p.off.At(q.ID, "pos", components.Pos)
		if !ok {
			continue
		}
		i := slices.Index(nets, p.off.Net(t))
		if i < 0 {
			nets, groups = append(nets, p.off.Net(t)), append(groups, nil)
			i = len(nets) - 1
		}
		groups[i] = append(groups[i], q)
	}
	for _, g := range groups {
		b, ok := bankOf(g, p.off, &p.notes)
		if !ok {
			continue
		}
		for _, q := range g {
			for _, id := range p.off.InSeries(q.ID) {
				p.bank[id] = len(p.Cases)
			}
		}
		p.Cases = append(p.Cases, Case{Bank: b})
	}
}

// at finds the bank that a terminal hangs on, straight or through converters and
// inverters, and what share of a watt taken there the bank has to give.
func (p *Plan) at(t circuit.Term, depth int) (bank int, gain float64, ac bool, ok bool) {
	if depth > 8 {
		return 0, 0, false, false
	}
	for _, s := range p.off.Feeds(t) {
		q, found := p.doc.Part(s.Part)
		if !found {
			continue
		}
		in := ""
		switch q.Kind {
		case &components.Battery:
			if i, known := p.bank[q.ID]; known {
				return i, 1, false, true
			}
			continue
		case &components.DCConverter:
			in = "in"
		case &components.Inverter, &components.InverterCharger:
			in = "dc"
		default:
			continue
		}
		into, found := p.off.At(q.ID, in, components.Pos)
		if !found {
			continue
		}
		if i, g, _, known := p.at(into, depth+1); known {
			e := q.Figure("efficiency")
			if e.From == components.Default {
				p.notes.rest("efficiency of %s taken as %v: %s", q.ID, e.Value, e.Field.DefaultFrom)
			}
			return i, g / e.Value, in == "dc", true
		}
	}
	return 0, 0, false, false
}

// loads puts every load on its bank.
func (p *Plan) loads() {
	for _, q := range p.doc.Parts() {
		if q.Gone() {
			continue
		}
		watts, port, pole := 0.0, "in", components.Pos
		var figure components.Figure
		switch q.Kind {
		case &components.DCLoad:
			figure = q.Figure("a")
		case &components.ACLoad:
			figure = q.Figure("va")
			watts, pole = figure.Value*q.Figure("pf").Value, components.L
			if q.Figure("hots").Value == 2 {
				pole = components.L1
			}
		case &components.Inverter, &components.InverterCharger:
			p.idle(q)
			continue
		default:
			continue
		}
		t, found := p.off.At(q.ID, port, pole)
		if !found {
			continue
		}
		if slices.Contains(p.off.State.Off, q.ID) || q.Is("shore_only") || len(p.off.State.On) > 0 && !slices.Contains(p.off.State.On, q.ID) {
			p.Idle = append(p.Idle, q.ID)
			continue
		}
		i, gain, ac, ok := p.at(t, 0)
		if !ok {
			p.Idle = append(p.Idle, q.ID)
			continue
		}
		if !figure.Known() {
			p.notes.miss(q.ID, figure.Field.Key, "read its label")
			continue
		}
		if q.Kind == &components.DCLoad {
			for _, s := range p.off.Feeds(t) {
				watts = figure.Value * s.Volts
				break
			}
		}
		hours := q.Figure("hours_per_day")
		if !hours.Known() {
			p.notes.miss(q.ID, "hours_per_day", "how long it runs on an ordinary day")
		}
		l := Load{Name: string(q.ID), Watts: watts * gain, Loss: watts * (gain - 1), Hours: hours.Value, To: 24, AC: ac, Untold: !hours.Known()}
		from, to := q.Figure("from_h"), q.Figure("to_h")
		if from.Known() && to.Known() {
			l.From, l.To = from.Value, to.Value
			if l.Hours > l.window() {
				p.notes.rest("%s runs %v h a day but is used from %v to %v h only: it is counted in full within those hours", q.ID, l.Hours, l.From, l.To)
			}
		}
		p.Cases[i].Loads = append(p.Cases[i].Loads, l)
	}
}

// idle puts an inverter's own use on its bank, day and night.
func (p *Plan) idle(q components.Part) {
	if p.off.Positions[q.ID] != circuit.Inverting {
		return
	}
	t, ok := p.off.At(q.ID, "dc", components.Pos)
	if !ok {
		return
	}
	i, gain, _, ok := p.at(t, 0)
	if !ok {
		return
	}
	w := q.Figure("idle_w")
	if !w.Known() {
		p.notes.miss(q.ID, "idle_w", "its manual, or a clamp on the DC lead with nothing switched on")
		return
	}
	p.Cases[i].Loads = append(p.Cases[i].Loads, Load{Name: string(q.ID) + " idle", Watts: w.Value * gain, Loss: w.Value * gain, Hours: 24, To: 24, AC: q.Kind == &components.InverterCharger})
}

// sources puts every charge source on the bank that it feeds.
func (p *Plan) sources() {
	if c := p.find(func(s components.State) bool { return s.Sun > 0 }); c != nil {
		p.suns(c)
	}
	if c := p.find(func(s components.State) bool { return s.Engine }); c != nil {
		p.engines(c)
	}
	p.otherBanks()
	if c := p.find(func(s components.State) bool { return s.Shore != "" }); c != nil {
		p.chargers(c, Shore, p.acSource(c, &components.Shore))
	}
	if c := p.find(func(s components.State) bool { return s.Generator }); c != nil {
		p.chargers(c, Generator, p.acSource(c, &components.Generator))
	}
}

// leftOut names what the day is counted without.
func (p *Plan) leftOut() {
	for _, k := range p.Cases {
		if len(k.Loads) > 0 {
			p.notes.rest("losses in cables are not counted: by the rules of voltage drop up to 3 %% at full current, and less at an ordinary day's")
		}
		for _, s := range k.Sources {
			if s.From == Starts && s.Hours > 0 && s.Hours < 24 {
				p.notes.rest("%s begins at %02d:00: no hour is told", s.Name, Starts)
			}
		}
	}
}

// caseAt is the bank behind a charge source's output in a state.
func (p *Plan) caseAt(c *circuit.Circuit, part components.ID, port string) (int, bool) {
	t, ok := c.At(part, port, components.Pos)
	if !ok {
		return 0, false
	}
	for _, s := range c.Feeds(t) {
		if i, known := p.bank[s.Part]; known {
			return i, true
		}
	}
	return 0, false
}

func (p *Plan) suns(c *circuit.Circuit) {
	for _, q := range p.doc.Parts() {
		if q.Gone() || q.Kind != &components.SolarController {
			continue
		}
		i, ok := p.caseAt(c, q.ID, "battery")
		if !ok {
			continue
		}
		pv, _ := c.At(q.ID, "pv", components.Pos)
		most := q.Figure("output_a")
		if !most.Known() {
			p.notes.miss(q.ID, "output_a", "read its label")
			continue
		}
		for _, s := range c.Feeds(pv) {
			if !s.Sun {
				continue
			}
			for _, id := range c.InSeries(s.Part) {
				a, _ := p.doc.Part(id)
				watts, sun, ok := p.array(a)
				if !ok {
					continue
				}
				p.Cases[i].Sources = append(p.Cases[i].Sources, Source{Name: string(a.ID), Kind: Sun, Watts: watts, Hours: sun,
					Cap: most.Value * p.Cases[i].Bank.Volts, Holds: fmt.Sprintf("output of %s, %v A", q.ID, most.Value)})
			}
		}
	}
}

// array is what an array brings to the bank at full sun, in W, and the full-sun
// hours of its day.
func (p *Plan) array(a components.Part) (watts, sun float64, ok bool) {
	watts, ok = 1, true
	for _, key := range []string{"series", "parallel", "vmp_v", "imp_a"} {
		f := a.Figure(key)
		if !f.Known() {
			p.notes.miss(a.ID, key, "read the label on the back of a module")
			ok = false
		}
		watts *= f.Value
	}
	hours := a.Figure("sun_hours")
	if !hours.Known() {
		p.notes.miss(a.ID, "sun_hours", "a solar map of the place, for the month that counts")
		ok = false
	}
	y := a.Figure("yield")
	if y.From == components.Default {
		p.notes.rest("%.0f %% of the rating of %s reaches the bank: %s", 100*y.Value, a.ID, y.Field.DefaultFrom)
	}
	return watts * y.Value, hours.Value, ok
}

// alternatorShare is what an alternator gives for long without overheating.
const alternatorShare = 0.5

func (p *Plan) engines(c *circuit.Circuit) {
	hours, told := 0.0, false
	for _, q := range p.doc.Parts() {
		if h := q.Figure("hours_per_day"); !q.Gone() && q.Kind == &components.Alternator && h.Known() {
			hours, told = math.Max(hours, h.Value), true
		}
	}
	add := func(i int, q components.Part, watts float64, holds string) {
		if !told {
			p.notes.rest("no driving hours told: %s adds nothing to the day", q.ID)
		}
		p.Cases[i].Sources = append(p.Cases[i].Sources, Source{Name: string(q.ID), Kind: Engine, Watts: watts, Hours: hours, From: Starts, Holds: holds})
	}
	for _, q := range p.doc.Parts() {
		if q.Gone() {
			continue
		}
		switch q.Kind {
		case &components.Alternator:
			i, ok := p.caseAt(c, q.ID, "out")
			if !ok {
				continue
			}
			rating := q.Figure("rating_a")
			if !rating.Known() {
				p.notes.miss(q.ID, "rating_a", "read its label")
				continue
			}
			p.notes.rest("%s gives half its rating for long: common practice, no source", q.ID)
			add(i, q, alternatorShare*rating.Value*p.Cases[i].Bank.Volts, fmt.Sprintf("half the rating of %s, %v A", q.ID, alternatorShare*rating.Value))
		case &components.DCCharger:
			i, ok := p.caseAt(c, q.ID, "out")
			if !ok || !c.WaitsForEngine(q) {
				continue
			}
			out := q.Figure("output_a")
			if !out.Known() {
				p.notes.miss(q.ID, "output_a", "read its label")
				continue
			}
			add(i, q, out.Value*p.Cases[i].Bank.Volts, fmt.Sprintf("output of %s, %v A", q.ID, out.Value))
		}
	}
}

// otherBanks lets a bank charge another through a DC-DC charger: the second
// bank's day rests on the first, which carries it on average.
func (p *Plan) otherBanks() {
	for _, q := range p.doc.Parts() {
		if q.Gone() || q.Kind != &components.DCCharger || p.off.WaitsForEngine(q) || !p.off.Charges(q) {
			continue
		}
		to, okTo := p.caseAt(p.off, q.ID, "out")
		from, okFrom := p.caseAt(p.off, q.ID, "in")
		out, eff := q.Figure("output_a"), q.Figure("efficiency")
		if !okTo || !okFrom || from == to || p.seen[from] {
			continue
		}
		if !out.Known() {
			p.notes.miss(q.ID, "output_a", "read its label")
			continue
		}
		p.seen[to] = true
		k := &p.Cases[to]
		most := out.Value * k.Bank.Volts
		k.Sources = append(k.Sources, Source{Name: string(q.ID), Kind: OtherBank, Watts: most, Always: true, Holds: fmt.Sprintf("output of %s, %v A", q.ID, out.Value)})
		wh := 0.0
		for _, l := range k.Loads {
			wh += l.Wh()
		}
		mean := math.Min(most, wh/24)
		p.Cases[from].Loads = append(p.Cases[from].Loads, Load{Name: string(q.ID), Watts: mean / eff.Value, Loss: mean * (1/eff.Value - 1), Hours: 24, To: 24})
	}
}

// supply is an AC source from outside: what one leg of it gives, in VA.
type supply struct {
	name  string
	leg   float64
	hours float64
	known bool
}

func (p *Plan) acSource(c *circuit.Circuit, kind *components.Kind) supply {
	for _, s := range c.Sources {
		q, _ := p.doc.Part(s.Part)
		if q.Kind != kind {
			continue
		}
		v := supply{name: string(q.ID), leg: s.LimitA * s.Volts, hours: q.Figure("hours_per_day").Value, known: true}
		if kind == &components.Generator {
			rating := q.Figure("rating_va")
			if !rating.Known() {
				p.notes.miss(q.ID, "rating_va", "read its label")
				return supply{}
			}
			legs := 1.0
			if w := q.Word("legs"); w != "one" {
				legs = 2
			}
			v.leg = math.Min(v.leg, rating.Value/legs)
		}
		return v
	}
	return supply{}
}

// chargers puts the chargers of an AC state on their banks, each with what its
// input leaves it after the loads that pass through it, on average.
func (p *Plan) chargers(c *circuit.Circuit, kind Kind, from supply) {
	if !from.known {
		return
	}
	left := from.leg
	for _, q := range p.doc.Parts() {
		if q.Gone() || q.Kind != &components.Charger && (q.Kind != &components.InverterCharger || c.Positions[q.ID] != circuit.Passing) {
			continue
		}
		i, ok := p.caseAt(c, q.ID, "dc")
		if !ok || q.Kind == &components.Charger && !p.alive(c, q) {
			continue
		}
		amps, eff := q.Figure("charge_a"), q.Figure("efficiency")
		if !amps.Known() {
			p.notes.miss(q.ID, "charge_a", "read its label, or the setting")
			continue
		}
		b := p.Cases[i].Bank
		rise := b.Chemistry.ChargeVoltage.Absorb / b.Chemistry.NominalVoltage
		want := amps.Value * b.Volts * rise / eff.Value // at its AC input, at the charging voltage
		room, holds := left, "rating of "+from.name
		if kind == Shore {
			holds = "supply at " + from.name
		}
		if limit := q.Figure("input_limit_a"); limit.Known() && limit.Value*120 < room {
			room, holds = limit.Value*120, fmt.Sprintf("input limit of %s, %v A", q.ID, limit.Value)
		}
		if q.Kind == &components.InverterCharger {
			room = math.Max(0, room-p.through(i))
		}
		s := Source{Name: from.name + " through " + string(q.ID), Kind: kind, Watts: amps.Value * b.Volts, Hours: from.hours, From: Starts, Holds: fmt.Sprintf("charge current of %s, %v A", q.ID, amps.Value)}
		if want > room {
			s.Watts, s.Holds = room*eff.Value/rise, holds
			want = room
		}
		left = math.Max(0, left-want)
		p.Cases[i].Sources = append(p.Cases[i].Sources, s)
	}
}

// through is the mean power of the loads that an inverter/charger passes on, on
// one leg, in W, as the bank's loads tell it.
func (p *Plan) through(i int) float64 {
	w := 0.0
	for _, l := range p.Cases[i].Loads {
		if l.AC {
			w += (l.Watts - l.Loss) * l.Hours / 24
		}
	}
	return w
}

func (p *Plan) alive(c *circuit.Circuit, q components.Part) bool {
	t, ok := c.At(q.ID, "ac-in", components.L)
	return ok && c.Live(t)
}
