package checks_test

import (
	"slices"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// everything is every place: for a mistake that is of the rig as a whole.
func (r *rig) everything() []string {
	var all []string
	for _, p := range r.doc.Parts() {
		all = append(all, string(p.ID))
	}
	for _, run := range r.doc.Runs() {
		all = append(all, string(run.ID))
	}
	return all
}

// house is how many house batteries there are.
func (r *rig) house() int {
	return len(r.parts(func(p components.Part) bool { return p.Word("role") != "starting" }, &components.Battery))
}

// move puts one end of a run elsewhere.
func (r *rig) move(run components.Run, from, to components.PortRef) bool {
	moved := run
	moved.Path = nil
	switch {
	case run.From == from:
		moved.From = to
	case run.To == from:
		moved.To = to
	}
	return r.do(components.RemoveRun{ID: run.ID}, components.AddRun{Run: moved})
}

func (r *rig) swapPorts(a, b string, kinds ...*components.Kind) []string {
	p, ok := pick(r, r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref(a))) == 1 && len(r.runsAt(p.Ref(b))) == 1 }, kinds...))
	if !ok {
		return nil
	}
	in, out := r.runsAt(p.Ref(a))[0], r.runsAt(p.Ref(b))[0]
	if !r.move(in, p.Ref(a), p.Ref(b)) || !r.move(out, p.Ref(b), p.Ref(a)) {
		return nil
	}
	return r.everything()
}

// chargerOnItsOwnInverter puts a charger on a panel that an inverter feeds.
func (r *rig) chargerOnItsOwnInverter() []string {
	bar := r.parts(func(p components.Part) bool { return p.Word("pole") == "+" }, &components.Busbar)
	inv := r.parts(nil, &components.InverterCharger, &components.Inverter)
	load := r.runs(func(run components.Run, from, to components.Part) bool {
		return kindIs(from, &components.Panel) && kindIs(to, &components.ACLoad) && r.has(run, components.N) && !(r.has(run, components.L1) && r.has(run, components.L2))
	})
	neg := r.parts(func(p components.Part) bool { return p.Word("pole") == "-" }, &components.Busbar)
	run, ok := pick(r, load)
	if !ok || len(bar) == 0 || len(neg) == 0 || len(inv) == 0 || !r.sameBank(bar[len(bar)-1], inv[0]) {
		return nil
	}
	v := inv[0].Figure("dc_v").Value
	charger := components.Part{ID: "CHG9", Kind: &components.Charger, Spec: components.Spec{"charge_a": components.Num(30), "dc_v": components.Num(v)}}
	lead := func(id string, port components.PortRef, to components.PortRef) components.Run {
		return components.Run{ID: components.ID(id), From: port, To: to, Spec: components.Spec{"size": components.Str("6 AWG"), "length_ft": components.Num(3), "cable": components.Str("battery-105")}}
	}
	if !r.onInverter(run.To) {
		return nil
	}
	fed := run
	fed.To, fed.Path, fed.Cores = charger.Ref("ac-in"), nil, nil
	if !r.do(components.AddPart{Part: charger}, components.RemoveRun{ID: run.ID}, components.AddRun{Run: fed},
		components.AddRun{Run: lead("W901", charger.Ref("dc"), bar[len(bar)-1].Ref("bar"))}, components.AddRun{Run: lead("W902", charger.Ref("dc"), neg[len(neg)-1].Ref("bar"))}) {
		return nil
	}
	return []string{"CHG9", string(run.ID)}
}

// outputOnInlet joins an inverter's output to the inlet's inside.
func (r *rig) outputOnInlet() []string {
	inlet := r.parts(nil, &components.Inlet)
	inv := r.parts(nil, &components.InverterCharger, &components.Inverter)
	if len(inlet) == 0 || len(inv) == 0 {
		return nil
	}
	run := components.Run{ID: "W901", From: inv[0].Ref("ac-out"), To: inlet[0].Ref("rig"), Spec: components.Spec{"size": components.Str("6 AWG"), "length_ft": components.Num(3), "cable": components.Str("tray-90")}}
	in, _ := inlet[0].Port("rig")
	out, _ := inv[0].Port("ac-out")
	across := func(from, to components.Pole) []components.Core {
		return []components.Core{{From: from, To: to}, {From: components.N, To: components.N}, {From: components.G, To: components.G}}
	}
	switch {
	case in.Has(components.L1) && !out.Has(components.L1):
		run.Cores = across(components.L, components.L1)
	case !in.Has(components.L1) && out.Has(components.L1):
		run.Cores = across(components.L1, components.L)
	}
	if !r.do(components.AddRun{Run: run}) {
		return nil
	}
	return r.everything()
}

