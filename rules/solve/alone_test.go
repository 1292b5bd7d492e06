package solve

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// A battery alone over the bare conductors gives what the whole network gives in which
// nothing else feeds: between every two terminals of every port of every rig, and from a
// string's plus to every terminal.
func TestAloneIsAsSolved(t *testing.T) {
	fed, strings := 0, 0
	for _, glob := range []string{"../../projects/samples/*.yaml", "../../testdata/topologies/*.yaml", "../../testdata/rigs/*.yaml"} {
		files, err := filepath.Glob(glob)
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, file := range files {
			doc, _, err := projects.Load(file)
			require.NoError(t, err)
			for _, st := range doc.Operating() {
				s := Solve(circuit.Build(doc, st))
				s.prepareLow()
				for i, from := range s.faults.low {
					own, ok := from.(*alone)
					if !ok {
						continue
					}
					var banks []components.Part
					for _, id := range s.Circuit.InSeries(s.faults.lowFrom[i]) {
						p, _ := doc.Part(id)
						banks = append(banks, p)
					}
					if len(banks) > 1 {
						strings++
					}
					whole := s.dcFault(faultKey{closed: s.contacts(dcSide), as: lowest, from: string(banks[0].ID), soc: st.SoC}, doc.ConductorTempC, banks)
					plus, _ := s.Circuit.At(banks[0].ID, "pos", components.Pos)
					same := func(a, b circuit.Term) {
						want, okW := whole.between(a, b)
						got, okG := own.between(a, b)
						require.Equal(t, okW, okG, "%s %s %s: %v %v", file, st.Name, banks[0].ID, s.Circuit.Terms[a], s.Circuit.Terms[b])
						if okW {
							fed++
							assert.InEpsilon(t, want.Amps, got.Amps, 1e-6)
							assert.InEpsilon(t, want.Volts, got.Volts, 1e-6)
							assert.InEpsilon(t, want.Ohms, got.Ohms, 1e-6)
						}
					}
					for k := range s.Circuit.Terms {
						same(plus, circuit.Term(k))
					}
					for k := range s.Circuit.Ports {
						for _, pair := range pairs {
							a, okA := s.Circuit.Ports[k].Term(pair.a)
							b, okB := s.Circuit.Ports[k].Term(pair.b)
							if okA && okB {
								same(a, b)
							}
						}
					}
				}
			}
		}
	}
	assert.Greater(t, fed, 1000)
	assert.Positive(t, strings, "some are batteries in series")
}
