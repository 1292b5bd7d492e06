package tables

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components/units"
)

func sizeOf(t *testing.T, text string) units.Size {
	t.Helper()
	s, err := units.ParseSize(text)
	require.NoError(t, err)
	return s
}

// gauge is a solid round conductor by ASTM B258, d = 0.005 in · 92^((36−n)/39).
type gauge struct{ n float64 }

func (g gauge) inches() float64 { return 0.005 * math.Pow(92, (36-g.n)/39) }
func (g gauge) cmil() float64   { return math.Pow(1000*g.inches(), 2) }
func (g gauge) mm2() float64    { return math.Pi / 4 * math.Pow(25.4*g.inches(), 2) }

// ohmPerKm is of annealed copper, 1/58 Ω·mm²/m at 20 °C and 0.00393/K (IEC 60028).
func (g gauge) ohmPerKm(tempC float64) float64 {
	return 1000.0 / 58 / g.mm2() * (1 + 0.00393*(tempC-20))
}

const kftPerKm = 1 / 0.3048

// Sizes and resistances of the gauges follow from ASTM B258 and IEC 60028, and
// Table 8 from them: 1.5 to 2.7 % above the solid wire for the lay of its strands,
// and within 0.7 % of it where it is solid.
func TestGaugesFollowTheFormula(t *testing.T) {
	for _, r := range worked(t, "gauges.csv") {
		g := gauge{r.num("n")}
		assert.InEpsilon(t, g.inches(), r.num("diameter_in"), 2e-4, r["awg"])
		assert.InEpsilon(t, 25.4*g.inches(), r.num("diameter_mm"), 1e-4, r["awg"])
		assert.InEpsilon(t, g.cmil(), r.num("area_cmil"), 1e-4, r["awg"])
		assert.InEpsilon(t, g.mm2(), r.num("area_mm2"), 2e-4, r["awg"])
		assert.InEpsilon(t, g.ohmPerKm(20), r.num("r20_ohm_per_km"), 1e-4, r["awg"])
		assert.InEpsilon(t, g.ohmPerKm(20)/kftPerKm, r.num("r20_ohm_per_kft"), 1e-4, r["awg"])
		assert.InEpsilon(t, g.ohmPerKm(75)/kftPerKm, r.num("r75_ohm_per_kft"), 1e-4, r["awg"])

		s, err := units.ParseSize(r["awg"])
		if err != nil {
			continue // an odd gauge, or 20 AWG: not among the sizes
		}
		assert.InEpsilon(t, g.cmil(), s.Cmil(), 0.003, "%s: Table 8 rounds to four figures at most", s)
		w, ok := table8()[s]
		require.True(t, ok, s)
		solid := g.ohmPerKm(75) / kftPerKm
		assert.InDelta(t, 1.021, w.stranded/solid, 0.006, "%s stranded", s)
		if w.solid > 0 {
			assert.InEpsilon(t, solid, w.solid, 0.007, "%s solid", s)
		}
		if told, ok := r.maybe("nec_t8_stranded_75C_ohm_per_kft"); ok {
			assert.Equal(t, told, w.stranded, s)
		}
	}
}

// Every row of Table 8: R × area is copper's, 12.5 to 13.0 Ω·cmil/ft uncoated, 2.8
// to 6.3 % more coated, and aluminum's, 20.7 to 21.3; the area is the size's own.
func TestTable8ResistanceTimesArea(t *testing.T) {
	for _, r := range read("nec_ch9_table_8") {
		s := r.size("size")
		assert.InEpsilon(t, s.Cmil(), 1000*r.num("area_kcmil"), 1e-9, s)
		k := r.num("cu_uncoated") * r.num("area_kcmil")
		assert.Truef(t, k > 12.5 && k < 13.0, "%s: %.2f", s, k)
		coated := r.num("cu_coated") / r.num("cu_uncoated")
		assert.Truef(t, coated > 1.028 && coated < 1.064, "%s coated: %.3f", s, coated)
		al := r.num("al") * r.num("area_kcmil")
		assert.Truef(t, al > 20.7 && al < 21.3, "%s aluminum: %.2f", s, al)
	}
	assert.Len(t, table8(), len(units.AWGSizes()), "every size that there is")
}

