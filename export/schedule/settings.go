package schedule

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/cards"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// Setting is one figure to enter into a device, and why it is that.
type Setting struct {
	Device components.ID
	Name   string
	What   string // "absorption voltage"
	Value  string // "14.4 V", NotKnown where it does not follow from the drawing
	Why    string
}

// settings gathers the sheet.
type settings struct {
	rig   *solved.Rig
	cards []cards.Card
	all   []Setting
}

// Settings derives from the drawing what the devices are set to: the charge
// profile of the bank that each charge source feeds, its current, cut-outs, the
// input limit for each supply, the ground relay, the monitor.
func Settings(rig *solved.Rig, all []cards.Card) []Setting {
	s := &settings{rig: rig, cards: all}
	for _, p := range rig.Doc.Parts() {
		if p.Gone() {
			continue
		}
		switch p.Kind {
		case &components.InverterCharger:
			s.charging(p, "dc", p.Figure("charge_a"))
			s.limits(p)
			s.inverter(p)
			s.relay(p)
		case &components.Inverter:
			s.inverter(p)
			s.fixedBond(p)
		case &components.Charger:
			s.charging(p, "dc", p.Figure("charge_a"))
		case &components.SolarController:
			s.charging(p, "battery", p.Figure("output_a"))
		case &components.DCCharger:
			s.charging(p, "out", p.Figure("output_a"))
			s.starts(p)
		case &components.Alternator:
			s.add(p, "set voltage", withUnit(p.Figure("volts"), "V"), fromOf(p.Figure("volts"))+"; above the bank's highest charging voltage it harms the bank")
		case &components.DCConverter:
			s.add(p, "output voltage", withUnit(p.Figure("out_v"), "V"), "the voltage of the circuits behind it")
		case &components.TransferSwitch:
			s.transfer(p)
		case &components.Shunt:
			s.monitor(p)
		case &components.Generator:
			s.add(p, "automatic start", NotKnown, "the drawing shows none; if there is one, shut it off in closed spaces and while shore is connected")
		}
		s.interlock(p)
	}
	return s.all
}

func (s *settings) add(p components.Part, what, value, why string) {
	s.all = append(s.all, Setting{p.ID, p.Name, what, value, why})
}

func withUnit(f components.Figure, unit string) string {
	if !f.Known() {
		return NotKnown
	}
	return num(f.Value) + " " + unit
}

// fromOf says whether a figure was told or is only the catalogue's.
func fromOf(f components.Figure) string {
	if f.From == components.Default {
		return "not told; the catalogue's default, " + f.Field.DefaultFrom
	}
	if !f.Known() {
		return "not told: read it off the device"
	}
	return "as told in the drawing"
}

// bankAt is the strings that a source feeds, with their chemistry and how many 12 V
// blocks stand in series; what is missing where there is none.
type bankAt struct {
	strings []solved.String
	chem    tables.Chemistry
	blocks  float64
	missing string
}

// bank finds the batteries on the net of a part's positive.
func (s *settings) bank(p components.Part, port string) bankAt {
	st := s.rig.States[0]
	var b bankAt
	if t, ok := st.Circuit.At(p.ID, port, components.Pos); ok {
		b.strings = st.StringsAt(t)
	}
	if len(b.strings) == 0 {
		b.missing = "no battery stands on its circuit"
		return b
	}
	nets := st.Circuit.Nets(func(l *circuit.Link) bool { return l.Closed })
	back, ok := st.Circuit.At(p.ID, port, components.Neg)
	for i, q := range b.strings {
		bottom := q.Bottom().ID
		if n, found := st.Circuit.At(bottom, "neg", components.Neg); !ok || !found || nets[n] != nets[back] {
			b.missing = fmt.Sprintf("the negative of %s does not lead straight back to it, as where it hangs on a part of a string: its voltage does not follow from the drawing", bottom)
			return b
		}
		if b.missing = q.Missing; b.missing != "" {
			return b
		}
		if i > 0 && (q.Chem.ID != b.chem.ID || math.Abs(q.Blocks-b.blocks) > 1e-6) {
			b.missing = fmt.Sprintf("%s and %s differ in chemistry or voltage: one profile cannot serve both", b.strings[0].Tags(), q.Tags())
			return b
		}
		b.chem, b.blocks = q.Chem, q.Blocks
	}
	return b
}

