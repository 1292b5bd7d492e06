package checks_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// beside draws a second rig below the first, with tags from 500 on. States are worked
// out for both.
func beside(t *testing.T, doc, second *components.Document) *components.Document {
	t.Helper()
	tag := func(id components.ID) components.ID {
		s := string(id)
		letters := strings.TrimRight(s, "0123456789")
		n, _ := strconv.Atoi(s[len(letters):])
		return components.ID(fmt.Sprintf("%s%d", letters, n+500))
	}
	edits := []components.Edit{components.SetStates{}}
	for _, p := range second.Parts() {
		p.ID, p.At.Y = tag(p.ID), p.At.Y+3000
		edits = append(edits, components.AddPart{Part: p})
	}
	for _, r := range second.Runs() {
		r.Cores, r.Path = second.CoresOf(r), nil
		r.ID, r.From.Part, r.To.Part = tag(r.ID), tag(r.From.Part), tag(r.To.Part)
		edits = append(edits, components.AddRun{Run: r})
	}
	both, err := doc.Apply(edits...)
	require.NoError(t, err)
	return both
}

// ofOneRig are mistakes between two parts of one rig, which those of two rigs do not make.
var ofOneRig = map[string]bool{"strings of unlike lead lengths": true, "unlike batteries together": true, "lithium beside lead": true, "a filter beyond what the site's outlet bears": true, "a bond on the bank's side of the shunt": true}

// Two sound rigs on one sheet are sound, and a mistake in either is named: no rule looks
// at the first inlet, panel or bank alone.
func TestTwoRigsOnOneSheet(t *testing.T) {
	count := 40
	if testing.Short() {
		count = 8
	}
	rigs := soundRigs(t)
	rng := rand.New(rand.NewPCG(5, 6))
	planted := 0
	for range count {
		a, b := rigs[rng.IntN(len(rigs))], rigs[rng.IntN(len(rigs))]
		if a.doc.Basis != b.doc.Basis {
			continue
		}
		doc := beside(t, a.doc, b.doc)
		before := check(t, doc)
		for _, f := range before.All() {
			assert.Less(t, f.Level, rules.Violation, "%s beside %s: %s at %s: %s", a.name, b.name, f.Rule.ID, f.At, f.Message)
		}
		for range 8 {
			m := mistakes[rng.IntN(len(mistakes))]
			r := &rig{doc, rng}
			places := m.plant(r)
			if places == nil || ofOneRig[m.name] {
				continue
			}
			planted++
			after := check(t, r.doc)
			assert.True(t, named(before, after, m, places), "%s, in %s beside %s at %s: %s", m.name, a.name, b.name, strings.Join(places[:min(3, len(places))], ", "), heard(after))
		}
	}
	t.Logf("%d planted", planted)
}
