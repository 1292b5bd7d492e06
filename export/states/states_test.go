package states_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/export/states"
	"rigline/projects"
)

// The JSON has the form of the format, and its figures fit each other: what a
// charging bank takes, what a load gets, one bond at the source.
func TestOf(t *testing.T) {
	sample, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	d, err := states.Of(sample.Document(), "library-bus.yaml", "")
	require.NoError(t, err)
	require.NotEmpty(t, d.States)
	data, err := json.Marshal(d)
	require.NoError(t, err)
	var form struct {
		Format string
		States []struct {
			Name string
			AC   struct {
				Terminals map[string]struct{ V, Deg float64 }
				Cores     map[string]map[string]struct{ A, Deg float64 }
				Bonds     []struct {
					Island int
					At     []string
					Source string
				}
			}
			DC struct {
				Cores map[string]map[string]struct{ A float64 }
			}
			Faults map[string]map[string]struct {
				Highest float64 `json:"highest_a"`
				Lowest  float64 `json:"lowest_a"`
			}
			Check struct {
				KCL        float64 `json:"kcl_worst_a"`
				Iterations int
			}
		}
	}
	require.NoError(t, json.Unmarshal(data, &form))
	assert.Equal(t, "rigcheck/1", form.Format)
	for _, s := range form.States {
		require.Len(t, s.AC.Bonds, 1, s.Name)
		assert.Equal(t, []string{s.AC.Bonds[0].Source}, s.AC.Bonds[0].At, "%s: the one bond stands at the source", s.Name)
		assert.Less(t, s.Check.KCL, 1e-6)
		assert.Positive(t, s.Check.Iterations)
		assert.InDelta(t, 120, s.AC.Terminals["PNL1.main.L1"].V, 4, s.Name)
		f := s.Faults["INV1.dc"]["+-"]
		assert.Greater(t, f.Highest, f.Lowest, s.Name)
		assert.Positive(t, f.Lowest, s.Name)
		assert.InDelta(t, s.DC.Cores["W14"]["+"].A, s.DC.Cores["W15"]["+"].A, 1e-3, "%s: a fuse passes what it gets", s.Name)
	}
}

func TestAStateByNameAndItsText(t *testing.T) {
	sample, _ := projects.FindSample("camper-van")
	_, err := states.Of(sample.Document(), "", "Off grit")
	assert.ErrorContains(t, err, `did you mean "Off grid"?`)
	d, err := states.Of(sample.Document(), "", "Off grid")
	require.NoError(t, err)
	require.Len(t, d.States, 1)
	var b bytes.Buffer
	require.NoError(t, states.Write(&b, d))
	for _, words := range []string{"Off grid\n========", "INV1 feeds the rig; neutral meets ground once: INV1", "BAT1 gives", "LD1", "Kirchhoff residual"} {
		assert.Contains(t, b.String(), words)
	}
}
