package checks_test

import (
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/checks"
)

// Every conductor of every sound rig is taken out in turn, core by core and run by run:
// each time something is told that was not, but where taking it out is no mistake.
func TestNoConductorGoesUnnoticed(t *testing.T) {
	tried, n := 0, 0
	for _, s := range soundRigs(t) {
		before, err := rules.Check(context.Background(), s.doc, checks.All)
		require.NoError(t, err)
		r := &rig{doc: s.doc}
		without := func(run components.Run, what string, may bool, edit components.Edit) {
			if n++; testing.Short() && n%8 != 0 {
				return
			}
			next, err := s.doc.Apply(edit)
			require.NoError(t, err)
			tried++
			after, err := rules.CheckNext(context.Background(), before, next, checks.All)
			require.NoError(t, err)
			assert.True(t, may || newlyTold(before, after), "%s: %s of %s, from %s to %s, is taken out and nothing is told", s.name, what, run.ID, run.From, run.To)
		}
		for _, run := range s.doc.Runs() {
			cores := s.doc.CoresOf(run)
			without(run, "all", r.ofTheVehicle(run) || r.allOfASource(run), components.RemoveRun{ID: run.ID})
			for i := range cores {
				if len(cores) == 1 {
					break
				}
				e := run.Rerouted()
				e.Cores = slices.Delete(slices.Clone(cores), i, i+1)
				load, _ := s.doc.Part(run.To.Part)
				without(run, string(cores[i].From), cores[i].From == components.N && load.Kind == &components.ACLoad && load.Figure("hots").Value == 2, e)
			}
		}
	}
	t.Logf("%d taken out", tried)
}

// newlyTold tells whether a report says or asks what the one before did not.
func newlyTold(before, after *rules.Report) bool {
	had := map[string]bool{}
	for _, f := range append(before.All(), before.Unchecked...) {
		had[f.Rule.ID+f.At+f.Message] = true
	}
	return slices.ContainsFunc(append(after.All(), after.Unchecked...), func(f rules.Finding) bool { return !had[f.Rule.ID+f.At+f.Message] })
}

// ofTheVehicle tells whether a run is a return of the vehicle's own battery or alternator,
// for which the frame will do, or leads from there to the frame.
func (r *rig) ofTheVehicle(run components.Run) bool {
	for _, c := range r.doc.CoresOf(run) {
		if c.From != components.Neg && c.From != components.G {
			return false
		}
	}
	own := func(p components.Part) bool {
		return p.Kind == &components.Alternator || p.Word("role") == "starting"
	}
	for _, end := range []components.PortRef{run.From, run.To} {
		p, _ := r.doc.Part(end.Part)
		if own(p) {
			return true
		}
		for _, o := range r.runsAt(p.Ref("a")) {
			if q, _ := r.doc.Part(o.Other(p.Ref("a")).Part); p.Kind == &components.BondKind && own(q) {
				return true
			}
		}
	}
	return false
}

// allOfASource tells whether a run is all that is joined to a generator, or to one of
// several site supplies that take turns at an inlet, which then stands by itself: the line
// under the sheet tells that.
func (r *rig) allOfASource(run components.Run) bool {
	p, _ := r.doc.Part(run.From.Part)
	if len(r.doc.RunsOf(p.ID)) != 1 {
		return false
	}
	return p.Kind == &components.Generator || p.Kind == &components.Shore && len(r.doc.Plugs(run.To)) > 1
}
