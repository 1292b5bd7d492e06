package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// What rests on figures is not kept as lasting, and counts as read by whoever asks.
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
	assert.Equal(t, map[string]int{"family": 2, "feeds": 2, "nets": 1}, times)
}
