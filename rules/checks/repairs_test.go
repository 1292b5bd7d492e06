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

// Two conductors of every cable of every sound rig are crossed in turn: the repair lands
// them where they were, and takes none of them out.
func TestCrossedConductorsAreLandedAgain(t *testing.T) {
	tried, n := 0, 0
	for _, s := range soundRigs(t) {
		before, err := rules.Check(context.Background(), s.doc, checks.All)
		require.NoError(t, err)
		for _, run := range s.doc.Runs() {
			sound := s.doc.CoresOf(run)
			for i := range sound {
				j := (i + 1) % len(sound)
				if i == j || hot(sound[i].To) == hot(sound[j].To) && hot(sound[i].To) {
					continue // two legs: no crossing, but a leg's
				}
				if n++; n%3 != 0 || testing.Short() && n%9 != 0 {
					continue
				}
				e := run.Rerouted()
				e.Cores = slices.Clone(sound)
				e.Cores[i].To, e.Cores[j].To = e.Cores[j].To, e.Cores[i].To
				crossed, err := s.doc.Apply(e)
				require.NoError(t, err)
				tried++
				report, err := rules.CheckNext(context.Background(), before, crossed, checks.All)
				require.NoError(t, err)
				landed := false
				for _, f := range report.Findings {
					for _, fix := range f.Fixes {
						if !slices.Contains(f.Addresses(), string(run.ID)) || landed {
							continue
						}
						next, err := crossed.Apply(fix.Edits...)
						require.NoError(t, err)
						again, ok := next.Run(run.ID)
						landed = ok && sameCores(sound, next.CoresOf(again))
					}
				}
				assert.True(t, landed, "%s: %s with %s and %s crossed has no repair that lands them", s.name, run.ID, sound[i].From, sound[j].From)
			}
		}
	}
	t.Logf("%d crossed", tried)
}

func hot(p components.Pole) bool { return p.Hot() }

func sameCores(a, b []components.Core) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(c components.Core) bool { return !slices.Contains(b, c) })
}

// A repair of a device that opens too late never fits a larger one.
func TestLateDevicesAreNotEnlarged(t *testing.T) {
	for _, s := range soundRigs(t) {
		for _, run := range s.doc.Runs() {
			far, _ := s.doc.Part(run.To.Part)
			if far.Kind.Role != components.Converts || !slices.ContainsFunc(s.doc.CoresOf(run), func(c components.Core) bool { return c.From == components.Pos }) {
				continue
			}
			thin := components.Str("12 AWG")
			if size, ok := run.Size(components.Pos); ok && size.Metric() {
				thin = components.Str("4 mm2")
			}
			doc, err := s.doc.Apply(set(run.ID, "size", thin))
			require.NoError(t, err)
			report, err := rules.Check(context.Background(), doc, []*rules.Rule{checks.FarEnd, checks.Withstand})
			require.NoError(t, err)
			for _, f := range report.All() {
				for _, fix := range f.Fixes {
					for _, e := range fix.Edits {
						if is, ok := e.(components.Set); ok && is.Key == "rating_a" {
							was, _ := doc.Part(is.On)
							assert.Less(t, is.Value.Num(), was.Figure("rating_a").Value, "%s, %s: %s", s.name, f.Message, fix.Title)
						}
					}
				}
			}
		}
	}
}

// The bond of every sound rig is taken out: the one that the repair draws stands where
// the old one may have stood, not on the bank's side of a shunt.
func TestANewChassisBondStandsBehindTheShunt(t *testing.T) {
	tried := 0
	for _, s := range soundRigs(t) {
		var bonds []components.ID
		for _, p := range s.doc.Parts() {
			if p.Kind == &components.BondKind && p.Word("a_pole") == "-" {
				bonds = append(bonds, p.ID)
			}
		}
		if len(bonds) != 1 {
			continue
		}
		without, err := s.doc.Apply(s.doc.Delete(bonds...)...)
		require.NoError(t, err)
		report, err := rules.Check(context.Background(), without, checks.All)
		require.NoError(t, err)
		for _, f := range report.Findings {
			if f.Rule != checks.SingleChassisBond {
				continue
			}
			tried++
			require.NotEmpty(t, f.Fixes, s.name)
			mended, err := without.Apply(f.Fixes[0].Edits...)
			require.NoError(t, err)
			again, err := rules.Check(context.Background(), mended, checks.All)
			require.NoError(t, err)
			for _, g := range again.Findings {
				assert.NotContains(t, []string{"bonding.single-chassis-bond", "shunt.no-bypass-path", "shunt.all-negatives-through"}, g.Rule.ID, "%s: %s", s.name, g.Message)
			}
		}
	}
	assert.Greater(t, tried, 10)
}
