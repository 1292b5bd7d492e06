package tables

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components/units"
)

func TestACAmpacity(t *testing.T) {
	for _, c := range []struct {
		what   string
		q      ACQuery
		usable float64
		source string
	}{
		{"75 °C terminals", ACQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 90, TerminalC: 75, AmbientC: 48.89, Carrying: 3}, 32.8, "40·0.82, below the 35 of 75 °C"},
		{"six together, terminals bind", ACQuery{Size: sizeOf(t, "12 AWG"), InsulationC: 90, TerminalC: 60, AmbientC: 45, Carrying: 6}, 20, "30·0.87·0.80 = 20.88, terminals 20"},
		{"seven together", ACQuery{Size: sizeOf(t, "12 AWG"), InsulationC: 90, TerminalC: 60, AmbientC: 30, Carrying: 7}, 20, "30·0.70 = 21, terminals 20"},
		{"sheathed cable", ACQuery{Size: sizeOf(t, "8 AWG"), InsulationC: 90, TerminalC: 75, AmbientC: 30, Carrying: 2, NMCable: true}, 40, "334.80: 60 °C column"},
		{"sheathed cable in heat", ACQuery{Size: sizeOf(t, "12 AWG"), InsulationC: 90, TerminalC: 75, AmbientC: 60, Carrying: 9, NMCable: true}, 14.91, "334.80 lets the 90 °C column be corrected: 30·0.71·0.70"},
		{"terminals not told, small", ACQuery{Size: sizeOf(t, "6 AWG"), InsulationC: 90, AmbientC: 30, Carrying: 3}, 55, "110.14(C)(1)(a)"},
		{"terminals not told, 1 AWG", ACQuery{Size: sizeOf(t, "1 AWG"), InsulationC: 90, AmbientC: 30, Carrying: 3}, 110, "110.14(C)(1)(a) ends with 1 AWG"},
		{"terminals not told, 1/0", ACQuery{Size: sizeOf(t, "1/0 AWG"), InsulationC: 90, AmbientC: 30, Carrying: 3}, 150, "110.14(C)(1)(b)"},
		{"aluminum", ACQuery{Size: sizeOf(t, "4 AWG"), Metal: Aluminum, InsulationC: 75, TerminalC: 75, AmbientC: 30, Carrying: 3}, 65, "310.16 aluminum"},
		{"copper-clad goes by the aluminum column", ACQuery{Size: sizeOf(t, "10 AWG"), Metal: CopperClad, InsulationC: 90, TerminalC: 60, AmbientC: 30, Carrying: 3}, 25, "310.16"},
		{"105 °C insulation counts as 90", ACQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 105, TerminalC: 90, AmbientC: 30, Carrying: 1}, 40, "310.16 ends at 90 °C"},
		{"air between two bands takes the hotter", ACQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 90, TerminalC: 90, AmbientC: 40.5, Carrying: 1}, 34.8, "40·0.87"},
		{"cold air does not lift the terminals", ACQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 60, AmbientC: 5, Carrying: 1}, 30, "30·1.29, terminals 30"},
		{"cord, two carrying", ACQuery{Size: sizeOf(t, "10 AWG"), Cord: true, AmbientC: 30, Carrying: 2}, 30, "400.5(A)(1) column B"},
		{"cord, three carrying", ACQuery{Size: sizeOf(t, "6 AWG"), Cord: true, AmbientC: 30, CordCarrying: 3, Carrying: 2}, 45, "400.5(A)(1) column A"},
		{"cord, four carrying", ACQuery{Size: sizeOf(t, "6 AWG"), Cord: true, AmbientC: 30, CordCarrying: 4}, 36, "45·0.80, 400.5(A)(3)"},
		{"cord in heat", ACQuery{Size: sizeOf(t, "10 AWG"), Cord: true, AmbientC: 45, CordCarrying: 2}, 21.3, "30·0.71"},
		{"cord in the cold", ACQuery{Size: sizeOf(t, "10 AWG"), Cord: true, AmbientC: 0, CordCarrying: 2}, 30, "its plug does not carry more"},
	} {
		t.Run(c.what, func(t *testing.T) {
			a, err := ACAmpacity(c.q)
			require.NoError(t, err)
			assert.InDelta(t, c.usable, a.Usable, 1e-9, "%s: %v", c.source, a.Working)
			assert.LessOrEqual(t, a.Usable, a.Corrected)
			assert.NotEmpty(t, a.Working)
		})
	}
}

