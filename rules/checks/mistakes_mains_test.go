package checks_test

import (
	"slices"

	"rigline/components"
)

// mainsMistakes are ratings and arrangements on the mains side.
var mainsMistakes = []mistake{
	{0, "a breaker above what the appliance allows", []string{"overcurrent.appliance-limit"},
		american(setting("max_breaker_a", figure(10), func(p components.Part) bool { return p.Figure("hots").Value != 2 }, &components.ACLoad))},
	{0, "an inverter that opens no breaker in a fault", []string{"overcurrent.inverter-fault-level"},
		func(r *rig) []string {
			watched := func(p components.Part) bool { // whose breakers all trip on a ground fault
				return !slices.ContainsFunc(p.Spec["circuits"].Rows(), func(x components.Spec) bool { return !x["gfci"].Truth() })
			}
			places := setting("fault_a", figure(20), nil, &components.InverterCharger, &components.Inverter)(r)
			if places == nil || len(r.parts(nil, &components.Panel)) == 0 || // a breaker inside the unit is the maker's
				slices.ContainsFunc(r.parts(nil, &components.Panel), watched) || !r.do(set(components.ID(places[0]), "fault_s", components.Num(30))) {
				return nil
			}
			return places
		}},
	{0, "an inverter's input behind a larger breaker", []string{"inverter.input-breaker", "transfer.rating-not-below-feed"},
		setting("input_a", figure(10), nil, &components.InverterCharger)},
	{0, "a fixed bond behind a switched neutral", []string{"neutral.bond-relay-follows-transfer", "neutral.one-bond-per-state"},
		setting("bonded", truthOf(true), nil, &components.InverterCharger)},
	{0, "a load straight on a generator without a breaker", []string{"generator.feeder-protection"},
		func(r *rig) []string {
			gen, ok := pick(r, r.parts(nil, &components.Generator))
			if !ok || !r.do(set(gen.ID, "output_breaker", components.Yes(false))) || !r.loadOn(gen, "out") {
				return nil
			}
			return []string{string(gen.ID)}
		}},
	{0, "a load straight on an inverter", []string{"overcurrent.every-line-at-source"},
		func(r *rig) []string {
			inv, ok := pick(r, r.parts(func(p components.Part) bool { return !p.Told("output_breaker_a").Told() }, &components.InverterCharger, &components.Inverter))
			if !ok || !r.loadOn(inv, "ac-out") {
				return nil
			}
			return []string{string(inv.ID)}
		}},
	{0, "a fixed bond in a rig drawn off grid alone", []string{"neutral.bond-relay-follows-transfer", "neutral.one-bond-per-state"},
		func(r *rig) []string {
			places := setting("bonded", truthOf(true), func(p components.Part) bool {
				common, from := p.Value("neutral_common")
				return len(r.runsAt(p.Ref("ac-in"))) > 0 && (from == components.Missing || common.Truth()) // else it switches its neutral
			}, &components.InverterCharger)(r)
			if places == nil || !r.do(set(components.ID(places[0]), "bond_relay", components.Yes(false)), components.SetStates{States: []components.State{{Name: "Off grid", SoC: 0.5}}}) {
				return nil
			}
			return places
		}},
	{0, "a neutral by itself thinner than its hot", []string{"neutral.carries-unbalance"},
		american(func(r *rig) []string {
			run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Panel) && kindIs(to, &components.ACLoad) && r.has(run, components.N) && !(r.has(run, components.L1) && r.has(run, components.L2))
			}))
			if !ok {
				return nil
			}
			e := run.Rerouted()
			e.Cores = without(components.N)(slices.Clone(r.doc.CoresOf(run)))
			own := components.Run{ID: "W970", From: run.From, To: run.To, Cores: []components.Core{{From: components.N, To: components.N}}, Spec: run.Spec.With("size", components.Str("18 AWG"))}
			if !r.do(e, components.AddRun{Run: own}) {
				return nil
			}
			return []string{"W970"}
		})},
	{0, "a 30 A inlet's feeder too thin, with no site drawn", []string{"inlet.feeder-30a", "conductor.ampacity-covers-overcurrent"}, thinFeeder(30)},
	{0, "a 50 A inlet's feeder too thin, with no site drawn", []string{"inlet.feeder-50a"}, thinFeeder(50)},
	{0, "one leg left out on the way to the panel", []string{"inverter.leg-topology", "load.never-fed", "supply.unused-leg"},
		func(r *rig) []string {
			if cores(without(components.L2), func(r *rig, run components.Run, from, to components.Part) bool {
				return kindIs(to, &components.Panel) && run.To.Port == "main" && r.has(run, components.L1) && r.has(run, components.L2)
			})(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{0, "a load above what its hot branch carries", []string{"conductor.heat-and-bundling"},
		american(func(r *rig) []string { return r.hotBranch() })},
	{0, "generator leads below 115 %", []string{"generator.leads-115-percent"},
		func(r *rig) []string {
			run, ok := pick(r, r.runs(func(_ components.Run, from, _ components.Part) bool { return kindIs(from, &components.Generator) }))
			if !ok || !r.do(set(run.From.Part, "output_breaker", components.Yes(false)), set(run.ID, "size", components.Str("14 AWG"))) {
				return nil
			}
			return []string{string(run.ID), string(run.From.Part)}
		}},
	{0, "a neutral bar smaller than both legs in phase", []string{"panel.single-120v-neutral-bus"},
		func(r *rig) []string {
			bridged := setting("legs", word("same-phase"), func(p components.Part) bool { return p.Word("legs") == "opposite" }, &components.Generator)(r)
			if bridged == nil && len(r.parts(func(p components.Part) bool { return p.Word("legs") == "same-phase" }, &components.Generator)) == 0 {
				return nil
			}
			var places []string
			for _, p := range r.parts(func(p components.Part) bool { return r.twoLegsAt(p, "main") }, &components.Panel) {
				if !r.do(set(p.ID, "neutral_bar_a", components.Num(10))) {
					return nil
				}
				places = append(places, string(p.ID))
			}
			return places
		}},
	{0, "too many circuits for the supply", []string{"panel.circuit-count"},
		american(func(r *rig) []string {
			panel, ok := pick(r, r.parts(func(p components.Part) bool { return r.oneLegPanel(p) && !p.Is("energy_manager") }, &components.Panel))
			if !ok || len(r.parts(func(p components.Part) bool { return p.Figure("rating_a").Value != 30 }, &components.Inlet)) > 0 || len(r.parts(nil, &components.Inlet)) == 0 {
				return nil
			}
			rows := slices.Clone(panel.Spec["circuits"].Rows())
			var edits []components.Edit
			for n := len(rows) + 1; n <= 9; n++ {
				id := components.ID("LD97" + string(rune('0'+n)))
				rows = append(rows, components.Spec{"breaker_a": components.Num(15), "label": components.Str("more")})
				edits = append(edits,
					components.AddPart{Part: components.Part{ID: id, Kind: &components.ACLoad, At: components.Point{X: 2400, Y: 100 * n}, Spec: components.Spec{"va": components.Num(20)}}},
					components.AddRun{Run: components.Run{ID: "W" + id, From: panel.Ref("c" + string(rune('0'+n))), To: components.PortRef{Part: id, Port: "in"}, Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(9)}}})
			}
			if !r.do(append([]components.Edit{set(panel.ID, "circuits", components.Table(rows...))}, edits...)...) {
				return nil
			}
			return r.everything()
		})},
	{0, "a breaker without its name", []string{"labelling.panel-directory"},
		row("label", func(x components.Spec) (components.Value, bool) { return components.Value{}, x["label"].Told() }, &components.Panel)},
	{0, "a breaker on the wrong leg", []string{"panel.leg-balance", "load.in-phase-shared-neutral", "load.240v-needs-split-phase", "load.never-fed", "load.demand-within-main", "supply.unused-leg"},
		func(r *rig) []string { return r.oneLeg() }},
	{0, "a filter beyond what the site's outlet bears", []string{"gfci.site-receptacle-trip"},
		func(r *rig) []string {
			site, ok := pick(r, r.parts(nil, &components.Shore))
			if !ok || r.doc.Basis == components.Caravan || !r.do(set(site.ID, "gfci", components.Yes(true))) {
				return nil
			}
			fed := false
			for _, load := range r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref("in"))) > 0 && !r.alwaysOff(p) }, &components.ACLoad) {
				fed = r.do(set(load.ID, "leakage_ma", components.Num(9))) || fed
			}
			if !fed {
				return nil
			}
			return []string{string(site.ID)}
		}},
	{0, "an autotransformer between the legs", []string{"inverter.no-autotransformer"},
		func(r *rig) []string {
			panel, ok := pick(r, r.parts(func(p components.Part) bool { return r.twoLegsAt(p, "main") }, &components.Panel))
			if !ok {
				return nil
			}
			at := components.Part{ID: "AT970", Kind: &components.Autotransformer, At: components.Point{X: 2400, Y: 2400}, Spec: components.Spec{"rating_va": components.Num(3000)}}
			run := components.Run{ID: "W970", From: at.Ref("b"), To: panel.Ref("main"), Spec: components.Spec{"size": components.Str("6 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(3)}}
			if !r.do(components.AddPart{Part: at}, components.AddRun{Run: run}) {
				return nil
			}
			return []string{"AT970"}
		}},
	{0, "a site outlet of 230 V", []string{"supply.mains-voltage"},
		american(setting("service", word("16a-230"), func(p components.Part) bool { return !components.ThreeWire(p.Word("service")) }, &components.Shore))},
	{0, "a generator too small for its charger", []string{"energy.generator-supports-charger"},
		func(r *rig) []string {
			gen := setting("rating_va", figure(300), nil, &components.Generator)(r)
			if gen == nil {
				return nil
			}
			return r.everything()
		}},
	{0, "a long thin feeder", []string{"conductor.series-voltage-drop", "supply.cannot-carry"},
		func(r *rig) []string {
			if stretch(900, func(r *rig, run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Shore) && kindIs(to, &components.Inlet) || kindIs(from, &components.Inlet) && run.From.Port == "rig"
			})(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{0, "a branch through the hottest corner", []string{"conductor.heat-and-bundling", "conductor.ampacity-covers-overcurrent"},
		american(func(r *rig) []string {
			run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Panel) && kindIs(to, &components.ACLoad) && r.has(run, components.N)
			}))
			if !ok || !r.do(set(run.ID, "ambient_c", components.Num(85))) {
				return nil
			}
			return []string{string(run.ID)}
		})},
	{0, "an output that adds to its input with no breaker", []string{"inverter.output-assist-sum", "overcurrent.every-line-at-source", "conductor.ampacity-covers-overcurrent"},
		func(r *rig) []string { return r.bareOutput() }},
}

