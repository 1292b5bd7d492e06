package units

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestQuantitiesPrintAsAFitterWrites(t *testing.T) {
	for _, c := range []struct {
		v    fmt.Stringer
		want string
	}{
		{Amp(31.4), "31.4 A"},
		{Amp(15), "15 A"},
		{Amp(124.96), "125 A"},
		{Amp(2213), "2213 A"},
		{Amp(11559), "11560 A"},
		{Amp(40800), "40800 A"},
		{Amp(0.006), "6 mA"},
		{Amp(-31.42), "-31.4 A"},
		{Amp(0), "0 A"},
		{Amp(math.NaN()), "unknown"},
		{Amp(math.Inf(1)), "unlimited"},
		{Volt(12.85), "12.85 V"},
		{Volt(116.28), "116.3 V"},
		{Volt(58.4), "58.4 V"},
		{Volt(0.02241), "22.4 mV"},
		{Watt(1500), "1500 W"},
		{VA(2170), "2170 VA"},
		{Ohm(0.154), "0.154 Ω"},
		{Ohm(0.0967), "0.0967 Ω"},
		{Ohm(0.00066667), "0.667 mΩ"},
		{Metre(3.048), "3.05 m"},
		{Foot(12.5), "12.5 ft"},
		{MM2(67.43), "67.4 mm²"},
		{Celsius(48.889), "48.9 °C"},
		{Celsius(-20), "-20 °C"},
		{Second(2.8483), "2.85 s"},
		{Second(0.044), "44 ms"},
		{Second(7200), "7200 s"},
		{Amp(9.996), "10 A"},
		{Amp(199.96), "200 A"},
	} {
		assert.Equal(t, c.want, c.v.String())
	}
}

func TestConversions(t *testing.T) {
	assert.InDelta(t, 3.048, float64(Foot(10).Metres()), 1e-12, "international foot")
	assert.InDelta(t, 10, float64(Metre(3.048).Feet()), 1e-12)
	assert.InDelta(t, 48.889, float64(FromFahrenheit(120)), 0.001, "(120−32)/1.8")
	assert.InDelta(t, 120, FromFahrenheit(120).Fahrenheit(), 1e-9)
	assert.InDelta(t, 1973.525, MM2(1).Cmil(), 0.001, "cmil in a mm²: 4/π·(1000/25.4)²")
}

func TestParseSize(t *testing.T) {
	for text, want := range map[string]string{
		"2/0 AWG": "2/0 AWG", "14 AWG": "14 AWG", "2/0": "2/0 AWG", "10": "10 AWG", "14awg": "14 AWG", " 4/0  AWG ": "4/0 AWG",
		"250 kcmil": "250 kcmil", "250KCMIL": "250 kcmil", "2.5 mm2": "2.5 mm2", "2.5 mm²": "2.5 mm2", "16mm2": "16 mm2", "2.50 mm2": "2.5 mm2",
	} {
		s, err := ParseSize(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, s.String(), text)
	}
	for text, near := range map[string]string{
		"5 AWG":        "; did you mean 6 AWG or 4 AWG?",
		"0":            "; did you mean 1/0 AWG?",
		"00 AWG":       "; did you mean 2/0 AWG?",
		"5/0":          "; did you mean 250 kcmil?",
		"250 MCM":      "; did you mean 250 kcmil?",
		"300 kcmil":    "; did you mean 250 kcmil?",
		"35":           "; did you mean 18 AWG or 35 mm2?",
		"3 mm2":        "; did you mean 2.5 mm2 or 4 mm2?",
		"10 mm":        "; did you mean 10 mm2?",
		"AWG 14":       "; did you mean 14 AWG?",
		"-6 AWG":       "; did you mean 6 AWG?",
		"":             "150 mm2",
		"thick":        "150 mm2",
		"2/0 AGW":      "150 mm2",
		"1e9":          "150 mm2",
		"99999999 AWG": "150 mm2",
	} {
		s, err := ParseSize(text)
		require.Error(t, err, text)
		assert.True(t, s.IsZero(), text)
		assert.ErrorContains(t, err, fmt.Sprintf("size %q is unknown: want ", text))
		assert.True(t, strings.HasSuffix(err.Error(), near), "%s: want %s", err, near)
	}
}

func TestSizesAreReadBackAndAscend(t *testing.T) {
	for _, series := range [][]Size{AWGSizes(), MetricSizes()} {
		for i, s := range series {
			back, err := ParseSize(s.String())
			require.NoError(t, err)
			assert.Equal(t, s, back)
			assert.Equal(t, s.String()[len(s.String())-3:] == "mm2", s.Metric())
			if i > 0 {
				assert.True(t, series[i-1].Less(s), "%s before %s", series[i-1], s)
			}
		}
	}
	assert.Len(t, AWGSizes(), 16)
}

// ASTM B258: d = 0.005 in · 92^((36−n)/39). NEC Chapter 9 Table 8 prints the
// squares rounded to four figures; 18 AWG it rounds furthest, 1624 to 1620.
func TestGaugesFollowTheFormula(t *testing.T) {
	gauge := map[string]float64{"1/0 AWG": 0, "2/0 AWG": -1, "3/0 AWG": -2, "4/0 AWG": -3}
	for _, s := range AWGSizes() {
		if s.String() == "250 kcmil" {
			assert.Equal(t, 250000.0, s.Cmil())
			continue
		}
		n, ok := gauge[s.String()]
		if !ok {
			_, err := fmt.Sscanf(s.String(), "%g AWG", &n)
			require.NoError(t, err)
		}
		d := 5 * math.Pow(92, (36-n)/39)
		assert.InEpsilon(t, d*d, s.Cmil(), 0.003, s)
	}
	two, err := ParseSize("2/0")
	require.NoError(t, err)
	assert.Equal(t, 133100.0, two.Cmil(), "as Table 8 prints it")
	assert.InDelta(t, 67.44, float64(two.MM2()), 0.005, "NEC Chapter 9 Table 8, 67.43 to 67.44 mm²")
}

func TestNext(t *testing.T) {
	for text, want := range map[string]string{"4 AWG": "2 AWG", "3 AWG": "2 AWG", "1 AWG": "1/0 AWG", "4/0 AWG": "250 kcmil", "2.5 mm2": "4 mm2", "250 kcmil": "", "150 mm2": ""} {
		s, err := ParseSize(text)
		require.NoError(t, err)
		next, ok := Next(s)
		assert.Equal(t, want != "", ok, text)
		assert.Equal(t, want, next.String(), text)
	}
	_, ok := Next(Size{})
	assert.False(t, ok, "nothing follows no size")
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"2/0 AWG", "10", "2.5 mm²", "250 kcmil", "0/0", "", "1/0/0", "٣ AWG"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSize(text)
		if err != nil {
			assert.True(t, s.IsZero())
			return
		}
		back, err := ParseSize(s.String())
		require.NoError(t, err)
		assert.Equal(t, s, back)
	})
}
