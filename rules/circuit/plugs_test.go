package circuit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

const twoOutlets = `format: rigline/1
title: "two outlets"
parts:
  - {id: SH1, kind: shore, at: [0, 0], spec: {service: 30a-120}}
  - {id: SH2, kind: shore, at: [0, 200], spec: {service: 20a-120}}
  - {id: INL1, kind: inlet, at: [300, 0], spec: {rating_a: 30}}
  - {id: LD1, kind: ac-load, at: [600, 0], spec: {va: 600}}
runs:
  - {id: W1, from: SH1.out, to: INL1.site}
  - {id: W2, from: SH2.out, to: INL1.site}
  - {id: W3, from: INL1.rig, to: LD1.in}
`

// feedersOf are the sources at the rig's side of the inlet in each worked-out state.
func feedersOf(t *testing.T, text string) map[string][]components.ID {
	t.Helper()
	doc, _, err := projects.Read("outlets.yaml", []byte(text))
	require.NoError(t, err)
	all := map[string][]components.ID{}
	for _, s := range doc.Operating() {
		c := Lay(doc).In(s)
		all[s.Name] = []components.ID{}
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			if in, ok := c.At("INL1", "rig", pole); ok {
				for _, f := range c.Feeds(in) {
					all[s.Name] = append(all[s.Name], f.Part)
				}
			}
		}
	}
	return all
}

// An inlet takes one plug: two outlets whose cords end there feed the rig in turn, each in a
// state of its own. Joined by a junction they are one plug, and both feed; so do two that
// bring their hots to different pins.
func TestOnePlugIsInAnInlet(t *testing.T) {
	assert.Equal(t, map[string][]components.ID{"Shore": {"SH1"}, "Shore SH2": {"SH2"}}, feedersOf(t, twoOutlets))

	alike := strings.Replace(twoOutlets, "20a-120", "30a-120", 1)
	assert.Equal(t, map[string][]components.ID{"Shore": {"SH1"}, "Shore SH2": {"SH2"}}, feedersOf(t, alike), "two of one kind")

	told := strings.Replace(twoOutlets, "runs:", "states:\n  - {name: Home, shore: 20a-120, soc: 0.5}\n  - {name: Site, shore: 30a-120, soc: 0.5}\n  - {name: Left, shore: 30a-120, soc: 0.5, off: [SH1]}\nruns:", 1)
	assert.Equal(t, map[string][]components.ID{"Home": {"SH2"}, "Site": {"SH1"}, "Left": {"SH2"}}, feedersOf(t, told), "by the state's word, and by what it leaves out")

	joined := strings.NewReplacer("runs:", "  - {id: J1, kind: splice, at: [150, 0]}\nruns:\n  - {id: W4, from: J1.b, to: INL1.site}", "SH1.out, to: INL1.site", "SH1.out, to: J1.a", "SH2.out, to: INL1.site", "SH2.out, to: J1.a").Replace(twoOutlets)
	assert.Equal(t, map[string][]components.ID{"Shore": {"SH1", "SH2"}}, feedersOf(t, joined), "a junction")

	legs := strings.NewReplacer("rating_a: 30}", "rating_a: 50}", "SH1.out, to: INL1.site", "SH1.out, to: INL1.site, cores: [L>L1, N, G]", "SH2.out, to: INL1.site", "SH2.out, to: INL1.site, cores: [L>L2, N, G]",
		"from: INL1.rig, to: LD1.in", "from: INL1.rig, to: LD1.in, cores: [L1>L, N, G]").Replace(twoOutlets)
	assert.Equal(t, map[string][]components.ID{"Shore": {"SH1", "SH2"}}, feedersOf(t, legs), "a leg each")
}
