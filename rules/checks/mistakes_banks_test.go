package checks_test

import (
	"slices"

	"rigline/components"
	"rigline/rules/circuit"
)

// bankMistakes are made between banks, and between a bank and what charges it: the wrong
// way round, the wrong battery, the wrong voltage.
var bankMistakes = []mistake{
	{0, "a DC-DC charger turned round", []string{"alternator.dcdc-direction"},
		func(r *rig) []string {
			q, ok := pick(r, r.parts(func(p components.Part) bool {
				return p.Figure("output_a").Value > 10 && r.onNetOf(p.Ref("in"), &components.Alternator) && len(r.parts(nil, &components.DCCharger)) == 1 && !r.joins(p.Ref("in"), p.Ref("out"))
			}, &components.DCCharger))
			if !ok {
				return nil
			}
			in, out := r.runsAt(q.Ref("in")), r.runsAt(q.Ref("out"))
			for _, run := range in {
				r.moveCores(run, q.Ref("in"), q.Ref("out"))
			}
			for _, run := range out {
				r.moveCores(run, q.Ref("out"), q.Ref("in"))
			}
			return []string{string(q.ID)}
		}},
	{0, "a breaker with a marked polarity where the bank is charged", []string{"overcurrent.dc-polarity-and-type"},
		func(r *rig) []string {
			charges := func(q components.Part) bool {
				return kindIs(q, &components.SolarController, &components.Charger) || kindIs(q, &components.DCCharger)
			}
			fuse, ok := pick(r, r.parts(func(p components.Part) bool {
				line, load := r.runsAt(p.Ref("line")), r.runsAt(p.Ref("load"))
				if len(line) != 1 || len(load) != 1 || !r.onNetOf(p.Ref("line"), &components.Battery) {
					return false
				}
				for _, end := range []components.PortRef{line[0].Other(p.Ref("line")), load[0].Other(p.Ref("load"))} {
					if q, _ := r.doc.Part(end.Part); charges(q) && slices.Contains([]string{"battery", "dc", "out"}, end.Port) {
						return true
					}
				}
				return false
			}, &components.Fuse))
			if !ok {
				return nil
			}
			return r.exchange(fuse, &components.DCBreaker, components.Spec{"family": components.Str("breaker-din-polarised"), "polarised": components.Yes(true), "volts_dc": components.Num(125), "interrupting_a": components.Num(20000)})
		}},
	{0, "a wire past the main switch", []string{"disconnect.not-bypassed"},
		func(r *rig) []string {
			sw, ok := pick(r, r.parts(func(p components.Part) bool {
				line, load := r.runsAt(p.Ref("line")), r.runsAt(p.Ref("load"))
				return len(line) > 0 && len(load) > 0 && p.Word("pole") != "-"
			}, &components.DCSwitch))
			if !ok {
				return nil
			}
			if !r.wire("W970", r.runsAt(sw.Ref("line"))[0].Other(sw.Ref("line")), r.runsAt(sw.Ref("load"))[0].Other(sw.Ref("load")), components.Pos) {
				return nil
			}
			return []string{string(sw.ID)}
		}},
	{0, "a wire past a fuse", []string{"overcurrent.not-bypassed"},
		func(r *rig) []string {
			f, ok := pick(r, r.parts(func(p components.Part) bool {
				return len(r.runsAt(p.Ref("line"))) == 1 && len(r.runsAt(p.Ref("load"))) == 1
			}, &components.Fuse))
			if !ok {
				return nil
			}
			if !r.wire("W970", r.runsAt(f.Ref("line"))[0].Other(f.Ref("line")), r.runsAt(f.Ref("load"))[0].Other(f.Ref("load")), components.Pos) {
				return nil
			}
			return []string{string(f.ID)}
		}},
	{0, "a house load on the starting battery", []string{"battery.starting-reserve"},
		func(r *rig) []string {
			start, ok := pick(r, r.parts(func(p components.Part) bool { return p.Word("role") == "starting" }, &components.Battery))
			house := r.parts(func(p components.Part) bool { return p.Word("role") != "starting" }, &components.Battery)
			if !ok || len(house) == 0 {
				return nil
			}
			load := components.Part{ID: "DL970", Kind: &components.DCLoad, At: components.Point{X: 2400, Y: 2400}, Spec: components.Spec{"a": components.Num(5), "hours_per_day": components.Num(8)}}
			if !r.do(components.AddPart{Part: load}) || !r.wire("W970", start.Ref("pos"), load.Ref("in"), components.Pos) || !r.wire("W971", start.Ref("neg"), load.Ref("in"), components.Neg) {
				return nil
			}
			return []string{string(start.ID)}
		}},
	{0, "strings of unlike length on one controller", []string{"solar.parallel-strings-alike"},
		func(r *rig) []string {
			pv, ok := pick(r, r.parts(func(p components.Part) bool {
				return len(r.runsAt(p.Ref("out"))) > 0 && r.onNetOf(p.Ref("out"), &components.SolarController)
			}, &components.SolarArray))
			if !ok {
				return nil
			}
			more := pv
			more.ID, more.At = "PV970", components.Point{X: 2400, Y: 2400}
			more.Spec = pv.Spec.With("series", components.Num(pv.Figure("series").Value+1)).With("parallel", components.Num(1))
			if !r.do(components.AddPart{Part: more}) {
				return nil
			}
			for i, run := range r.runsAt(pv.Ref("out")) {
				beside := run
				beside.ID, beside.Path, beside.Cores = components.ID("W97"+string(rune('0'+i))), nil, slices.Clone(r.doc.CoresOf(run))
				if beside.From == pv.Ref("out") {
					beside.From = more.Ref("out")
				} else {
					beside.To = more.Ref("out")
				}
				if !r.do(components.AddRun{Run: beside}) {
					return nil
				}
			}
			return []string{"PV970", string(pv.ID)}
		}},
	{0, "a charge source for twice the voltage", []string{"battery.voltage-class"},
		func(r *rig) []string {
			keys := map[*components.Kind]string{&components.Charger: "dc_v", &components.InverterCharger: "dc_v", &components.DCCharger: "out_v", &components.Alternator: "volts"}
			q, ok := pick(r, r.parts(func(p components.Part) bool {
				return p.Figure(keys[p.Kind]).Value < 30 && len(r.runsOf(p.ID)) > 0
			}, &components.Charger, &components.InverterCharger, &components.DCCharger, &components.Alternator))
			if !ok || !r.do(set(q.ID, keys[q.Kind], components.Num(2*q.Figure(keys[q.Kind]).Value))) {
				return nil
			}
			return []string{string(q.ID)}
		}},
	{0, "a step-down's output on its own bank", []string{"battery.voltage-class"},
		func(r *rig) []string {
			sd, ok := pick(r, r.parts(func(p components.Part) bool { return r.onNetOf(p.Ref("in"), &components.Battery) }, &components.DCConverter))
			if !ok {
				return nil
			}
			for _, run := range r.runsAt(sd.Ref("in")) {
				if r.has(run, components.Pos) && r.wire("W970", sd.Ref("out"), run.Other(sd.Ref("in")), components.Pos) {
					return []string{string(sd.ID)}
				}
			}
			return nil
		}},
}