// oneLeg puts every circuit of a panel of two legs on one leg.
func (r *rig) oneLeg() []string {
	panel, ok := pick(r, r.parts(func(p components.Part) bool {
		return r.twoLegsAt(p, "main") && !p.Is("legs_bridged") && len(p.Spec["circuits"].Rows()) > 2
	}, &components.Panel))
	if !ok {
		return nil
	}
	rows := slices.Clone(panel.Spec["circuits"].Rows())
	for i := range rows {
		if rows[i]["leg"].Str() != "both" {
			rows[i] = rows[i].With("leg", components.Str("L1"))
		}
	}
	if !r.do(set(panel.ID, "circuits", components.Table(rows...))) {
		return nil
	}
	return r.everything()
}

// alwaysOff tells whether a state leaves a load off.
func (r *rig) alwaysOff(p components.Part) bool {
	return slices.ContainsFunc(r.doc.Operating(), func(st components.State) bool { return slices.Contains(st.Off, p.ID) })
}

// bareOutput takes the breaker at an inverter's output away and lets it add to what it
// passes through over a thin wire.
func (r *rig) bareOutput() []string {
	var out []components.Part
	for _, q := range r.parts(nil, &components.ACBreaker) {
		in := r.runsAt(q.Ref("line"))
		if len(in) != 1 || len(r.runsAt(q.Ref("load"))) != 1 {
			continue
		}
		if inv, _ := r.doc.Part(in[0].Other(q.Ref("line")).Part); kindIs(inv, &components.InverterCharger) && in[0].Other(q.Ref("line")).Port == "ac-out" {
			out = append(out, q)
		}
	}
	q, ok := pick(r, out)
	if !ok {
		return nil
	}
	inv := r.runsAt(q.Ref("line"))[0].Other(q.Ref("line")).Part
	places := bypass("line", "load", func(p components.Part) bool { return p.ID == q.ID }, &components.ACBreaker)(r)
	if places == nil || !r.do(set(inv, "boost", components.Yes(true)), set(components.ID(places[0]), "size", components.Str("12 AWG")), set(components.ID(places[0]), "length_ft", components.Num(20))) {
		return nil
	}
	return append(places, string(inv))
}

