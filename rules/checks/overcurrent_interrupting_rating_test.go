package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

const fuseInAHot = `format: rigline/1
title: "ac fuse"
parts:
  - {id: SH1, kind: shore, at: [100, 80], spec: {service: 30a-120, available_fault_a: 5000}}
  - {id: INL1, kind: inlet, at: [220, 80], spec: {rating_a: 30}}
  - {id: F1, kind: fuse, at: [340, 80], spec: {family: class-t, rating_a: 30, pole: L}}
  - {id: PNL1, kind: panel, at: [680, 100], spec: {bus_a: 30, main_a: 30, legs: 1, circuits: [{breaker_a: 15, label: Fridge}]}}
runs:
  - {id: W1, from: SH1.out, to: INL1.site, size: 10 AWG, cable: cord-shore, length_ft: 25}
  - {id: W2, from: INL1.rig, to: F1.line, cores: [L], size: 10 AWG, cable: tray-90, length_ft: 1}
  - {id: W3, from: F1.load, to: PNL1.main, cores: [L], size: 10 AWG, cable: tray-90, length_ft: 1}
  - {id: W4, from: INL1.rig, to: PNL1.main, cores: [N, G], size: 10 AWG, cable: tray-90, length_ft: 2}
`

// A fuse in a hot is held to the site's fault current like a breaker (NEC 2023
// 110.9): 5000 A at the outlet, less what 27 ft of 10 AWG leaves of it; what it
// breaks is asked for where its label has not been read.
func TestFuseInAHotBreaksTheFault(t *testing.T) {
	for _, c := range []struct {
		breaks components.Value
		want   string // of the rule at F1
	}{
		{components.Value{}, "unchecked"},
		{components.Num(1000), "violation"},
		{components.Num(3200), "violation"},
		{components.Num(3300), "sound"},
	} {
		doc, _, err := projects.Read("fuse.yaml", []byte(fuseInAHot))
		require.NoError(t, err)
		if c.breaks.Told() {
			doc, err = doc.Apply(set("F1", "interrupting_a", c.breaks))
			require.NoError(t, err)
		}
		got := "sound"
		r := check(t, doc)
		for _, f := range append(r.All(), r.Unchecked...) {
			if f.At != "F1" || f.Rule.ID != InterruptingRating.ID {
				continue
			}
			got = strings.ToLower(f.Level.String())
			if f.Unchecked {
				got = "unchecked"
			}
		}
		assert.Equal(t, c.want, got, c.breaks.String())
	}
}