// tags names the batteries of a bank.
func (b bankAt) tags() string {
	var all []string
	for _, q := range b.strings {
		all = append(all, q.Tags())
	}
	return strings.Join(all, ", ")
}

// sum adds a figure over the strings of the bank; of blocks in series the least counts.
func (b bankAt) sum(key string) (float64, bool) {
	total := 0.0
	for _, q := range b.strings {
		least, known := q.Least(key)
		if !known {
			return 0, false
		}
		total += least
	}
	return total, true
}

// seen tells how a figure of a chemistry is verified, in words.
func seen(c tables.Chemistry, figure string) string {
	how, ok := c.Verified(figure)
	switch {
	case !ok:
		return "not verified"
	case strings.HasPrefix(how, "V"):
		return "published for the chemistry"
	case strings.HasPrefix(how, "M"):
		return "of the chemistry, from memory"
	}
	return "of the chemistry, common practice, no source"
}

const deviceWins = "the battery's own data sheet wins"

// charging is the profile and the current of a charge source.
func (s *settings) charging(p components.Part, port string, most components.Figure) {
	if most.Known() && most.Value == 0 {
		s.add(p, "charger", "none", "it has no charger, or it is not used, by the drawing: if it has one, shut it off")
		return
	}
	b := s.bank(p, port)
	if b.missing != "" {
		for _, what := range []string{"absorption voltage", "float voltage", "charge current"} {
			s.add(p, what, NotKnown, b.missing)
		}
		return
	}
	volts := func(v float64) string { return num(math.Round(v*b.blocks*100)/100) + " V" }
	for_ := fmt.Sprintf("%s, %s, %s", b.tags(), b.chem.Name, b.inBlocks())
	s.add(p, "absorption voltage", volts(b.chem.ChargeVoltage.Absorb), for_+"; "+seen(b.chem, "absorb_v")+"; "+deviceWins)
	s.add(p, "float voltage", volts(b.chem.ChargeVoltage.Float), for_+"; "+seen(b.chem, "float_v")+"; "+deviceWins)
	s.add(p, "never above", volts(b.chem.ChargeVoltage.Max), for_+"; "+seen(b.chem, "max_v")+"; "+deviceWins)
	if b.chem.ID == "lfp" {
		s.add(p, "equalization", "off", "lithium iron phosphate must not be equalized")
		s.add(p, "temperature compensation", "off", "the charging voltage of lithium iron phosphate does not follow temperature")
		s.cold(p, b)
	} else {
		s.add(p, "temperature compensation", "on, with its sensor on the battery", "lead-acid wants less voltage when warm; the slope is on the battery's data sheet")
		if b.chem.ID != "flooded" {
			s.add(p, "equalization", "off", "sealed lead-acid is not equalized")
		}
	}
	s.current(p, b, most)
}

// inBlocks tells how much stands in series, for a lithium bank in cells too.
func (b bankAt) inBlocks() string {
	text := num(math.Round(b.blocks*100)/100) + " blocks of 12 V"
	if b.blocks == 1 {
		text = "1 block of 12 V"
	}
	if cells := float64(b.chem.Cells) * b.blocks; math.Abs(cells-math.Round(cells)) < 1e-6 && cells > 0 {
		text += fmt.Sprintf(", %.0f cells in series", cells)
	}
	return text
}

// batteries are those of all strings.
func (b bankAt) batteries() []components.Part {
	var all []components.Part
	for _, q := range b.strings {
		all = append(all, q.Parts...)
	}
	return all
}

// cold is the lowest temperature at which the bank may be charged.
func (s *settings) cold(p components.Part, b bankAt) {
	lowest := math.Inf(-1)
	for _, q := range b.batteries() {
		f := q.Figure("min_charge_c")
		if !f.Known() {
			s.add(p, "no charging below", num(b.chem.Temperature.ChargeMin)+" °C", fmt.Sprintf("%s does not tell; %s", q.ID, seen(b.chem, "charge_min_temp_c")))
			return
		}
		lowest = max(lowest, f.Value)
	}
	s.add(p, "no charging below", num(lowest)+" °C", "as told of "+b.tags())
}