func TestACAmpacityTellsItsWorking(t *testing.T) {
	a, err := ACAmpacity(ACQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 90, AmbientC: 43, Carrying: 4})
	require.NoError(t, err)
	assert.Equal(t, []string{
		"310.16, 90 °C column: 10 AWG = 40 A",
		"× 0.87 at 43 °C = 34.8 A",
		"× 0.8 for 4 carrying together = 27.8 A",
	}, a.Working, "30 A of the terminals does not bind and is not mentioned")
	assert.Equal(t, []string{"terminals taken as 60 °C"}, a.RestsOn)
	a, err = ACAmpacity(ACQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 90, AmbientC: 30, Carrying: 2})
	require.NoError(t, err)
	assert.Equal(t, "terminals not marked, 60 °C to 1 AWG (110.14(C)): not above 30 A", a.Working[len(a.Working)-1])
}

func TestACAmpacityOutsideItsTables(t *testing.T) {
	ok := ACQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 90, TerminalC: 60, AmbientC: 30, Carrying: 2}
	with := func(change func(*ACQuery)) ACQuery { q := ok; change(&q); return q }
	for _, c := range []struct {
		q    ACQuery
		want string
	}{
		{with(func(q *ACQuery) { q.Size = units.Size{} }), "no size"},
		{with(func(q *ACQuery) { q.Size = sizeOf(t, "18 AWG") }), "outside NEC Table 310.16"},
		{with(func(q *ACQuery) { q.Size = sizeOf(t, "2.5 mm2") }), "AWG and kcmil only"},
		{with(func(q *ACQuery) { q.Size, q.Metal = sizeOf(t, "14 AWG"), Aluminum }), "12 AWG to 250 kcmil"},
		{with(func(q *ACQuery) { q.InsulationC = 0 }), "60, 75 and 90 °C"},
		{with(func(q *ACQuery) { q.TerminalC = 40 }), "terminals"},
		{with(func(q *ACQuery) { q.InsulationC, q.AmbientC = 60, 58 }), "not permitted"},
		{with(func(q *ACQuery) { q.AmbientC = 90 }), "not permitted"},
		{with(func(q *ACQuery) { q.AmbientC = math.NaN() }), "not permitted"},
		{with(func(q *ACQuery) { q.Carrying = -1 }), "-1 conductors"},
		{with(func(q *ACQuery) { q.Cord, q.Size = true, sizeOf(t, "1/0 AWG") }), "outside NEC Table 400.5(A)(1)"},
		{with(func(q *ACQuery) { q.Cord, q.CordCarrying = true, 7 }), "six at most"},
		{with(func(q *ACQuery) { q.Cord, q.Metal = true, Aluminum }), "copper"},
	} {
		a, err := ACAmpacity(c.q)
		require.ErrorContains(t, err, c.want)
		assert.Zero(t, a.Usable)
	}
}

