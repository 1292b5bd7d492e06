package rulestest

import (
	"fmt"
	"path/filepath"
	"slices"

	"rigline/components"
)

// Sixty is a usual rig of sixty parts: the workshop bus with twelve further AC and
// twelve further DC circuits, sound like it. root is the way to the module's folder.
func Sixty(root string) (*components.Document, error) {
	doc, err := read(filepath.Join(root, "projects", "samples", "workshop-bus.yaml"))
	if err != nil {
		return nil, err
	}
	num, str := components.Num, components.Str
	var edits []components.Edit
	more := func(panel components.ID, row components.Spec, load *components.Kind, tag string, spec, run components.Spec) {
		p, _ := doc.Part(panel)
		rows := slices.Clone(p.Spec["circuits"].Rows())
		for k := range 12 {
			rows = append(rows, row)
			id := components.ID(fmt.Sprintf("%s%d", tag, 100+k))
			edits = append(edits,
				components.AddPart{Part: components.Part{ID: id, Kind: load, At: components.Point{X: 1800, Y: 100 + 70*k}, Spec: spec}},
				components.AddRun{Run: components.Run{ID: "W" + id, From: components.PortRef{Part: panel, Port: fmt.Sprintf("c%d", len(rows))}, To: components.PortRef{Part: id, Port: "in"}, Spec: run}})
		}
		edits = append([]components.Edit{components.Set{On: panel, Key: "circuits", Value: components.Table(rows...)}}, edits...)
	}
	more("PNL1", components.Spec{"leg": str("L1"), "breaker_a": num(15), "label": str("Lamps")}, &components.ACLoad, "LD",
		components.Spec{"va": num(20)}, components.Spec{"size": str("14 AWG"), "cable": str("tray-90"), "length_ft": num(20)})
	more("DCP1", components.Spec{"fuse_a": num(5), "label": str("Lamps")}, &components.DCLoad, "DL",
		components.Spec{"a": num(0.3)}, components.Spec{"size": str("14 AWG"), "cable": str("duplex-105"), "length_ft": num(10)})
	return doc.Apply(edits...)
}

// Fleet is a rig of n parts and more: a 50 A site, an inverter/charger, panels of 40
// circuits with a load on each, fuse blocks of 20 circuits with a load on each, and
// two batteries.
func Fleet(n int) (*components.Document, error) {
	doc := components.NewDocument("Many")
	var edits []components.Edit
	num, str := components.Num, components.Str
	add := func(id string, kind *components.Kind, spec components.Spec) {
		k := len(edits)
		at := components.Point{X: 200 + k%60*160, Y: 200 + k/60*200}
		edits = append(edits, components.AddPart{Part: components.Part{ID: components.ID(id), Kind: kind, At: at, Spec: spec}})
	}
	wires := 0
	run := func(from, to, size, cable string, feet float64, cores ...components.Core) {
		a, _ := components.ParsePortRef(from)
		b, _ := components.ParsePortRef(to)
		wires++
		edits = append(edits, components.AddRun{Run: components.Run{ID: components.ID(fmt.Sprintf("W%d", wires)), From: a, To: b, Cores: cores,
			Spec: components.Spec{"size": str(size), "cable": str(cable), "length_ft": num(feet)}}})
	}
	pos, neg := components.Core{From: components.Pos, To: components.Pos}, components.Core{From: components.Neg, To: components.Neg}
	add("SH1", &components.Shore, components.Spec{"service": str("50a-120/240")})
	add("INV1", &components.InverterCharger, components.Spec{"continuous_va": num(6000), "surge_va": num(12000), "inverts": str("both-split"), "passes": str("both"), "relay_a": num(50), "charge_a": num(60), "dc_v": num(51.2), "idle_w": num(40)})
	run("SH1.out", "INV1.ac-in", "6 AWG", "cord-soow", 20)
	add("BUS1", &components.Busbar, components.Spec{"rating_a": num(600)})
	add("BUS2", &components.Busbar, components.Spec{"rating_a": num(600), "pole": str("-")})
	for i := 1; i <= 2; i++ {
		add(fmt.Sprintf("BAT%d", i), &components.Battery, components.Spec{"chemistry": str("lfp"), "nominal_v": num(51.2), "capacity_ah": num(200), "discharge_a": num(200), "charge_a": num(100)})
		add(fmt.Sprintf("F%d", i), &components.Fuse, components.Spec{"family": str("class-t"), "rating_a": num(200)})
		run(fmt.Sprintf("BAT%d.pos", i), fmt.Sprintf("F%d.line", i), "4/0 AWG", "battery-105", 1)
		run(fmt.Sprintf("F%d.load", i), "BUS1.bar", "4/0 AWG", "battery-105", 1)
		run(fmt.Sprintf("BAT%d.neg", i), "BUS2.bar", "4/0 AWG", "battery-105", 2)
	}
	run("BUS1.bar", "INV1.dc", "4/0 AWG", "battery-105", 4, pos)
	run("BUS2.bar", "INV1.dc", "4/0 AWG", "battery-105", 4, neg)
	parts, panel, block := 8, 0, 0
	for parts < n {
		panel++
		id := fmt.Sprintf("PNL%d", panel)
		var rows []components.Spec
		for k := range 40 {
			rows = append(rows, components.Spec{"leg": str([]string{"L1", "L2"}[k%2]), "breaker_a": num(15), "label": str(fmt.Sprintf("Circuit %d", k+1))})
		}
		add(id, &components.Panel, components.Spec{"bus_a": num(100), "circuits": components.Table(rows...)})
		run("INV1.ac-out", id+".main", "6 AWG", "tray-90", 5)
		for k := range 40 {
			load := fmt.Sprintf("LD%d", 100*panel+k)
			add(load, &components.ACLoad, components.Spec{"va": num(float64(5 + k))})
			run(fmt.Sprintf("%s.c%d", id, k+1), load+".in", "14 AWG", "nm-b", float64(5+k))
		}
		block++
		id = fmt.Sprintf("DCP%d", block)
		rows = nil
		for range 20 {
			rows = append(rows, components.Spec{"fuse_a": num(5)})
		}
		add(id, &components.DCPanel, components.Spec{"bus_a": num(100), "circuits": components.Table(rows...)})
		run("BUS1.bar", id+".feed", "6 AWG", "battery-105", 3, pos)
		for k := range 20 {
			load := fmt.Sprintf("DL%d", 100*block+k)
			add(load, &components.DCLoad, components.Spec{"a": num(0.2)})
			run(fmt.Sprintf("%s.c%d", id, k+1), load+".in", "14 AWG", "primary-105", 8, pos)
			run("BUS2.bar", load+".in", "14 AWG", "primary-105", 8, neg)
		}
		parts += 62
	}
	return doc.Apply(edits...)
}