// onNetOf tells whether the positive of a port meets a part of a kind over closed contacts.
func (r *rig) onNetOf(at components.PortRef, kind *components.Kind) bool {
	c := circuit.Build(r.doc, r.doc.Operating()[0])
	t, ok := c.Term(at.At(components.Pos))
	if !ok {
		return false
	}
	for _, p := range r.parts(nil, kind) {
		for _, port := range p.PortNames() {
			if o, ok := c.At(p.ID, port, components.Pos); ok && c.Net(o) == c.Net(t) {
				return true
			}
		}
	}
	return false
}

// joins tells whether a run leads from one port to another.
func (r *rig) joins(a, b components.PortRef) bool {
	return slices.ContainsFunc(r.runsAt(a), func(run components.Run) bool { return run.Other(a) == b })
}

// moveCores moves the end of a run, and keeps which poles it joins.
func (r *rig) moveCores(run components.Run, from, to components.PortRef) bool {
	run.Cores = slices.Clone(r.doc.CoresOf(run))
	return r.move(run, from, to)
}

// wire adds a run of one pole.
func (r *rig) wire(id components.ID, from, to components.PortRef, pole components.Pole) bool {
	return r.do(components.AddRun{Run: components.Run{ID: id, From: from, To: to, Cores: []components.Core{{From: pole, To: pole}},
		Spec: components.Spec{"size": components.Str("10 AWG"), "cable": components.Str("battery-105"), "length_ft": components.Num(4)}}})
}

func (r *rig) runsOf(id components.ID) []components.Run {
	return r.runs(func(run components.Run, _, _ components.Part) bool { return run.From.Part == id || run.To.Part == id })
}