func TestDCAmpacity(t *testing.T) {
	for _, c := range []struct {
		what   string
		q      DCQuery
		want   float64
		source string
	}{
		{"engine space", DCQuery{Size: sizeOf(t, "2 AWG"), InsulationC: 105, AmbientC: 30, Engine: true}, 178.5, "Table 5 note 1"},
		{"engine space of 80 °C", DCQuery{Size: sizeOf(t, "2 AWG"), InsulationC: 105, AmbientC: 80, Engine: true}, 121.244, "hotter than the note's 50 °C: 210·√(25/75)"},
		{"below 50 V", DCQuery{Size: sizeOf(t, "2 AWG"), InsulationC: 105, AmbientC: 30, Bundled: 3, NominalV: 12}, 210, "183.435(b): no factor below 50 V"},
		{"at 48 V", DCQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 105, AmbientC: 30, Bundled: 4, NominalV: 48}, 60, "24 lead-acid cells are below the line"},
		{"at 51.2 V", DCQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 105, AmbientC: 30, Bundled: 4, NominalV: 51.2}, 36, "16 LFP cells are above it: 60·0.60"},
		{"hot roof", DCQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 90, AmbientC: 60}, 38.891, "55·√(30/60)"},
		{"cold air raises nothing", DCQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 90, AmbientC: -10}, 55, "Table 5"},
		{"terminals bind", DCQuery{Size: sizeOf(t, "6 AWG"), InsulationC: 105, TerminalC: 75, AmbientC: 30}, 95, "75 °C column"},
		{"terminals better than the insulation", DCQuery{Size: sizeOf(t, "6 AWG"), InsulationC: 60, TerminalC: 75, AmbientC: 30}, 80, "60 °C column"},
		{"insulation between two columns", DCQuery{Size: sizeOf(t, "6 AWG"), InsulationC: 110, AmbientC: 30}, 120, "105 °C column"},
	} {
		t.Run(c.what, func(t *testing.T) {
			a, err := DCAmpacity(c.q)
			require.NoError(t, err)
			assert.InDelta(t, c.want, a.Usable, 0.001, "%s: %v", c.source, a.Working)
			assert.LessOrEqual(t, a.Usable, a.Corrected)
		})
	}
	a, err := DCAmpacity(DCQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 105, AmbientC: 30, Bundled: 4, NominalV: 12.8})
	require.NoError(t, err)
	assert.Equal(t, 0.6, a.WaivedFactor)
	assert.Equal(t, []string{
		"33 CFR 183.425 Table 5, 105 °C: 10 AWG = 60 A",
		"4 together: no factor below 50 V nominal (33 CFR 183.435(b)); × 0.60 would leave 36 A",
	}, a.Working)
	assert.Equal(t, []string{"terminals taken as good for the 105 °C of the insulation"}, a.RestsOn)
}

func TestDCAmpacityOutsideItsTable(t *testing.T) {
	ok := DCQuery{Size: sizeOf(t, "10 AWG"), InsulationC: 105, AmbientC: 30, NominalV: 12}
	with := func(change func(*DCQuery)) DCQuery { q := ok; change(&q); return q }
	for _, c := range []struct {
		q    DCQuery
		want string
	}{
		{with(func(q *DCQuery) { q.Size = units.Size{} }), "no size"},
		{with(func(q *DCQuery) { q.Size = sizeOf(t, "250 kcmil") }), "18 AWG to 4/0 AWG"},
		{with(func(q *DCQuery) { q.Size = sizeOf(t, "16 mm2") }), "AWG only"},
		{with(func(q *DCQuery) { q.InsulationC = 50 }), "begin at 60 °C"},
		{with(func(q *DCQuery) { q.TerminalC = 50 }), "terminals"},
		{with(func(q *DCQuery) { q.AmbientC = 105 }), "may carry nothing"},
		{with(func(q *DCQuery) { q.AmbientC = math.NaN() }), "may carry nothing"},
		{with(func(q *DCQuery) { q.Engine, q.AmbientC, q.InsulationC = true, 70, 60 }), "may carry nothing"},
		{with(func(q *DCQuery) { q.Bundled, q.NominalV = 3, 0 }), "nominal voltage, which is not known"},
		{with(func(q *DCQuery) { q.Bundled = -2 }), "-2 conductors"},
	} {
		a, err := DCAmpacity(c.q)
		require.ErrorContains(t, err, c.want)
		assert.Zero(t, a.Usable)
	}
}

func TestStandardRatings(t *testing.T) {
	for _, c := range []struct {
		i          units.Amp
		d          Device
		next, most units.Amp
	}{
		{33, Breaker, 35, 30}, {33, Fuse, 35, 30}, {5, Fuse, 6, 3}, {5, Breaker, 15, 0}, {15, Breaker, 15, 15},
		{210, Breaker, 225, 200}, {600.5, Fuse, 601, 600}, {600.5, Breaker, 700, 600}, {6000, Breaker, 6000, 6000}, {6001, Fuse, 0, 6000}, {0.5, Fuse, 1, 0},
	} {
		next, ok := NextStandard(c.i, c.d)
		assert.Equal(t, c.next, next, "above %v", c.i)
		assert.Equal(t, c.next > 0, ok)
		most, ok := LargestAtMost(c.i, c.d)
		assert.Equal(t, c.most, most, "below %v", c.i)
		assert.Equal(t, c.most > 0, ok)
	}
}

