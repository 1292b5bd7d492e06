package rules

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// A rule that had nothing to say is asked again when something that it read has
// changed, and not before; one that speaks is asked every time.
func TestRuleIsAskedAgain(t *testing.T) {
	type looks func(p *Pass)
	fuse := func(p *Pass) components.Part { f, _ := p.Doc.Part("F1"); return f }
	run := func(p *Pass) components.Run { r, _ := p.Doc.Run("W1"); return r }
	link := func(p *Pass) int {
		for i := range p.Circuit.LinksOf("W2") {
			return i
		}
		t.Fatal("no W2")
		return 0
	}
	type asks map[string]bool // by edit, whether the rule is asked again
	edits := map[string]components.Edit{
		"length":   components.Set{On: "W1", Key: "length_ft", Value: components.Num(2)},
		"size":     components.Set{On: "W1", Key: "size", Value: components.Str("2 AWG")},
		"rating":   components.Set{On: "F1", Key: "rating_a", Value: components.Num(150)},
		"family":   components.Set{On: "F1", Key: "family", Value: components.Str("anl")},
		"capacity": components.Set{On: "BAT1", Key: "capacity_ah", Value: components.Num(200)},
		"volts":    components.Set{On: "BAT1", Key: "nominal_v", Value: components.Num(25.6)},
		"place":    components.MovePart{ID: "F1", At: components.Point{X: 200}},
		"name":     components.Describe{ID: "F1", Name: "Main fuse"},
		"run out":  components.RemoveRun{ID: "W3"},
		"state":    components.SetStates{States: []components.State{{Name: "Off grid", SoC: 0.6}}},
	}
	always := asks{"volts": true, "name": true, "run out": true, "state": true} // what settles, and more than figures
	for _, of := range []struct {
		what  string
		looks looks
		again asks
	}{
		{"nothing", func(*Pass) {}, asks{}},
		{"how it is wired", func(p *Pass) { p.Circuit.Net(p.Circuit.Links[0].A) }, asks{}},
		{"a run's length", func(p *Pass) { run(p).Figure("length_ft") }, asks{"length": true}},
		{"what is told of a run", func(p *Pass) { run(p).Told("size") }, asks{"size": true}},
		{"a run's size", func(p *Pass) { run(p).Size(components.Pos) }, asks{"size": true}},
		{"a fuse's family", func(p *Pass) { fuse(p).Word("family") }, asks{"family": true}},
		{"what stands ahead", func(p *Pass) { p.Feeds() }, asks{"rating": true}},
		{"the device of a link", func(p *Pass) {
			for i := range p.Circuit.LinksIn("F1") {
				p.Circuit.Device(p.Circuit.Links[i])
			}
		}, asks{"rating": true}},
		{"the solution", func(p *Pass) { p.Solution().Amps(link(p)) }, asks{"length": true, "size": true, "capacity": true}},
		{"another state", func(p *Pass) { p.All()[0].Circuit.State.Key() }, asks{}},
		{"what stands ahead in another state", func(p *Pass) { p.All()[0].Feeds() }, asks{"rating": true}},
		{"another state's solution", func(p *Pass) { p.All()[0].Solution().Amps(0) }, asks{"length": true, "size": true, "capacity": true}},
		{"the day", func(p *Pass) { p.Day() }, asks{"capacity": true}},
		{"what another worked out", func(p *Pass) {
			Once(p, "key", func() float64 { return fuse(p).Figure("rating_a").Value })
		}, asks{"rating": true}},
		{"a part that another found", func(p *Pass) {
			Once(p, "part", func() components.Part { return fuse(p) }).Word("family")
		}, asks{"family": true}},
		{"what lasts", func(p *Pass) {
			circuit.Lasting(p.Circuit, "lasts", func() int { return len(p.Feeds()) })
		}, asks{"rating": true}},
		{"a solution of its own", func(p *Pass) {
			open, err := p.Circuit.After(circuit.OpenCore("W2", components.Pos))
			require.NoError(t, err)
			solve.Solve(open)
		}, asks{"length": true, "size": true, "capacity": true}},
		{"a document of its own", func(p *Pass) {
			_, err := p.Doc.Apply(components.RemoveRun{ID: "W1"})
			require.NoError(t, err)
		}, asks{"length": true, "size": true, "rating": true, "family": true, "capacity": true}},
	} {
		asked := 0
		rule := &Rule{ID: "test.looks", Level: Advice, Check: func(p *Pass) { asked++; of.looks(p) }}
		before := &Rule{ID: "test.before", Level: Advice, Check: of.looks} // the first to ask works it out, both rest on it
		speaks := &Rule{ID: "test.speaks", Level: Advice, Check: func(p *Pass) { p.Report(Finding{At: "F1", Message: string(fuse(p).ID)}) }}
		book := []*Rule{before, rule, speaks}
		doc := lead(t)
		report, err := Check(context.Background(), doc, book)
		require.NoError(t, err)
		require.Equal(t, 1, asked, of.what)
		for name, edit := range edits {
			next, err := doc.Apply(edit)
			require.NoError(t, err, name)
			asked = 0
			after, err := CheckNext(context.Background(), report, next, book)
			require.NoError(t, err, name)
			assert.Equal(t, of.again[name] || always[name], asked == 1, "%s: asked again after an edit of the %s", of.what, name)
			assert.Len(t, after.Findings, 1)

			asked = 0
			_, err = CheckNext(context.Background(), after, next, book)
			require.NoError(t, err, name)
			assert.Zero(t, asked, "%s: asked again after nothing", of.what)
		}
	}
}

