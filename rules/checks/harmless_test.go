package checks_test

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// harmless are changes that take nothing away from a sound rig. A change gives nil where a
// rig has no place for it.
var harmless = []struct {
	name   string
	change func(r *rig) []components.Edit
}{
	{"every run drawn from its other end", func(r *rig) (edits []components.Edit) {
		for _, run := range r.doc.Runs() {
			e := run.Rerouted()
			e.From, e.To, e.Cores = run.To, run.From, nil
			for _, c := range r.doc.CoresOf(run) {
				e.Cores = append(e.Cores, components.Core{From: c.To, To: c.From})
			}
			slices.Reverse(e.Path)
			e.Path = slices.Clone(e.Path)
			edits = append(edits, e)
		}
		return edits
	}},
	{"every part renamed, the last first", func(r *rig) (edits []components.Edit) {
		for n, p := range r.doc.Parts() {
			edits = append(edits, components.RenamePart{ID: p.ID, To: components.ID(fmt.Sprintf("%s%d", strings.TrimRight(string(p.ID), "0123456789"), 999-n))})
		}
		return edits
	}},
	{"everything moved", func(r *rig) (edits []components.Edit) {
		for _, p := range r.doc.Parts() {
			edits = append(edits, components.MovePart{ID: p.ID, At: p.At.Add(components.Point{X: 500, Y: 300})})
		}
		return edits
	}},
	{"higher ratings of what only carries", func(r *rig) (edits []components.Edit) {
		for _, p := range r.doc.Parts() {
			for _, key := range []string{"bus_a", "volts_dc", "interrupting_a", "surge_a", "max_pv_v"} {
				if f := p.Figure(key); f.Known() && p.Spec[key].Told() {
					edits = append(edits, set(p.ID, key, components.Num(min(f.Value*1.5, 225))))
				}
			}
			if kindIs(p, &components.Busbar, &components.DCSwitch, &components.Shunt) {
				edits = append(edits, set(p.ID, "rating_a", components.Num(p.Figure("rating_a").Value*1.5)))
			}
		}
		return slices.DeleteFunc(edits, func(e components.Edit) bool {
			s := e.(components.Set)
			p, _ := r.doc.Part(s.On)
			return s.Value.Num() < p.Figure(s.Key).Value
		})
	}},
	{"cooler air", func(r *rig) (edits []components.Edit) {
		for _, run := range r.doc.Runs() {
			if f := run.Figure("ambient_c"); f.Known() && f.Value > 30 {
				edits = append(edits, set(run.ID, "ambient_c", components.Num(f.Value-10)))
			}
		}
		return edits
	}},
	{"branches a size thicker, with their grounds", func(r *rig) (edits []components.Edit) {
		next := map[string]string{"14 AWG": "12 AWG", "12 AWG": "10 AWG", "10 AWG": "8 AWG", "8 AWG": "6 AWG"}
		for _, run := range r.runs(func(_ components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Panel, &components.DCPanel) && to.Kind.Role == components.Uses
		}) {
			if size := next[run.Spec["size"].Str()]; size != "" {
				edits = append(edits, set(run.ID, "size", components.Str(size)))
			}
		}
		return edits
	}},
	{"branches a third shorter", func(r *rig) (edits []components.Edit) {
		for _, run := range r.runs(func(_ components.Run, from, to components.Part) bool {
			return kindIs(from, &components.Panel, &components.DCPanel) && to.Kind.Role == components.Uses
		}) {
			if f := run.Figure("length_ft"); f.Known() {
				edits = append(edits, set(run.ID, "length_ft", components.Num(f.Value*2/3)))
			}
		}
		return edits
	}},
	{"smaller loads", func(r *rig) (edits []components.Edit) {
		for _, p := range r.parts(nil, &components.ACLoad, &components.DCLoad) {
			for _, key := range []string{"va", "a", "start_va", "surge_a"} {
				if f := p.Figure(key); f.Known() {
					edits = append(edits, set(p.ID, key, components.Num(f.Value*0.7)))
				}
			}
		}
		return edits
	}},
	{"a spare breaker and a spare fuse", func(r *rig) (edits []components.Edit) {
		for _, p := range r.parts(nil, &components.Panel, &components.DCPanel) {
			row := components.Spec{"breaker_a": components.Num(15), "label": components.Str("Spare")}
			if p.Kind == &components.DCPanel {
				row = components.Spec{"fuse_a": components.Num(5), "label": components.Str("Spare")}
			} else if r.twoLegsAt(p, "main") {
				row["leg"] = components.Str("L2")
			}
			edits = append(edits, set(p.ID, "circuits", components.Table(append(slices.Clone(p.Spec["circuits"].Rows()), row)...)))
		}
		return edits
	}},
	{"a small lamp more", func(r *rig) (edits []components.Edit) {
		for n, p := range r.parts(nil, &components.DCPanel) {
			rows := append(slices.Clone(p.Spec["circuits"].Rows()), components.Spec{"fuse_a": components.Num(5), "label": components.Str("Lamp")})
			id := components.ID(fmt.Sprintf("DL%d", 970+n))
			like := r.runs(func(_ components.Run, from, to components.Part) bool {
				return from.ID == p.ID && kindIs(to, &components.DCLoad)
			})
			if len(like) == 0 {
				continue
			}
			first, _ := r.doc.Part(like[0].To.Part)
			run := components.Run{ID: "W" + id, From: p.Ref(fmt.Sprintf("c%d", len(rows))), To: components.PortRef{Part: id, Port: "in"}, Spec: like[0].Spec}
			edits = append(edits, set(p.ID, "circuits", components.Table(rows...)),
				components.AddPart{Part: components.Part{ID: id, Kind: &components.DCLoad, At: components.Point{X: 2400, Y: 200 + 80*n}, Spec: first.Spec.With("a", components.Num(0.2)).With("surge_a", components.Value{})}},
				components.AddRun{Run: run})
		}
		return edits
	}},
	{"a second small appliance beside each", func(r *rig) (edits []components.Edit) {
		for n, p := range r.parts(func(p components.Part) bool { return p.Figure("hots").Value == 1 && len(r.runsAt(p.Ref("in"))) == 1 }, &components.ACLoad) {
			run := r.runsAt(p.Ref("in"))[0]
			twin := p
			twin.ID, twin.At = components.ID(fmt.Sprintf("LD%d", 970+n)), components.Point{X: 2400, Y: 200 + 80*n}
			twin.Spec = p.Spec.With("va", components.Num(5)).With("start_va", components.Value{})
			branch := run
			branch.ID, branch.Path = "W"+twin.ID, nil
			if branch.From == p.Ref("in") {
				branch.From = twin.Ref("in")
			} else {
				branch.To = twin.Ref("in")
			}
			edits = append(edits, components.AddPart{Part: twin}, components.AddRun{Run: branch})
		}
		return edits
	}},
}