func TestSmallConductorCap(t *testing.T) {
	for _, c := range []struct {
		size   string
		metal  Metal
		want   units.Amp
		source string
	}{
		{"14 AWG", Copper, 15, "240.4(D)(3)"}, {"12 AWG", Copper, 20, "240.4(D)(5)"}, {"10 AWG", Copper, 30, "240.4(D)(7)"},
		{"12 AWG", Aluminum, 15, "240.4(D)(4)"}, {"10 AWG", CopperClad, 25, "240.4(D)(6)"}, {"14 AWG", CopperClad, 10, "240.4(D), 2023"},
		{"8 AWG", Copper, 0, "the clause ends at 10 AWG"}, {"14 AWG", Aluminum, 0, "not in the clause"}, {"2.5 mm2", Copper, 0, "AWG only"},
	} {
		limit, capped := SmallConductorCap(sizeOf(t, c.size), c.metal)
		assert.Equal(t, c.want, limit.Amps, c.source)
		assert.Equal(t, c.want > 0, capped, c.source)
		assert.Empty(t, limit.Condition)
	}
	limit, _ := SmallConductorCap(sizeOf(t, "18 AWG"), Copper)
	assert.Equal(t, units.Amp(7), limit.Amps)
	assert.NotEmpty(t, limit.Condition, "240.4(D)(1) has conditions")
}

func TestGroundSizeEndsWithItsTable(t *testing.T) {
	s, err := GroundSize(400, Copper)
	require.NoError(t, err)
	assert.Equal(t, "3 AWG", s.String())
	for _, a := range []units.Amp{401, 0, -5, units.Amp(math.NaN())} {
		_, err = GroundSize(a, Copper)
		assert.ErrorContains(t, err, "outside NEC Table 250.122")
	}
	s, err = EnlargedGround(sizeOf(t, "10 AWG"), 26240, 16510)
	require.NoError(t, err)
	assert.Equal(t, "10 AWG", s.String(), "a ground never shrinks below its table")
	_, err = EnlargedGround(sizeOf(t, "4/0 AWG"), 100000, 250000)
	assert.Error(t, err)
	_, err = EnlargedGround(sizeOf(t, "10 AWG"), 0, 16510)
	assert.Error(t, err)
}

func TestInterruptingMinimum(t *testing.T) {
	for _, c := range []struct {
		v            units.Volt
		cca          units.Amp
		main, branch units.Amp
	}{{12, 650, 1500, 750}, {24, 651, 3000, 1500}, {12, 1100, 3000, 1500}, {12, 2200, 5000, 2500}, {32, 1250, 3000, 1500}} {
		main, branch, err := InterruptingMinimum(c.v, c.cca)
		require.NoError(t, err)
		assert.Equal(t, []units.Amp{c.main, c.branch}, []units.Amp{main, branch}, "ABYC E-11 Table 3B: %v, %v", c.v, c.cca)
	}
	for _, c := range []struct {
		v   units.Volt
		cca units.Amp
	}{{48, 650}, {12, 2201}, {12, 0}, {28, 500}} {
		_, _, err := InterruptingMinimum(c.v, c.cca)
		assert.Error(t, err, "%v %v", c.v, c.cca)
	}
}

func TestFuseInterrupting(t *testing.T) {
	for _, c := range []struct {
		family string
		volts  float64
		want   float64
		source string
	}{
		{"class-t", 58.4, 20000, "UL 248-15: 20 kA at 125 V dc"},
		{"class-t", 126, 0, "above its voltage"},
		{"anl", 58.4, 0, "a 32 V fuse breaks nothing at 58 V"},
		{"terminal-block", 13.6, 10000, "10 kA at 14 V"},
		{"terminal-block", 14.6, 5000, "an LFP bank on charge is above 14 V"},
		{"terminal-block", 58.4, 0, "16 LFP cells on charge are above 58 V"},
		{"terminal-block", -13.6, 10000, "polarity does not matter to the voltage"},
		{"no-such", 12, 0, "not a family"},
		{"class-t", math.NaN(), 0, "voltage not known"},
	} {
		amps, ok := FuseInterrupting(c.family, c.volts)
		assert.Equal(t, c.want, amps, c.source)
		assert.Equal(t, c.want > 0, ok, c.source)
	}
}

