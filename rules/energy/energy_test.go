package energy

import (
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/tables"
)

func bank(t *testing.T, chemistry string, volts, ah, depth float64) Bank {
	t.Helper()
	chem, ok := tables.BatteryChemistry(chemistry)
	require.True(t, ok)
	b := Bank{Chemistry: chem, Volts: volts, AmpHours: ah, Depth: depth, Peukert: 1, Coulombic: chem.Efficiency.Coulombic, ChargeA: ah, DischargeA: math.Inf(1)}
	if b.Lead() {
		b.Peukert = chem.Peukert
	}
	return b
}

// worked reads the inputs and expected values of one worked example.
func worked(t *testing.T, id string) (in, want map[string]float64, tolerance float64) {
	t.Helper()
	text, err := os.ReadFile("../../testdata/worked/dc.yaml")
	require.NoError(t, err)
	var all struct {
		Examples []struct {
			ID               string
			Inputs, Expected map[string]any
			Tolerance        float64 `yaml:"tolerance_rel"`
		}
	}
	require.NoError(t, yaml.Unmarshal(text, &all))
	numbers := func(m map[string]any) map[string]float64 {
		out := map[string]float64{}
		for k, v := range m {
			switch v := v.(type) {
			case int:
				out[k] = float64(v)
			case float64:
				out[k] = v
			}
		}
		return out
	}
	for _, e := range all.Examples {
		if e.ID == id {
			return numbers(e.Inputs), numbers(e.Expected), e.Tolerance
		}
	}
	t.Fatalf("no example %s", id)
	return nil, nil, 0
}

func TestWorkedPeukert(t *testing.T) {
	in, want, tol := worked(t, "dc-w14")
	b := bank(t, "flooded", 12, in["C_Ah"], 1)
	b.Peukert = in["n"]
	require.InDelta(t, leadRate, in["R_h"], 0)
	h := b.Hours(in["I_A"] * b.Volts)
	assert.InEpsilon(t, want["t_corrected_h"], h, tol)
	assert.InEpsilon(t, want["effective_Ah"], h*in["I_A"], tol)
	assert.InEpsilon(t, b.AmpHours, in["I_A"]*b.drain(in["I_A"])*h, 1e-12, "the drain is the same law")
}

func TestWorkedBankSize(t *testing.T) {
	in, want, tol := worked(t, "dc-w19")
	b := bank(t, "flooded", in["V"], 400, in["dod"])
	k, err := b.ColdFactor(4.4)
	require.NoError(t, err)
	assert.InEpsilon(t, in["temp_factor"], k, tol)
	ah, err := b.Needed(in["Wh_per_day"], in["days"], k)
	require.NoError(t, err)
	assert.InEpsilon(t, want["Ah"], ah, tol)
	assert.InEpsilon(t, want["Wh_needed"], ah*b.Volts, tol)
}

// The figures of the rule catalogue, runtime and recharge time.
func TestRuntime(t *testing.T) {
	for _, row := range []struct {
		name                   string
		bank                   Bank
		watts, hours, within   float64
		source                 string
		recharge, amps, refill float64
	}{
		{"lithium", bank(t, "lfp", 12.8, 200, 0.8), 500 / 0.88, 3.604, 0.001, "V·Ah·DoD·eff/P = 12.8 · 200 · 0.8 · 0.88 / 500", 160, 30, 160/(0.99*30) + 0.5},
		{"lithium, larger charger", bank(t, "lfp", 12.8, 200, 0.8), 640, 3.2, 1e-9, "2560 · 0.8 / 640", 160, 60, 3.2},
		{"absorbed glass mat", bank(t, "agm", 12, 200, 0.5), 12 * 47.3, 1.75, 0.01, "Peukert, n 1.12, 47.3 A, to half", 100, 40, 100/(0.95*40) + 3},
		{"lead at its rated current", bank(t, "flooded", 12, 200, 0.5), 120, 10, 1e-9, "C/20 = 10 A: 20 h · 0.5", 0, 10, 0},
		{"lead below it", bank(t, "flooded", 12, 200, 0.5), 60, 20, 1e-9, "no more than the capacity", 100, 0, math.Inf(1)},
	} {
		t.Run(row.name, func(t *testing.T) {
			assert.InDelta(t, row.hours, row.bank.Hours(row.watts), row.within, row.source)
			got := row.bank.RechargeHours(row.recharge, row.amps)
			if math.IsInf(row.refill, 1) {
				assert.True(t, math.IsInf(got, 1))
				return
			}
			assert.InDelta(t, row.refill, got, 0.05)
		})
	}
}

