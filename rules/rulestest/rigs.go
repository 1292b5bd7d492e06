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

// Fleet is a rig of n parts and more: a 50 A site, an inverter/charger and two
// batteries, and as often as it takes a panel of twelve circuits and a fuse block of
// eight, each with its loads beside it, in rows of eight blocks.
func Fleet(n int) (*components.Document, error) {
	doc := components.NewDocument("Many")
	var edits []components.Edit
	num, str := components.Num, components.Str
	add := func(id string, kind *components.Kind, x, y int, spec components.Spec) {
		edits = append(edits, components.AddPart{Part: components.Part{ID: components.ID(id), Kind: kind, At: components.Point{X: x, Y: y}, Spec: spec}})
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
	add("SH1", &components.Shore, 200, 200, components.Spec{"service": str("50a-120/240")})
	add("INV1", &components.InverterCharger, 400, 220, components.Spec{"continuous_va": num(6000), "surge_va": num(12000), "inverts": str("both-split"), "passes": str("both"), "relay_a": num(50), "charge_a": num(60), "dc_v": num(51.2), "idle_w": num(40)})
	run("SH1.out", "INV1.ac-in", "6 AWG", "cord-soow", 20)
	add("BUS1", &components.Busbar, 600, 500, components.Spec{"rating_a": num(600)})
	add("BUS2", &components.Busbar, 600, 700, components.Spec{"rating_a": num(600), "pole": str("-")})
	for i := 1; i <= 2; i++ {
		add(fmt.Sprintf("BAT%d", i), &components.Battery, 200, 300+200*i, components.Spec{"chemistry": str("lfp"), "nominal_v": num(51.2), "capacity_ah": num(200), "discharge_a": num(200), "charge_a": num(100)})
		add(fmt.Sprintf("F%d", i), &components.Fuse, 380, 260+200*i, components.Spec{"family": str("class-t"), "rating_a": num(200)})
		run(fmt.Sprintf("BAT%d.pos", i), fmt.Sprintf("F%d.line", i), "4/0 AWG", "battery-105", 1)
		run(fmt.Sprintf("F%d.load", i), "BUS1.bar", "4/0 AWG", "battery-105", 1)
		run(fmt.Sprintf("BAT%d.neg", i), "BUS2.bar", "4/0 AWG", "battery-105", 2)
	}
	run("BUS1.bar", "INV1.dc", "4/0 AWG", "battery-105", 4, pos)
	run("BUS2.bar", "INV1.dc", "4/0 AWG", "battery-105", 4, neg)
	add("CH1", &components.Chassis, 600, 1200, nil)
	ground := components.Core{From: components.G, To: components.G}
	run("INV1.case", "CH1.stud", "4/0 AWG", "battery-105", 3)
	for block, parts := 0, 9; parts < n; block, parts = block+1, parts+23 {
		x, y := 900+block%8*900, 400+block/8*1900
		panel := fmt.Sprintf("PNL%d", block+1)
		var rows []components.Spec
		for k := range 12 {
			rows = append(rows, components.Spec{"leg": str([]string{"L1", "L2"}[k%2]), "breaker_a": num(15), "label": str(fmt.Sprintf("Circuit %d", k+1))})
		}
		add(panel, &components.Panel, x, y, components.Spec{"bus_a": num(100), "circuits": components.Table(rows...)})
		run("INV1.ac-out", panel+".main", "6 AWG", "tray-90", 5)
		if block == 0 { // the others' grounds come back to it
			run(panel+".main", "CH1.stud", "6 AWG", "battery-105", 5, ground)
		}
		for k := range 12 {
			load := fmt.Sprintf("LD%d", 100*(block+1)+k)
			add(load, &components.ACLoad, x+400, y-440+80*k, components.Spec{"va": num(float64(1 + k))})
			run(fmt.Sprintf("%s.c%d", panel, k+1), load+".in", "14 AWG", "nm-b", float64(5+k))
		}
		fuses := fmt.Sprintf("DCP%d", block+1)
		rows = nil
		for range 8 {
			rows = append(rows, components.Spec{"fuse_a": num(5)})
		}
		add(fuses, &components.DCPanel, x, y+900, components.Spec{"bus_a": num(100), "circuits": components.Table(rows...)})
		own := fmt.Sprintf("F%d", block+3)
		add(own, &components.Fuse, x-140, y+760, components.Spec{"family": str("class-t"), "rating_a": num(60)})
		run("BUS1.bar", own+".line", "6 AWG", "battery-105", 0.5)
		run(own+".load", fuses+".feed", "6 AWG", "battery-105", 3)
		run("BUS2.bar", fuses+".feed", "6 AWG", "battery-105", 3, neg)
		for k := range 8 {
			load := fmt.Sprintf("DL%d", 100*(block+1)+k)
			add(load, &components.DCLoad, x+400, y+620+80*k, components.Spec{"a": num(0.1)})
			run(fmt.Sprintf("%s.c%d", fuses, k+1), load+".in", "14 AWG", "duplex-105", 8)
		}
	}
	return doc.Apply(edits...)
}