// current is what a charger may give: its own limit, or the bank's where that is
// less.
func (s *settings) current(p components.Part, b bankAt, most components.Figure) {
	limit, told := b.sum("charge_a")
	why := fmt.Sprintf("the charge limit of %s is %s A", b.tags(), num(limit))
	if !told {
		ah, ok := b.sum("capacity_ah")
		if !ok {
			s.add(p, "charge current", NotKnown, "neither the charge limit nor the capacity of "+b.tags()+" is known")
			return
		}
		limit = ah * b.chem.ChargeRate.Usual
		why = fmt.Sprintf("the charge limit of %s is not told; %s of the capacity a hour is usual, %s", b.tags(), num(b.chem.ChargeRate.Usual), seen(b.chem, "charge_c"))
	}
	switch {
	case !most.Known():
		s.add(p, "charge current", NotKnown, "its own output is not known; not above "+num(limit)+" A: "+why)
	case most.Value <= limit:
		s.add(p, "charge current", num(most.Value)+" A", fmt.Sprintf("its own full output; %s", why))
	default:
		s.add(p, "charge current", num(math.Floor(limit))+" A", fmt.Sprintf("its own full output of %s A is more than the bank takes: %s", num(most.Value), why))
	}
}

// starts is when a charger from one bank into another works: from an engine's battery
// with the engine alone, from a house bank down to a voltage that leaves it enough.
func (s *settings) starts(p components.Part) {
	st := s.rig.States[0]
	t, ok := st.Circuit.At(p.ID, "in", components.Pos)
	b := s.bank(p, "in")
	switch {
	case ok && engineAt(st, t):
		s.add(p, "start only with the engine running", "by its ignition or voltage sense", "else it empties the starting battery")
	case b.missing != "":
		s.add(p, "input cut-off", NotKnown, b.missing)
	default:
		cut := math.Round(b.chem.CutOff.Load*b.blocks*100) / 100
		s.add(p, "input cut-off", num(cut)+" V", fmt.Sprintf("it draws on %s and on no engine: it stops where loads stop there (%s)", b.tags(), seen(b.chem, "load_cutoff_v")))
	}
}

// interlock tells what never runs together with a part, which is more than a drawing of
// conductors shows.
func (s *settings) interlock(p components.Part) {
	group := p.Word("never_with")
	if group == "" {
		return
	}
	var others []string
	for _, q := range s.rig.Doc.Parts() {
		if q.ID != p.ID && !q.Gone() && q.Word("never_with") == group {
			others = append(others, named(q))
		}
	}
	if len(others) > 0 {
		s.add(p, "interlock", "never together with "+and(others), fmt.Sprintf("as told in the drawing (%s): the check and the cards count on it; whatever keeps them apart is to be fitted and tried", group))
	}
}

// limits are the input limits by supply, as the cards have them.
func (s *settings) limits(p components.Part) {
	any := false
	for _, c := range s.cards {
		for _, set := range c.Set {
			if set.Device == p.ID {
				any = true
				s.add(p, set.What+", "+c.Title, set.Value, set.Why)
			}
		}
		if c.Failure != "" && c.Kind != cards.OffGrid {
			s.add(p, "input current limit, "+c.Title, NotKnown, c.Failure)
			any = true
		}
	}
	if !any {
		s.add(p, "input current limit", NotKnown, "no supply of the drawing reaches its input")
	}
}

// inverter is the low-voltage cut-out and the output.
func (s *settings) inverter(p components.Part) {
	s.add(p, "output voltage", withUnit(p.Figure("ac_v"), "V a leg"), fromOf(p.Figure("ac_v")))
	b := s.bank(p, "dc")
	low := p.Figure("dc_low_v")
	if b.missing != "" {
		s.add(p, "low-voltage cut-out", NotKnown, b.missing)
		return
	}
	cut := math.Round(b.chem.CutOff.Load*b.blocks*100) / 100
	trip := math.Round(b.chem.CutOff.Trip*b.blocks*100) / 100
	why := fmt.Sprintf("%s: loads stop here (%s), before the battery itself ends at about %s V", b.tags(), seen(b.chem, "load_cutoff_v"), num(trip))
	if low.From == components.Given && low.Value > cut {
		cut, why = low.Value, "the lowest input that the device is told to work at, above what the bank asks for"
	}
	s.add(p, "low-voltage cut-out", num(cut)+" V", why)
	idle := "not told"
	if f := p.Figure("idle_w"); f.Known() {
		idle = num(f.Value) + " W"
	}
	s.add(p, "search or sleep mode", NotKnown, "a choice of the owner: left on without load it takes its idle power, "+idle)
}