// pastTheShunt takes a negative from the system's side of the shunt to a battery.
func (r *rig) pastTheShunt() []string {
	shunt := r.parts(nil, &components.Shunt)
	bat := r.parts(func(p components.Part) bool { return p.Word("role") != "starting" && !r.aboveAnother(p) }, &components.Battery)
	run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
		return r.has(run, components.Neg) && !r.has(run, components.Pos) && kindIs(from, &components.Busbar) && kindIs(to, &components.DCPanel, &components.InverterCharger, &components.Inverter, &components.SolarController)
	}))
	if !ok || len(shunt) == 0 || len(bat) == 0 || !r.move(run, run.From, bat[0].Ref("neg")) {
		return nil
	}
	return append([]string{string(run.ID), string(run.To.Part), string(bat[0].ID)}, owners([]string{string(shunt[0].ID)})...)
}

// alternatorOnBank takes a DC charger out, so that the alternator feeds the bank.
func (r *rig) alternatorOnBank() []string {
	p, ok := pick(r, r.parts(nil, &components.DCCharger))
	if !ok || len(r.parts(nil, &components.Alternator)) == 0 {
		return nil
	}
	end := func(port string, pole components.Pole) (components.Run, bool) {
		for _, run := range r.runsAt(p.Ref(port)) {
			if r.has(run, pole) {
				return run, true
			}
		}
		return components.Run{}, false
	}
	in, okIn := end("in", components.Pos)
	out, okOut := end("out", components.Pos)
	if !okIn || !okOut {
		return nil
	}
	far := in.From
	if far.Part == p.ID {
		far = in.To
	}
	joined := out
	joined.Path = nil
	if joined.From.Part == p.ID {
		joined.From = far
	} else {
		joined.To = far
	}
	joined.Cores = []components.Core{{From: components.Pos, To: components.Pos}}
	edits := []components.Edit{}
	for _, port := range []string{"in", "out", "case"} {
		for _, run := range r.runsAt(p.Ref(port)) {
			edits = append(edits, components.RemoveRun{ID: run.ID})
		}
	}
	joined.ID = "W901"
	if !r.do(append(edits, components.RemovePart{ID: p.ID}, components.AddRun{Run: joined})...) {
		return nil
	}
	return r.everything()
}

// wrongProfile sets a charge voltage that the chemistry does not bear.
func (r *rig) wrongProfile() []string {
	p, ok := pick(r, r.parts(func(p components.Part) bool {
		_, has := p.Kind.Field("absorb_v")
		return has && !(p.Figure("charge_a").Known() && p.Figure("charge_a").Value == 0)
	}, &components.Charger, &components.InverterCharger, &components.SolarController, &components.DCCharger))
	if !ok {
		return nil
	}
	bank, ok := pick(r, r.parts(func(b components.Part) bool { return b.Word("role") != "starting" }, &components.Battery))
	if !ok {
		return nil
	}
	nominal := bank.Figure("nominal_v").Value * bank.Figure("series").Value
	if own := p.Figure("dc_v"); own.Known() {
		nominal = own.Value
	}
	v := 16 * components.VoltClass(nominal) / 12
	if !r.do(set(p.ID, "absorb_v", components.Num(v))) {
		return nil
	}
	return []string{string(p.ID)}
}

// unfusedCharge takes the fuse out of a charge source's lead.
func (r *rig) unfusedCharge() []string {
	return bypass("line", "load", func(p components.Part) bool {
		return len(r.runs(func(run components.Run, from, to components.Part) bool {
			near := run.From.Part == p.ID || run.To.Part == p.ID
			charge := kindIs(from, &components.SolarController, &components.DCCharger) || kindIs(to, &components.SolarController, &components.DCCharger)
			return near && charge
		})) > 0 && !r.heldAtTheBar(p)
	}, &components.Fuse, &components.DCBreaker)(r)
}

