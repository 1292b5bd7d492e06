package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

const relayVan = "../../testdata/rigs/relay-van.yaml"

// With the relay open the house bank is alone: what it lacks is told though the starting
// battery makes up for it while the engine runs. 1000 VA ÷ (0.9 × 10.5 V) + 17 A = 122.8 A.
func TestHouseBankAloneBehindAnOpenRelay(t *testing.T) {
	weak := []components.Edit{num("BAT2", "discharge_a", 60), num("BAT3", "discharge_a", 60)}
	edges(t, relayVan, "battery.bms-discharge-limit", []edge{
		{"with the engine off", weak, "BAT2", "may give 108 A for long and is asked for 122.8 A", false, "1000 VA ÷ 9.45 V + 17 A"},
		{"strong enough alone", []components.Edit{num("BAT2", "discharge_a", 70), num("BAT3", "discharge_a", 70), num("BAT2", "surge_a", 200), num("BAT3", "surge_a", 200)}, "BAT2", "", false, "126 A > 122.8 A"},
	})
	// With it closed the starting battery's current flows too: a fuse of the link must break it.
	edges(t, relayVan, "overcurrent.interrupting-rating", []edge{
		{"with the engine on", []components.Edit{num("F2", "interrupting_a", 1500)}, "F2", "can break 1500 A", false, "110.9"},
	})
}

func TestRelayStates(t *testing.T) {
	const practice = "common practice, no source"
	state := func(name string, engine bool) components.State {
		return components.State{Name: name, Engine: engine, SoC: 0.5}
	}
	edges(t, relayVan, "supply.no-state", []edge{
		{"a relay told, states worked out", nil, "SW1", "", false, practice},
		{"a switch of which nothing is told", []components.Edit{set("SW1", "closed_by", components.Value{})}, "SW1", "what closes SW1 is not known", true, practice},
		{"one that nobody knows", []components.Edit{unknown("SW1", "closed_by")}, "SW1", "what closes SW1 is not known", true, practice},
		{"the switch behind the relay is not asked of", nil, "SW2", "", false, practice},
		{"both by hand", []components.Edit{word("SW1", "closed_by", components.ByHand), word("SW2", "closed_by", components.ByHand)}, "SW1", "", false, practice},
		{"never apart", []components.Edit{components.SetStates{States: []components.State{state("On the road", true)}}}, "SW1", "SW1 is closed in every state", false, practice},
		{"never joined", []components.Edit{components.SetStates{States: []components.State{state("Camp", false)}}}, "SW1", "SW1 is open in every state", false, practice},
		{"both ways", []components.Edit{components.SetStates{States: []components.State{state("Camp", false), state("On the road", true)}}}, "SW1", "", false, practice},
	})
	doc := load(t, relayVan)
	for _, engine := range []bool{true, false} {
		next, err := doc.Apply(components.SetStates{States: []components.State{state("The one", engine)}})
		require.NoError(t, err)
		for _, f := range check(t, next).Findings {
			if f.At == "SW1" && f.Rule == NoState {
				require.Len(t, f.Fixes, 1)
				fixed, err := next.Apply(f.Fixes[0].Edits...)
				require.NoError(t, err)
				for _, g := range check(t, fixed).Findings {
					assert.False(t, g.At == "SW1" && g.Rule == NoState, g.Message)
				}
			}
		}
	}
}

// A flooded starting battery and an absorbed-glass-mat bank share the alternator's voltage
// while the relay joins them: advice. Joined for good, or lithium among them, is worse.
func TestUnlikeBatteriesOverARelay(t *testing.T) {
	const practice = "common practice, no source"
	edges(t, relayVan, "battery.string-uniformity", []edge{
		{"flooded and AGM by a relay", []components.Edit{word("BAT1", "chemistry", "flooded")}, "BAT2", "While a relay joins them", false, practice},
		{"by a switch", []components.Edit{word("BAT1", "chemistry", "flooded"), word("SW1", "closed_by", components.ByHand)}, "BAT2", "no one charging voltage suits both", false, practice},
		{"of one kind", nil, "BAT2", "", false, practice},
		{"lead beside lithium", []components.Edit{word("BAT1", "chemistry", "lfp")}, "BAT2", "one drives the other", false, practice},
	})
}
