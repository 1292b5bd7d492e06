package tables

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components/units"
)

func awg(t *testing.T, s string) units.Size {
	t.Helper()
	v, err := units.ParseSize(s)
	require.NoError(t, err)
	return v
}

// NEC Table 310.15(B)(1)(1): each factor is the formula at the top of its band,
// within rounding.
func TestAmbientFactorsFollowTheFormula(t *testing.T) {
	n := 0
	for _, b := range ambientBands() {
		for i, tc := range []float64{60, 75, 90} {
			if b.factor[i] == 0 {
				continue
			}
			assert.InDelta(t, math.Sqrt((tc-b.hi)/(tc-30)), b.factor[i], 0.0051, "%v °C at %v °C", tc, b.hi)
			n++
		}
	}
	assert.Equal(t, 39, n, "factors in the table")
}

// ASTM B258: d = 0.005·92^((36−n)/39) inches.
func TestSizesFollowTheGaugeFormula(t *testing.T) {
	for name, n := range map[string]float64{"18 AWG": 18, "14 AWG": 14, "10 AWG": 10, "6 AWG": 6, "2 AWG": 2, "1/0 AWG": 0, "2/0 AWG": -1, "3/0 AWG": -2, "4/0 AWG": -3} {
		d := 5 * math.Pow(92, (36-n)/39)
		assert.InEpsilon(t, d*d, awg(t, name).Cmil(), 0.003, name)
	}
}

// 33 CFR 183.425 Table 5 notes 1 and 2: the companion columns are products.
func TestDCTableProducts(t *testing.T) {
	for _, r := range read("ampacity_dc") {
		exact := r.num("table5_A") * r.num("engine_factor")
		assert.InDelta(t, exact, r.num("single_A_exact"), 1e-6, r["awg"])
		for col, k := range map[string]float64{"bundle3_A": .7, "bundle4to6_A": .6, "bundle7to24_A": .5, "bundle25plus_A": .4} {
			assert.InDelta(t, exact*k, r.num(col), 1e-6, "%s %s", r["awg"], col)
		}
	}
}

// NEC Chapter 9 Table 8: resistance times area is copper's, 12.5 to 13.0 Ω·cmil/ft.
func TestResistanceTimesArea(t *testing.T) {
	for s, w := range wires() {
		require.Positive(t, w.stranded, s)
		k := w.stranded * s.Cmil() / 1000
		assert.Truef(t, k > 12.5 && k < 13.05, "%s: %v", s, k)
	}
}

func TestACAmpacity(t *testing.T) {
	for _, c := range []struct {
		what   string
		q      ACQuery
		usable float64
		source string
	}{
		{"10 AWG 90 °C at 49 °C, 75 °C terminals", ACQuery{Size: awg(t, "10 AWG"), InsulationC: 90, TerminalC: 75, AmbientC: 48.89, Carrying: 3}, 32.8, "310.16 and Table 310.15(B)(1)(1): 40·0.82"},
		{"12 AWG six carrying at 45 °C, 60 °C terminals", ACQuery{Size: awg(t, "12 AWG"), InsulationC: 90, TerminalC: 60, AmbientC: 45, Carrying: 6}, 20, "30·0.87·0.80 = 20.88, terminals 20"},
		{"8 AWG 75 °C at 42 °C", ACQuery{Size: awg(t, "8 AWG"), InsulationC: 75, TerminalC: 75, AmbientC: 42, Carrying: 2}, 41, "50·0.82"},
		{"8 AWG sheathed cable", ACQuery{Size: awg(t, "8 AWG"), InsulationC: 90, TerminalC: 75, AmbientC: 30, Carrying: 2, NMCable: true}, 40, "334.80: 60 °C column"},
		{"6 AWG, terminals not told", ACQuery{Size: awg(t, "6 AWG"), InsulationC: 90, AmbientC: 30, Carrying: 3}, 55, "110.14(C)(1)(a)"},
		{"10 AWG cord, two carrying", ACQuery{Size: awg(t, "10 AWG"), Cord: true, AmbientC: 30, Carrying: 2}, 30, "Table 400.5(A)(1) column B"},
		{"6 AWG cord, three carrying", ACQuery{Size: awg(t, "6 AWG"), Cord: true, AmbientC: 30, Carrying: 3}, 45, "Table 400.5(A)(1) column A"},
	} {
		a, err := ACAmpacity(c.q)
		require.NoError(t, err, c.what)
		assert.InDelta(t, c.usable, a.Usable, 0.005*c.usable, "%s (%s): %v", c.what, c.source, a.Working)
	}
	_, err := ACAmpacity(ACQuery{Size: awg(t, "10 AWG"), InsulationC: 60, AmbientC: 58, Carrying: 2})
	assert.ErrorContains(t, err, "not permitted")
}

func TestDCAmpacity(t *testing.T) {
	for _, c := range []struct {
		q      DCQuery
		want   float64
		source string
	}{
		{DCQuery{Size: awg(t, "2 AWG"), InsulationC: 105, AmbientC: 30, Engine: true}, 178.5, "Table 5 note 1"},
		{DCQuery{Size: awg(t, "2 AWG"), InsulationC: 105, AmbientC: 30, Engine: true, Bundled: 3, NominalV: 51.2}, 124.95, "notes 1 and 2; a UL 1426 table prints 125"},
		{DCQuery{Size: awg(t, "2 AWG"), InsulationC: 105, AmbientC: 30, Bundled: 3, NominalV: 12}, 210, "183.435(b): no factor below 50 V"},
		{DCQuery{Size: awg(t, "10 AWG"), InsulationC: 90, AmbientC: 60}, 38.9, "55·√(30/60)"},
		{DCQuery{Size: awg(t, "6 AWG"), InsulationC: 105, TerminalC: 75, AmbientC: 30}, 95, "75 °C column"},
	} {
		a, err := DCAmpacity(c.q)
		require.NoError(t, err)
		assert.InDelta(t, c.want, a.Usable, 0.05, c.source)
	}
}

func TestWithstand(t *testing.T) {
	// ICEA P-32-382 applied: 2/0 at 6 kA from 75 to 250 °C, 2.848 s.
	assert.InEpsilon(t, 2.8483, Withstand(awg(t, "2/0 AWG"), 6000, 75, 250), 0.005)
}

func TestEquipmentGround(t *testing.T) {
	// NEC Table 250.122, copper.
	for amps, want := range map[float64]string{15: "14 AWG", 20: "12 AWG", 30: "10 AWG", 50: "10 AWG", 60: "10 AWG", 70: "8 AWG", 100: "8 AWG"} {
		s, err := EquipmentGround(amps)
		require.NoError(t, err)
		assert.Equal(t, want, s.String(), amps)
	}
}

func TestFamilies(t *testing.T) {
	t20, ok := FuseFamily("class-t")
	require.True(t, ok)
	assert.Equal(t, 20000.0, t20.Interrupts(58.4)) // UL 248-15: 20 kA at 125 V dc
	anl, _ := FuseFamily("anl")
	assert.Zero(t, anl.Interrupts(58.4), "a 32 V fuse breaks nothing at 58 V")
	strip, _ := FuseFamily("strip-sf51")
	least, _ := strip.Opens(613.8 / 250)
	assert.InDelta(t, 0.64, least, 0.02, "ISO 8820-5 points, log-log")
	_, most := strip.Opens(9)
	assert.True(t, math.IsNaN(most), "nothing beyond the last point")
}
