package checks_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/rules"
)

// A figure that becomes unknown, of whatever part or run, never makes a mistake vanish: the
// mistake is still named, or the figure is asked for, or the rule says that it could not
// look.
func TestNoMistakeVanishesBehindAnUnknown(t *testing.T) {
	rng := rand.New(rand.NewPCG(77, 5))
	tried := 0
	plants(t, often(1, 10), func(name string, doc *components.Document, m mistake, places []string) {
		if places == nil {
			return
		}
		figures := toldFigures(doc)
		for range often(2, 4) {
			f := figures[rng.IntN(len(figures))]
			unknown, err := doc.Apply(components.Set{On: f.On, Key: f.Key, Value: components.Unknown})
			if err != nil {
				assert.ErrorContains(t, err, "which terminals there are")
				continue
			}
			report := check(t, unknown)
			tried++
			assert.True(t, named(&rules.Report{}, report, m, places) || asks(report, f.On, m.want), "%s, and %s of %s unknown", name, f.Key, f.On)
		}
	})
	assert.Greater(t, tried, 40)
}

// toldFigures are the figures of a document that are known, but for what a person wishes,
// where one who wishes nothing is not asked, and for the voltage of a fuse, in whose place
// that of its family stands.
func toldFigures(doc *components.Document) (all []components.Set) {
	add := func(on components.ID, spec components.Spec) {
		var keys []string
		for key, v := range spec {
			if v.Known() && len(v.Rows()) == 0 && key != "recharge_h" && (key != "volts_dc" || !spec["family"].Known()) {
				keys = append(keys, key)
			}
		}
		slices.Sort(keys)
		for _, key := range keys {
			all = append(all, components.Set{On: on, Key: key})
		}
	}
	for _, p := range doc.Parts() {
		add(p.ID, p.Spec)
	}
	for _, r := range doc.Runs() {
		add(r.ID, r.Spec)
	}
	return all
}

// asks tells whether a report asks for a figure of a part or run, or one of some rules
// could not look.
func asks(r *rules.Report, on components.ID, any []string) bool {
	return slices.ContainsFunc(r.Unchecked, func(f rules.Finding) bool {
		return slices.Contains(any, f.Rule.ID) || slices.Contains(owners(f.Addresses()), string(on))
	})
}
