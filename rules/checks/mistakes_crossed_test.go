package checks_test

import (
	"slices"

	"rigline/components"
)

// crossedMistakes are conductors that are left out, that end one terminal beside the
// right one, or that join what has to stay apart.
var crossedMistakes = []mistake{
	{0, "one leg of the site left out at the inlet", []string{"supply.unused-leg"},
		func(r *rig) []string {
			var sites []string
			for _, site := range r.parts(nil, &components.Shore) {
				sites = append(sites, string(site.ID))
			}
			places := cores(without(components.L2), func(r *rig, run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Inlet) && run.From.Port == "rig" && r.has(run, components.L1) && r.has(run, components.L2)
			})(r)
			if places == nil {
				return nil
			}
			return sites
		}},
	{0, "bank's negative on a panel's neutral", []string{"conductor.crossed-poles"},
		func(r *rig) []string {
			return r.tie("W970", components.Neg, components.N, r.parts(ofPole("-"), &components.Busbar), "bar", r.parts(nil, &components.Panel), "main")
		}},
	{0, "a hot on the frame", []string{"conductor.crossed-poles"},
		func(r *rig) []string {
			return r.tie("W970", r.hotOf("c1"), components.G, r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref("c1"))) > 0 }, &components.Panel), "c1", r.parts(nil, &components.Chassis), "stud")
		}},
	{0, "a bank's positive on the frame", []string{"conductor.crossed-poles"},
		func(r *rig) []string {
			return r.tie("W970", components.Pos, components.G, r.parts(nil, &components.DCPanel), "feed", r.parts(nil, &components.Chassis), "stud")
		}},
	{0, "a charge source whose negative is not joined", []string{"conductor.dc-return"},
		unplug(func(r *rig, run components.Run, from, to components.Part) bool {
			end := func(q components.Part, port string) bool {
				return kindIs(q, &components.SolarArray, &components.Charger) || kindIs(q, &components.SolarController) && port == "battery" || kindIs(q, &components.DCCharger) && port == "out" && len(r.parts(nil, &components.DCCharger)) == 1 // one the other way brings it back
			}
			return r.has(run, components.Neg) && !r.has(run, components.Pos) && (end(from, run.From.Port) || end(to, run.To.Port))
		})},
	{0, "a battery of the bank whose negative is not joined", []string{"conductor.dc-return"},
		func(r *rig) []string {
			if r.house() < 2 {
				return nil
			}
			return unplug(func(r *rig, run components.Run, from, to components.Part) bool {
				return r.has(run, components.Neg) && kindIs(from, &components.Battery) && from.Word("role") != "starting" && run.From.Port == "neg" && !kindIs(to, &components.Battery)
			})(r)
		}},
	{0, "the fuse in the negative instead of the positive", []string{"overcurrent.battery-unfused", "battery.per-string-fuse", "overcurrent.source-distance"},
		func(r *rig) []string { return r.fuseInNegative() }},
	{0, "a battery turned round", []string{"conductor.crossed-poles", "battery.voltage-class", "supply.cannot-carry"},
		func(r *rig) []string { return r.turnedRound() }},
	{0, "the output neutral of an inverter left out", []string{"neutral.returns-to-own-source", "neutral.with-its-hot"},
		cores(without(components.N), func(r *rig, run components.Run, from, to components.Part) bool {
			return run.From.Port == "ac-out" && kindIs(from, &components.Inverter, &components.InverterCharger) && r.has(run, components.N)
		})},
	{0, "a neutral from ahead of the inverter", []string{"neutral.with-its-hot"},
		func(r *rig) []string { return r.neutralFromAhead() }},
	{0, "the positive of an inverter left out", []string{"load.never-fed"},
		unplug(func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.Pos) && !r.has(run, components.Neg) && kindIs(to, &components.Inverter, &components.InverterCharger)
		})},
	{0, "a lead past its fuse", []string{"overcurrent.one-side-only"},
		func(r *rig) []string {
			run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Fuse) && run.From.Port == "load" && len(r.runsAt(run.From)) == 1 && len(r.runsAt(from.Ref("line"))) == 1
			}))
			if !ok || !r.move(run, run.From, components.PortRef{Part: run.From.Part, Port: "line"}) {
				return nil
			}
			return []string{string(run.From.Part)}
		}},
	{0, "an array past its isolator", []string{"solar.battery-first"},
		func(r *rig) []string {
			run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.DCSwitch) && kindIs(to, &components.SolarController) && run.To.Port == "pv"
			}))
			if !ok || !r.move(run, run.From, components.PortRef{Part: run.From.Part, Port: "line"}) {
				return nil
			}
			return r.everything()
		}},
	{0, "a fuse in a neutral", []string{"overcurrent.not-in-neutral"},
		func(r *rig) []string { return r.fusedNeutral() }},
	{0, "two circuits on one neutral", []string{"overcurrent.common-trip", "load.in-phase-shared-neutral"},
		func(r *rig) []string { return r.oneNeutral(false) }},
	{0, "one neutral behind a ground-fault breaker", []string{"gfci.neutral-not-crossed"},
		func(r *rig) []string { return r.oneNeutral(true) }},
	{0, "the bank's negative on the frame twice", []string{"bonding.single-chassis-bond"},
		func(r *rig) []string {
			if r.tie("W970", components.Neg, components.G, r.parts(ofPole("-"), &components.Busbar), "bar", r.parts(nil, &components.Chassis), "stud") == nil {
				return nil
			}
			return r.everything()
		}},
	{0, "a bond on the bank's side of the shunt", []string{"shunt.no-bypass-path"},
		func(r *rig) []string {
			bank := r.parts(func(p components.Part) bool { return p.Word("role") != "starting" && !r.aboveAnother(p) }, &components.Battery)
			if len(r.parts(nil, &components.Shunt)) == 0 || r.tie("W970", components.Neg, components.G, bank, "neg", r.parts(nil, &components.Chassis), "stud") == nil {
				return nil
			}
			return r.everything()
		}},
	{0, "a loose end on a live circuit", []string{"conductor.loose-end"},
		func(r *rig) []string {
			panel := r.parts(func(p components.Part) bool {
				at, ok := p.Port("c1")
				return ok && at.Has(components.L) && len(r.runsAt(p.Ref("c1"))) > 0
			}, &components.Panel)
			end := components.Part{ID: "J970", Kind: &components.Splice, At: components.Point{X: 2400, Y: 2400}}
			if len(panel) == 0 || !r.do(components.AddPart{Part: end}) || r.tie("W970", components.L, components.L, panel, "c1", []components.Part{end}, "a") == nil {
				return nil
			}
			return []string{"J970"}
		}},
	{0, "an inverter's output on its own input", []string{"panel.no-source-loop", "transfer.never-parallel"},
		func(r *rig) []string {
			inv, ok := pick(r, r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref("ac-in"))) > 0 }, &components.InverterCharger))
			if !ok {
				return nil
			}
			in := r.runsAt(inv.Ref("ac-in"))[0]
			run := components.Run{ID: "W970", From: inv.Ref("ac-out"), To: in.Other(inv.Ref("ac-in")), Spec: components.Spec{"size": components.Str("10 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(4)}}
			out, _ := inv.Port("ac-out")
			_, far, _ := r.doc.Port(run.To)
			if out.Has(components.L) != far.Has(components.L) {
				return nil
			}
			if !r.do(components.AddRun{Run: run}) {
				return nil
			}
			return []string{string(inv.ID), "W970"}
		}},
	{0, "a second inlet on the panel", []string{"inlet.matches-assembly", "transfer.no-live-inlet-pins"},
		func(r *rig) []string { return r.secondInlet() }},
	{0, "a transfer switch that leaves the neutral solid", []string{"transfer.poles-match-system", "neutral.one-bond-per-state"},
		func(r *rig) []string {
			return setting("switches", func(p components.Part) components.Value {
				if r.twoLegsAt(p, "out") {
					return components.Words("L1", "L2")
				}
				return components.Words("L")
			}, func(p components.Part) bool { return slices.Contains(p.Spec["switches"].Words(), "N") }, &components.TransferSwitch)(r)
		}},
}

