package circuit

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/projects"
)

// What a link feeds alone is what no source reaches any more without it, in every
// state of every sample and topology.
func TestCuts(t *testing.T) {
	var paths []string
	for _, glob := range []string{"../../projects/samples/*.yaml", "../../testdata/topologies/*.yaml"} {
		found, err := filepath.Glob(glob)
		require.NoError(t, err)
		paths = append(paths, found...)
	}
	require.NotEmpty(t, paths)
	for _, path := range paths {
		doc, _, err := projects.Load(path)
		require.NoError(t, err)
		laid := Lay(doc)
		for _, state := range doc.Operating() {
			c := laid.In(state)
			k := c.Cuts()
			for i := range c.Links {
				l := &c.Links[i]
				if !l.Closed || l.Bond {
					from, to := k.Behind(i)
					assert.Equal(t, from, to)
					continue
				}
				without := c.Nets(func(o *Link) bool { return o.Closed && !o.Bond && o != l })
				fed := map[Term]bool{}
				for _, s := range c.Sources {
					fed[without[s.Hot]] = true
				}
				for at := range c.Terms {
					term := Term(at)
					require.Equal(t, k.Place(term) >= 0 && !fed[without[term]], k.Alone(i, term), "%s, %s: %s behind %s", path, state.Name, c.Terms[at], l.Address())
				}
			}
		}
	}
}
