package checks

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// A load on two legs is lost without an inverter where the site's single leg can come
// to one of them only; a load on that leg is not.
func TestWayRoundCountsEachLeg(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(`
format: rigline/1
parts:
  - {id: SH1, kind: shore, at: [100, 80], spec: {service: 30a-120}}
  - {id: INV1, kind: inverter, at: [100, 200], spec: {continuous_va: 4000, inverts: both-split, dc_v: 51.2, way_round: none}}
  - {id: LD1, kind: ac-load, at: [400, 80], spec: {va: 3000, hots: 2}}
  - {id: LD2, kind: ac-load, at: [400, 200], spec: {va: 600}}
runs:
  - {id: W1, from: INV1.ac-out, to: LD1.in}
  - {id: W2, from: SH1.out, to: LD1.in, cores: ["L>L1", N, G]}
  - {id: W3, from: INV1.ac-out, to: LD2.in, cores: ["L1>L", N, G]}
`))
	require.NoError(t, err)
	lost, otherwise := LostWithout(circuit.Build(doc, doc.Operating()[0]), "INV1")
	assert.True(t, otherwise, "the site makes AC")
	assert.Equal(t, []components.ID{"LD1"}, lost)
}

// Every sound rig that is told to have no way round gets one, where it can be drawn:
// the switched rig is asked nothing more and has no danger and no violation.
func TestBypassIsDrawnSoundly(t *testing.T) {
	var rigs []*components.Document
	for _, s := range projects.Samples() {
		rigs = append(rigs, s.Document())
	}
	files, err := filepath.Glob("../../testdata/topologies/*.yaml")
	require.NoError(t, err)
	for _, f := range files {
		rigs = append(rigs, load(t, f))
	}
	drawn := 0
	for _, doc := range rigs {
		for _, inv := range doc.Parts() {
			if inv.Kind != &components.InverterCharger && inv.Kind != &components.Inverter {
				continue
			}
			bare, err := doc.Apply(word(inv.ID, "way_round", "none"))
			require.NoError(t, err)
			for _, f := range check(t, bare).All() {
				if f.Rule != WayRound || f.At != string(inv.ID) {
					continue
				}
				fix := f.Fixes[0]
				if strings.Contains(fix.Title, "not drawn") {
					continue
				}
				drawn++
				next, err := bare.Apply(fix.Edits...)
				require.NoError(t, err)
				r := check(t, next)
				for _, g := range r.All() {
					assert.Equal(t, "advice", g.Level.String(), "%s: %s: %s at %s: %s", doc.Title, fix.Title, g.Rule.ID, g.At, g.Message)
					assert.False(t, g.Rule == WayRound && g.At == f.At, "%s: %s", doc.Title, g.Message)
				}
				for _, g := range r.Unchecked {
					t.Logf("%s: asks %s at %s: %s", doc.Title, g.Rule.ID, g.At, g.Message)
				}
			}
		}
	}
	t.Logf("drawn in %d", drawn)
}

func TestWayRoundEdges(t *testing.T) {
	const practice = "a bypass that joins one source at a time, common practice"
	edges(t, "../../testdata/rules/inverter.way-round.yaml", "inverter.way-round", []edge{
		{"none", nil, "INV1", "nothing feeds LD1", false, practice},
		{"a bypass switch is told", []components.Edit{word("INV1", "way_round", "bypass-switch")}, "INV1", "", false, practice},
		{"a plug that moves", []components.Edit{word("INV1", "way_round", "plug")}, "INV1", "", false, practice},
		{"not told", []components.Edit{set("INV1", "way_round", components.Value{})}, "INV1", "how LD1 is fed", true, "nothing drawn and nothing told"},
		{"told as unknown", []components.Edit{unknown("INV1", "way_round")}, "INV1", "how LD1 is fed", true, "nothing drawn and nothing told"},
		{"nothing else makes AC", offGrid(), "INV1", "", false, "there is nothing to go round with"},
		{"the load is gone", []components.Edit{components.RemoveRun{ID: "W5"}, components.RemovePart{ID: "LD1"}}, "INV1", "", false, "nothing is lost"},
	})
	// W15 is the way round that the repair draws: CB1 to TS1.b.
	only := func(cores ...components.Pole) components.Edit {
		var all []components.Core
		for _, c := range cores {
			all = append(all, components.Core{From: c, To: c})
		}
		return components.Reroute{ID: "W15", From: components.PortRef{Part: "CB1", Port: "load"}, To: components.PortRef{Part: "TS1", Port: "b"}, Cores: all}
	}
	edges(t, "../../testdata/rules/inverter.way-round.fixed.yaml", "inverter.way-round", []edge{
		{"drawn", nil, "INV1", "", false, practice},
		{"without its neutral", []components.Edit{only(components.L, components.G)}, "INV1", "brings LD1 the hots alone", false, "NEC 702.5 from memory: the neutral goes with its supply"},
		{"without its hot", []components.Edit{only(components.N, components.G), word("INV1", "way_round", "none")}, "INV1", "nothing feeds LD1", false, practice},
		{"without its ground", []components.Edit{only(components.L, components.N)}, "INV1", "", false, "the ground rules speak of it"},
		{"a switch that leaves the neutral solid", []components.Edit{set("TS1", "switches", components.Words("L"))}, "INV1", "", false, "a neutral that is joined is a way"},
	})
}