func TestFuseOpens(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		what         string
		family       string
		rating, amps float64
		min, max     float64
		known        bool
	}{
		{"surge on a 250 A strip", "strip-sf51", 250, 613.8, 0.64, 10.03, true},
		{"the same on 400 A", "strip-sf51", 400, 613.8, 25.2, 378, true},
		{"at a point", "strip-sf51", 400, 800, 1, 15, true},
		{"below what it holds", "strip-sf51", 400, 400, 14400, inf, true},
		{"between what it holds and its first limit", "strip-sf51", 400, 480, 120, inf, true},
		{"beyond the last point", "strip-sf51", 400, 2401, 0, inf, false},
		{"200 % by rating", "class-t", 100, 200, 0, 360, true},
		{"200 % of a larger one", "class-t", 600, 1200, 0, 720, true},
		{"200 % where no limit is known", "class-t", 800, 1600, 0, inf, false},
		{"next to a point that is not known", "class-t", 800, 2000, 0, inf, false},
		{"135 % by rating", "class-t", 60, 81, 0, 3600, true},
		{"holds by rating", "class-t", 400, 440, 1800, inf, true},
		{"six times", "class-t", 400, 2400, 0.02, 1, true},
		{"one point only", "glass-3ag", 10, 20, 0, 300, true},
		{"times not held", "class-j-dc", 100, 350, 0, inf, false},
		{"no family", "none", 100, 350, 0, inf, false},
		{"no rating", "class-t", 0, 350, 0, inf, false},
		{"no current known", "class-t", 100, math.NaN(), 0, inf, false},
	} {
		t.Run(c.what, func(t *testing.T) {
			lo, hi, known := FuseOpens(c.family, c.rating, c.amps)
			assert.Equal(t, c.known, known)
			if math.IsInf(c.max, 1) {
				assert.Equal(t, c.max, hi)
			} else {
				assert.InEpsilon(t, c.max, hi, 0.01)
			}
			if c.min == 0 {
				assert.Zero(t, lo)
			} else {
				assert.InEpsilon(t, c.min, lo, 0.01)
			}
		})
	}
	f, ok := FuseFamily("class-t")
	require.True(t, ok)
	amps, holds, ok := f.Holds(400)
	require.True(t, ok)
	assert.InDelta(t, 440, amps, 1e-9)
	assert.Equal(t, units.Second(1800), holds)
	_, most := f.Opens(2)
	assert.True(t, math.IsNaN(most), "not known above 600 A, so not for the whole family")
	_, most = f.Opens(6)
	assert.Equal(t, 1.0, most)
}

func TestResistanceOutsideItsTables(t *testing.T) {
	_, err := RunResistance(units.Size{}, 10, 75, false)
	assert.ErrorContains(t, err, "no size")
	_, err = RunResistance(sizeOf(t, "10 AWG"), units.Foot(math.NaN()), 75, false)
	assert.ErrorContains(t, err, "want a length")
	_, err = RunResistance(sizeOf(t, "10 AWG"), -3, 75, false)
	assert.ErrorContains(t, err, "want a length")
	_, err = RunResistance(sizeOf(t, "10 AWG"), 10, math.NaN(), false)
	assert.ErrorContains(t, err, "outside what its coefficient is for")
	_, err = RunReactance(sizeOf(t, "16 AWG"), 10)
	assert.ErrorContains(t, err, "outside NEC Chapter 9 Table 9")
	_, _, err = ConduitImpedance(sizeOf(t, "14 AWG"), Aluminum, SteelConduit, 10)
	assert.ErrorContains(t, err, "aluminum 12 AWG")
	r, err := RunResistance(sizeOf(t, "6 AWG"), 1000, 75, true)
	require.NoError(t, err)
	assert.Equal(t, units.Ohm(0.491), r, "no solid row: the stranded figure, which is the higher")
	r, err = RunResistance(sizeOf(t, "16 mm2"), units.Metre(1000).Feet(), 20, false)
	require.NoError(t, err)
	assert.InDelta(t, 1.21, float64(r), 1e-9, "IEC 60228 class 5")
	r, err = RunResistance(sizeOf(t, "16 mm2"), units.Metre(1000).Feet(), 70, false)
	require.NoError(t, err)
	assert.InDelta(t, 1.21*1.1965, float64(r), 1e-9, "1 + 0.00393·50")
	for _, s := range append(units.AWGSizes(), units.MetricSizes()...) {
		assert.Positive(t, Reactance(s, 100), "%s: the solver has a figure for every size", s)
	}
}