// atBank puts a DC breaker in F1's place, in the positive or the negative.
func atBank(pole string, edits ...components.Edit) []components.Edit {
	lead := func(id components.ID, from, to string, feet float64) components.Edit {
		a, _ := components.ParsePortRef(from)
		b, _ := components.ParsePortRef(to)
		return components.AddRun{Run: components.Run{ID: id, From: a, To: b, Spec: components.Spec{"size": components.Str("2/0 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(feet)}}}
	}
	breaker := components.Part{ID: "CB9", Kind: &components.DCBreaker, At: components.Point{X: 280, Y: 320},
		Spec: components.Spec{"rating_a": components.Num(300), "pole": components.Str(pole)}}
	all := []components.Edit{components.AddPart{Part: breaker}}
	if pole == "-" {
		all = append(all, components.RemoveRun{ID: "W9"}, lead("W9", "BAT1.neg", "CB9.line", 0.5), lead("W92", "CB9.load", "BUS1.bar", 0.5),
			word("F1", "family", "class-t"))
		return append(all, edits...)
	}
	all = append(all, components.RemoveRun{ID: "W7"}, components.RemoveRun{ID: "W90"}, components.RemovePart{ID: "F1"},
		lead("W7", "BAT1.pos", "CB9.line", 0.5), lead("W90", "CB9.load", "SW9.line", 0.5))
	return append(all, edits...)
}

func TestInterruptingEdges(t *testing.T) {
	const bank = "NEC 706.21(C): 13.6 V / (1 mΩ of 200 Ah + 0.5 ft of 2/0, 0.0398 mΩ) = 13079.6 A"
	const site = "NEC 110.9: 120 V behind 5000 A and 31 ft of 10 AWG = 2952 A"
	form := "told of its form at 14.6 V: 5000 A molded, 2000 A surface thermal (fuse_families)"
	rig := "../../testdata/rules/overcurrent.interrupting-rating.yaml"
	edges(t, rig, "overcurrent.interrupting-rating", []edge{
		{"a fuse of its family", nil, "F1", "F1 can break 2700 A", false, "SAE J1888 form, fuse_families"},
		{"a fuse just below", []components.Edit{word("F1", "family", "class-t"), num("F1", "interrupting_a", 13079), num("F1", "volts_dc", 125)}, "F1", "can break 13079 A", false, bank},
		{"a fuse just above", []components.Edit{word("F1", "family", "class-t"), num("F1", "interrupting_a", 13080), num("F1", "volts_dc", 125)}, "F1", "", false, bank},
		{"not much below, and its lead not measured", []components.Edit{word("F1", "family", "class-t"), num("F1", "interrupting_a", 9067), num("F1", "volts_dc", 125), unknown("W7", "length_ft")}, "F1", "the length or size of W7 is not known", true, "2/3 of 13.6 V / 1 mΩ = 9066.7 A"},
		{"far below, whatever its lead is", []components.Edit{word("F1", "family", "class-t"), num("F1", "interrupting_a", 9066), num("F1", "volts_dc", 125), unknown("W7", "length_ft")}, "F1", "can break 9066 A", false, "2/3 of 13.6 V / 1 mΩ = 9066.7 A"},
		{"just below, and another run not measured", []components.Edit{word("F1", "family", "class-t"), num("F1", "interrupting_a", 13079), num("F1", "volts_dc", 125), unknown("W8", "length_ft")}, "F1", "can break 13079 A", false, bank},
		{"the bank not told", []components.Edit{unknown("BAT1", "capacity_ah")}, "F1", "capacity_ah of BAT1 is not known", true, "nothing to compute"},

		{"a DC breaker just below", atBank("+", num("CB9", "interrupting_a", 13079)), "CB9", "can break 13079 A at 14.6 V", false, bank},
		{"a DC breaker just above", atBank("+", num("CB9", "interrupting_a", 13080)), "CB9", "", false, bank},
		{"a DC breaker of no form above every form", atBank("+"), "CB9", "can break 5000 A", false, form},
		{"one form breaks it, another does not", atBank("+", num("BAT1", "fault_a", 5000)), "CB9", "the form and the interrupting rating of CB9", true, form},
		{"the form that does", atBank("+", num("BAT1", "fault_a", 5000), word("CB9", "family", "breaker-molded-dc")), "CB9", "", false, form},
		{"the form that does not", atBank("+", num("BAT1", "fault_a", 5000), word("CB9", "family", "breaker-surface-thermal")), "CB9", "can break 2000 A", false, form},
		{"every form breaks it", atBank("+", num("BAT1", "fault_a", 2000)), "CB9", "", false, form},

		{"a breaker in the negative, just below", atBank("-", word("F1", "family", "anl"), num("CB9", "interrupting_a", 13079)), "CB9", "can break 13079 A", false, "a post that touches metal beyond it: " + bank},
		{"a breaker in the negative, just above", atBank("-", word("F1", "family", "anl"), num("CB9", "interrupting_a", 13080)), "CB9", "", false, bank},
		{"a breaker in the negative behind a limiting fuse", atBank("-", num("CB9", "interrupting_a", 2000)), "CB9", "only the current-limiting F1", false, "no series rating is listed, common practice"},

		{"an AC breaker just below", []components.Edit{num("CB1", "interrupting_a", 2951)}, "CB1", "can break 2951 A, but a short there draws 2952 A", false, site},
		{"an AC breaker just above", []components.Edit{num("CB1", "interrupting_a", 2953)}, "CB1", "", false, site},
		{"an AC breaker at the outlet, at its limit", []components.Edit{num("CB1", "interrupting_a", 5000), num("W1", "length_ft", 0), num("W2", "length_ft", 0)}, "CB1", "", false, "NEC 110.9: 5000 A at the outlet, not above"},
		{"an ordinary one behind 25 kVA of 2 %", []components.Edit{num("SH1", "available_fault_a", 5208), num("W1", "length_ft", 0), num("W2", "length_ft", 0)}, "CB1", "", false, "NEC 110.9: 10 kA > 5208 A"},
		{"a supplementary one behind 25 kVA of 2 %", []components.Edit{num("CB1", "interrupting_a", 5000), num("SH1", "available_fault_a", 5208), num("W1", "length_ft", 0), num("W2", "length_ft", 0)}, "CB1", "a short there draws 5208 A", false, "NEC 110.9: 5 kA < 5208 A"},
		{"the panel's breakers", []components.Edit{num("PNL1", "interrupting_a", 1000)}, "PNL1.main", "a short there draws", false, site + ", less 10 ft more"},
		{"not told", []components.Edit{unknown("CB1", "interrupting_a")}, "CB1", "the interrupting rating of CB1", true, "nothing to compare"},
		{"the site not told", []components.Edit{unknown("SH1", "available_fault_a")}, "SH1", "the fault current at the site", true, "nothing to compare"},
	})
	// 30 kVA at 0.05 per unit is 5000 A at its own terminals; the site gives 400 A.
	strong := []components.Edit{num("SH1", "available_fault_a", 400), num("GEN1", "rating_va", 30000), num("GEN1", "subtransient_pu", 0.05), num("PNL1", "interrupting_a", 1000)}
	edges(t, "../../projects/samples/clinic-trailer.yaml", "overcurrent.interrupting-rating", []edge{
		{"the worst is the generator's", strong, "PNL1.main", "PNL1's main breaker can break 1000 A", false, "NEC 110.9 in every state: machine theory, V / X''"},
		{"a small generator", strong[:1], "PNL1.main", "", false, "400 A < 10 kA"},
	})
}
