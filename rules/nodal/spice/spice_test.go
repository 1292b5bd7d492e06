package spice

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/rules/nodal"
)

func solved(t *testing.T, w *nodal.Network) *nodal.Result {
	t.Helper()
	f, err := w.Factor()
	require.NoError(t, err)
	r, err := f.Solve()
	require.NoError(t, err)
	return r
}

// Every form of branch in one deck: sources with and without impedance, a short,
// an inductance, a capacitance, a current source; what is dead is left out.
func TestDeck(t *testing.T) {
	const omega = 2 * math.Pi * hertz // of an inductance of 1 H, and of a capacitance of 1 F
	w := nodal.New(7)
	w.Source(1, 0, 120i, 0.5)
	w.Branch(1, 2, 0)
	w.Branch(2, 3, complex(0, omega))
	w.Branch(3, 0, complex(8, -1/omega))
	w.Source(4, 3, -12, 0)
	w.Current(4, 0, 2)
	w.Branch(5, 6, 1)
	deck, alias := Deck(solved(t, w), 7)
	assert.Equal(t, `* network
VE0 e0 0 AC 120 90
V0 n2 m0 AC 0 0
R0 m0 e0 0.5
V2 n2 m2 AC 0 0
L2 m2 n3 1
V3 n3 m3 AC 0 0
R3 m3 x3 8
C3 x3 0 1
VE4 m4 n3 AC 12 180
V4 n4 m4 AC 0 0
I5 n4 0 AC 2 0
.ac lin 1 60 60
.end
`, deck)
	assert.Equal(t, 2, alias(1))
}

func TestDirect(t *testing.T) {
	w := nodal.New(3)
	w.Source(1, 0, 12, 0.5)
	w.Branch(1, 2, 1.5)
	w.Branch(2, 0, 4)
	r := solved(t, w)
	deck, _ := Direct(r, 3)
	assert.Contains(t, deck, "VE0 e0 0 DC 12\n")
	assert.True(t, strings.HasSuffix(deck, ".op\n.end\n"))
	a := Run(t, Available(t), deck)
	assert.InDelta(t, 8, real(a.V[2]), 1e-9)
	assert.InDelta(t, -2, real(a.I[0]), 1e-9)
	assert.InDelta(t, 2, real(a.I[2]), 1e-9)
}

func TestDirectIsRealOnly(t *testing.T) {
	w := nodal.New(2)
	w.Source(1, 0, 12, 0.5)
	w.Branch(1, 0, 1+1i)
	r := solved(t, w)
	assert.Panics(t, func() { Direct(r, 2) })
}

func TestParse(t *testing.T) {
	a, err := parse(strings.NewReader("Variables:\n\t0\tfrequency\tfrequency\n\t1\tn3\tvoltage\n\t2\ti(v7)\tcurrent\nValues:\n 0\t60,0\n\t1.5,-2\n\t3e-1,4\n"))
	require.NoError(t, err)
	assert.Equal(t, 1.5-2i, a.V[3])
	assert.Equal(t, 0.3+4i, a.I[7])
	_, err = parse(strings.NewReader("Variables:\n\t1\tn3\tvoltage\nValues:\n"))
	require.EqualError(t, err, "0 values for 1 names")
	_, err = parse(strings.NewReader("Variables:\n\t1\tn3\tvoltage\nValues:\n 0\tmany\n"))
	require.Error(t, err)
}

func TestSeconds(t *testing.T) {
	assert.InDelta(t, 0.139, seconds("Total analysis time (seconds) = 0.139\n"), 1e-12)
	assert.InDelta(t, 2e-5, seconds("total analysis time: 2e-05\n"), 1e-12)
	assert.Zero(t, seconds("nothing of the kind"))
}