func ofPole(pole string) func(components.Part) bool {
	return func(p components.Part) bool { return p.Word("pole") == pole }
}

func (r *rig) twoLegsAt(p components.Part, port string) bool {
	at, ok := p.Port(port)
	return ok && at.Has(components.L2)
}

// hotOf is a hot that the first panel's port has.
func (r *rig) hotOf(port string) components.Pole {
	for _, p := range r.parts(nil, &components.Panel) {
		if at, ok := p.Port(port); ok && !at.Has(components.L) {
			return components.L1
		}
	}
	return components.L
}

// tie joins one pole of the first part to one of the other first part.
func (r *rig) tie(id components.ID, from, to components.Pole, a []components.Part, aPort string, b []components.Part, bPort string) []string {
	if len(a) == 0 || len(b) == 0 {
		return nil
	}
	x, y := a[0], b[0]
	cable := "battery-105"
	if from.Hot() || to == components.N {
		cable = "thhn"
	}
	run := components.Run{ID: id, From: x.Ref(aPort), To: y.Ref(bPort), Cores: []components.Core{{From: from, To: to}}, Spec: components.Spec{"size": components.Str("6 AWG"), "cable": components.Str(cable), "length_ft": components.Num(4)}}
	if !r.do(components.AddRun{Run: run}) {
		return nil
	}
	return []string{string(id)}
}

