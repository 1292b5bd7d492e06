package checks_test

import (
	"slices"

	"rigline/components"
)

func truthOf(b bool) func(components.Part) components.Value { return always(components.Yes(b)) }

func word(s string) func(components.Part) components.Value { return always(components.Str(s)) }

func figure(v float64) func(components.Part) components.Value { return always(components.Num(v)) }

func kindIs(p components.Part, kinds ...*components.Kind) bool {
	for _, k := range kinds {
		if p.Kind == k {
			return true
		}
	}
	return false
}

// mistakes are all kinds of mistake that are planted.
var mistakes = slices.Concat(mistakesListed, stateMistakes, mainsMistakes, directMistakes, crossedMistakes, wireMistakes, bankMistakes, converterMistakes)

// mistakesListed are those of the trade, the worst first.
var mistakesListed = []mistake{
	{1, "no fuse at the battery", []string{"overcurrent.battery-unfused", "overcurrent.source-distance", "overcurrent.every-source-end", "battery.per-string-fuse"},
		func(r *rig) []string { // a lead of inches to fused branches needs none
			places := bypass("line", "load", r.onBattery, &components.Fuse)(r)
			if places == nil || !r.do(set(components.ID(places[0]), "length_ft", components.Num(6))) {
				return nil
			}
			return places
		}},
	{1, "battery fuse too far along", []string{"overcurrent.source-distance", "overcurrent.two-source-both-ends"},
		stretch(6, func(r *rig, run components.Run, from, to components.Part) bool {
			return atBattery(from, to, run) && (kindIs(from, &components.Fuse) || kindIs(to, &components.Fuse))
		})},
	{2, "fuse larger than its wire", []string{"overcurrent.rating-within-ampacity"},
		func(r *rig) []string { // behind several strings' fuses a thick lead is theirs to protect
			return setting("rating_a", figure(800), func(p components.Part) bool {
				return p.Word("family") == "class-t" && p.Figure("rating_a").Value <= 300 && (r.onBattery(p) || r.house() < 2 && !r.heldAtTheBar(p))
			}, &components.Fuse)(r)
		}},
	{2, "lead thinner than its fuse allows", []string{"overcurrent.rating-within-ampacity", "conductor.load-within-ampacity", "fault.conductor-withstand"},
		thin("14 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Fuse) && run.From.Port == "load" && from.Figure("rating_a").Value >= 80
		})},
	{3, "main fuse that cannot break the bank's current", []string{"overcurrent.interrupting-rating"},
		func(r *rig) []string {
			p, ok := pick(r, r.parts(r.onBattery, &components.Fuse))
			if !ok || !r.do(set(p.ID, "interrupting_a", components.Num(200))) {
				return nil
			}
			return []string{string(p.ID)}
		}},
	{4, "generator and shore on one panel", []string{"transfer.never-parallel"},
		func(r *rig) []string {
			p, ok := pick(r, r.parts(nil, &components.TransferSwitch))
			if !ok || len(r.runsAt(p.Ref("b"))) != 1 {
				return nil
			}
			run := r.runsAt(p.Ref("b"))[0]
			moved := run
			if moved.From == p.Ref("b") {
				moved.From = p.Ref("out")
			} else {
				moved.To = p.Ref("out")
			}
			moved.Path = nil
			if !r.do(components.RemoveRun{ID: run.ID}, components.AddRun{Run: moved}) {
				return nil
			}
			places := []string{string(run.ID), string(p.ID)}
			for _, q := range r.parts(nil, &components.Shore, &components.Generator, &components.InverterCharger, &components.Inverter) {
				places = append(places, string(q.ID))
			}
			return places
		}},
	{5, "neutral bonded in the panel", []string{"neutral.isolated-in-vehicle-panel", "neutral.one-bond-per-state"},
		setting("neutral_bonded", truthOf(true), nil, &components.Panel)},
	{5, "inverter without its ground relay", []string{"neutral.one-bond-per-state", "neutral.bonded-when-source-on-board", "neutral.bond-relay-follows-transfer"},
		setting("bond_relay", truthOf(false), func(p components.Part) bool { return p.Is("bond_relay") }, &components.InverterCharger)},
	{5, "inverter bonded for good", []string{"neutral.one-bond-per-state", "neutral.bond-relay-follows-transfer", "neutral.no-second-bond-on-shore"},
		setting("bonded", truthOf(true), nil, &components.InverterCharger)},
	{5, "bonded generator with an unswitched neutral", []string{"neutral.one-bond-per-state", "neutral.no-second-bond-on-shore", "neutral.bonded-when-source-on-board"},
		setting("bonded", func(p components.Part) components.Value { return components.Yes(!p.Is("bonded")) }, nil, &components.Generator)},
	{6, "neutral left behind in another panel", []string{"neutral.returns-to-own-source", "neutral.isolated-in-vehicle-panel", "neutral.one-bond-per-state", "conductor.crossed-poles"},
		cores(without(components.N), func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.N) && kindIs(to, &components.ACLoad, &components.Receptacle) && !(r.has(run, components.L1) && r.has(run, components.L2))
		})},
	{6, "feeder without its neutral", []string{"neutral.returns-to-own-source", "load.never-fed"},
		cores(without(components.N), func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.N) && kindIs(to, &components.Panel)
		})},
	{7, "legs in phase on one shared neutral", []string{"load.in-phase-shared-neutral", "neutral.carries-unbalance", "panel.single-120v-neutral-bus", "inverter.leg-topology", "load.240v-needs-split-phase"},
		func(r *rig) []string {
			if setting("legs", word("same-phase"), func(p components.Part) bool { return p.Word("legs") == "opposite" }, &components.Generator)(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{7, "common neutral thinner than its legs together", []string{"neutral.carries-unbalance", "load.in-phase-shared-neutral", "conductor.ampacity-covers-overcurrent", "cord.230v-lead-and-wiring"},
		thin("14 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.N) && (kindIs(to, &components.Panel) || kindIs(from, &components.Inlet))
		})},
	{8, "charger fed by the inverter that its bank feeds", []string{"inverter.charger-not-on-own-output"},
		func(r *rig) []string { return r.chargerOnItsOwnInverter() }},
	{9, "inverter's input and output crossed", []string{"transfer.no-live-inlet-pins", "transfer.never-parallel", "load.never-fed", "inverter.input-breaker", "panel.no-source-loop"},
		func(r *rig) []string { return r.swapPorts("ac-in", "ac-out", &components.InverterCharger) }},
	{9, "inverter's output on the inlet", []string{"transfer.no-live-inlet-pins", "transfer.never-parallel"},
		func(r *rig) []string { return r.outputOnInlet() }},
	{10, "nothing opens on a lost neutral", []string{"neutral.open-neutral-exposure"},
		func(r *rig) []string {
			if !r.unbalanced() || setting("lost_neutral_trip", truthOf(false), r.twoLegs, &components.SurgeProtector)(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{10, "the protector taken out of a 50 A rig", []string{"neutral.open-neutral-exposure"},
		func(r *rig) []string {
			if !r.unbalanced() || bypass("line", "load", r.twoLegs, &components.SurgeProtector)(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{11, "inlet wire too thin", []string{"conductor.ampacity-covers-overcurrent", "inlet.feeder-50a", "inlet.feeder-30a", "conductor.small-wire-cap", "cord.230v-lead-and-wiring"},
		thin("14 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Inlet) && run.From.Port == "rig"
		})},
	{11, "branch wire too thin for its breaker", []string{"conductor.ampacity-covers-overcurrent", "conductor.small-wire-cap", "cord.230v-lead-and-wiring"},
		thin("18 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Panel) && kindIs(to, &components.ACLoad, &components.Receptacle)
		})},
	{12, "long thin DC cable", []string{"voltage-drop.critical-3-percent", "voltage-drop.general-10-percent", "fault.far-end-clears", "supply.cannot-carry"},
		stretch(150, func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(to, &components.DCLoad) && kindIs(from, &components.DCPanel) && to.Figure("a").Value >= 2
		})},
	{13, "relay smaller than the breaker ahead of it", []string{"transfer.rating-not-below-feed"},
		setting("relay_a", figure(10), nil, &components.InverterCharger)},
	{13, "transfer switch smaller than its feed", []string{"transfer.rating-not-below-feed"},
		setting("rating_a", figure(10), nil, &components.TransferSwitch)},
	{14, "no case ground at an inverter", []string{"bonding.converter-enclosure-bond", "bonding.source-frames"},
		unplug(func(r *rig, run components.Run, from, to components.Part) bool {
			return run.From.Port == "case" && kindIs(from, &components.Inverter, &components.InverterCharger) || run.To.Port == "case" && kindIs(to, &components.Inverter, &components.InverterCharger)
		})},
	{14, "case ground too thin", []string{"bonding.dc-grounding-conductor-size", "bonding.converter-enclosure-bond"},
		thin("16 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return run.From.Port == "case" && kindIs(from, &components.Inverter, &components.InverterCharger) || run.To.Port == "case" && kindIs(to, &components.Inverter, &components.InverterCharger)
		})},
	{15, "bank too weak for its inverter", []string{"battery.bms-discharge-limit", "battery.c-rate-limit", "battery.bms-single-trip"},
		func(r *rig) []string {
			if len(r.parts(nil, &components.InverterCharger, &components.Inverter)) == 0 {
				return nil
			}
			var edits []components.Edit
			for _, b := range r.parts(isLFP, &components.Battery) {
				edits = append(edits, set(b.ID, "discharge_a", components.Num(8)))
			}
			if len(edits) == 0 || !r.do(edits...) {
				return nil
			}
			return r.everything()
		}},
	{16, "motor that starts beyond the inverter", []string{"load.inverter-capacity"},
		inverted("start_va", figure(60000))},
	{17, "a shore load on the inverter", []string{"inverter.charger-not-on-own-output"},
		inverted("shore_only", truthOf(true))},
	{18, "a load past the shunt", []string{"shunt.all-negatives-through", "shunt.no-bypass-path"},
		func(r *rig) []string { return r.pastTheShunt() }},
	{19, "strings of unlike lead lengths", []string{"battery.parallel-balance"},
		func(r *rig) []string {
			if r.house() < 2 {
				return nil
			}
			if stretch(300, func(r *rig, run components.Run, from, to components.Part) bool {
				return from.Kind == &components.Battery && r.beside(from) || to.Kind == &components.Battery && r.beside(to)
			})(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{20, "unlike batteries together", []string{"battery.string-uniformity"},
		func(r *rig) []string {
			if r.house() < 2 {
				return nil
			}
			return setting("capacity_ah", times("capacity_ah", 0.5), func(p components.Part) bool {
				alike := r.parts(func(q components.Part) bool {
					return q.Word("role") != "starting" && q.Word("chemistry") == p.Word("chemistry") && q.Figure("nominal_v").Value == p.Figure("nominal_v").Value
				}, &components.Battery)
				return p.Word("role") != "starting" && len(alike) > 1
			}, &components.Battery)(r)
		}},
	{20, "lithium beside lead", []string{"battery.string-uniformity", "battery.per-string-fuse"},
		func(r *rig) []string {
			if r.house() < 2 {
				return nil
			}
			return setting("chemistry", word("agm"), func(p components.Part) bool { return isLFP(p) }, &components.Battery)(r)
		}},
	{21, "lithium straight on the alternator", []string{"alternator.lithium-overload", "alternator.dcdc-both-fuses"},
		func(r *rig) []string { return r.alternatorOnBank() }},
	{21, "DC charger beyond the alternator's share", []string{"alternator.lithium-overload"},
		func(r *rig) []string {
			if len(r.parts(isLFP, &components.Battery))+len(r.parts(nil, &components.DCCharger)) == 0 {
				return nil // lead takes what the voltage drives
			}
			return setting("rating_a", figure(10), func(p components.Part) bool { return !p.Is("regulated") }, &components.Alternator)(r)
		}},
	{22, "nothing takes the alternator when the bank opens", []string{"alternator.lithium-overload"},
		func(r *rig) []string {
			if setting("load_dump_protected", truthOf(false), nil, &components.Alternator)(r) == nil || r.alternatorOnBank() == nil {
				return nil
			}
			return r.everything()
		}},
	{23, "chargers beyond the bank's limit", []string{"charger.total-current-limit"},
		func(r *rig) []string {
			var edits []components.Edit
			for _, b := range r.parts(isLFP, &components.Battery) {
				edits = append(edits, set(b.ID, "charge_a", components.Num(1)))
			}
			if len(edits) == 0 || !r.do(edits...) {
				return nil
			}
			return r.everything()
		}},
	{24, "lead profile on a lithium bank", []string{"charger.profile-match"},
		func(r *rig) []string { return r.wrongProfile() }},
	{25, "input limit above the site", []string{"inverter.input-limit", "load.demand-within-main"},
		setting("input_limit_a", figure(90), nil, &components.InverterCharger)},
	{26, "wire at the inverter's output too thin", []string{"overcurrent.every-line-at-source", "inverter.output-assist-sum", "conductor.ampacity-covers-overcurrent", "conductor.small-wire-cap"},
		thin("14 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return run.From.Port == "ac-out" && from.Figure("relay_a").Value > 15
		})},
	{26, "breaker larger than its wire", []string{"conductor.ampacity-covers-overcurrent", "conductor.small-wire-cap"},
		american(row("breaker_a", func(x components.Spec) (components.Value, bool) {
			return components.Num(60), x["breaker_a"].Num() <= 20
		}, &components.Panel))},
	{27, "too much at once", []string{"load.demand-within-main", "panel.leg-balance", "inverter.output-assist-sum", "overcurrent.rating-above-continuous", "load.inverter-capacity", "supply.cannot-carry"},
		func(r *rig) []string {
			used := func(p components.Part) bool {
				return !slices.ContainsFunc(r.doc.States, func(st components.State) bool { return slices.Contains(st.Off, p.ID) })
			}
			if setting("va", figure(9000), used, &components.ACLoad)(r) == nil {
				return nil
			}
			return r.everything()
		}},
	{28, "a fuse of too low a voltage", []string{"overcurrent.voltage-rating"},
		setting("volts_dc", figure(10), nil, &components.Fuse)},
	{29, "12 V appliance on a higher bus", []string{"battery.voltage-class"},
		setting("max_v", figure(9), nil, &components.DCLoad)},
	{29, "a 12 V fuse block on a 48 V bar", []string{"overcurrent.voltage-rating", "battery.voltage-class"},
		func(r *rig) []string { return r.blockOnHighBar() }},
	{29, "inverter of another voltage", []string{"battery.voltage-class", "inverter-dc.cutoff-coordination"},
		setting("dc_v", func(p components.Part) components.Value {
			if p.Figure("dc_v").Value > 20 {
				return components.Num(12.8)
			}
			return components.Num(51.2)
		}, nil, &components.InverterCharger, &components.Inverter)},
	{30, "main switch too small", []string{"disconnect.rating"},
		func(r *rig) []string {
			return setting("rating_a", figure(1), func(p components.Part) bool {
				return len(r.runs(func(run components.Run, from, to components.Part) bool {
					return (run.From.Part == p.ID || run.To.Part == p.ID) && kindIs(from, &components.SolarArray, &components.SolarController) || (run.From.Part == p.ID || run.To.Part == p.ID) && kindIs(to, &components.SolarArray, &components.SolarController)
				})) == 0
			}, &components.DCSwitch)(r)
		}},
	{30, "no main switch", []string{"disconnect.battery-disconnect-present"},
		func(r *rig) []string {
			for len(r.parts(nil, &components.DCSwitch)) > 0 {
				if bypass("line", "load", nil, &components.DCSwitch)(r) == nil {
					return nil
				}
			}
			return r.everything()
		}},
	{31, "array too high when cold", []string{"solar.cold-voc-limit"},
		setting("voc_v", times("voc_v", 6), nil, &components.SolarArray)},
	{31, "array too low when hot", []string{"solar.hot-vmp-minimum"},
		setting("vmp_v", figure(3), nil, &components.SolarArray)},
	{31, "three strings without fuses", []string{"solar.string-fusing", "solar.conductor-156-percent"},
		setting("parallel", figure(6), nil, &components.SolarArray)},
	{32, "generator without a bond ahead of the protector", []string{"neutral.one-bond-per-state", "neutral.bonded-when-source-on-board"},
		setting("bonded", func(p components.Part) components.Value { return components.Yes(!p.Is("bonded")) }, nil, &components.Generator)},
	{33, "return thinner than its feed", []string{"overcurrent.rating-within-ampacity", "conductor.load-within-ampacity", "bonding.dc-grounding-conductor-size", "conductor.minimum-gauge", "fault.conductor-withstand"},
		thin("18 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.Neg) && !r.has(run, components.Pos) && kindIs(to, &components.InverterCharger, &components.Inverter, &components.DCPanel)
		})},
	{33, "ground core too thin", []string{"bonding.equipment-ground-size", "bonding.ground-path-unbroken", "cord.230v-lead-and-wiring"},
		func(r *rig) []string {
			run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
				return r.has(run, components.G) && r.has(run, components.N) && kindIs(from, &components.Panel)
			}))
			as := "18 AWG"
			if r.doc.Basis == components.Caravan {
				as = "0.75 mm2"
			}
			if !ok || !r.do(set(run.ID, "ground_size", components.Str(as))) {
				return nil
			}
			return []string{string(run.ID)}
		}},
	{34, "charge lead without its fuse", []string{"overcurrent.rating-within-ampacity", "overcurrent.two-source-both-ends", "overcurrent.every-source-end", "alternator.dcdc-both-fuses", "solar.controller-output-protection", "overcurrent.source-distance", "overcurrent.battery-unfused"},
		func(r *rig) []string { return r.unfusedCharge() }},
	{35, "too many lugs on one stud", []string{"busbar.four-terminals-per-stud"},
		func(r *rig) []string {
			return setting("studs", figure(1), func(p components.Part) bool { return len(r.runsAt(p.Ref("bar"))) >= 5 }, &components.Busbar)(r)
		}},
	{36, "no pre-charge", []string{"disconnect.precharge"},
		func(r *rig) []string {
			if len(r.parts(func(p components.Part) bool { return p.Figure("continuous_va").Value >= 2000 }, &components.Inverter, &components.InverterCharger)) == 0 {
				return nil
			}
			var edits []components.Edit
			for _, p := range r.parts(func(p components.Part) bool { return p.Figure("precharge_ohm").Known() }, &components.DCSwitch) {
				edits = append(edits, set(p.ID, "precharge_ohm", components.Value{}))
			}
			if len(edits) == 0 || !r.do(edits...) {
				return nil
			}
			return r.everything()
		}},
	{37, "lithium charged in the frost", []string{"battery.cold-charge-block"},
		func(r *rig) []string { return r.frost() }},
	{38, "a spark beside a gassing battery", []string{"battery.gassing-space"},
		func(r *rig) []string {
			inv, ok := pick(r, r.parts(nil, &components.Inverter, &components.InverterCharger, &components.Charger))
			bat, okBat := pick(r, r.parts(func(p components.Part) bool { return p.Word("role") != "starting" }, &components.Battery))
			if !ok || !okBat || !r.do(set(bat.ID, "chemistry", components.Str("flooded")), set(bat.ID, "space", components.Str("Bay")), set(inv.ID, "space", components.Str("bay"))) {
				return nil
			}
			return []string{string(bat.ID)}
		}},
	{39, "no ground-fault protection where it must be", []string{"gfci.protected-locations"},
		american(func(r *rig) []string { return r.plainOutlet() })},
	{40, "no way round a dead inverter", []string{"inverter.way-round"},
		func(r *rig) []string { // a transfer switch behind it is a way round that is drawn
			switched := r.runs(func(_ components.Run, from, to components.Part) bool {
				behind := kindIs(from, &components.Inverter, &components.InverterCharger)
				for _, o := range r.runsAt(from.Ref("line")) {
					q, _ := r.doc.Part(o.From.Part)
					behind = behind || kindIs(q, &components.Inverter, &components.InverterCharger)
				}
				return behind && kindIs(to, &components.TransferSwitch)
			})
			if len(switched) > 0 || len(r.parts(nil, &components.Shore, &components.Generator)) == 0 {
				return nil
			}
			return setting("way_round", word("none"), nil, &components.InverterCharger, &components.Inverter)(r)
		}},
	{0, "ground core missing", []string{"bonding.ground-path-unbroken", "neutral.returns-to-own-source", "bonding.source-frames"},
		cores(without(components.G), func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.G) && r.has(run, components.N) && kindIs(to, &components.ACLoad)
		})},
	{0, "ground core of a feeder missing", []string{"bonding.ground-with-circuit", "bonding.ground-path-unbroken", "neutral.returns-to-own-source"},
		cores(without(components.G), func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.G) && (r.has(run, components.L) || r.has(run, components.L1)) && !kindIs(to, &components.ACLoad) && !kindIs(from, &components.ACLoad)
		})},
	{0, "hot and neutral crossed", []string{"conductor.crossed-poles", "neutral.returns-to-own-source"},
		cores(func(all []components.Core) []components.Core {
			for i := range all {
				switch all[i].To {
				case components.L:
					all[i].To = components.N
				case components.N:
					all[i].To = components.L
				}
			}
			return all
		}, func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(to, &components.ACLoad) && r.has(run, components.N) && !(r.has(run, components.L1) && r.has(run, components.L2))
		})},
	{0, "plus and minus crossed", []string{"conductor.crossed-poles", "battery.voltage-class", "overcurrent.battery-unfused", "supply.cannot-carry"},
		cores(func(all []components.Core) []components.Core {
			if len(all) != 2 {
				return nil
			}
			all[0].To, all[1].To = all[1].To, all[0].To
			return all
		}, func(r *rig, run components.Run, from, to components.Part) bool { return kindIs(to, &components.DCLoad) })},
	{0, "no chassis bond", []string{"bonding.chassis-bond"},
		func(r *rig) []string {
			if len(r.parts(r.oneLegPanel, &components.Panel)) == 0 {
				return nil // a 50 A feeder's ground may be bond enough
			}
			return unplug(func(r *rig, run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Panel) && kindIs(to, &components.Chassis) || kindIs(to, &components.Panel) && kindIs(from, &components.Chassis)
			})(r)
		}},
	{0, "chassis bond too thin", []string{"bonding.chassis-bond"},
		func(r *rig) []string {
			if len(r.parts(r.oneLegPanel, &components.Panel)) == 0 {
				return nil
			}
			return thin("12 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Panel) && kindIs(to, &components.Chassis)
			})(r)
		}},
	{0, "bank's chassis bond too thin", []string{"bonding.chassis-bond-size"},
		thin("12 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(from, &components.BondKind) && kindIs(to, &components.Chassis) && from.ID == "BJ1" // a second one is the engine battery's
		})},
	{0, "the inlet smaller than its supply", []string{"inlet.matches-assembly", "cord.adapter-changes-protection", "overcurrent.main-within-supply"},
		setting("rating_a", figure(15), func(p components.Part) bool { return p.Figure("rating_a").Value > 16 }, &components.Inlet)},
	{0, "main breaker above the supply", []string{"overcurrent.main-within-supply"},
		american(func(r *rig) []string { return r.mainAboveSupply() })},
	{0, "panel too small", []string{"panel.rating-covers-supply"},
		setting("bus_a", figure(15), nil, &components.Panel)},
	{0, "shunt too small", []string{"shunt.rating"},
		setting("rating_a", figure(10), nil, &components.Shunt)},
	{0, "bus bar too small", []string{"busbar.rating"},
		func(r *rig) []string { // one that the whole bank flows through
			bars := r.runs(func(run components.Run, from, to components.Part) bool {
				return kindIs(to, &components.Busbar) && kindIs(from, &components.Fuse, &components.Battery)
			})
			run, ok := pick(r, bars)
			if !ok || !r.do(set(run.To.Part, "rating_a", components.Num(10))) {
				return nil
			}
			return []string{string(run.To.Part)}
		}},
	{0, "unfused sense lead", []string{"shunt.all-negatives-through", "shunt.no-bypass-path", "overcurrent.battery-unfused", "shunt.sense-lead", "overcurrent.every-source-end", "shunt.rating"},
		setting("sense_lead", word("unfused"), nil, &components.Shunt)},
	{0, "building inverter in a vehicle", []string{"inverter.listed-for-vehicles"},
		american(setting("listing", word("ul-1741"), nil, &components.InverterCharger, &components.Inverter))},
	{0, "solar conductors too thin", []string{"solar.conductor-156-percent"},
		func(r *rig) []string {
			arrays := setting("parallel", figure(2), nil, &components.SolarArray)(r)
			if arrays == nil {
				return nil
			}
			return thin("14 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
				return string(from.ID) == arrays[0] && from.Figure("isc_a").Value > 7
			})(r)
		}},
	{0, "battery of another voltage class", []string{"battery.voltage-class", "battery.string-uniformity"},
		setting("nominal_v", times("nominal_v", 2), func(p components.Part) bool { return p.Word("role") != "starting" && p.Figure("nominal_v").Value < 20 }, &components.Battery)},
	{0, "fuse too small for what it carries", []string{"overcurrent.rating-above-continuous"},
		setting("rating_a", figure(5), func(p components.Part) bool { return p.Figure("rating_a").Value >= 150 }, &components.Fuse)},
	{0, "an outlet smaller than its circuit", []string{"receptacle.rating-fits-circuit"},
		american(func(r *rig) []string { return r.largeCircuit() })},
	{0, "unread shore cord of too thin a wire", []string{"cord.ampacity", "conductor.ampacity-covers-overcurrent", "cord.230v-lead-and-wiring"},
		thin("16 AWG", func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Shore, &components.Generator) && kindIs(to, &components.Inlet)
		})},
	{0, "two fuses side by side", []string{"overcurrent.not-in-parallel"},
		func(r *rig) []string {
			fuse, ok := pick(r, r.parts(func(p components.Part) bool {
				return len(r.runsAt(p.Ref("line"))) == 1 && len(r.runsAt(p.Ref("load"))) == 1
			}, &components.Fuse))
			if !ok {
				return nil
			}
			twin := fuse
			twin.ID = "F970"
			in, out := r.runsAt(fuse.Ref("line"))[0], r.runsAt(fuse.Ref("load"))[0]
			beside := func(run components.Run, id components.ID, at, to components.PortRef) components.Run {
				run.ID, run.Path = id, nil
				if run.From == at {
					run.From = to
				} else {
					run.To = to
				}
				return run
			}
			if !r.do(components.AddPart{Part: twin}, components.AddRun{Run: beside(in, "W970", fuse.Ref("line"), twin.Ref("line"))}, components.AddRun{Run: beside(out, "W971", fuse.Ref("load"), twin.Ref("load"))}) {
				return nil
			}
			return []string{"F970", string(fuse.ID)}
		}},
	{0, "a neutral borrowed from another circuit as well", []string{"neutral.one-way-back"},
		func(r *rig) []string {
			loads := r.parts(func(p components.Part) bool { return p.Figure("hots").Value != 2 && len(r.runsAt(p.Ref("in"))) > 0 }, &components.ACLoad)
			if len(loads) < 2 {
				return nil
			}
			a, b := loads[0], loads[1]
			own := func(p components.Part) bool {
				return slices.ContainsFunc(r.runsAt(p.Ref("in")), func(run components.Run) bool { return r.has(run, components.N) })
			}
			from, _ := r.doc.Part(r.runsAt(a.Ref("in"))[0].Other(a.Ref("in")).Part)
			to, _ := r.doc.Part(r.runsAt(b.Ref("in"))[0].Other(b.Ref("in")).Part)
			run := components.Run{ID: "W970", From: a.Ref("in"), To: b.Ref("in"), Cores: []components.Core{{From: components.N, To: components.N}}, Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("thhn"), "length_ft": components.Num(5)}}
			if !own(a) || !own(b) || from.ID != to.ID || !r.do(components.AddRun{Run: run}) {
				return nil
			}
			return []string{"W970"}
		}},
	{0, "a shore cord set laid as a branch", []string{"conductor.ampacity-covers-overcurrent", "conductor.small-wire-cap"},
		american(func(r *rig) []string {
			run, ok := pick(r, r.runs(func(run components.Run, from, to components.Part) bool {
				return kindIs(from, &components.Panel) && run.From.Port != "main" && kindIs(to, &components.ACLoad, &components.Receptacle)
			}))
			if !ok || !r.do(set(run.ID, "cable", components.Str("cord-shore")), set(run.ID, "size", components.Str("18 AWG"))) {
				return nil
			}
			return []string{string(run.ID)}
		})},
	{0, "a load that nothing feeds", []string{"load.never-fed"},
		unplug(func(r *rig, run components.Run, from, to components.Part) bool { return kindIs(to, &components.ACLoad) })},
	{0, "a DC appliance without its negative", []string{"conductor.dc-return"},
		cores(without(components.Neg), func(r *rig, run components.Run, from, to components.Part) bool {
			return kindIs(to, &components.DCLoad) && r.has(run, components.Pos) && r.has(run, components.Neg)
		})},
	{0, "an inverter without its negative", []string{"conductor.dc-return"},
		unplug(func(r *rig, run components.Run, from, to components.Part) bool {
			return r.has(run, components.Neg) && !r.has(run, components.Pos) && kindIs(to, &components.Inverter, &components.InverterCharger)
		})},
	{0, "a charge source that leads to no bank", []string{"supply.leads-nowhere"},
		unplug(func(r *rig, run components.Run, from, to components.Part) bool {
			end := func(q components.Part, port string) bool {
				return kindIs(q, &components.Charger) && port == "dc" || kindIs(q, &components.SolarController) && port == "battery" || kindIs(q, &components.DCCharger) && port == "out"
			}
			return r.has(run, components.Pos) && (end(from, run.From.Port) || end(to, run.To.Port))
		})},
	{0, "a generator that leads nowhere", []string{"supply.leads-nowhere"},
		func(r *rig) []string {
			gen, ok := pick(r, r.parts(nil, &components.Generator))
			if !ok || len(r.runsAt(gen.Ref("out"))) != 1 {
				return nil
			}
			run := r.runsAt(gen.Ref("out"))[0]
			changed := run
			changed.Cores = slices.DeleteFunc(slices.Clone(r.doc.CoresOf(run)), func(c components.Core) bool { return c.From.Hot() })
			if !r.do(components.RemoveRun{ID: run.ID}, components.AddRun{Run: changed}) {
				return nil
			}
			return []string{string(gen.ID)}
		}},
	{0, "an array straight on the bank", []string{"solar.no-controller"},
		func(r *rig) []string { return r.arrayOnBank() }},
	{0, "a load that the states leave off", []string{"load.always-off"},
		func(r *rig) []string {
			load, ok := pick(r, r.parts(nil, &components.ACLoad))
			if !ok {
				return nil
			}
			states := slices.Clone(r.doc.Operating())
			for i := range states {
				states[i].Off = append(slices.Clone(states[i].Off), load.ID)
			}
			if !r.do(components.SetStates{States: states}) {
				return nil
			}
			return []string{string(load.ID)}
		}},
	{0, "no plate beside the inlet", []string{"inlet.matches-assembly", "labelling.inlet-and-sources"},
		func(r *rig) []string {
			if r.doc.Basis == components.Caravan {
				return nil
			}
			return setting("plate", word("none"), nil, &components.Inlet)(r)
		}},
}
