package checks

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

const fuseInAHot = `format: rigline/1
title: "ac fuse"
parts:
  - {id: SH1, kind: shore, at: [100, 80], spec: {service: 30a-120, available_fault_a: 5000}}
  - {id: INL1, kind: inlet, at: [220, 80], spec: {rating_a: 30}}
  - {id: F1, kind: fuse, at: [340, 80], spec: {family: class-t, rating_a: 30, pole: L}}
  - {id: PNL1, kind: panel, at: [680, 100], spec: {bus_a: 30, main_a: 30, legs: 1, circuits: [{breaker_a: 15, label: Fridge}]}}
runs:
  - {id: W1, from: SH1.out, to: INL1.site, size: 10 AWG, cable: cord-shore, length_ft: 25}
  - {id: W2, from: INL1.rig, to: F1.line, cores: [L], size: 10 AWG, cable: tray-90, length_ft: 1}
  - {id: W3, from: F1.load, to: PNL1.main, cores: [L], size: 10 AWG, cable: tray-90, length_ft: 1}
  - {id: W4, from: INL1.rig, to: PNL1.main, cores: [N, G], size: 10 AWG, cable: tray-90, length_ft: 2}
`

// A fuse in a hot is held to the site's fault current like a breaker (NEC 2023
// 110.9): 5000 A at the outlet, less what 27 ft of 10 AWG leaves of it; what it
// breaks is asked for where its label has not been read.
func TestFuseInAHotBreaksTheFault(t *testing.T) {
	for _, c := range []struct {
		breaks components.Value
		want   string // of the rule at F1
	}{
		{components.Value{}, "unchecked"},
		{components.Num(1000), "violation"},
		{components.Num(3200), "violation"},
		{components.Num(3300), "sound"},
	} {
		doc, _, err := projects.Read("fuse.yaml", []byte(fuseInAHot))
		require.NoError(t, err)
		if c.breaks.Told() {
			doc, err = doc.Apply(set("F1", "interrupting_a", c.breaks))
			require.NoError(t, err)
		}
		got := "sound"
		r := check(t, doc)
		for _, f := range append(r.All(), r.Unchecked...) {
			if f.At != "F1" || f.Rule.ID != InterruptingRating.ID {
				continue
			}
			got = strings.ToLower(f.Level.String())
			if f.Unchecked {
				got = "unchecked"
			}
		}
		assert.Equal(t, c.want, got, c.breaks.String())
	}
}