// A day whose every figure follows on paper: 100 W for 24 h out of a lithium
// bank, 4 h of a 300 W source from noon, nothing near full or empty.
func TestAnalyticDay(t *testing.T) {
	b := bank(t, "lfp", 12.8, 1000, 0.8)
	c := Case{Bank: b, Loads: []Load{{Name: "fan", Watts: 100, Hours: 24, To: 24}},
		Sources: []Source{{Name: "engine", Kind: Engine, Watts: 300, Hours: 4, From: 12}}}
	d := c.Run(0.6)
	const wh = 12.8 * 1000
	into := (300 - 100) * 4 * b.Coulombic
	out := 100.0 * 20
	assert.InDelta(t, 0.6+(into-out)/wh, d.End, 1e-9)
	assert.InDelta(t, d.End, d.Low, 1e-12)
	assert.InDelta(t, 24, d.LowAt, 1e-9)
	assert.InDelta(t, 0.6-1200/wh, d.Hours[11].SoC, 1e-9)
	assert.InDelta(t, 0.6-1200/wh+into/wh, d.Hours[15].SoC, 1e-9)
	assert.InDelta(t, 1200, d.Total.Given[0], 1e-9)
	assert.InDelta(t, 2400, d.Total.Load, 1e-8)
	assert.InDelta(t, (300-100)*4*(1-b.Coulombic), d.Total.ChargeLoss, 1e-9)
	assert.True(t, math.IsNaN(d.EmptyAt))
	assert.InDelta(t, 0.6-100*6/wh, d.Hours[5].SoC, 1e-9)
}

// The sun of a day is its full-sun hours, to the last digit, however many.
func TestSunOfADay(t *testing.T) {
	for _, h := range []float64{0.5, 1.8, 4.5, 7.6, 9, 12} {
		total := 0.0
		for i := range steps {
			w := sunHours(float64(i)/perHour, float64(i+1)/perHour, h)
			assert.GreaterOrEqual(t, w, 0.0)
			assert.LessOrEqual(t, w*perHour, 1.0+1e-9, "never above full sun")
			total += w
		}
		assert.InDelta(t, h, total, 1e-9)
	}
	// Half a sine round noon: half of it by noon, and a share 1 − √½ before nine.
	assert.InDelta(t, 2.25, sunHours(0, 12, 4.5), 1e-12)
	assert.InDelta(t, 4.5*(1-math.Sqrt2/2)/2, sunHours(0, 9, 4.5), 1e-12)
}

// A controller that clips: an array of 1000 W under 700 W at peak of 0.9 full sun
// gives ∫min(900 sin x, 700), x over the day.
func TestClippedSun(t *testing.T) {
	const hours = 0.9 * 24 / math.Pi
	b := bank(t, "lfp", 51.2, 400, 0.8)
	c := Case{Bank: b, Sources: []Source{{Name: "PV", Kind: Sun, Watts: 1000, Hours: hours, Cap: 700}}}
	d := c.Run(0.3)
	x := math.Asin(700.0 / 900)
	want := 12 / math.Pi * (2*900*(1-math.Cos(x)) + 700*(math.Pi-2*x))
	assert.InEpsilon(t, want, d.Total.Given[0], 1e-5)
	assert.InDelta(t, 1000*hours, d.Total.Given[0]+d.Total.Clipped[0]+d.Total.Spilled[0], 1e-6)
}

// Near full the current falls away, by e in a third of the tail.
func TestTaper(t *testing.T) {
	b := bank(t, "flooded", 12, 100, 0.5)
	b.ChargeA = 20
	c := Case{Bank: b, Sources: []Source{{Name: "charger", Kind: Engine, Watts: 1000, Hours: 24}}}
	d := c.Run(0.9)
	for h, hour := range d.Hours[:4] { // exact for steps that go to nought; Euler's minute gives 1 %
		assert.InDelta(t, 1-0.1*math.Exp(-float64(h+1)/(b.Tail()/3)), hour.SoC, 0.001)
	}
	assert.Less(t, d.End, 1.0)
}

