package checks_test

import (
	"rigline/components"
)

// directMistakes are ratings and arrangements on the battery's side.
var directMistakes = []mistake{
	{0, "a breaker with a marked polarity in the bank's lead", []string{"overcurrent.dc-polarity-and-type"},
		func(r *rig) []string {
			return r.instead(&components.DCBreaker, components.Spec{"family": components.Str("breaker-din-polarised"), "polarised": components.Yes(true), "volts_dc": components.Num(125), "interrupting_a": components.Num(20000)})
		}},
	{0, "a main fuse too weak for the bank's cranking current", []string{"overcurrent.main-aic-by-cca", "overcurrent.interrupting-rating"},
		func(r *rig) []string {
			bat, ok := pick(r, r.parts(func(p components.Part) bool { return p.Word("role") != "starting" }, &components.Battery))
			fuse, has := pick(r, r.parts(r.onBattery, &components.Fuse))
			if !ok || !has || !r.do(set(bat.ID, "cca_a", components.Num(2000)), set(fuse.ID, "interrupting_a", components.Num(1000))) {
				return nil
			}
			return []string{string(fuse.ID)}
		}},
	{0, "a start that opens the fuse", []string{"overcurrent.surge-hold", "disconnect.rating", "battery.bms-discharge-limit"},
		func(r *rig) []string {
			inv, ok := pick(r, r.parts(nil, &components.Inverter, &components.InverterCharger))
			if !ok || !r.do(set(inv.ID, "surge_va", components.Num(min(40000, 5*inv.Figure("continuous_va").Value))), set(inv.ID, "surge_s", components.Num(60))) {
				return nil
			}
			return r.everything()
		}},
	{0, "a bank that one block's trip leaves too small", []string{"battery.bms-single-trip", "battery.bms-discharge-limit"},
		func(r *rig) []string {
			inv := r.parts(nil, &components.Inverter, &components.InverterCharger)
			bank := r.parts(isLFP, &components.Battery)
			if len(inv) == 0 || len(bank) < 2 || len(bank) > 4 {
				return nil
			}
			most := 0.0
			for _, q := range inv {
				most += q.Figure("continuous_va").Value / 0.9 / (10.5 / 12.8 * q.Figure("dc_v").Value)
			}
			var edits []components.Edit
			for _, b := range bank {
				edits = append(edits, set(b.ID, "discharge_a", components.Num(most/float64(len(bank))*1.25)))
			}
			if !r.do(edits...) {
				return nil
			}
			return r.everything()
		}},
	{0, "aluminum in the inverter's lead", []string{"conductor.copper-stranded-only"}, onRun("metal", components.Str("aluminum"), inverterLead)},
	{0, "the inverter's lead beside the exhaust", []string{"conductor.ambient-correction", "conductor.load-within-ampacity", "overcurrent.rating-within-ampacity"}, onRun("ambient_c", components.Num(88), fusedLead)},
	{0, "the inverter's lead through the engine space", []string{"conductor.engine-space-derating", "conductor.load-within-ampacity", "overcurrent.rating-within-ampacity"},
		func(r *rig) []string {
			places := onRun("engine_space", components.Yes(true), fusedLead)(r)
			if places == nil || !r.do(set(components.ID(places[0]), "cable", components.Str("pv-90"))) {
				return nil
			}
			return places
		}},
	{0, "a long way to the inverter", []string{"voltage-drop.critical-3-percent"},
		func(r *rig) []string {
			if stretch(200, inverterLead)(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{0, "a positive in the colour of a ground", []string{"conductor.colour-code"}, onRun("color", components.Str("green"), inverterLead)},
	{0, "an array that nothing takes off its controller", []string{"solar.battery-first"},
		func(r *rig) []string {
			if bypass("line", "load", func(p components.Part) bool {
				return len(r.runs(func(run components.Run, from, to components.Part) bool {
					return (run.From.Part == p.ID || run.To.Part == p.ID) && (kindIs(from, &components.SolarArray) || kindIs(to, &components.SolarController))
				})) > 0
			}, &components.DCSwitch)(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{0, "a controller that does not stand losing the bank", []string{"disconnect.charge-source-not-stranded"},
		setting("without_battery", truthOf(false), nil, &components.SolarController)},
	{0, "more days wanted than the bank holds", []string{"energy.autonomy-bank-size"},
		func(r *rig) []string {
			if !r.dayTold() {
				return nil
			}
			return wish("autonomy_days", 30)(r)
		}},
	{0, "more hours wanted than the bank gives", []string{"energy.runtime"}, wish("runtime_h", 72)},
	{0, "a bank wanted full again at once", []string{"energy.recharge-time"}, wish("recharge_h", 0.1)},
	{0, "an array too small for the day", []string{"energy.solar-harvest-balance"},
		func(r *rig) []string {
			arrays := r.parts(nil, &components.SolarArray)
			if len(arrays) == 0 || !r.dayTold() {
				return nil
			}
			for _, q := range arrays {
				if !r.do(set(q.ID, "imp_a", components.Num(0.1)), set(q.ID, "sun_hours", components.Num(4))) {
					return nil
				}
			}
			return r.everything()
		}},
}

// wireMistakes are wires of the wrong sort.
var wireMistakes = []mistake{
	{0, "a circuit of the mains in primary wire", []string{"conductor.insulated-for-its-voltage"},
		onRun("cable", components.Str("primary-105"), func(_ *rig, run components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Panel) && kindIs(to, &components.ACLoad, &components.Receptacle)
		})},
	{0, "a positive in bare copper", []string{"conductor.insulated-for-its-voltage"}, onRun("cable", components.Str("bare-copper"), inverterLead)},
}

// inverterLead is a positive lead of two feet or more that ends at an inverter.
func inverterLead(r *rig, run components.Run, _, to components.Part) bool {
	return kindIs(to, &components.Inverter, &components.InverterCharger) && run.To.Port == "dc" && r.has(run, components.Pos) && !r.has(run, components.Neg) && run.Figure("length_ft").Value >= 2
}

// fusedLead is one behind a fuse of 200 A or more, which is near what it carries.
func fusedLead(r *rig, run components.Run, from, to components.Part) bool {
	return inverterLead(r, run, from, to) && from.Figure("rating_a").Value >= 200
}

// onRun plants a figure at a run.
func onRun(key string, v components.Value, ok func(r *rig, run components.Run, from, to components.Part) bool) func(*rig) []string {
	return func(r *rig) []string {
		run, found := pick(r, r.runs(func(run components.Run, from, to components.Part) bool { return ok(r, run, from, to) }))
		if !found || !r.do(set(run.ID, key, v)) {
			return nil
		}
		return []string{string(run.ID), string(run.From.Part), string(run.To.Part)}
	}
}

// dayTold tells of every load how many hours a day it runs, where that is not told.
func (r *rig) dayTold() bool {
	for _, q := range r.parts(func(p components.Part) bool { return !p.Figure("hours_per_day").Known() }, &components.ACLoad, &components.DCLoad) {
		if !r.do(set(q.ID, "hours_per_day", components.Num(3))) {
			return false
		}
	}
	return true
}

// wish plants what is wanted of a house bank.
func wish(key string, v float64) func(*rig) []string {
	return func(r *rig) []string {
		if setting(key, figure(v), func(p components.Part) bool { return p.Word("role") != "starting" }, &components.Battery)(r) == nil {
			return nil
		}
		return r.everything()
	}
}

// onHouse tells whether a part's positive side is a house battery's own lead.
func (r *rig) onHouse(p components.Part) bool {
	return len(r.runs(func(run components.Run, from, to components.Part) bool {
		return (run.From.Part == p.ID || run.To.Part == p.ID) && atBattery(from, to, run) && from.Word("role") != "starting" && to.Word("role") != "starting"
	})) > 0
}

// instead puts a device of another kind in the place of a bank's own fuse.
func (r *rig) instead(kind *components.Kind, spec components.Spec) []string {
	fuse, ok := pick(r, r.parts(func(p components.Part) bool {
		return r.onHouse(p) && len(r.runsAt(p.Ref("line"))) == 1 && len(r.runsAt(p.Ref("load"))) == 1
	}, &components.Fuse))
	if !ok {
		return nil
	}
	return r.exchange(fuse, kind, spec)
}

// exchange puts another kind of device of the same rating where a fuse was.
func (r *rig) exchange(fuse components.Part, kind *components.Kind, spec components.Spec) []string {
	other := fuse
	other.Kind, other.Spec, other.ID = kind, spec.With("rating_a", components.Num(fuse.Figure("rating_a").Value)), "CB970"
	edits := []components.Edit{components.AddPart{Part: other}}
	for _, port := range []string{"line", "load"} {
		e := r.runsAt(fuse.Ref(port))[0].Rerouted()
		e.Path = nil
		if e.From == fuse.Ref(port) {
			e.From = other.Ref(port)
		} else {
			e.To = other.Ref(port)
		}
		edits = append(edits, e)
	}
	if !r.do(append(edits, components.RemovePart{ID: fuse.ID})...) {
		return nil
	}
	return []string{"CB970"}
}
