package checks_test

import (
	"math/rand/v2"
	"slices"
	"strings"

	"rigline/components"
)

// A mistake is one that people make, as edits that plant it in a sound rig. The
// numbers are the places of a ranking by harm and frequency (common practice, no
// source); 0 stands beside it.
type mistake struct {
	rank int
	name string
	want []string // rules, any of which names it
	// plant changes the rig and gives back where the mistake then is; nil where
	// the rig has no place for it.
	plant func(r *rig) []string
}

// rig is a document that mistakes are planted in.
type rig struct {
	doc *components.Document
	rng *rand.Rand
}

func (r *rig) do(edits ...components.Edit) bool {
	next, err := r.doc.Apply(edits...)
	if err != nil {
		return false
	}
	r.doc = next
	return true
}

// pick is one of the places that serve, in another order each time.
func pick[T any](r *rig, all []T) (T, bool) {
	var none T
	if len(all) == 0 {
		return none, false
	}
	return all[r.rng.IntN(len(all))], true
}

// parts are those of some kinds that pass a test.
func (r *rig) parts(ok func(components.Part) bool, kinds ...*components.Kind) []components.Part {
	var all []components.Part
	for _, p := range r.doc.Parts() {
		if !p.Gone() && slices.Contains(kinds, p.Kind) && (ok == nil || ok(p)) {
			all = append(all, p)
		}
	}
	return all
}

// runs are those that are there and pass a test.
func (r *rig) runs(ok func(run components.Run, from, to components.Part) bool) []components.Run {
	var all []components.Run
	for _, run := range r.doc.Runs() {
		from, _ := r.doc.Part(run.From.Part)
		to, _ := r.doc.Part(run.To.Part)
		if !run.Gone() && from.Kind != nil && to.Kind != nil && ok(run, from, to) {
			all = append(all, run)
		}
	}
	return all
}

func (r *rig) runsAt(ref components.PortRef) []components.Run {
	return r.runs(func(run components.Run, _, _ components.Part) bool { return run.From == ref || run.To == ref })
}

func (r *rig) has(run components.Run, pole components.Pole) bool {
	return slices.ContainsFunc(r.doc.CoresOf(run), func(c components.Core) bool { return c.From == pole || c.To == pole })
}

// set plants a field at a part of a kind that passes a test.
func setting(key string, value func(p components.Part) components.Value, ok func(components.Part) bool, kinds ...*components.Kind) func(*rig) []string {
	return func(r *rig) []string {
		p, found := pick(r, r.parts(ok, kinds...))
		if !found || !r.do(set(p.ID, key, value(p))) {
			return nil
		}
		places := []string{string(p.ID)}
		for _, run := range r.runs(func(run components.Run, _, _ components.Part) bool {
			return run.From.Part == p.ID || run.To.Part == p.ID
		}) {
			places = append(places, string(run.ID))
		}
		return places
	}
}

func always(v components.Value) func(components.Part) components.Value {
	return func(components.Part) components.Value { return v }
}

// times is a number field of the part, so many times as large.
func times(key string, factor float64) func(components.Part) components.Value {
	return func(p components.Part) components.Value {
		return components.Num(p.Figure(key).Value * factor)
	}
}

// row plants a field in a row of a panel.
func row(key string, value func(row components.Spec) (components.Value, bool), kinds ...*components.Kind) func(*rig) []string {
	return func(r *rig) []string {
		type at struct {
			part components.Part
			i    int
		}
		var all []at
		for _, p := range r.parts(nil, kinds...) {
			for i, x := range p.Spec["circuits"].Rows() {
				ref := p.Ref("c" + string(rune('1'+i)))
				if _, fits := value(x); fits && i < 9 && len(r.runsAt(ref)) > 0 {
					all = append(all, at{p, i})
				}
			}
		}
		x, ok := pick(r, all)
		if !ok {
			return nil
		}
		rows := slices.Clone(x.part.Spec["circuits"].Rows())
		v, _ := value(rows[x.i])
		rows[x.i] = rows[x.i].With(key, v)
		if !r.do(set(x.part.ID, "circuits", components.Table(rows...))) {
			return nil
		}
		places := []string{string(x.part.ID)}
		for _, run := range r.runsAt(x.part.Ref("c" + string(rune('1'+x.i)))) {
			places = append(places, string(run.ID))
		}
		return places
	}
}

// thin makes a run thinner.
func thin(size string, ok func(r *rig, run components.Run, from, to components.Part) bool) func(*rig) []string {
	return func(r *rig) []string {
		run, found := pick(r, r.runs(func(run components.Run, from, to components.Part) bool { return ok(r, run, from, to) }))
		as := size
		if drawn, ok := run.Size(""); ok && drawn.Metric() {
			as = "0.5 mm2"
		}
		if !found || !r.do(set(run.ID, "size", components.Str(as))) {
			return nil
		}
		return []string{string(run.ID), string(run.From.Part), string(run.To.Part)}
	}
}

