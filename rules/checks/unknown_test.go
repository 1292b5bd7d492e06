package checks

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// goesQuiet are the findings that may fall silent on an unknown figure, with the reason.
var goesQuiet = map[string]string{
	"energy.autonomy-bank-size":        "a wish that is not told is none",
	"energy.recharge-time":             "a wish that is not told is none",
	"energy.runtime":                   "a wish that is not told is none",
	"energy.solar-harvest-balance":     "advice: the page of the day asks for what it lacks",
	"overcurrent.inverter-fault-level": "where the site opens the breaker too, a fault that lasts meets it",
}

// A figure that is made unknown never silences a finding: the rule stands, another
// speaks there, or some rule asks for that figure at that part. Every told figure of
// every rig with a mistake in it is made unknown in turn, in rows of panels too.
func TestUnknownIsNeverSilence(t *testing.T) {
	files, err := filepath.Glob("../../testdata/rules/*.yaml")
	require.NoError(t, err)
	tried, n := 0, 0
	for _, path := range files {
		id := strings.TrimSuffix(filepath.Base(path), ".yaml")
		if strings.HasSuffix(id, ".fixed") || id == "clean" {
			continue
		}
		doc := load(t, path)
		before := check(t, doc)
		for _, at := range figuresTold(doc) {
			if n++; testing.Short() && n%9 != 0 {
				continue
			}
			next, err := doc.Apply(at.edit)
			if err != nil {
				continue
			}
			tried++
			after := check(t, next)
			for _, f := range before.All() {
				if _, may := goesQuiet[id]; may || f.Rule.ID != id || slices.ContainsFunc(append(after.All(), after.Unchecked...), func(g rules.Finding) bool { return g.Rule == f.Rule && g.At == f.At }) {
					continue
				}
				if !saysNew(after, before, f.Level, at.on) && !asksAt(after, before, at.on, at.key) {
					t.Errorf("%s: %s at %s falls silent when %s of %s is unknown, and nothing asks for it", filepath.Base(path), f.Rule.ID, f.At, at.key, at.on)
				}
			}
		}
	}
	t.Logf("%d figures made unknown", tried)
}

// figure is one that is told, and the edit that makes it unknown.
type figure struct {
	on   components.ID
	key  string
	edit components.Edit
}

// figuresTold are the figures that are told in a document, a panel's row by row.
func figuresTold(doc *components.Document) []figure {
	var all []figure
	add := func(on components.ID, spec components.Spec) {
		for _, key := range slices.Sorted(maps.Keys(spec)) {
			rows := spec[key].Rows()
			if len(rows) == 0 {
				all = append(all, figure{on, key, set(on, key, components.Unknown)})
			}
			for i, row := range rows {
				for _, cell := range slices.Sorted(maps.Keys(row)) {
					changed := slices.Clone(rows)
					changed[i] = row.With(cell, components.Unknown)
					all = append(all, figure{on, fmt.Sprintf("%s[%d].%s", key, i, cell), set(on, key, components.Table(changed...))})
				}
			}
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

// asksAt tells whether a report asks something at a part or run that it did not ask
// before.
func asksAt(after, before *rules.Report, on components.ID, key string) bool {
	return slices.ContainsFunc(after.Unchecked, func(f rules.Finding) bool {
		if slices.ContainsFunc(before.Unchecked, func(g rules.Finding) bool { return g.Rule == f.Rule && g.At == f.At && g.Message == f.Message }) {
			return false
		}
		return slices.Contains(f.Addresses(), string(on)) || strings.Contains(f.Message, string(on)) || strings.Contains(f.Message, fmt.Sprint(key, " of ", on))
	})
}

// saysNew tells whether another rule finds at a part or run what none did before, and
// no milder.
func saysNew(after, before *rules.Report, level rules.Level, on components.ID) bool {
	return slices.ContainsFunc(after.All(), func(f rules.Finding) bool {
		return f.Level >= level && slices.Contains(f.Addresses(), string(on)) && !slices.ContainsFunc(before.All(), func(g rules.Finding) bool { return g.Rule == f.Rule && g.At == f.At })
	})
}
