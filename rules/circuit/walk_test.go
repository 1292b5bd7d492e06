package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// A battery, a fuse, a switch and a bar, with a second way from the fuse to the bar.
func TestWalk(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(`
format: rigline/1
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: class-t, rating_a: 200}}
  - {id: SW1, kind: dc-switch, at: [300, 100], spec: {rating_a: 300}}
  - {id: BUS1, kind: busbar, at: [400, 100], spec: {rating_a: 300, pole: "+"}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line}
  - {id: W2, from: F1.load, to: SW1.line}
  - {id: W3, from: SW1.load, to: BUS1.bar}
  - {id: W4, from: F1.load, to: BUS1.bar}
`))
	require.NoError(t, err)
	c := Build(doc, doc.Operating()[0])
	at := func(id components.ID, port string) Term {
		term, ok := c.At(id, port, components.Pos)
		require.True(t, ok, "%s.%s", id, port)
		return term
	}
	post, bar, load := at("BAT1", "pos"), at("BUS1", "bar"), at("F1", "load")
	closed := func(l *Link, _ Term) bool { return l.Closed }

	way, ok := c.Walk(closed, post).Way(bar)
	require.True(t, ok)
	var over []string
	for _, i := range way {
		over = append(over, c.Links[i].Address())
	}
	assert.Equal(t, []string{"W1", "F1", "W4"}, over, "the shorter of the two")

	w := c.Walk(closed, post)
	for term := range w.Nearest() {
		if term == load {
			break
		}
	}
	assert.Len(t, w.met, 3, "no farther than it was asked for")
	assert.Equal(t, map[Term]bool{post: true, at("F1", "line"): true, load: true, at("SW1", "line"): true, at("SW1", "load"): true, bar: true}, w.Reached(), "and on from there")
	assert.Equal(t, map[Term]components.ID{post: "", at("F1", "line"): "W1", load: "W1", at("SW1", "line"): "W2", at("SW1", "load"): "W2", bar: "W4"}, c.Walk(func(l *Link, _ Term) bool { return l.Closed && l.Run != "W3" }, post, post).ByRun())

	way, ok = w.Way(post)
	assert.True(t, ok)
	assert.Empty(t, way, "it is there")
	_, ok = c.Walk(func(l *Link, _ Term) bool { return l.Part != "F1" }, post).Way(bar)
	assert.False(t, ok)
}