// A rule that looks at another state is asked again when that settles otherwise, though
// its own has not.
func TestRuleThatLooksAtAnotherStateIsAskedAgain(t *testing.T) {
	doc := lead(t)
	doc.States = append(doc.States, components.State{Name: "Driving", Engine: true, SoC: 0.5})
	doc, err := doc.Apply(components.AddPart{Part: components.Part{ID: "ALT1", Kind: &components.Alternator, At: components.Point{Y: 300}, Spec: components.Spec{"rating_a": components.Num(90)}}})
	require.NoError(t, err)
	var limits []float64
	rule := &Rule{ID: "test.looks", Level: Advice, Check: func(p *Pass) {
		if !p.First() {
			return
		}
		for _, s := range p.All()[1].Circuit.Sources {
			if s.Part == "ALT1" {
				limits = append(limits, s.LimitA)
			}
		}
	}}
	report, err := Check(context.Background(), doc, []*Rule{rule})
	require.NoError(t, err)
	doc, err = doc.Apply(components.Set{On: "ALT1", Key: "rating_a", Value: components.Num(120)})
	require.NoError(t, err)
	_, err = CheckNext(context.Background(), report, doc, []*Rule{rule})
	require.NoError(t, err)
	assert.Equal(t, []float64{90, 120}, limits)
}

// A rule that asks nothing of a state is asked once.
func TestStatelessRuleIsAskedOnce(t *testing.T) {
	doc := lead(t)
	doc.States = append(doc.States, components.State{Name: "Empty", SoC: 0.1})
	for stateless, want := range map[bool]int{true: 1, false: 2} {
		var asked atomic.Int32
		rule := &Rule{ID: "test.states", Level: Advice, Stateless: stateless, Check: func(*Pass) { asked.Add(1) }}
		_, err := Check(context.Background(), doc, []*Rule{rule})
		require.NoError(t, err)
		assert.EqualValues(t, want, asked.Load())
	}
}

// lead is a battery with its fuse.
func lead(t *testing.T) *components.Document {
	doc := components.NewDocument("A lead")
	doc.States = []components.State{{Name: "Off grid", SoC: 0.5}}
	doc, err := doc.Apply(
		components.AddPart{Part: components.Part{ID: "BAT1", Kind: &components.Battery, Name: "House", Spec: components.Spec{"chemistry": components.Str("lfp"), "nominal_v": components.Num(12.8), "capacity_ah": components.Num(100)}}},
		components.AddPart{Part: components.Part{ID: "F1", Kind: &components.Fuse, At: components.Point{X: 100}, Spec: components.Spec{"family": components.Str("class-t"), "rating_a": components.Num(200)}}},
		components.AddPart{Part: components.Part{ID: "DL1", Kind: &components.DCLoad, At: components.Point{X: 300}, Spec: components.Spec{"a": components.Num(10)}}},
		components.AddRun{Run: components.Run{ID: "W1", From: components.PortRef{Part: "BAT1", Port: "pos"}, To: components.PortRef{Part: "F1", Port: "line"}, Spec: components.Spec{"length_ft": components.Num(1), "size": components.Str("4 AWG")}}},
		components.AddRun{Run: components.Run{ID: "W2", From: components.PortRef{Part: "F1", Port: "load"}, To: components.PortRef{Part: "DL1", Port: "in"}}},
		components.AddRun{Run: components.Run{ID: "W3", From: components.PortRef{Part: "F1", Port: "load"}, To: components.PortRef{Part: "DL1", Port: "in"}}},
	)
	require.NoError(t, err)
	return doc
}