// stretch makes a run longer.
func stretch(feet float64, ok func(r *rig, run components.Run, from, to components.Part) bool) func(*rig) []string {
	return func(r *rig) []string {
		run, found := pick(r, r.runs(func(run components.Run, from, to components.Part) bool { return ok(r, run, from, to) }))
		if !found || !r.do(set(run.ID, "length_ft", components.Num(feet))) {
			return nil
		}
		return []string{string(run.ID), string(run.From.Part), string(run.To.Part)}
	}
}

// cores plants other cores in a run.
func cores(change func(all []components.Core) []components.Core, ok func(r *rig, run components.Run, from, to components.Part) bool) func(*rig) []string {
	return func(r *rig) []string {
		run, found := pick(r, r.runs(func(run components.Run, from, to components.Part) bool { return ok(r, run, from, to) }))
		if !found {
			return nil
		}
		changed := run
		changed.Cores = change(slices.Clone(r.doc.CoresOf(run)))
		if changed.Cores == nil || !r.do(components.RemoveRun{ID: run.ID}, components.AddRun{Run: changed}) {
			return nil
		}
		places := []string{string(run.ID), string(run.From.Part), string(run.To.Part)}
		for _, p := range r.parts(nil, &components.Shore, &components.Generator, &components.Inverter, &components.InverterCharger) {
			places = append(places, string(p.ID)) // where a return is missing, the source is named
		}
		return places
	}
}

func without(pole components.Pole) func([]components.Core) []components.Core {
	return func(all []components.Core) []components.Core {
		return slices.DeleteFunc(all, func(c components.Core) bool { return c.From == pole })
	}
}

// bypass takes a part with two ports out and joins what it stood between.
func bypass(line, load string, ok func(components.Part) bool, kinds ...*components.Kind) func(*rig) []string {
	return func(r *rig) []string {
		p, found := pick(r, r.parts(func(p components.Part) bool {
			return (ok == nil || ok(p)) && len(r.runsAt(p.Ref(line))) == 1 && len(r.runsAt(p.Ref(load))) == 1
		}, kinds...))
		if !found {
			return nil
		}
		in, out := r.runsAt(p.Ref(line))[0], r.runsAt(p.Ref(load))[0]
		far := func(run components.Run, at components.PortRef) components.PortRef {
			if run.From == at {
				return run.To
			}
			return run.From
		}
		joined := in
		joined.From, joined.To, joined.Path = far(in, p.Ref(line)), far(out, p.Ref(load)), nil
		joined.Cores = nil
		if a := r.doc.CoresOf(in); len(a) == 1 {
			joined.Cores = a
		}
		if !r.do(components.RemoveRun{ID: in.ID}, components.RemoveRun{ID: out.ID}, components.RemovePart{ID: p.ID}, components.AddRun{Run: joined}) {
			return nil
		}
		return []string{string(joined.ID), string(joined.From.Part), string(joined.To.Part)}
	}
}

// unplug takes a run away.
func unplug(ok func(r *rig, run components.Run, from, to components.Part) bool) func(*rig) []string {
	return func(r *rig) []string {
		run, found := pick(r, r.runs(func(run components.Run, from, to components.Part) bool { return ok(r, run, from, to) }))
		if !found || !r.do(components.RemoveRun{ID: run.ID}) {
			return nil
		}
		return []string{string(run.ID), string(run.From.Part), string(run.To.Part)}
	}
}

func isLFP(p components.Part) bool { return p.Word("chemistry") == "lfp" }

func atBattery(from, to components.Part, run components.Run) bool {
	return from.Kind == &components.Battery && run.From.Port == "pos" || to.Kind == &components.Battery && run.To.Port == "pos"
}

// onBattery tells whether a part's positive side is a bank's own lead.
func (r *rig) onBattery(p components.Part) bool {
	return len(r.runs(func(run components.Run, from, to components.Part) bool {
		return (run.From.Part == p.ID || run.To.Part == p.ID) && atBattery(from, to, run)
	})) > 0
}

// owners are the parts and runs of addresses.
func owners(addresses []string) []string {
	var all []string
	for _, a := range addresses {
		head, _, _ := strings.Cut(a, ".")
		all = append(all, head)
	}
	return all
}

func set(on components.ID, key string, v components.Value) components.Edit {
	return components.Set{On: on, Key: key, Value: v}
}

// american leaves the 230 V caravan out, whose rules are others.
func american(plant func(*rig) []string) func(*rig) []string {
	return func(r *rig) []string {
		if r.doc.Basis == components.Caravan {
			return nil
		}
		return plant(r)
	}
}