// Laws: every hour of every day balances to 1e-9 of what flows, charge stays
// within the bank, and more sun never leaves less.
func TestBalance(t *testing.T) {
	for _, chem := range []string{"lfp", "agm", "gel", "flooded"} {
		for _, scale := range []float64{0.1, 1, 4} {
			b := bank(t, chem, 12, 200, 0.6)
			b.ChargeA = 40
			c := Case{Bank: b, Loads: []Load{{Watts: 400 * scale, Hours: 3, From: 18, To: 2, AC: true}, {Watts: 60, Hours: 10, To: 24}},
				Sources: []Source{{Kind: Sun, Watts: 500 * scale, Hours: 4, Cap: 400}, {Kind: Engine, Watts: 250, Hours: 1.25, From: 8}, {Kind: Generator, Watts: 600, Hours: 1.5, From: 23.2}}}
			soc, last := 1.0, -1.0
			for range 4 {
				d := c.Run(soc)
				before := soc
				for _, h := range d.Hours {
					assert.InDelta(t, 0, h.Residual(), 1e-9*math.Max(1, h.Load))
					assert.InDelta(t, (h.SoC-before)*b.AmpHours*b.Volts, h.Stored, 1e-8)
					assert.GreaterOrEqual(t, h.SoC, 1-b.Depth-1e-12)
					assert.LessOrEqual(t, h.SoC, 1+1e-12)
					before = h.SoC
				}
				soc = d.End
			}
			for _, sun := range []float64{0, 1, 3, 6} {
				c.Sources[0].Hours = sun
				end := c.Run(0.7).End
				assert.GreaterOrEqual(t, end, last-1e-12)
				last = end
			}
		}
	}
}

func TestRepeat(t *testing.T) {
	b := bank(t, "lfp", 12.8, 100, 0.8)
	c := Case{Bank: b, Loads: []Load{{Watts: 32, Hours: 24, To: 24}}}
	k := c.Repeat()
	assert.False(t, k.Holds)
	assert.InDelta(t, 1024.0/32/24, k.Ends, 2.0/steps, "1280 Wh · 0.8 / 32 W")
	assert.InDelta(t, c.Work().Autonomy, k.Ends, 2.0/steps)
	c.Sources = []Source{{Kind: Sun, Watts: 400, Hours: 4}}
	k = c.Repeat()
	assert.True(t, k.Holds)
	assert.InDelta(t, k.Day.Start, k.Day.End, 1e-6)
	assert.Greater(t, k.Day.Total.Spilled[0], 700.0)
}

// A generator has to bring what is missing: 1200 Wh a day through 60 A at 12.8 V.
func TestGeneratorHours(t *testing.T) {
	b := bank(t, "lfp", 12.8, 400, 0.8)
	c := Case{Bank: b, Loads: []Load{{Watts: 50, Hours: 24, To: 24}}, Sources: []Source{{Name: "GEN1", Kind: Generator, Watts: 768, From: 8}}}
	r := c.Work()
	require.True(t, r.Generator.Needed)
	// 50 W day and night out of the bank, 768 W while it runs: h·(768−50)·η = (24−h)·50
	exact := 24 * 50 / ((768-50)*b.Coulombic + 50)
	assert.InDelta(t, exact, r.Generator.Value, 0.3) // the end of charge takes longer than its amount
	assert.GreaterOrEqual(t, r.Generator.Value, exact)
	c.Sources[0].Watts = 40
	assert.True(t, math.IsInf(c.Work().Generator.Value, 1))
}

func sample(t *testing.T, name string) *components.Document {
	t.Helper()
	doc, _, err := projects.Load("../../projects/samples/" + name + ".yaml")
	require.NoError(t, err)
	return doc
}

