package cards

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// Two inverter/chargers behind one hot are set so that both may charge at once, beside
// the air conditioner and the refrigerator.
func TestChargersOnOneHotShareIt(t *testing.T) {
	data, err := os.ReadFile("../../testdata/topologies/t05.yaml")
	require.NoError(t, err)
	seen := 0
	for _, c := range Of(read(t, string(data))) {
		if c.Kind != Site || len(c.Limits) != 1 {
			continue
		}
		seen++
		assert.Empty(t, c.Unknown, c.Title)
		sum := 0.0
		for _, s := range c.Set {
			if amps, err := strconv.ParseFloat(strings.TrimSuffix(s.Value, " A"), 64); err == nil {
				sum += amps
			}
		}
		assert.LessOrEqual(t, sum, c.Limits[0].Amps, "%s: %v", c.Title, c.Set)
		assert.NotEmpty(t, c.Choices, c.Title)
	}
	assert.Equal(t, 3, seen, "30, 20 and 15 A through an adapter")
}

func TestDivide(t *testing.T) {
	inf := map[components.ID]float64{"A": 100, "B": 100}
	for _, row := range []struct {
		name   string
		gives  float64
		total  float64
		passes map[components.ID]float64
		limits map[components.ID]float64
		most   map[components.ID]float64
		want   map[components.ID]float64
	}{
		// Nothing on: 20 and 20 A of 30 A come down to 15 and 15 A.
		{"alike", 30, 0, map[components.ID]float64{}, map[components.ID]float64{"A": 20, "B": 20}, inf, map[components.ID]float64{"A": 15, "B": 15}},
		// A passes 12 A of 24 A, and charges only as far as its limit lies above that:
		// 12 A + (22 x − 12 A) + 11 x = 24 A, x = 8/11, 16 and 8 A.
		{"one passes", 24, 12, map[components.ID]float64{"A": 12}, map[components.ID]float64{"A": 22, "B": 11}, inf, map[components.ID]float64{"A": 16, "B": 8}},
		// One without a charger takes nothing away.
		{"one has none", 24, 2, map[components.ID]float64{"B": 2}, map[components.ID]float64{"A": 22, "B": 13}, map[components.ID]float64{"A": 100, "B": 0}, map[components.ID]float64{"A": 22, "B": 13}},
		// Small chargers never come to their limits.
		{"small", 24, 2, map[components.ID]float64{"B": 2}, map[components.ID]float64{"A": 22, "B": 13}, map[components.ID]float64{"A": 5, "B": 5}, map[components.ID]float64{"A": 22, "B": 13}},
	} {
		s := shared{}
		for id := range row.limits {
			s.note("hot", 0, row.total, id, row.passes[id])
		}
		s.divide("hot", row.gives, row.limits, row.most)
		assert.Equal(t, row.want, row.limits, row.name)
	}
}

// What an inverter may draw for hours is not above what the breaker ahead of it is
// good for.
func TestLimitMindsTheBreakerAhead(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "clinic-trailer" {
			continue
		}
		c := Of(s.Document())[0]
		require.Equal(t, "50 A site", c.Title)
		require.Len(t, c.Set, 1)
		assert.Equal(t, "24 A", c.Set[0].Value, "its relay is good for 30 A, and so is the circuit's breaker, not for hours")
		assert.Contains(t, c.Set[0].Why, "80 % of PNL1 circuit 1's 30 A breaker")
		return
	}
	t.Fatal("no such sample")
}
