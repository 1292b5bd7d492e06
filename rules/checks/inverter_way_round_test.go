package checks

import (
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
