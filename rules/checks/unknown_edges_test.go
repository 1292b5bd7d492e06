package checks

import (
	"testing"

	"rigline/components"
)

// A figure that a survey has not read is asked for by the rule that needs it.
func TestUnknownEdges(t *testing.T) {
	rig := func(rule string) string { return "../../testdata/rules/" + rule + ".yaml" }
	const unread = "a survey that has not looked"
	edges(t, rig("inlet.feeder-50a"), "inlet.feeder-50a", []edge{
		{"its size", []components.Edit{unknown("W2", "size")}, "W2", "the size of W2 is not known", true, unread},
	})
	edges(t, rig("conductor.colour-code"), "conductor.colour-code", []edge{
		{"a colour", []components.Edit{unknown("W7", "color")}, "W7", "color of W7 is not known", true, unread},
	})
	edges(t, rig("alternator.dcdc-both-fuses"), "alternator.dcdc-both-fuses", []edge{
		{"the size of the lead", []components.Edit{unknown("W36", "size")}, "W36", "the size of W36 is not known", true, unread},
	})
	tie := components.Spec{"leg": components.Str("L2"), "breaker_a": components.Num(15), "label": components.Str("Galley"), "tied": components.Unknown}
	edges(t, rig("overcurrent.common-trip"), "overcurrent.common-trip", []edge{
		{"a handle tie", []components.Edit{withRows("PNL1", circuitRow("L1", 15, "label", "Fridge"), tie)}, "PNL1.c2", "see whether a pin or a bar ties their handles", true, unread},
	})
	poles := components.Spec{"breaker_a": components.Num(6), "opens_neutral": components.Unknown}
	edges(t, rig("gfci.rcd-230v"), "overcurrent.not-in-neutral", []edge{
		{"the poles of a caravan's breaker", []components.Edit{withRows("PNL1", circuitRow("", 10, "opens_neutral", true), poles, circuitRow("", 10, "opens_neutral", true))}, "PNL1.c2", "opens the neutral too is not told", true, unread},
	})
	third := []components.Edit{
		num("INL1", "rating_a", 30), unknown("LD1", "thermostat"), unknown("LD2", "thermostat"),
		withRows("PNL1", circuitRow("", 15), circuitRow("", 15), circuitRow("", 15)),
		components.AddPart{Part: components.Part{ID: "LD9", Kind: &components.ACLoad, At: components.Point{X: 900, Y: 400}, Spec: components.Spec{"va": components.Num(100), "thermostat": components.Unknown}}},
		components.AddRun{Run: components.Run{ID: "W99", From: port("PNL1.c3"), To: port("LD9.in"), Spec: components.Spec{"size": components.Str("14 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(9)}}},
	}
	edges(t, rig("panel.circuit-count"), "panel.circuit-count", []edge{
		{"which of three run on thermostats", third, "LD1", "thermostat of LD1, LD2, LD9 is not known", true, unread},
	})
	saw := []components.Edit{
		withRows("PNL1", circuitRow("L1", 20), circuitRow("L2", 20), circuitRow("L1", 20), circuitRow("L2", 15), circuitRow("both", 20)),
		components.AddPart{Part: components.Part{ID: "LD9", Kind: &components.ACLoad, At: components.Point{X: 1500, Y: 700}, Spec: components.Spec{"va": components.Num(900), "hots": components.Num(2)}}},
		components.AddRun{Run: components.Run{ID: "W99", From: port("PNL1.c5"), To: port("LD9.in"), Spec: components.Spec{"size": components.Str("12 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(9)}}},
		unknown("INV1", "in_step"), unknown("INV2", "in_step"),
	}
	edges(t, "../../testdata/topologies/t05.yaml", "inverter.leg-topology", []edge{
		{"whether two units keep step", saw, "INV1", "in_step of INV1 is not told", true, unread},
	})
}

// lacksNothing are the rules of which no row lacks a figure, with the reason.
var lacksNothing = map[string]string{
	"supply.step-downs-in-parallel":       "what is not told of the two counts as not made for it",
	"overcurrent.not-bypassed":            "no figure",
	"overcurrent.battery-unfused":         "a device is drawn or it is not; a jumper whose length is not known counts as too long",
	"overcurrent.main-aic-by-cca":         "overcurrent.interrupting-rating asks for the family, the rating and the bank",
	"conductor.copper-stranded-only":      "overcurrent.rating-within-ampacity asks for metal, size and construction",
	"conductor.insulated-for-its-voltage": "the ampacity rules ask for the construction; a strap of no known length counts as long",
	"conductor.small-wire-cap":            "a breaker of no known rating counts as the next one ahead, and overcurrent.rating-above-continuous asks for it",
	"conductor.minimum-gauge":             "overcurrent.rating-within-ampacity asks for size and rating",
	"transfer.poles-match-system":         "neutral.one-bond-per-state asks whether a source is bonded",
	"neutral.bond-relay-follows-transfer": "neutral.one-bond-per-state asks whether a source is bonded",
	"neutral.open-neutral-exposure":       "looks at what is solved; load.demand-within-main asks for what a load takes",
	"panel.leg-balance":                   "load.demand-within-main asks for what a load takes",
	"voltage-drop.critical-3-percent":     "fault.far-end-clears asks for the length, the ampacity rules for the size",
	"voltage-drop.general-10-percent":     "fault.far-end-clears asks for the length, the ampacity rules for the size",
	"energy.recharge-time":                "a wish that is not told is none",
	"energy.solar-harvest-balance":        "the page of the day asks for what it lacks",
	"labelling.panel-directory":           "a name is there or it is not",
	"inverter.charger-not-on-own-output":  "what is for outside power is told or is not",
	"load.240v-needs-split-phase":         "reads how the legs stand to each other, which shapes the parts and cannot be unknown",
	"solar.parallel-strings-alike":        "solar.cold-voc-limit asks for the modules of a string and their voltage",
	"supply.cannot-carry":                 "has no solution to speak of; the figure that is missing is asked for by the rule that uses it",

	// These read how the conductors are drawn and no figure.
	"battery.starting-reserve":      "no figure",
	"disconnect.not-bypassed":       "no figure",
	"conductor.crossed-poles":       "no figure",
	"conductor.loose-end":           "no figure",
	"conductor.dc-return":           "no figure",
	"neutral.returns-to-own-source": "no figure",
	"neutral.one-way-back":          "no figure",
	"neutral.with-its-hot":          "no figure",
	"transfer.never-parallel":       "no figure",
	"transfer.no-live-inlet-pins":   "no figure",
	"bonding.ground-path-unbroken":  "no figure",
	"bonding.ground-with-circuit":   "no figure",
	"bonding.single-chassis-bond":   "no figure",
	"panel.no-source-loop":          "no figure",
	"supply.mains-voltage":          "no figure: what an outlet gives shapes it and is told; an inverter's voltage that is not told is the rule set's",
	"inlet.no-site":                 "no figure",
	"inverter.no-autotransformer":   "no figure",
	"load.never-fed":                "no figure",
	"load.always-off":               "no figure",
	"overcurrent.not-in-parallel":   "no figure",
	"overcurrent.one-side-only":     "no figure",
	"supply.leads-nowhere":          "no figure",
	"supply.unused-leg":             "no figure",
	"shunt.all-negatives-through":   "no figure",
	"shunt.no-bypass-path":          "no figure",
}
