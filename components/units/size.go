package units

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Size is the size of a conductor: AWG, kcmil or mm². The zero Size is none.
type Size struct {
	cmil   float64 // nominal circular mils, as NEC Chapter 9 Table 8 prints them
	metric float64 // nominal mm², 0 for AWG and kcmil
	name   string
}

// awg are the sizes of NEC Chapter 9 Table 8, 18 AWG to 250 kcmil, in circular mils.
var awg = []Size{
	{1620, 0, "18 AWG"}, {2580, 0, "16 AWG"}, {4110, 0, "14 AWG"}, {6530, 0, "12 AWG"}, {10380, 0, "10 AWG"}, {16510, 0, "8 AWG"},
	{26240, 0, "6 AWG"}, {41740, 0, "4 AWG"}, {52620, 0, "3 AWG"}, {66360, 0, "2 AWG"}, {83690, 0, "1 AWG"},
	{105600, 0, "1/0 AWG"}, {133100, 0, "2/0 AWG"}, {167800, 0, "3/0 AWG"}, {211600, 0, "4/0 AWG"}, {250000, 0, "250 kcmil"},
}

// iec are the nominal sections of IEC 60228, in mm².
var iec = []float64{0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150}

// cmilPerMM2 is the circular mils in one mm²: (1000/25.4)² · 4/π.
const cmilPerMM2 = 1e6 / 25.4 / 25.4 * 4 / math.Pi

// AWGSizes are the American sizes, smallest first.
func AWGSizes() []Size { return slices.Clone(awg) }

// MetricSizes are the sections of IEC 60228, smallest first.
func MetricSizes() []Size {
	sizes := make([]Size, len(iec))
	for i, a := range iec {
		sizes[i] = metricSize(a)
	}
	return sizes
}

func metricSize(a float64) Size {
	return Size{a * cmilPerMM2, a, strconv.FormatFloat(a, 'f', -1, 64) + " mm2"}
}

var metricText = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?)\s*mm(?:2|²)$`)

// ParseSize reads "2/0 AWG", "14 AWG", "10", "250 kcmil" or "2.5 mm2".
func ParseSize(text string) (Size, error) {
	t := strings.TrimSpace(text)
	if m := metricText.FindStringSubmatch(strings.ToLower(t)); m != nil {
		a, _ := strconv.ParseFloat(m[1], 64)
		if slices.Contains(iec, a) {
			return metricSize(a), nil
		}
		return Size{}, fmt.Errorf("size %q is no section of IEC 60228: want one of 0.5 to 150 mm2, as in %s", text, nearestMetric(a))
	}
	want := strings.ToUpper(strings.Join(strings.Fields(t), " "))
	for _, s := range awg {
		name := strings.ToUpper(s.name)
		if want == name || want == strings.Fields(name)[0] && !strings.Contains(name, "KCMIL") {
			return s, nil
		}
	}
	return Size{}, fmt.Errorf("size %q is unknown: want 18 AWG to 4/0 AWG, 250 kcmil, or 0.5 to 150 mm2", text)
}

func nearestMetric(a float64) string {
	best := iec[0]
	for _, v := range iec {
		if math.Abs(v-a) < math.Abs(best-a) {
			best = v
		}
	}
	return metricSize(best).name
}

// String is the size as it is written on a drawing.
func (s Size) String() string { return s.name }

// Cmil is the nominal area in circular mils.
func (s Size) Cmil() float64 { return s.cmil }

// MM2 is the area in mm².
func (s Size) MM2() MM2 {
	if s.metric > 0 {
		return MM2(s.metric)
	}
	return MM2(s.cmil / cmilPerMM2)
}

// Metric tells whether the size is one of IEC 60228.
func (s Size) Metric() bool { return s.metric > 0 }

// IsZero tells whether there is no size.
func (s Size) IsZero() bool { return s.cmil == 0 }

// Less compares areas.
func (s Size) Less(o Size) bool { return s.cmil < o.cmil }

// Next is the next larger size of the same series; ok is false at its end.
func Next(s Size) (next Size, ok bool) {
	series := awg
	if s.Metric() {
		series = MetricSizes()
	}
	for _, o := range series {
		if s.Less(o) {
			return o, true
		}
	}
	return Size{}, false
}