// fuseInNegative moves a battery's own fuse from its positive lead to its negative one.
func (r *rig) fuseInNegative() []string {
	fuse, ok := pick(r, r.parts(func(p components.Part) bool {
		return r.onBattery(p) && len(r.runsAt(p.Ref("line"))) == 1 && len(r.runsAt(p.Ref("load"))) == 1
	}, &components.Fuse))
	if !ok {
		return nil
	}
	var bat components.Part
	for _, port := range []string{"line", "load"} {
		o, _ := r.doc.Part(r.runsAt(fuse.Ref(port))[0].Other(fuse.Ref(port)).Part)
		if o.Kind == &components.Battery {
			bat = o
		}
	}
	back := r.runsAt(bat.Ref("neg"))
	if len(back) != 1 {
		return nil
	}
	only := &rig{r.doc, r.rng}
	places := bypass("line", "load", func(p components.Part) bool { return p.ID == fuse.ID }, &components.Fuse)(only)
	if places == nil || !only.do(set(components.ID(places[0]), "length_ft", components.Num(2))) { // so that no fuse of a branch stands near enough
		return nil
	}
	moved := fuse
	moved.Spec = fuse.Spec.With("pole", components.Str("-"))
	first, second := back[0], back[0]
	second.ID = "W971"
	if first.From == bat.Ref("neg") {
		first.To, second.From, second.To = fuse.Ref("line"), fuse.Ref("load"), back[0].To
	} else {
		first.From, second.From, second.To = fuse.Ref("line"), fuse.Ref("load"), back[0].From
	}
	first.Path, second.Path = nil, nil
	if !only.do(components.RemoveRun{ID: back[0].ID}, components.AddPart{Part: moved}, components.AddRun{Run: first}, components.AddRun{Run: second}) {
		return nil
	}
	r.doc = only.doc
	return append(places, string(bat.ID))
}

// turnedRound swaps the leads of a battery.
func (r *rig) turnedRound() []string {
	bat, ok := pick(r, r.parts(func(p components.Part) bool {
		return p.Word("role") != "starting" && len(r.runsAt(p.Ref("pos"))) == 1 && len(r.runsAt(p.Ref("neg"))) == 1
	}, &components.Battery))
	if !ok {
		return nil
	}
	var edits []components.Edit
	places := []string{string(bat.ID)}
	for _, x := range []struct {
		from, to string
		pole     components.Pole
	}{{"pos", "neg", components.Pos}, {"neg", "pos", components.Neg}} {
		run := r.runsAt(bat.Ref(x.from))[0]
		own := components.Neg
		if x.pole == components.Neg {
			own = components.Pos
		}
		e := run.Rerouted()
		e.Path = nil
		if e.From == bat.Ref(x.from) {
			e.From, e.Cores = bat.Ref(x.to), []components.Core{{From: own, To: x.pole}}
		} else {
			e.To, e.Cores = bat.Ref(x.to), []components.Core{{From: x.pole, To: own}}
		}
		edits = append(edits, e)
		places = append(places, string(run.ID))
	}
	if !r.do(edits...) {
		return nil
	}
	return places
}

