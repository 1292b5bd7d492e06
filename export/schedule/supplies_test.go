package schedule

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/export/cards"
	"rigline/export/solved"
)

func rigOf(t *testing.T, path string) *solved.Rig {
	data, err := os.ReadFile(filepath.Join("../../testdata", path))
	require.NoError(t, err)
	return solved.Of(read(t, string(data)))
}

// The procedures name what feeds this rig: a set on a cord is no site, and where both
// are drawn the bypass is not turned with one of them on.
func TestProceduresNameWhatFeedsTheRig(t *testing.T) {
	for path, want := range map[string][]string{
		"rigs/set-on-a-cord.yaml": {
			"Switch off GEN1's breaker, then pull the cord at both ends: INL1 (Inlet)",
			"With GEN1's breaker off, turn the bypass switch of INV1; then GEN1 (Carried generator) feeds LD1 (Air conditioner), LD2 (Microwave), R1 (Outlets)",
			"Before it is turned back: GEN1's breaker off again, and the inverter off",
		},
		"topologies/t03.yaml": {
			"Switch off the site's breaker, then pull the cord at both ends: INL1 (Shore inlet)",
			"With GEN1's breaker and the site's off, turn the bypass switch of INV1; then GEN1 (Generator) or the site feeds LD1 (Front air conditioner), LD2 (Microwave), LD3 (Outlets)",
		},
		"rigs/caravan-inverter.yaml": {
			"What it feeds is fed on by the site: turn the transfer switch, or let it turn",
			"Measure at DCP1 (Fuse block): positive to negative, and each to the chassis",
		},
	} {
		rig := rigOf(t, path)
		var text strings.Builder
		for _, s := range Isolation(rig) {
			text.WriteString(s.Do + "\n")
		}
		for _, x := range OutOfOrders(rig) {
			text.WriteString(strings.Join(x.Steps, "\n") + "\n")
		}
		for _, w := range want {
			assert.Contains(t, text.String(), w, path)
		}
		if !strings.Contains(text.String(), "the site's breaker") {
			assert.NotContains(t, text.String(), "the site", path)
		}
	}
}

// An inverter without an input of its own goes by the supplies of the rig.
func TestAPlugGoesToWhatTheRigHas(t *testing.T) {
	data, err := os.ReadFile("../../testdata/topologies/t09.yaml")
	require.NoError(t, err)
	text := strings.Replace(string(data), "parts:\n", "parts:\n  - {id: INV9, kind: inverter, at: [100, 1000], spec: {continuous_va: 500, dc_v: 12.8, way_round: plug}}\n  - {id: LD9, kind: ac-load, at: [300, 1000], spec: {va: 100}}\n", 1)
	text = strings.Replace(text, "runs:\n", "runs:\n  - {id: W99, from: INV9.ac-out, to: LD9.in, size: 14 AWG, cable: tray-90, length_ft: 5}\n", 1)
	all := OutOfOrders(solved.Of(read(t, text)))
	require.Len(t, all, 1)
	assert.Contains(t, strings.Join(all[0].Steps, "\n"), "With GEN1's breaker off, move the plug of INV9 to the outlet beside it that the supply feeds; then GEN1 (Carried generator) feeds")
}

// What must never run together stands among the settings of both: no conductor shows it,
// and the bank is charged with more than it takes where it is left out.
func TestInterlocksAreSettings(t *testing.T) {
	rig := rigOf(t, "topologies/t14.yaml")
	found := map[string]string{}
	for _, s := range Settings(rig, cards.Of(rig.Doc)) {
		if s.What == "interlock" {
			found[string(s.Device)] = s.Value
		}
	}
	assert.Equal(t, map[string]string{"CHG1": "never together with DDC1 (House from LFP)", "DDC1": "never together with CHG1 (Converter)"}, found)
}
