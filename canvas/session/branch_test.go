package session

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// A load that is drawn to a panel's supply terminals comes to stand on a circuit: a free
// one, or a new one on the leg with fewer. What feeds the panel still ends at them.
func TestALoadDrawnToAPanelIsOnACircuit(t *testing.T) {
	for _, dc := range []bool{false, true} {
		b := newBench(t)
		panel, load, supply := b.place("panel", 400, 300), components.ID(""), "main"
		if dc {
			panel, supply = b.place("dc-panel", 700, 300), "feed"
		}
		kind := map[bool]string{false: "ac-load", true: "dc-load"}[dc]
		before := len(b.part(panel).Spec["circuits"].Rows())
		for i := range before + 2 {
			load = b.place(kind, 900, float64(100+80*i))
			b.connect(string(load)+".in", string(panel)+"."+supply)
			b.answer()
			runs := b.Doc().RunsOf(load)
			require.Len(t, runs, 1)
			end := runs[0].Other(components.PortRef{Part: load, Port: "in"})
			assert.NotEqual(t, supply, end.Port)
			assert.Len(t, b.Doc().RunsAt(end), 1, "each on its own")
		}
		assert.Len(t, b.part(panel).Spec["circuits"].Rows(), before+2)
	}
}

func TestWhatFeedsAPanelEndsAtItsSupply(t *testing.T) {
	b := newBench(t)
	panel, breaker := b.place("panel", 600, 300), b.place("ac-breaker", 300, 300)
	b.connect(string(breaker)+".load", string(panel)+".main")
	b.answer()
	runs := b.Doc().RunsOf(panel)
	require.Len(t, runs, 1)
	assert.Len(t, b.Doc().RunsAt(components.PortRef{Part: panel, Port: "main"}), 1)
}

// answer takes the first choice where a question is open.
func (b *bench) answer() {
	if b.Question() != nil {
		b.Answer(0)
	}
}

// A 240 V load stands on a circuit of both legs, the next one on the leg with fewer.
func TestANewCircuitIsOnTheLegsThatTheLoadTakes(t *testing.T) {
	b := newBench(t)
	panel := b.place("panel", 400, 300)
	require.NoError(t, b.Do("Two legs", components.Set{On: panel, Key: "legs", Value: components.Num(2)}))
	for i, want := range []string{"both", "L1", "L2", "L1"} {
		load := b.place("ac-load", 900, float64(100+80*i))
		if want == "both" {
			require.NoError(t, b.Do("240 V", components.Set{On: load, Key: "hots", Value: components.Num(2)}))
		}
		b.Connect(components.PortRef{Part: load, Port: "in"}, components.PortRef{Part: panel, Port: "main"})
		b.answer()
		rows := b.part(panel).Spec["circuits"].Rows()
		require.Len(t, rows, i+1)
		assert.Equal(t, want, rows[i]["leg"].Str())
	}
}
