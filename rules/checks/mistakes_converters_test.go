package checks_test

import (
	"slices"

	"rigline/components"
)

// converterMistakes join outputs that are to stay apart, and put an appliance on a voltage
// that it is not made for.
var converterMistakes = []mistake{
	{0, "a second inverter on the same leg", []string{"transfer.never-parallel"},
		func(r *rig) []string {
			inv, ok := pick(r, r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref("ac-out"))) > 0 }, &components.Inverter, &components.InverterCharger))
			if !ok {
				return nil
			}
			second := components.Part{ID: "INV970", Kind: &components.Inverter, At: components.Point{X: 2400, Y: 2400}, Spec: components.Spec{"continuous_va": inv.Spec["continuous_va"], "dc_v": inv.Spec["dc_v"], "inverts": components.Str(inv.Word("inverts")), "ac_v": components.Num(inv.Figure("ac_v").Value)}}
			if !r.do(components.AddPart{Part: second}) || !r.twin(inv.Ref("dc"), second.Ref("dc"), "W970") || !r.twin(inv.Ref("ac-out"), second.Ref("ac-out"), "W971") {
				return nil
			}
			return []string{string(inv.ID), "INV970"}
		}},
	{0, "a second step-down on the same output", []string{"supply.step-downs-in-parallel"},
		func(r *rig) []string {
			sd, ok := pick(r, r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref("out"))) > 0 }, &components.DCConverter))
			if !ok {
				return nil
			}
			second := sd
			second.ID, second.At = "SD970", components.Point{X: 2400, Y: 2400}
			if !r.do(components.AddPart{Part: second}) || !r.twin(sd.Ref("in"), second.Ref("in"), "W970") || !r.twin(sd.Ref("out"), second.Ref("out"), "W971") {
				return nil
			}
			return []string{string(sd.ID), "SD970"}
		}},
	{0, "two outlets on one cord by a Y", []string{"transfer.never-parallel"},
		func(r *rig) []string {
			site, ok := pick(r, r.parts(func(p components.Part) bool { return len(r.runsAt(p.Ref("out"))) == 1 }, &components.Shore))
			if !ok {
				return nil
			}
			cord := r.runsAt(site.Ref("out"))[0]
			second := site
			second.ID, second.At = "SH970", components.Point{X: 2400, Y: 2400}
			y := components.Part{ID: "J970", Kind: &components.Splice, At: components.Point{X: 2500, Y: 2400}}
			moved := cord.Rerouted()
			moved.Path, moved.Cores = nil, slices.Clone(r.doc.CoresOf(cord))
			if moved.From == site.Ref("out") {
				moved.From = y.Ref("b")
			} else {
				moved.To = y.Ref("b")
			}
			if !r.do(components.AddPart{Part: second}, components.AddPart{Part: y}, moved) {
				return nil
			}
			for i, from := range []components.PortRef{site.Ref("out"), second.Ref("out")} {
				if !r.do(components.AddRun{Run: components.Run{ID: components.ID("W97" + string(rune('0'+i))), From: from, To: y.Ref("a"), Cores: slices.Clone(r.doc.CoresOf(cord)), Spec: cord.Spec}}) {
					return nil
				}
			}
			return []string{string(site.ID), "SH970"}
		}},
	{0, "an appliance for 208 V across 240 V", []string{"load.rated-voltage"},
		setting("rated_v", figure(208), func(p components.Part) bool { return acrossLegs(p) && !p.Figure("rated_high_v").Known() }, &components.ACLoad)},
	{0, "an appliance for 240 V on a three-phase site", []string{"load.rated-voltage"},
		func(r *rig) []string {
			site, ok := pick(r, r.parts(func(p components.Part) bool { return p.Word("service") == "50a-120/240" }, &components.Shore))
			if !ok || !r.do(set(site.ID, "service", components.Str("50a-120/208")), components.SetStates{}) {
				return nil
			}
			return setting("rated_v", figure(240), acrossLegs, &components.ACLoad)(r)
		}},
}

func acrossLegs(p components.Part) bool {
	return p.Figure("hots").Value == 2
}

// twin joins a second part to where the runs of the first's port lead.
func (r *rig) twin(first, second components.PortRef, id components.ID) bool {
	runs := r.runsAt(first)
	for i, run := range runs {
		beside := run
		beside.ID, beside.Path, beside.Cores = id+components.ID(rune('0'+i)), nil, slices.Clone(r.doc.CoresOf(run))
		if beside.From == first {
			beside.From = second
		} else {
			beside.To = second
		}
		if !r.do(components.AddRun{Run: beside}) {
			return false
		}
	}
	return len(runs) > 0
}