// Table 9: resistance in PVC is Table 8's rounded to two figures, within 3.5 %;
// reactance in steel is 1.24 to 1.27 times that in PVC.
func TestTable9FollowsTable8(t *testing.T) {
	for _, r := range read("nec_ch9_table_9") {
		s := r.size("size")
		assert.InEpsilon(t, table8()[s].stranded, r.num("r_cu_pvc"), 0.036, s)
		ratio := r.num("x_steel") / r.num("x_pvc")
		assert.Truef(t, ratio > 1.23 && ratio < 1.28, "%s: %.3f", s, ratio)
		if al, ok := r.maybe("r_al_pvc"); ok {
			assert.InDelta(t, 1.64, al/r.num("r_cu_pvc"), 0.05, s)
		}
	}
}

// IEC 60228 class 5: R × section is 19.0 to 20.0 Ω·mm²/km, annealed copper's 17.24 with
// what nominal sections and the lay take; coated wires 1.8 to 3.1 % more.
func TestClass5ResistanceTimesSection(t *testing.T) {
	for _, r := range read("iec_60228_class_5") {
		k := r.num("plain") * r.num("mm2")
		assert.Truef(t, k > 19.0 && k < 20.0, "%v mm²: %.2f", r["mm2"], k)
		coated := r.num("tinned") / r.num("plain")
		assert.Truef(t, coated > 1.018 && coated < 1.031, "%v mm²: %.3f", r["mm2"], coated)
	}
	for _, s := range units.MetricSizes() {
		assert.Contains(t, class5(), float64(s.MM2()))
	}
}

// NEC Table 310.15(B)(1)(1): each factor is √((Tc − Ta)/(Tc − 30)) at the top of its
// band, and no factor stands where that leaves nothing.
func TestAmbientFactorsFollowTheFormula(t *testing.T) {
	factors := 0
	for _, b := range ambientBands() {
		for i, tc := range ratings310 {
			if b.factor[i] == 0 {
				_, err := AmbientFactor(b.to, float64(tc))
				assert.Error(t, err)
				assert.GreaterOrEqual(t, b.to, float64(tc))
				continue
			}
			f, err := ThermalFactor(tc, units.Celsius(b.to))
			require.NoError(t, err)
			assert.InDelta(t, f, b.factor[i], 0.0051, "%v at %v °C", tc, b.to)
			factors++
		}
	}
	assert.Equal(t, 39, factors, "factors in the table")
}

// NEC Table 310.16: ampacity rises with size and with the column; aluminum carries
// 72 to 88 % of copper, and the 90 °C column of copper is 1.31 to 1.67 times the
// 60 °C one, √(60/30) = 1.41 by the formula and more where 240.4(D) holds it down.
func TestTable310Ascends(t *testing.T) {
	var before row310
	for _, s := range units.AWGSizes() {
		r, ok := table310()[s]
		if !ok {
			assert.True(t, s.Less(sizeOf(t, "14 AWG")), "%s is missing", s)
			continue
		}
		for metal := range r {
			for col := range r[metal] {
				if r[metal][col] == 0 {
					assert.Equal(t, "14 AWG", s.String(), "only aluminum of 14 AWG is not tabulated")
					continue
				}
				assert.Greater(t, r[metal][col], before[metal][col], s)
				if col > 0 {
					assert.Greater(t, r[metal][col], r[metal][col-1], s)
				}
			}
			if r[1][0] > 0 {
				assert.InDelta(t, 0.80, r[1][0]/r[0][0], 0.08, s)
			}
		}
		assert.InDelta(t, 1.49, r[0][2]/r[0][0], 0.18, s)
		before = r
	}
}

