package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// VoltageClass holds every device on a DC bus to the bus's voltage.
var VoltageClass = &rules.Rule{
	ID:    "battery.voltage-class",
	Title: "A device is not made for the voltage of its bus",
	Must:  "Every device on a DC bus stands the highest charging voltage of the bus and works at the lowest voltage of its battery; what charges or feeds the bus is made for its voltage, no higher and no lower.",
	Basis: []rules.Basis{
		{Source: "the device's own limits", Clause: "label or data sheet", Says: "lowest and highest supply voltage", Seen: rules.Published},
		{Source: "data sheets of lithium iron phosphate blocks", Says: "10.0 to 14.6 V for each 12 V class", Seen: rules.Published},
		{Source: "data sheets of lead-acid blocks", Says: "10.5 to 14.8 V for each 12 V, vented 15.5 V while equalizing", Seen: rules.Memory},
	},
	Level: rules.Danger, Stateless: true,
	Check: voltageClass,
}

// bus is the voltage band of a DC net and what makes it.
type bus struct {
	From                     components.ID
	Nominal, Lowest, Highest float64
}

func voltageClass(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		for _, in := range classOf(q) {
			t, ok := p.Circuit.At(q.ID, in.port, components.Pos)
			if !ok {
				continue
			}
			if b, ok := busAt(p, t, q.ID); ok {
				fits(p, q, in, b)
			}
		}
	}
}

// input is a DC port with the voltage that its device is made for.
type input struct {
	port, key string // key is the field that tells the class, "" for a range alone
	nominal   components.Figure
	min, max  components.Figure
}

func classOf(q components.Part) []input {
	switch q.Kind {
	case &components.Inverter, &components.InverterCharger:
		return []input{{port: "dc", key: "dc_v", nominal: q.Figure("dc_v"), max: q.Figure("dc_high_v")}}
	case &components.Charger:
		return []input{{port: "dc", key: "dc_v", nominal: q.Figure("dc_v")}}
	case &components.DCCharger:
		return []input{{port: "in", key: "in_v", nominal: q.Figure("in_v")}, {port: "out", key: "out_v", nominal: q.Figure("out_v")}}
	case &components.DCConverter:
		return []input{{port: "in", key: "in_v", nominal: q.Figure("in_v")}, {port: "out", key: "out_v", nominal: q.Figure("out_v")}}
	case &components.Alternator:
		return []input{{port: "out", key: "volts", nominal: q.Figure("volts")}}
	case &components.DCLoad:
		return []input{{port: "in", min: q.Figure("min_v"), max: q.Figure("max_v")}}
	}
	return nil
}

// busAt is the band of the net at a terminal: that of the battery there, or the
// output of a step-down.
func busAt(p *rules.Pass, t circuit.Term, but components.ID) (bus, bool) {
	b, found := bus{}, false
	for _, src := range p.Circuit.Feeds(t) {
		q, _ := p.Doc.Part(src.Part)
		if q.ID == but {
			continue
		}
		switch q.Kind {
		case &components.Battery:
			if v, ok := voltsOf(p, q); ok {
				low, high := v.Trip, v.Max
				if b.From != "" {
					low, high = math.Max(low, b.Lowest), math.Max(high, b.Highest)
				}
				b, found = bus{q.ID, src.Volts, low, high}, true
			}
		case &components.DCConverter:
			if v := q.Figure("out_v"); !found && v.Known() {
				b, found = bus{q.ID, v.Value, v.Value, v.Value}, true
			}
		}
	}
	return b, found
}

func fits(p *rules.Pass, q components.Part, in input, b bus) {
	f := rules.Finding{At: string(q.ID), Also: []string{string(b.From)}}
	class := components.VoltClass(b.Nominal)
	switch {
	case in.key != "" && !in.nominal.Known():
		p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known: read its label (its bus is of %s V)", in.key, q.ID, numText(b.Nominal)), string(b.From))
		return
	case in.key != "" && components.VoltClass(in.nominal.Value) != class:
		own := components.VoltClass(in.nominal.Value)
		f.Message = fmt.Sprintf("%s is made for %s V, but %s puts its %s terminals on %s V", q.ID, numText(in.nominal.Value), b.From, in.port, numText(b.Nominal))
		f.Working = []string{fmt.Sprintf("%s V class on a bus of %s to %s V", numText(own), numText(b.Lowest), numText(b.Highest))}
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a device of %s V as %s", numText(b.Nominal), q.ID), Edits: append([]components.Edit{set(q.ID, in.key, components.Num(b.Nominal))}, clearTold(q, "dc_low_v", "dc_high_v")...)}}
		if own > class && !givesDCAt(q, in.port) { // what gives a higher voltage drives it into the batteries
			f.Level = rules.Violation
		}
	case in.max.Known() && in.max.Value < b.Highest:
		f.Message = fmt.Sprintf("%s stands %s V at most, and its bus reaches %s V while %s is charged", q.ID, numText(in.max.Value), numText(b.Highest), b.From)
		f.Working = []string{fmt.Sprintf("%s V < %s V", numText(in.max.Value), numText(b.Highest))}
		f.Fixes = fitRange(q, in, b)
	case in.min.Known() && in.min.Value > b.Lowest:
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("%s needs %s V at least, and %s falls to %s V", q.ID, numText(in.min.Value), b.From, numText(b.Lowest))
		f.Working = []string{fmt.Sprintf("%s V > %s V", numText(in.min.Value), numText(b.Lowest))}
		f.Fixes = fitRange(q, in, b)
	case q.Kind == &components.DCLoad && class > 12 && !in.max.Known():
		p.Unchecked(string(q.ID), fmt.Sprintf("max_v of %s is not known, and its bus reaches %s V: read the voltage range on its label", q.ID, numText(b.Highest)), string(b.From))
		return
	default:
		if in.max.Field != nil && in.max.Field.Key == "dc_high_v" {
			askMarked(p, q, "dc_high_v", fmt.Sprintf("whether it stands the %s V that its bus reaches is not: read the voltage range on its label", numText(b.Highest)))
		}
		return
	}
	p.Report(f)
}

// fitRange takes a device whose range covers the bus in whole volts.
func fitRange(q components.Part, in input, b bus) []rules.Fix {
	low, high := math.Floor(b.Lowest), math.Ceil(b.Highest)
	var edits []components.Edit
	if q.Kind == &components.DCLoad {
		edits = []components.Edit{set(q.ID, "min_v", components.Num(low)), set(q.ID, "max_v", components.Num(high))}
	} else {
		edits = []components.Edit{set(q.ID, "dc_high_v", components.Num(high))}
	}
	return []rules.Fix{{Title: fmt.Sprintf("Fit one that works from %s to %s V as %s", numText(low), numText(high), q.ID), Edits: edits}}
}
