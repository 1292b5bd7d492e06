package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// What rests on figures that an edit may change is not kept for the next document, and
// counts as read by whoever asks; what has not asked how the devices are rated outlives
// an edit of that.
func TestLastingRestsOnWhatItRead(t *testing.T) {
	sample, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	doc := sample.Document()
	var reads components.Reads
	state := doc.Operating()[0]
	laid := Lay(doc)
	c := laid.In(state).Over(doc.Watched(&reads))
	fuse := components.ID("")
	for _, p := range doc.Parts() {
		if p.Kind == &components.Fuse {
			fuse = p.ID
		}
	}
	times := map[string]int{}
	ask := func(c *Circuit, key string, work func()) components.FieldSet {
		reads.Begin()
		type own string
		Lasting(c, own(key), func() int {
			times[key]++
			work()
			return 0
		})
		return reads.Fields()
	}
	family := func() { p, _ := c.Doc.Part(fuse); p.Word("family") }
	feeds := func() { c.FeedsOf() }
	nets := func() { c.Net(0) }
	for range 2 {
		assert.False(t, ask(c, "family", family).Empty())
		assert.False(t, ask(c, "feeds", feeds).Empty())
		assert.True(t, ask(c, "nets", nets).Empty())
	}
	assert.Equal(t, map[string]int{"family": 2, "feeds": 1, "nets": 1}, times)

	next, err := doc.Apply(components.Set{On: fuse, Key: "rating_a", Value: components.Num(60)})
	require.NoError(t, err)
	after := LayNext(laid, next).In(state)
	assert.True(t, after.SettledAs(laid.In(state)), "the same but for a rating")
	after = after.Over(next.Watched(&reads))
	ask(after, "feeds", feeds)
	ask(after, "nets", nets)
	assert.Equal(t, map[string]int{"family": 2, "feeds": 2, "nets": 1}, times)

	next, err = doc.Apply(components.Set{On: "BAT1", Key: "nominal_v", Value: components.Num(25.6)})
	require.NoError(t, err)
	assert.False(t, LayNext(laid, next).In(state).SettledAs(laid.In(state)), "another source")
}
