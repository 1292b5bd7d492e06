package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// A conductor that carries its whole ampacity stands at its insulation's rating,
// one that carries half of it a quarter of the way up: the model behind the
// 30 °C tables (33 CFR 183.425 Table 5).
func TestTemperature(t *testing.T) {
	doc := load(t, "../../testdata/rules/clean.yaml")
	for _, st := range doc.Operating() {
		if st.Name != "Off grid" {
			continue
		}
		c := circuit.Build(doc, st)
		s := solve.Solve(c)
		require.Nil(t, s.Failure)
		got, ok := Temperature(c, s, "W8") // 2/0 AWG, 330 A at 105 °C, air 30 °C
		require.True(t, ok)
		for i, l := range c.Links {
			if l.Run == "W8" {
				amps, _ := s.Amps(i)
				assert.InDelta(t, 30+75*(amps/330)*(amps/330), got, 0.01)
			}
		}
		assert.Greater(t, got, 30.0)
	}
}
