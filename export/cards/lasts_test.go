package cards

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lamp of 128 W on 100 Ah: 10 A at 12.8 V and a little less at the 13.2 V of a
// half-full bank, 9.7 A. 80 % of 100 Ah last 8.2 h; 50 %, where the owner wants no more,
// 5.2 h.
func TestLastsToTheDepthThatIsTold(t *testing.T) {
	const lamp = `format: rigline/1
title: Lamp
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, discharge_a: 100%s}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: blade-atc, rating_a: 15}}
  - {id: DL1, kind: dc-load, name: Lamp, at: [400, 100], spec: {a: 10}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 10 AWG, cable: primary-105, length_ft: 0.5}
  - {id: W2, from: F1.load, to: DL1.in, cores: ["+"], size: 12 AWG, cable: primary-105, length_ft: 1}
  - {id: W3, from: BAT1.neg, to: DL1.in, cores: ["-"], size: 12 AWG, cable: primary-105, length_ft: 1}
`
	for told, want := range map[string]float64{"": 8.2, ", usable_dod: 0.5": 5.2, ", usable_dod: 0.9": 9.3} {
		all := Of(read(t, fmt.Sprintf(lamp, told)))
		require.Len(t, all, 1)
		require.Len(t, all[0].Choices, 1, "%s", all[0])
		assert.InDelta(t, want, all[0].Choices[0].Hours, 0.1, told)
		if strings.Contains(told, "0.5") {
			assert.Contains(t, all[0].Choices[0].Bank, "from full to 50 %")
		}
	}
}