// frost puts a lithium bank where it freezes with nothing that stops the charge.
func (r *rig) frost() []string {
	bats := r.parts(isLFP, &components.Battery)
	if len(bats) == 0 {
		return nil
	}
	var edits []components.Edit
	for _, b := range bats {
		edits = append(edits, set(b.ID, "coldest_c", components.Num(-15)), set(b.ID, "cold_cutoff", components.Yes(false)), set(b.ID, "heated", components.Yes(false)))
	}
	for _, p := range r.parts(nil, &components.Charger, &components.InverterCharger, &components.SolarController, &components.DCCharger) {
		if _, has := p.Kind.Field("cold_cutoff"); has {
			edits = append(edits, set(p.ID, "cold_cutoff", components.Yes(false)))
		}
	}
	if !r.do(edits...) {
		return nil
	}
	return r.everything()
}

// plainOutlet puts an outlet in a wet place on a circuit that nothing protects.
func (r *rig) plainOutlet() []string {
	run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
		if !kindIs(from, &components.Panel) || !kindIs(to, &components.ACLoad, &components.Receptacle) || r.has(run, components.L2) && r.has(run, components.L1) {
			return false
		}
		n := int(run.From.Port[len(run.From.Port)-1] - '1')
		rows := from.Spec["circuits"].Rows()
		return len(run.From.Port) == 2 && n >= 0 && n < len(rows) && !rows[n]["gfci"].Truth() && rows[n]["breaker_a"].Num() <= 20
	}))
	if !ok {
		return nil
	}
	outlet := components.Part{ID: "OUT9", Kind: &components.Receptacle, Spec: components.Spec{"rating_a": components.Num(15), "location": components.Str("sink"), "gfci": components.Yes(false)}}
	fed := run
	fed.To, fed.Path, fed.Cores = outlet.Ref("in"), nil, nil
	if !r.do(components.AddPart{Part: outlet}, components.RemoveRun{ID: run.ID}, components.AddRun{Run: fed}) {
		return nil
	}
	return []string{"OUT9", string(run.ID), string(run.From.Part)}
}

// twoLegs tells whether a part stands in both legs of a 50 A feeder.
func (r *rig) twoLegs(p components.Part) bool {
	port, ok := p.Port("line")
	return ok && port.Has(components.L2)
}

// oneLegPanel tells whether a panel has one leg.
func (r *rig) oneLegPanel(p components.Part) bool {
	port, ok := p.Port("main")
	return ok && !port.Has(components.L2)
}

// inverted plants a field at a load that an inverter feeds in some state.
func inverted(key string, value func(components.Part) components.Value) func(*rig) []string {
	return func(r *rig) []string {
		var all []components.Part
		for _, p := range r.parts(nil, &components.ACLoad) {
			if r.onInverter(p.Ref("in")) {
				all = append(all, p)
			}
		}
		p, ok := pick(r, all)
		if !ok || !r.do(set(p.ID, key, value(p))) {
			return nil
		}
		places := []string{string(p.ID)}
		for _, q := range r.parts(nil, &components.InverterCharger, &components.Inverter) {
			places = append(places, string(q.ID))
		}
		return places
	}
}

// onInverter tells whether an inverter feeds a port in some state.
func (r *rig) onInverter(ref components.PortRef) bool {
	laid := circuit.Lay(r.doc)
	for _, st := range r.doc.Operating() {
		c := laid.In(st)
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			t, ok := c.Term(ref.At(pole))
			if !ok || slices.Contains(st.Off, ref.Part) || len(st.On) > 0 && !slices.Contains(st.On, ref.Part) {
				continue
			}
			for _, src := range c.Feeds(t) {
				if p, _ := r.doc.Part(src.Part); kindIs(p, &components.InverterCharger, &components.Inverter) {
					return true
				}
			}
		}
	}
	return false
}

// largeCircuit puts a breaker ahead of an outlet that is larger than the outlet.
func (r *rig) largeCircuit() []string {
	run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
		return kindIs(from, &components.Panel) && kindIs(to, &components.Receptacle) && len(run.From.Port) == 2
	}))
	if !ok {
		return nil
	}
	panel, _ := r.doc.Part(run.From.Part)
	rows := slices.Clone(panel.Spec["circuits"].Rows())
	n := int(run.From.Port[1] - '1')
	if n < 0 || n >= len(rows) {
		return nil
	}
	rows[n] = rows[n].With("breaker_a", components.Num(30))
	if !r.do(set(panel.ID, "circuits", components.Table(rows...)), set(run.To.Part, "rating_a", components.Num(15))) {
		return nil
	}
	return []string{string(run.To.Part), string(panel.ID)}
}

