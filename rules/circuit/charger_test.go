package circuit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// A DC-DC charger waits for the engine where its input hangs on the alternator or
// the starting battery; between two house banks it works whenever its input is
// alive. What it is told goes before what it hangs on.
func TestChargesFromWhatItHangsOn(t *testing.T) {
	for _, row := range []struct {
		name, role, runs    string
		alternator          bool
		resting, withEngine bool
	}{
		{"house bank to house bank", "house", "", false, true, true},
		{"starting battery", "starting", "", false, false, true},
		{"alternator on the house bank", "house", "", true, false, true},
		{"told to wait", "house", "engine", false, false, true},
		{"told not to wait", "starting", "always", false, true, true},
	} {
		t.Run(row.name, func(t *testing.T) {
			bat := components.Spec{"chemistry": components.Str("agm"), "nominal_v": components.Num(12), "capacity_ah": components.Num(100), "role": components.Str(row.role)}
			spec := components.Spec{"output_a": components.Num(20), "in_v": components.Num(12), "out_v": components.Num(12)}
			if row.runs != "" {
				spec["runs"] = components.Str(row.runs)
			}
			edits := []components.Edit{
				components.AddPart{Part: components.Part{ID: "BAT1", Kind: &components.Battery, Spec: bat}},
				components.AddPart{Part: components.Part{ID: "DDC1", Kind: &components.DCCharger, At: components.Point{X: 200}, Spec: spec}},
				components.AddRun{Run: components.Run{ID: "W1", From: components.PortRef{Part: "BAT1", Port: "pos"}, To: components.PortRef{Part: "DDC1", Port: "in"}}},
			}
			if row.alternator {
				edits = append(edits,
					components.AddPart{Part: components.Part{ID: "ALT1", Kind: &components.Alternator, At: components.Point{X: 400}, Spec: components.Spec{"rating_a": components.Num(100)}}},
					components.AddRun{Run: components.Run{ID: "W2", From: components.PortRef{Part: "ALT1", Port: "out"}, To: components.PortRef{Part: "BAT1", Port: "pos"}}})
			}
			doc, err := components.NewDocument("t").Apply(edits...)
			require.NoError(t, err)
			p, _ := doc.Part("DDC1")
			assert.Equal(t, row.resting, Build(doc, components.State{}).Charges(p), "engine off")
			assert.Equal(t, row.withEngine, Build(doc, components.State{Engine: true}).Charges(p), "engine on")
		})
	}
}
