package folio

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// The day of the camper van, worked out on paper. Through the step-down of 0.92: lamps
// 4 A × 12.8 V × 4 h / 0.92 = 223 Wh, fridge 5 A × 12.8 V × 9 h / 0.92 = 626 Wh; the
// inverter idles at 15 W × 24 h = 360 Wh; through its 0.9: plate 1200 W × 0.7 h / 0.9 =
// 933 Wh, desk 200 W × 5 h / 0.9 = 1111 Wh: 3253 Wh. The bank gives 25.6 V × 200 Ah ×
// 0.8 = 4096 Wh: 1.26 days. 70 % of 799.7 W for 4.5 h are 2519 Wh; the engine's 20 A for
// an hour 512 Wh.
func TestTheDayOfTheVanByHand(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "camper-van" {
			continue
		}
		c := day(s.Document())
		require.Len(t, c.Entries, 1)
		var says []string
		for _, l := range c.Entries[0].Lines {
			says = append(says, l.Says)
		}
		assert.Contains(t, says, "lfp, 25.6 V, 200 Ah: 4096 Wh usable")
		assert.Contains(t, says, "the loads take 3253 Wh a day")
		assert.Contains(t, says, "without any charge it lasts 1.3 days")
		assert.Contains(t, says, "held back by: the sources: they offer 3031 Wh a day and the loads use 3253 Wh")
		require.Len(t, c.Tables, 3)
		assert.Equal(t, [][]string{
			{"BAT1", "DL1 Lamps", "223", "18 Wh"}, {"BAT1", "DL2 Fridge", "626", "50 Wh"}, {"BAT1", "INV1 idle", "360", ""},
			{"BAT1", "LD1 Induction plate", "933", "93 Wh"}, {"BAT1", "LD2 Desk", "1111", "111 Wh"},
		}, c.Tables[0].Rows)
		assert.Equal(t, "2519", c.Tables[1].Rows[0][2])
		assert.Equal(t, "512", c.Tables[1].Rows[1][2])
		assert.Len(t, c.Tables[2].Rows, 24)
		return
	}
	t.Fatal("no such sample")
}

// A rig in which no load tells its hours has no day.
func TestNoHoursNoDay(t *testing.T) {
	assert.True(t, day(components.NewDocument("nothing")).empty())
}