// sameBank tells whether a bar and an inverter's DC side are one net off grid.
func (r *rig) sameBank(bar, inv components.Part) bool {
	c := circuit.Build(r.doc, components.State{Name: "Off grid", SoC: 0.5})
	a, okA := c.At(bar.ID, "bar", components.Pos)
	b, okB := c.At(inv.ID, "dc", components.Pos)
	return okA && okB && c.Net(a) == c.Net(b)
}

// unbalanced tells whether the drawn loads are uneven enough for a lost neutral at
// the inlet to send one of them above 132 V: without a protector that is the
// mistake.
func (r *rig) unbalanced() bool {
	laid := circuit.Lay(r.doc)
	for _, st := range r.doc.Operating() {
		for _, run := range r.runs(func(run components.Run, from, _ components.Part) bool {
			return kindIs(from, &components.Shore) && r.has(run, components.L2)
		}) {
			o, err := solve.WhatIf(laid.In(st), circuit.OpenCore(run.ID, components.N))
			if err == nil && slices.ContainsFunc(o.Loads, func(v solve.LoadVoltage) bool { return v.Percent() > 110 && v.Before > 1 }) {
				return true
			}
		}
	}
	return false
}

// heldAtTheBar tells whether a fuse's lead hangs on a bar that a bank's own fuse of
// 100 A or less feeds, by itself or over the main switch: a lead of 6 AWG needs no other
// (33 CFR 183 Table 5, 105 °C).
func (r *rig) heldAtTheBar(fuse components.Part) bool {
	joined := func(a, b components.ID) bool {
		return len(r.runs(func(x components.Run, _, _ components.Part) bool {
			return x.From.Part == a && x.To.Part == b || x.To.Part == a && x.From.Part == b
		})) > 0
	}
	for _, run := range r.runs(func(run components.Run, _, _ components.Part) bool {
		return run.From.Part == fuse.ID || run.To.Part == fuse.ID
	}) {
		for _, bar := range r.parts(func(p components.Part) bool { return run.From.Part == p.ID || run.To.Part == p.ID }, &components.Busbar) {
			for _, f := range r.parts(r.onBattery, &components.Fuse) {
				over := func(sw components.Part) bool { return joined(f.ID, sw.ID) && joined(sw.ID, bar.ID) }
				if f.Figure("rating_a").Value <= 100 && (joined(f.ID, bar.ID) || len(r.parts(over, &components.DCSwitch)) > 0) {
					return true
				}
			}
		}
	}
	return false
}

// mainAboveSupply makes every breaker between an inlet and the first panel behind it
// one of 100 A: a single larger one behind a right one changes nothing.
func (r *rig) mainAboveSupply() []string {
	inlet, ok := pick(r, r.parts(nil, &components.Inlet))
	if !ok {
		return nil
	}
	var places []string
	seen := map[components.ID]bool{inlet.ID: true}
	queue := []components.PortRef{inlet.Ref("rig")}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, run := range r.runsAt(at) {
			q, _ := r.doc.Part(run.Other(at).Part)
			if seen[q.ID] {
				continue
			}
			seen[q.ID] = true
			larger, on := "", ""
			switch q.Kind {
			case &components.Panel:
				larger = "main_a"
			case &components.ACBreaker:
				larger, on = "rating_a", "load"
			case &components.SurgeProtector:
				on = "load"
			case &components.TransferSwitch:
				on = "out"
			case &components.InverterCharger:
				on = "ac-out"
			}
			if larger != "" && q.Figure(larger).Known() {
				if !r.do(set(q.ID, larger, components.Num(100))) {
					return nil
				}
				places = append(places, string(q.ID))
			}
			if on != "" {
				queue = append(queue, q.Ref(on))
			}
		}
	}
	return places
}

