package session

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// A part that was put on the sheet a moment ago, and that no run is joined to yet, is no
// danger and breaks no rule: neither on empty paper nor beside a sound rig.
func TestAPartJustPlacedBreaksNoRule(t *testing.T) {
	bus, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	for _, sheet := range []*components.Document{components.NewDocument("empty"), bus.Document()} {
		for _, k := range components.Catalog {
			part := NewPart(sheet, k)
			part.ID = sheet.FreeID(k.Prefix)
			doc, err := sheet.Apply(components.AddPart{Part: part})
			require.NoError(t, err)
			report, err := rules.Check(context.Background(), doc, checks.All)
			require.NoError(t, err)
			for _, f := range report.All() {
				assert.False(t, f.Level > rules.Advice, "%s on %s: %s at %s: %s", part.ID, sheet.Title, f.Rule.ID, f.At, f.Message)
			}
		}
	}
}

// In a small view a port is still met from six pixels beside its symbol, and a symbol
// by its body.
func TestPortsAreMetInASmallView(t *testing.T) {
	b := newBench(t)
	id := b.place("ac-breaker", 400, 300)
	b.Select()
	end := b.portAt(string(id) + ".load")
	small := func(x, y float64) Pointer { return Pointer{At: scene.Pt{X: x, Y: y}, Reach: 6 / 0.45} }
	assert.Equal(t, "load", b.Hit(small(end.X+12, end.Y)).Port.Port)
	assert.Empty(t, b.Hit(small(400, 300)).Port.Port)
	assert.Equal(t, id, b.Hit(small(400, 300)).Part)
}