// Nothing that only moves, adds room or takes load away makes a sound rig speak.
func TestHarmlessChanges(t *testing.T) {
	for _, s := range soundRigs(t) {
		before := check(t, s.doc)
		for _, h := range harmless {
			edits := h.change(&rig{doc: s.doc})
			if len(edits) == 0 {
				continue
			}
			t.Run(s.name+"/"+h.name, func(t *testing.T) {
				next, err := s.doc.Apply(edits...)
				require.NoError(t, err)
				after := check(t, next)
				for _, f := range after.All() {
					assert.Less(t, f.Level, rules.Violation, "%s at %s: %s", f.Rule.ID, f.At, f.Message)
				}
				if strings.HasPrefix(h.name, "every") {
					assert.Equal(t, before.Counts(), after.Counts(), "%s", strings.Join(reported(after), "\n"))
				}
			})
		}
	}
}

// What a rig with a mistake in it is told does not hang on the end that a run was drawn
// from, nor on the tags.
func TestDrawnOtherwiseAlike(t *testing.T) {
	files, err := filepath.Glob("../../testdata/rules/*.yaml")
	require.NoError(t, err)
	for _, path := range files {
		if strings.HasSuffix(path, ".fixed.yaml") {
			continue
		}
		doc := load(t, path)
		before := check(t, doc)
		for _, h := range harmless[:2] {
			t.Run(filepath.Base(path)+"/"+h.name, func(t *testing.T) {
				next, err := doc.Apply(h.change(&rig{doc: doc})...)
				require.NoError(t, err)
				after := check(t, next)
				assert.Equal(t, before.Counts(), after.Counts(), "%s\n\nand were\n%s", strings.Join(reported(after), "\n"), strings.Join(reported(before), "\n"))
				if strings.HasPrefix(h.name, "every run") {
					assert.Equal(t, reported(before), reported(after))
				}
			})
		}
	}
}

// reported is what a report tells, by rule, level and place.
func reported(r *rules.Report) []string {
	var all []string
	for _, f := range append(r.All(), r.Unchecked...) {
		all = append(all, fmt.Sprintf("%s %s %s", f.Rule.ID, f.Level, f.At))
	}
	slices.Sort(all)
	return all
}