// The plan read off a drawing: the van's loads through its inverter and its
// step-down, each with the losses on the way.
func TestSurvey(t *testing.T) {
	doc := sample(t, "camper-van")
	p := Of(doc)
	require.Len(t, p.Cases, 1, "the engine battery is no house bank")
	c := p.Cases[0]
	assert.Equal(t, []components.ID{"BAT1"}, c.Bank.IDs)
	wh := map[string]float64{}
	for _, l := range c.Loads {
		wh[l.Name] = l.Wh()
	}
	assert.InDelta(t, 1200*0.7/0.9, wh["LD1"], 1e-9)
	assert.InDelta(t, 200*5/0.9, wh["LD2"], 1e-9)
	assert.InDelta(t, 4*12.8*4/0.92, wh["DL1"], 1e-9)
	assert.InDelta(t, 5*12.8*9/0.92, wh["DL2"], 1e-9)
	assert.InDelta(t, 15*24, wh["INV1 idle"], 1e-9)
	assert.Len(t, wh, 5)
	watts := map[string]float64{}
	for _, s := range c.Sources {
		watts[s.Name] = s.Watts
	}
	assert.InDelta(t, 4*20.4*9.8*0.7, watts["PV1"], 1e-9)
	assert.InDelta(t, 20*25.6, watts["DDC1"], 1e-9)
	assert.InDelta(t, 40*25.6, watts["SH1 through INV1"], 1e-9)
	assert.Len(t, watts, 3)
	assert.Empty(t, p.Missing)
}

// A figure that is not told is named and never taken for nought.
func TestMissingIsNamed(t *testing.T) {
	doc := sample(t, "camper-van")
	doc, err := doc.Apply(components.Set{On: "INV1", Key: "idle_w", Value: components.Unknown}, components.Set{On: "DL2", Key: "hours_per_day"}, components.Set{On: "PV1", Key: "sun_hours"}, components.Set{On: "BAT1", Key: "capacity_ah", Value: components.Unknown})
	require.NoError(t, err)
	p := Of(doc)
	assert.Empty(t, p.Cases, "a bank of unknown capacity has no day")
	assert.Contains(t, p.Missing, Missing{"BAT1", "capacity_ah", "read the label"})
	doc, err = doc.Apply(components.Set{On: "BAT1", Key: "capacity_ah", Value: components.Num(200)})
	require.NoError(t, err)
	var fields []string
	for _, m := range Of(doc).Missing {
		fields = append(fields, string(m.At)+"."+m.Field)
	}
	assert.ElementsMatch(t, []string{"INV1.idle_w", "DL2.hours_per_day", "PV1.sun_hours"}, fields)
}

// A DC-DC charger between two house banks works with the engine off, and the
// second bank's day rests on the first.
func TestBankToBank(t *testing.T) {
	doc, _, err := projects.Load("../../testdata/topologies/t14.yaml")
	require.NoError(t, err)
	p := Of(doc)
	require.Len(t, p.Cases, 2)
	kinds := map[Kind]bool{}
	for _, s := range p.Cases[1].Sources {
		kinds[s.Kind] = true
	}
	assert.True(t, kinds[OtherBank])
	found := false
	for _, l := range p.Cases[0].Loads {
		found = found || l.Name == "DDC1"
	}
	assert.True(t, found, "the first bank carries the second's charger")
}

// Two batteries drawn in series hold what one of two blocks holds.
func TestBankInSeries(t *testing.T) {
	text := `format: rigline/1
title: "series"
parts:
  - {id: BAT1, kind: battery, at: [0, 0], spec: {chemistry: agm, nominal_v: 12, capacity_ah: 100}}
  - {id: BAT2, kind: battery, at: [0, 200], spec: {chemistry: agm, nominal_v: 12, capacity_ah: 90}}
  - {id: DL1, kind: dc-load, at: [400, 0], spec: {a: 2, hours_per_day: 5}}
runs:
  - {id: W1, from: BAT1.pos, to: DL1.in, size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W2, from: BAT1.neg, to: BAT2.pos, cores: ["->+"], size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W3, from: BAT2.neg, to: DL1.in, size: 6 AWG, cable: battery-105, length_ft: 1}
`
	doc, _, err := projects.Read("series.yaml", []byte(text))
	require.NoError(t, err)
	p := Of(doc)
	require.Len(t, p.Cases, 1)
	b := p.Cases[0].Bank
	assert.Equal(t, 24.0, b.Volts, "12 V + 12 V")
	assert.Equal(t, 90.0, b.AmpHours, "the same current runs through both: the smaller decides")
	require.Len(t, p.Cases[0].Loads, 1)
	assert.InDelta(t, 240.0, p.Cases[0].Loads[0].Wh(), 1e-9, "24 V × 2 A × 5 h")
}