// loadOn hangs a load on a source's own terminals.
func (r *rig) loadOn(src components.Part, port string) bool {
	hot := components.L
	if r.twoLegsAt(src, port) {
		hot = components.L1
	}
	load := components.Part{ID: "LD970", Kind: &components.ACLoad, At: components.Point{X: 2400, Y: 2400}, Spec: components.Spec{"va": components.Num(300)}}
	run := components.Run{ID: "W970", From: src.Ref(port), To: load.Ref("in"), Cores: []components.Core{{From: hot, To: components.L}, {From: components.N, To: components.N}, {From: components.G, To: components.G}},
		Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(9)}}
	return r.do(components.AddPart{Part: load}, components.AddRun{Run: run})
}

// thinFeeder makes the wire behind an inlet of some rating thinner and takes the site off
// the drawing.
func thinFeeder(amps float64) func(*rig) []string {
	return func(r *rig) []string {
		places := thin("12 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Inlet) && run.From.Port == "rig" && from.Figure("rating_a").Value == amps
		})(r)
		for _, site := range r.parts(nil, &components.Shore) {
			if places == nil || !r.do(r.doc.Delete(site.ID)...) {
				return nil
			}
		}
		return places
	}
}

// hotBranch puts a load of 14.8 A at the end of a 14 AWG branch in air of 68 °C, which
// carries 14.5 A there, behind its breaker of 15 A.
func (r *rig) hotBranch() []string {
	run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
		size, told := run.Size(components.L)
		if !told || size.String() != "14 AWG" || !kindIs(from, &components.Panel) || !kindIs(to, &components.ACLoad) || r.alwaysOff(to) || len(run.From.Port) != 2 {
			return false
		}
		n := int(run.From.Port[1] - '1')
		rows := from.Spec["circuits"].Rows()
		return n >= 0 && n < len(rows) && rows[n]["breaker_a"].Num() == 15
	}))
	if !ok || !r.do(set(run.ID, "ambient_c", components.Num(68)), set(run.To.Part, "va", components.Num(1776)), set(run.To.Part, "pf", components.Num(1)), set(run.To.Part, "start_va", components.Value{}), set(run.To.Part, "behaves", components.Str("power"))) {
		return nil
	}
	return []string{string(run.ID)}
}