// 33 CFR 183.425 Table 5 with notes 1 and 2: each of the 210 rows, single and in
// bundles, comes out of DCAmpacity at 51.2 V. The regulation's 1.00 for 200 °C in an
// engine space is the one exception, where DCAmpacity is 6 % below.
func TestDCAmpacityGivesTheProducts(t *testing.T) {
	rows := worked(t, "dc_products.csv")
	require.Len(t, rows, 210)
	for _, r := range rows {
		engine := r["engine"] == "yes"
		scale := 1.0
		if engine && r["insulation_c"] == "200" {
			scale = 0.94
		}
		for _, c := range []struct {
			col   string
			count []int
		}{{"single", []int{0, 1, 2}}, {"bundle_3", []int{3}}, {"bundle_4_6", []int{4, 6}}, {"bundle_7_24", []int{7, 24}}, {"bundle_25", []int{25, 60}}} {
			for _, n := range c.count {
				a, err := DCAmpacity(DCQuery{Size: r.size("size"), InsulationC: r.num("insulation_c"), AmbientC: 30, Engine: engine, Bundled: n, NominalV: 51.2})
				require.NoError(t, err)
				assert.InDelta(t, scale*r.num(c.col), a.Usable, 1e-9, "%s %s °C, %d together: %v", r["size"], r["insulation_c"], n, a.Working)
			}
		}
		assert.LessOrEqual(t, math.Abs(r.num("single")-r.num("printed")), 0.5, "%s: rounded in print", r["size"])
	}
}

// 33 CFR 183.425 Table 5 note 1 follows from the thermal formula at 50 °C within
// 0.01, but for 200 °C.
func TestEngineFactorsFollowTheFormula(t *testing.T) {
	for _, tc := range ratings183 {
		f, err := EngineFactor(tc)
		require.NoError(t, err)
		want, err := ThermalFactor(tc, 50)
		require.NoError(t, err)
		assert.InDelta(t, want, f, 0.0101, tc)
		if tc == 200 {
			assert.Equal(t, 1.0, engineFactors()[tc], "as the regulation prints it")
			assert.Equal(t, 0.94, f)
		}
	}
}

// SAE J1127 and J1128: 2 to 11 % below the AWG of the same number.
func TestGaugeAreasAreBelowAWG(t *testing.T) {
	for s, area := range saeAreas() {
		short := 1 - area/s.Cmil()
		assert.Truef(t, short > 0.02 && short < 0.115, "%s: %.3f", s, short)
	}
}

// NEC Table 690.7(A): the factor falls as the air gets warmer, and is that of
// −0.40 %/K at the cold end of its band, a little less at −40 °C.
func TestColdFactorsAreSilicon(t *testing.T) {
	last := math.Inf(1)
	for _, b := range coldBands() {
		assert.Less(t, b.factor, last)
		last = b.factor
		assert.InDelta(t, 1+0.0040*(25-b.from), b.factor, 0.011, "from %v °C", b.from)
	}
}

// A battery's figures stand in their order: rest voltage falls with the charge and
// fits under absorption, absorption under the most, and a fault meets no more
// resistance than a load.
func TestBatteryFiguresStandInOrder(t *testing.T) {
	require.Len(t, chemistries(), 4)
	for id, c := range chemistries() {
		assert.NotEmpty(t, c.Name, id)
		require.Equal(t, 100.0, c.OCV[0][0], id)
		require.Zero(t, c.OCV[len(c.OCV)-1][0], id)
		for i := 1; i < len(c.OCV); i++ {
			assert.Less(t, c.OCV[i][0], c.OCV[i-1][0], id)
			assert.Less(t, c.OCV[i][1], c.OCV[i-1][1], id)
		}
		assert.IsIncreasing(t, []float64{c.CutOff.Trip, c.CutOff.Load, c.OCV[0][1], c.ChargeVoltage.Absorb, c.ChargeVoltage.Max}, id)
		assert.Less(t, c.ChargeVoltage.Float, c.ChargeVoltage.Absorb, id)
		assert.LessOrEqual(t, c.Resistance.Fault, c.Resistance.Sag, id)
		assert.LessOrEqual(t, c.ChargeRate.Usual, c.ChargeRate.Max, id)
		assert.LessOrEqual(t, c.DischargeRate.Usual, c.DischargeRate.Max, id)
		assert.Less(t, c.Temperature.ChargeMin, c.Temperature.ChargeMax, id)
		assert.Less(t, c.UsableDoD.Value, c.UsableDoD.Max, id)
		assert.GreaterOrEqual(t, c.Peukert, 1.0, id)
		assert.Less(t, c.Efficiency.Energy, c.Efficiency.Coulombic, id)
		assert.Equal(t, c.NominalVoltage, float64(c.Cells)*map[int]float64{4: 3.2, 6: 2}[c.Cells], id)
		how, ok := c.Verified("fault_mohm")
		assert.True(t, ok)
		assert.NotEmpty(t, how)
	}
}