// relay is the ground relay of an inverter/charger.
func (s *settings) relay(p components.Part) {
	v, from := p.Value("bond_relay")
	why := "bonds neutral to ground while it inverts, and opens before it passes the supply, whose own bond is at its source"
	value := "on"
	if from != components.Missing && !v.Truth() {
		value, why = "off", "the drawing has it off: the bond while inverting must then stand where the drawing shows it"
	}
	if from == components.Missing {
		value, why = NotKnown, "the drawing does not tell"
	}
	if from == components.Default {
		why += " (not told; the catalogue's default, UL 458 practice)"
	}
	s.add(p, "ground relay", value, why)
}

func (s *settings) fixedBond(p components.Part) {
	v, from := p.Value("bonded")
	value, why := "open", "its output neutral floats, as drawn"
	if v.Truth() {
		value, why = "closed", "its output neutral is bonded at the device, as drawn"
	}
	if from != components.Given {
		why += "; not told, the catalogue's default: measure"
	}
	s.add(p, "neutral-to-ground jumper", value, why)
}

func (s *settings) transfer(p components.Part) {
	if p.Is("manual") {
		s.add(p, "position", "turned by hand", "as drawn")
		return
	}
	v, from := p.Value("prefers")
	why := "as told in the drawing"
	if from == components.Default {
		why = "not told; the catalogue's default: look which side it rests on"
	}
	s.add(p, "preferred supply", circuit.InputOf(s.rig.Doc, p.ID, circuit.Position(v.Str())), why)
	why = "its contacts must never join two sources that run"
	if slices.ContainsFunc(s.rig.Doc.Parts(), func(q components.Part) bool { return q.Kind == &components.Generator && !q.Gone() }) {
		why = "a generator needs time to settle"
	}
	s.add(p, "delay before transfer", "by the maker's label", why)
}

// monitor is a battery monitor's capacity and what it takes for full.
func (s *settings) monitor(p components.Part) {
	s.add(p, "shunt", fmt.Sprintf("%s A, %s mV", figure(p.Figure("rating_a")), figure(p.Figure("millivolts"))), fromOf(p.Figure("millivolts")))
	b := bankAt{strings: s.rig.States[0].CountedBy(p)}
	if len(b.strings) == 0 {
		s.add(p, "capacity", NotKnown, "no house battery stands on its battery side")
		return
	}
	ah, known := b.sum("capacity_ah")
	if !known {
		s.add(p, "capacity", NotKnown, "the capacity of "+b.tags()+" is not known")
	} else {
		s.add(p, "capacity", num(ah)+" Ah", "the strings of "+b.tags()+" added up")
	}
	top := b.strings[0].Top()
	chem, ok := tables.BatteryChemistry(top.Word("chemistry"))
	for _, q := range b.strings[1:] {
		if q.Chem.ID != chem.ID {
			s.add(p, "charge efficiency", NotKnown, b.tags()+" differ in chemistry: one figure cannot serve both")
			return
		}
	}
	if !ok {
		s.add(p, "charge efficiency", NotKnown, "the chemistry of "+string(top.ID)+" is not known")
		return
	}
	s.add(p, "charge efficiency", fmt.Sprintf("%.0f %%", 100*chem.Efficiency.Coulombic), seen(chem, "coulombic_efficiency"))
	s.add(p, "Peukert exponent", num(chem.Peukert), seen(chem, "peukert"))
	s.add(p, "full when", NotKnown, "the tail current and the charged voltage are on the monitor's and the battery's data sheets")
}

// SettingsTable is the settings sheet as a table, with a place for what was
// entered.
func SettingsTable(rig *solved.Rig, all []cards.Card) lists.Table {
	t := lists.Table{Name: "settings", Title: "Settings", None: "the drawing has no device that is set", Head: []string{"device", "name", "setting", "value", "why", "entered", "date"}}
	for _, s := range Settings(rig, all) {
		t.Add(string(s.Device), s.Name, s.What, s.Value, s.Why, "", "")
	}
	return terms.Of(rig.Doc).Table(t)
}