// arrayOnBank takes a controller out and joins what stood on its two sides.
func (r *rig) arrayOnBank() []string {
	cc, ok := pick(r, r.parts(nil, &components.SolarController))
	if !ok {
		return nil
	}
	pv, bank := r.runsAt(cc.Ref("pv")), r.runsAt(cc.Ref("battery"))
	var edits []components.Edit
	for _, run := range append(slices.Clone(pv), bank...) {
		edits = append(edits, components.RemoveRun{ID: run.ID})
	}
	edits = append(edits, components.RemovePart{ID: cc.ID})
	var places []string
	for _, run := range bank {
		joined := run
		joined.Path, joined.Cores = nil, slices.Clone(r.doc.CoresOf(run))
		for _, in := range pv {
			if !r.has(in, joined.Cores[0].From) {
				continue
			}
			if joined.From == cc.Ref("battery") {
				joined.From = in.Other(cc.Ref("pv"))
			} else if joined.To == cc.Ref("battery") {
				joined.To = in.Other(cc.Ref("pv"))
			}
		}
		edits = append(edits, components.AddRun{Run: joined})
		places = append(places, string(joined.ID), string(joined.From.Part), string(joined.To.Part))
	}
	if len(pv) == 0 || len(bank) == 0 || !r.do(edits...) {
		return nil
	}
	for _, q := range r.parts(nil, &components.SolarArray) {
		places = append(places, string(q.ID))
	}
	return places
}

// blockOnHighBar leaves a fuse block of blade fuses on a bar of 48 V: in a 48 V rig
// what fed its step-down is landed on it; in another the bank is changed for one of
// 48 V, and a step-down that stands before the block is taken out.
func (r *rig) blockOnHighBar() []string {
	block, ok := pick(r, r.parts(nil, &components.DCPanel))
	if !ok {
		return nil
	}
	var edits []components.Edit
	for _, sd := range r.parts(nil, &components.DCConverter) {
		out := r.runsAt(sd.Ref("out"))
		if !slices.ContainsFunc(out, func(run components.Run) bool { return run.Other(sd.Ref("out")) == block.Ref("feed") }) {
			continue
		}
		for _, run := range append(out, r.runsAt(sd.Ref("case"))...) {
			edits = append(edits, components.RemoveRun{ID: run.ID})
		}
		for _, run := range r.runsAt(sd.Ref("in")) {
			e := run.Rerouted()
			e.Path, e.Cores = nil, slices.Clone(r.doc.CoresOf(run))
			if e.From == sd.Ref("in") {
				e.From = block.Ref("feed")
			} else {
				e.To = block.Ref("feed")
			}
			edits = append(edits, e)
		}
		edits = append(edits, components.RemovePart{ID: sd.ID})
	}
	for _, q := range r.parts(nil, &components.Battery) {
		if volts := q.Figure("nominal_v").Value * q.Figure("series").Value; q.Word("role") != "starting" && volts < 40 {
			edits = append(edits, set(q.ID, "nominal_v", components.Num(51.2/q.Figure("series").Value)))
		}
	}
	if len(edits) == 0 || !r.do(edits...) {
		return nil
	}
	places := []string{string(block.ID)}
	for _, run := range r.runs(func(run components.Run, from, to components.Part) bool {
		return (from.ID == block.ID || to.ID == block.ID) && (kindIs(from, &components.DCLoad) || kindIs(to, &components.DCLoad))
	}) {
		places = append(places, string(run.From.Part), string(run.To.Part))
	}
	return places
}

// aboveAnother tells whether a battery's negative leads to another's positive, in series.
func (r *rig) aboveAnother(p components.Part) bool {
	return slices.ContainsFunc(r.runsAt(p.Ref("neg")), func(run components.Run) bool {
		o, _ := r.doc.Part(run.Other(p.Ref("neg")).Part)
		return o.Kind == &components.Battery && run.Other(p.Ref("neg")).Port == "pos"
	})
}

// beside tells whether another house battery stands beside one, on its positive net.
func (r *rig) beside(p components.Part) bool {
	if p.Word("role") == "starting" {
		return false
	}
	c := circuit.Build(r.doc, r.doc.Operating()[0])
	own, ok := c.At(p.ID, "pos", components.Pos)
	return ok && slices.ContainsFunc(r.parts(nil, &components.Battery), func(o components.Part) bool {
		t, ok := c.At(o.ID, "pos", components.Pos)
		return ok && o.ID != p.ID && o.Word("role") != "starting" && c.Net(t) == c.Net(own)
	})
}