func TestWithstand(t *testing.T) {
	two := sizeOf(t, "2/0 AWG")
	for _, c := range []struct {
		i      units.Amp
		t1, t2 float64
		want   float64
	}{
		{6000, 75, ThermosetShortC, 2.8483}, {6000, 75, ThermoplasticShortC, 1.3793}, {0, 75, 250, math.Inf(1)}, {6000, 250, 250, 0}, {6000, 300, 250, 0},
	} {
		s, err := WithstandSeconds(two, c.i, c.t1, c.t2)
		require.NoError(t, err)
		if c.want == 0 || math.IsInf(c.want, 1) {
			assert.Equal(t, c.want, float64(s))
			continue
		}
		assert.InEpsilon(t, c.want, float64(s), 0.0005, "ICEA P-32-382")
	}
	_, err := WithstandSeconds(units.Size{}, 6000, 75, 250)
	assert.ErrorContains(t, err, "not known")
	_, err = WithstandSeconds(two, units.Amp(math.NaN()), 75, 250)
	assert.Error(t, err)
	assert.True(t, math.IsNaN(Withstand(units.Size{}, 6000, 75, 250)))
}

func TestColdVocOutsideWhatIsHeld(t *testing.T) {
	for _, c := range []units.Celsius{-41, -30, 5, 14.9, 19.9, 25} {
		_, err := ColdVocFactor(c)
		assert.ErrorContains(t, err, "outside NEC Table 690.7(A) as held", "%v", c)
	}
	for c, want := range map[units.Celsius]float64{-12: 1.16, -10.4: 1.16, -10: 1.14, -22: 1.20, 0: 1.10, -0.5: 1.12, 24: 1.02} {
		f, err := ColdVocFactor(c)
		require.NoError(t, err)
		assert.Equal(t, want, f, "%v", c)
	}
	for _, beta := range []float64{0, 0.28, -28, math.NaN()} {
		_, err := ColdVoc(49.5, beta, -5)
		assert.ErrorContains(t, err, "want a negative one", "%v", beta)
	}
	_, err := ColdVoc(49.5, -0.28, units.Celsius(math.Inf(-1)))
	assert.Error(t, err)
}

func TestBatteryLookups(t *testing.T) {
	lfp, ok := BatteryChemistry("lfp")
	require.True(t, ok)
	for soc, want := range map[float64]float64{0: 10, 0.05: 11, 0.5: 13.2333, 1: 13.6} {
		v, err := lfp.RestVoltage(soc)
		require.NoError(t, err)
		assert.InDelta(t, want, float64(v), 1e-4)
		assert.InDelta(t, want, lfp.OpenCircuit(soc), 1e-4)
	}
	for _, soc := range []float64{-0.01, 1.01, math.NaN()} {
		_, err := lfp.RestVoltage(soc)
		assert.ErrorContains(t, err, "want 0 to 1")
		assert.True(t, math.IsNaN(lfp.OpenCircuit(soc)))
	}
	_, err := lfp.FaultResistance(0, 1, 1)
	assert.Error(t, err)
	_, ok = BatteryChemistry("lipo")
	assert.False(t, ok)
	_, err = PeukertHours(250, 20, 10, 1.3)
	assert.ErrorContains(t, err, "below the 12.5 A of the 20-hour rate")
	_, err = PeukertHours(250, 20, 20, 0.9)
	assert.Error(t, err)
	h, err := PeukertHours(100, 20, 5, 1.25)
	require.NoError(t, err)
	assert.InDelta(t, 20, h, 1e-9, "at its own rate a bank lasts its own time")
	for c, want := range map[units.Celsius]float64{30: 1, 26.7: 1, 4.4: 1.30, -6.7: 1.59, 10: 1.19} {
		f, err := ColdCapacityFactor(c)
		require.NoError(t, err)
		assert.InDelta(t, want, f, 1e-9, "IEEE 485 style table, %v", c)
	}
	for _, c := range []units.Celsius{-7, units.Celsius(math.NaN())} {
		_, err = ColdCapacityFactor(c)
		assert.Error(t, err)
	}
	_, err = InverterInput(2000, 0, 0.85)
	assert.Error(t, err)
	_, _, err = Shunt{Rated: 500}.At(100)
	assert.Error(t, err)
	_, err = CircularMils(KMarine, 10, 21, 0)
	assert.Error(t, err)
	_, err = BankAmpHours(1000, 2.5, 1.5, 1, 12)
	assert.Error(t, err)
}