// neutralFromAhead leaves the neutral out of an inverter's output and takes one from what
// feeds its input.
func (r *rig) neutralFromAhead() []string {
	inv, ok := pick(r, r.parts(func(p components.Part) bool {
		return len(r.runsAt(p.Ref("ac-in"))) == 1 && len(r.runsAt(p.Ref("ac-out"))) == 1
	}, &components.InverterCharger))
	if !ok {
		return nil
	}
	in, out := r.runsAt(inv.Ref("ac-in"))[0], r.runsAt(inv.Ref("ac-out"))[0]
	e := out.Rerouted()
	e.Cores = without(components.N)(slices.Clone(r.doc.CoresOf(out)))
	run := components.Run{ID: "W970", From: in.Other(inv.Ref("ac-in")), To: out.Other(inv.Ref("ac-out")), Cores: []components.Core{{From: components.N, To: components.N}}, Spec: out.Spec}
	if !r.has(out, components.N) || !r.do(e, components.AddRun{Run: run}) {
		return nil
	}
	return []string{string(out.ID)}
}

// oneNeutral leaves the neutral of a circuit out and borrows that of another of its
// panel; watched puts a ground-fault breaker ahead of it.
func (r *rig) oneNeutral(watched bool) []string {
	type at struct {
		run  components.Run
		load components.Part
	}
	var all []at
	for _, run := range r.runs(func(run components.Run, from, to components.Part) bool {
		return kindIs(from, &components.Panel) && run.From.Port != "main" && len(run.From.Port) == 2 && kindIs(to, &components.ACLoad) && r.has(run, components.N) && !(r.has(run, components.L1) && r.has(run, components.L2))
	}) {
		load, _ := r.doc.Part(run.To.Part)
		all = append(all, at{run, load})
	}
	for i := range all {
		for _, o := range all[:i] {
			a := all[i]
			if a.run.From.Part != o.run.From.Part {
				continue
			}
			e := a.run.Rerouted()
			e.Cores = without(components.N)(slices.Clone(r.doc.CoresOf(a.run)))
			tie := components.Run{ID: "W970", From: a.load.Ref("in"), To: o.load.Ref("in"), Cores: []components.Core{{From: components.N, To: components.N}}, Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("thhn"), "length_ft": components.Num(4)}}
			edits := []components.Edit{e, components.AddRun{Run: tie}}
			panel, _ := r.doc.Part(a.run.From.Part)
			if watched {
				rows := slices.Clone(panel.Spec["circuits"].Rows())
				n := int(a.run.From.Port[1] - '1')
				rows[n] = rows[n].With("gfci", components.Yes(true))
				edits = append(edits, set(panel.ID, "circuits", components.Table(rows...)))
			}
			if !r.do(edits...) {
				return nil
			}
			return []string{string(panel.ID), string(a.run.ID), string(o.run.ID), "W970", string(a.load.ID), string(o.load.ID)}
		}
	}
	return nil
}

// secondInlet leads the cord of a further outlet to where the first one goes.
func (r *rig) secondInlet() []string {
	inlet, ok := pick(r, r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref("rig"))) == 1 }, &components.Inlet))
	if !ok || r.doc.Basis == components.Caravan {
		return nil
	}
	twin, run := inlet, r.runsAt(inlet.Ref("rig"))[0]
	twin.ID = "INL970"
	run.ID, run.Path = "W970", nil
	if run.From == inlet.Ref("rig") {
		run.From = twin.Ref("rig")
	} else {
		run.To = twin.Ref("rig")
	}
	if !r.do(components.AddPart{Part: twin}, components.AddRun{Run: run}) {
		return nil
	}
	return []string{"INL970"}
}

// fusedNeutral lays the neutral of a circuit by itself, with a fuse in it.
func (r *rig) fusedNeutral() []string {
	run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
		return kindIs(from, &components.Panel) && kindIs(to, &components.ACLoad) && r.has(run, components.N) && !(r.has(run, components.L1) && r.has(run, components.L2))
	}))
	if !ok {
		return nil
	}
	e := run.Rerouted()
	e.Cores = without(components.N)(slices.Clone(r.doc.CoresOf(run)))
	fuse := components.Part{ID: "F970", Kind: &components.Fuse, At: components.Point{X: 2400, Y: 2400}, Spec: components.Spec{"family": components.Str("glass-3ag"), "rating_a": components.Num(10), "pole": components.Str("N")}}
	lead := func(id components.ID, from, to components.PortRef) components.Edit {
		return components.AddRun{Run: components.Run{ID: id, From: from, To: to, Cores: []components.Core{{From: components.N, To: components.N}}, Spec: run.Spec}}
	}
	if !r.do(e, components.AddPart{Part: fuse}, lead("W970", run.From, fuse.Ref("line")), lead("W971", fuse.Ref("load"), run.To)) {
		return nil
	}
	return []string{"F970"}
}
