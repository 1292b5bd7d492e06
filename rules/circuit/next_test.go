package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// What follows from how a circuit has settled outlives every edit that leaves that as it
// was; what follows from figures outlives those of other figures.
func TestWhatLasts(t *testing.T) {
	sample, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	doc := sample.Document()
	laid := Lay(doc)
	first := func(kind *components.Kind) components.ID { return firstOf(t, doc, kind) }
	fuse, panel := first(&components.Fuse), first(&components.Panel)
	for _, of := range []struct {
		what         string
		edit         components.Edit
		lasts, still bool // of what follows from the wiring alone, and from the fuse's rating
	}{
		{"a run's length", components.Set{On: doc.Runs()[0].ID, Key: "length_ft", Value: components.Num(7)}, true, true},
		{"a place", components.MovePart{ID: fuse, At: components.Point{X: 990, Y: 990}}, true, true},
		{"a load's power", components.Set{On: first(&components.ACLoad), Key: "va", Value: components.Num(321)}, true, true},
		{"a battery's capacity", components.Set{On: first(&components.Battery), Key: "capacity_ah", Value: components.Num(321)}, true, true},
		{"a fuse's rating", components.Set{On: fuse, Key: "rating_a", Value: components.Num(60)}, true, false},
		{"a name", components.Describe{ID: fuse, Name: "Main", Status: partOf(t, doc, fuse).Status}, true, false},
		{"a battery's voltage", components.Set{On: first(&components.Battery), Key: "nominal_v", Value: components.Num(25.6)}, false, false},
		{"a circuit more in a panel", components.Set{On: panel, Key: "circuits", Value: components.Table(append(partOf(t, doc, panel).Rows("circuits"), components.Spec{"breaker_a": components.Num(15)})...)}, false, false},
		{"a run taken out", components.RemoveRun{ID: doc.Runs()[0].ID}, false, false},
		{"a load to come out", components.Describe{ID: first(&components.ACLoad), Status: components.Remove}, false, false},
	} {
		next, err := doc.Apply(of.edit)
		require.NoError(t, err, of.what)
		state := doc.Operating()[0]
		type key struct{ what string }
		ask := func(c *Circuit, answer int) (lasts, still int) {
			watched := c.Over(c.Doc.Watched(&components.Reads{}))
			lasts = Lasting(watched, key{of.what}, func() int { return answer })
			still = WhileSet(watched, key{of.what}, func() int {
				partOf(t, watched.Doc, fuse).Figure("rating_a")
				return answer
			})
			return lasts, still
		}
		ask(laid.In(state), 1)
		after := LayNext(laid, next)
		lasts, still := ask(after.In(state), 2)
		assert.Equal(t, of.lasts, lasts == 1, of.what)
		assert.Equal(t, of.still, still == 1, of.what)
		anew := Lay(next).In(state)
		assert.True(t, anew.SettledAs(after.In(state)), "%s: settled as from the beginning", of.what)
		assert.Equal(t, anew.devices, after.In(state).devices, of.what)
		assert.Equal(t, anew.FeedsOf(), after.In(state).FeedsOf(), of.what)
	}
	changed, err := laid.In(doc.Operating()[0]).After(ExtraBond(panel))
	require.NoError(t, err)
	assert.Equal(t, 3, Lasting(changed, "key", func() int { return 3 }), "a circuit that was changed keeps nothing")
}

// Whoever still holds the document before adds nothing to what is kept for the next.
func TestAnAnswerOfBeforeIsNoAnswerOfNow(t *testing.T) {
	sample, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	doc := sample.Document()
	laid, state := Lay(doc), doc.Operating()[0]
	fuse := firstOf(t, doc, &components.Fuse)
	before := laid.In(state)
	next, err := doc.Apply(components.Set{On: fuse, Key: "rating_a", Value: components.Num(60)})
	require.NoError(t, err)
	after := LayNext(laid, next).In(state)
	ask := func(c *Circuit) float64 {
		watched := c.Over(c.Doc.Watched(&components.Reads{}))
		return WhileSet(watched, "rating", func() float64 { return partOf(t, watched.Doc, fuse).Figure("rating_a").Value })
	}
	assert.NotEqual(t, 60.0, ask(before))
	assert.Equal(t, 60.0, ask(after))
}

func firstOf(t *testing.T, doc *components.Document, kind *components.Kind) components.ID {
	t.Helper()
	for _, p := range doc.Parts() {
		if p.Kind == kind {
			return p.ID
		}
	}
	t.Fatalf("no %s in the sample", kind.ID)
	return ""
}

func partOf(t *testing.T, doc *components.Document, id components.ID) components.Part {
	t.Helper()
	p, ok := doc.Part(id)
	require.True(t, ok, id)
	return p
}