// Two arrays drawn in series bring what both give, each over the one controller.
func TestArraysInSeries(t *testing.T) {
	text := `format: rigline/1
title: "series"
states:
  - {name: Sun, sun: 1}
parts:
  - {id: BAT1, kind: battery, at: [0, 0], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 200}}
  - {id: CC1, kind: solar-controller, at: [400, 0], spec: {max_pv_v: 100, output_a: 30}}
  - {id: PV1, kind: solar-array, at: [700, 0], spec: {series: 1, parallel: 1, voc_v: 24, isc_a: 10, vmp_v: 20, imp_a: 9, sun_hours: 4, yield: 0.7}}
  - {id: PV2, kind: solar-array, at: [700, 200], spec: {series: 1, parallel: 1, voc_v: 22, isc_a: 10, vmp_v: 18, imp_a: 9, sun_hours: 4, yield: 0.7}}
  - {id: DL1, kind: dc-load, at: [400, 300], spec: {a: 2, hours_per_day: 5}}
runs:
  - {id: W1, from: BAT1.pos, to: CC1.battery, size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W2, from: BAT1.neg, to: CC1.battery, size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W3, from: BAT1.pos, to: DL1.in, size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W4, from: BAT1.neg, to: DL1.in, size: 6 AWG, cable: battery-105, length_ft: 1}
  - {id: W5, from: PV1.out, to: CC1.pv, cores: ["+"], size: 10 AWG, cable: pv-90, length_ft: 10}
  - {id: W6, from: PV2.out, to: CC1.pv, cores: ["-"], size: 10 AWG, cable: pv-90, length_ft: 10}
  - {id: W7, from: PV1.out, to: PV2.out, cores: ["->+"], size: 10 AWG, cable: pv-90, length_ft: 1}
`
	doc, _, err := projects.Read("series.yaml", []byte(text))
	require.NoError(t, err)
	p := Of(doc)
	require.Len(t, p.Cases, 1)
	watts := map[string]float64{}
	for _, s := range p.Cases[0].Sources {
		watts[s.Name] = s.Watts
	}
	assert.InDelta(t, 126.0, watts["PV1"], 1e-9, "20 V × 9 A × 0.7")
	assert.InDelta(t, 113.4, watts["PV2"], 1e-9, "18 V × 9 A × 0.7")
}

// What is run by hand begins at eight, and the result says so; and where another hour
// answers otherwise it says that too. 100 Ah at 12.8 V, of which 0.8 is usable: 1024 Wh.
func TestHourOfStart(t *testing.T) {
	bank := Bank{IDs: []components.ID{"BAT1"}, Volts: 12.8, AmpHours: 100, Depth: 0.8, Peukert: 1, Coulombic: 1, ChargeA: 200, DischargeA: math.Inf(1)}
	bank.Chemistry, _ = tables.BatteryChemistry("lfp")
	evening := Load{Name: "LD1", Watts: 400, Hours: 4, From: 18, To: 22} // 1600 Wh, more than the bank holds
	gen := Source{Name: "GEN1", Kind: Generator, Watts: 400, Hours: 5, From: Starts}
	r := Case{Bank: bank, Loads: []Load{evening}, Sources: []Source{gen}}.Work()
	assert.False(t, r.Course.Holds, "1600 Wh between 18 and 22 h out of 1024 Wh")
	require.NotNil(t, r.Other)
	assert.Equal(t, Other{18, true}, *r.Other, "beside the load the generator carries it")

	gen.Hours = 0
	assert.Nil(t, Case{Bank: bank, Loads: []Load{evening}, Sources: []Source{gen}}.Work().Other, "nothing is run")
	evening.Hours = 1
	gen.Hours = 5
	assert.Nil(t, Case{Bank: bank, Loads: []Load{evening}, Sources: []Source{gen}}.Work().Other, "it holds at any hour")
}
