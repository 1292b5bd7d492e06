package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// A project may take its DC cable as in a raceway: the lower of 33 CFR 183 Table 5
// (105 °C) and NEC 2023 Table 310.16 holds (terminals not marked: its 60 °C column
// to 1 AWG, 75 °C above, 110.14(C)), never the higher.
func TestEnclosedTables(t *testing.T) {
	for _, c := range []struct {
		size           string
		free, enclosed float64
	}{
		{"10 AWG", 60, 30}, {"6 AWG", 120, 55}, {"2 AWG", 210, 95}, {"1/0 AWG", 285, 150}, {"4/0 AWG", 445, 230},
		{"16 AWG", 25, 25}, // 310.16 does not reach: the other table stays
	} {
		doc := load(t, "../../testdata/rigs/survey-truck.yaml")
		project := doc.Project()
		project.Ampacity = components.Enclosed
		doc, err := doc.Apply(set("W7", "size", components.Str(c.size)))
		require.NoError(t, err)
		strict, err := doc.Apply(project)
		require.NoError(t, err)
		for _, at := range []struct {
			doc  *components.Document
			want float64
		}{{doc, c.free}, {strict, c.enclosed}} {
			p := &rules.Pass{Doc: at.doc, Circuit: circuit.Build(at.doc, at.doc.Operating()[0])}
			r, _ := at.doc.Run("W7")
			a, err := runAmpacity(p, r, components.Pos)
			require.NoError(t, err)
			assert.InDelta(t, at.want, a.Usable, 0.01, "%s, %s: %v", c.size, at.doc.Ampacity, a.Working)
		}
	}
}

// The choice is heard by a check that follows another, and makes findings that the
// free-air table does not.
func TestEnclosedTablesAreStricter(t *testing.T) {
	doc := load(t, "../../testdata/rigs/survey-truck.yaml")
	before := check(t, doc)
	project := doc.Project()
	project.Ampacity = components.Enclosed
	strict, err := doc.Apply(project)
	require.NoError(t, err)
	after, err := rules.CheckNext(t.Context(), before, strict, All)
	require.NoError(t, err)
	assert.Empty(t, dangers(before))
	assert.NotEmpty(t, dangers(after))
}

func dangers(r *rules.Report) (at []string) {
	for _, f := range r.Findings {
		if f.Level >= rules.Violation {
			at = append(at, f.Rule.ID+" "+f.At)
		}
	}
	return at
}

// Air that the raceway's table has no factor for (NEC 2023 Table 310.15(B)(1)(1)
// ends at 85 °C) is no reason to go back to the larger figure of free air.
func TestEnclosedTablesEndWhereTheyEnd(t *testing.T) {
	for _, c := range []struct {
		air  float64
		held bool
	}{{85, true}, {86, false}, {88, false}} {
		doc := load(t, "../../testdata/rigs/survey-truck.yaml")
		project := doc.Project()
		project.Ampacity = components.Enclosed
		doc, err := doc.Apply(project, set("W7", "size", components.Str("2 AWG")), set("W7", "ambient_c", components.Num(c.air)))
		require.NoError(t, err)
		p := &rules.Pass{Doc: doc, Circuit: circuit.Build(doc, doc.Operating()[0])}
		r, _ := doc.Run("W7")
		a, err := runAmpacity(p, r, components.Pos)
		if c.held {
			require.NoError(t, err)
			assert.InDelta(t, 130*0.29, a.Usable, 0.01, a.Working)
			continue
		}
		assert.ErrorContains(t, err, "in a raceway", "%v °C: %v", c.air, a.Working)
		var told []string
		for _, f := range check(t, doc).Unchecked {
			if f.At == "W7" {
				told = append(told, f.Rule.ID)
			}
		}
		assert.Contains(t, told, "conductor.load-within-ampacity", "%v °C", c.air)
		assert.Contains(t, told, "overcurrent.rating-within-ampacity", "%v °C", c.air)
	}
}

// An AC conductor is held to NEC 310.16, or a cord to 400.5(A)(1), whichever the
// project chooses: 60 °C column to 1 AWG where the terminals are not marked.
func TestEnclosedLeavesAC(t *testing.T) {
	for _, c := range []struct {
		size string
		want float64
	}{{"10 AWG", 30}, {"6 AWG", 55}, {"1 AWG", 110}, {"1/0 AWG", 150}} {
		doc, err := load(t, "../../testdata/rules/clean.yaml").Apply(set("W2", "size", components.Str(c.size)))
		require.NoError(t, err)
		project := doc.Project()
		for _, tables := range []string{components.ByConstruction, components.Enclosed} {
			project.Ampacity = tables
			at, err := doc.Apply(project)
			require.NoError(t, err)
			p := &rules.Pass{Doc: at, Circuit: circuit.Build(at, at.Operating()[0])}
			r, _ := at.Run("W2")
			a, err := runAmpacity(p, r, components.L)
			require.NoError(t, err)
			assert.InDelta(t, c.want, a.Usable, 0.01, "310.16: %s, %s: %v", c.size, tables, a.Working)
		}
	}
}
