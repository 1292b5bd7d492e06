package units

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Size is the size of a conductor: AWG, kcmil or mm². Sizes compare with ==; the
// zero Size is none.
type Size struct {
	cmil   float64 // nominal circular mils, as NEC Chapter 9 Table 8 prints them
	metric float64 // nominal mm², 0 for AWG and kcmil
	name   string
}

// awg are the sizes of NEC Chapter 9 Table 8 from 18 AWG to 250 kcmil, smallest
// first, with the circular mils that the table prints.
var awg = []Size{
	{1620, 0, "18 AWG"}, {2580, 0, "16 AWG"}, {4110, 0, "14 AWG"}, {6530, 0, "12 AWG"},
	{10380, 0, "10 AWG"}, {16510, 0, "8 AWG"}, {26240, 0, "6 AWG"}, {41740, 0, "4 AWG"},
	{52620, 0, "3 AWG"}, {66360, 0, "2 AWG"}, {83690, 0, "1 AWG"}, {105600, 0, "1/0 AWG"},
	{133100, 0, "2/0 AWG"}, {167800, 0, "3/0 AWG"}, {211600, 0, "4/0 AWG"}, {250000, 0, "250 kcmil"},
}

// iec are the nominal sections of IEC 60228 from 0.5 to 150 mm², smallest first.
var iec = []float64{0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150}

// AWGSizes are the American sizes, 18 AWG to 250 kcmil, smallest first.
func AWGSizes() []Size { return slices.Clone(awg) }

// MetricSizes are the sections of IEC 60228, 0.5 to 150 mm², smallest first.
func MetricSizes() []Size {
	sizes := make([]Size, len(iec))
	for i, a := range iec {
		sizes[i] = metricSize(a)
	}
	return sizes
}

func metricSize(a float64) Size {
	return Size{MM2(a).Cmil(), a, strconv.FormatFloat(a, 'f', -1, 64) + " mm2"}
}

var (
	metricText = regexp.MustCompile(`^([0-9]+(?:\.[0-9]+)?) ?(?:mm2|mm²)$`)
	gaugeText  = regexp.MustCompile(`^([0-9]+(?:/0)?)(?: ?awg)?$`)
	kcmilText  = regexp.MustCompile(`^([0-9]+) ?kcmil$`)
	nearText   = regexp.MustCompile(`^(awg)?[ #-]*([0-9]+(?:\.[0-9]+)?)(/0)? ?(\pL*[2²]?)$`)
)

// known are the sizes by the names that they print with.
var known = sync.OnceValue(func() map[string]Size {
	byName := map[string]Size{}
	for _, s := range append(AWGSizes(), MetricSizes()...) {
		byName[s.String()] = s
	}
	return byName
})

// ParseSize reads a size as a fitter writes it: "2/0 AWG", "14 AWG", "250 kcmil",
// "2.5 mm2", "2.5 mm²", and a bare "2/0" or "10" for AWG. An error names the
// sizes nearest to a near miss.
func ParseSize(text string) (Size, error) {
	if s, ok := known()[text]; ok {
		return s, nil
	}
	t := strings.ToLower(strings.Join(strings.Fields(text), " "))
	if m := metricText.FindStringSubmatch(t); m != nil {
		if a, err := strconv.ParseFloat(m[1], 64); err == nil && slices.Contains(iec, a) {
			return metricSize(a), nil
		}
	}
	want := ""
	if m := gaugeText.FindStringSubmatch(t); m != nil {
		want = m[1] + " AWG"
	} else if m := kcmilText.FindStringSubmatch(t); m != nil {
		want = m[1] + " kcmil"
	}
	for _, s := range awg {
		if s.name == want {
			return s, nil
		}
	}
	return Size{}, fmt.Errorf("size %q is unknown: want 18 AWG to 4/0 AWG, 250 kcmil, or 0.5 to 150 mm2%s", text, suggest(t))
}

// suggest names the sizes nearest to what was meant: of the unit that was
// written, and of both where none was. Where the unit cannot be made out it
// suggests nothing, since 50 mm2 and 50 kcmil are far apart.
func suggest(t string) string {
	m := nearText.FindStringSubmatch(t)
	if m == nil {
		return ""
	}
	n, err := strconv.ParseFloat(m[2], 64)
	if err != nil || n > 1e6 {
		return ""
	}
	gauge := func() string { return nearest(awg, gaugeCmil(n, m[3] != "", m[2])) }
	metric := func() string { return nearest(MetricSizes(), MM2(n).Cmil()) }
	near := ""
	switch unit := m[1] + m[4]; {
	case unit == "awg":
		near = gauge()
	case unit == "kcmil" || unit == "mcm":
		near = nearest(awg, n*1000)
	case strings.HasPrefix(unit, "mm"):
		near = metric()
	case unit != "":
		return ""
	case m[3] != "" || strings.Trim(m[2], "0") == "":
		near = gauge()
	default:
		near = gauge() + " or " + metric()
	}
	return "; did you mean " + near + "?"
}

// gaugeCmil is the area of a gauge by ASTM B258, d = 0.005 in · 92^((36−n)/39),
// in circular mils. 2/0 and 00 are the same gauge, −1.
func gaugeCmil(n float64, aught bool, digits string) float64 {
	if aught {
		n = 1 - n
	} else if strings.Trim(digits, "0") == "" {
		n = 1 - float64(len(digits))
	}
	d := 5 * math.Pow(92, (36-math.Max(n, -10))/39)
	return d * d
}

// nearest names the size of an area or the two on either side of it, the smaller
// first; gauges of the formula and of the table differ by up to 0.3 %.
func nearest(sizes []Size, cmil float64) string {
	above := slices.IndexFunc(sizes, func(s Size) bool { return s.cmil > cmil*0.995 })
	switch {
	case above < 0:
		return sizes[len(sizes)-1].name
	case above == 0 || sizes[above].cmil < cmil*1.005:
		return sizes[above].name
	}
	return sizes[above-1].name + " or " + sizes[above].name
}

// String is the size as files and drawings write it: "2/0 AWG", "250 kcmil",
// "2.5 mm2". ParseSize reads it back.
func (s Size) String() string { return s.name }

// Cmil is the nominal area in circular mils: as NEC Chapter 9 Table 8 prints it,
// 133100 for 2/0 AWG, and converted for a metric section.
func (s Size) Cmil() float64 { return s.cmil }

// MM2 is the nominal area in mm², converted for AWG and kcmil.
func (s Size) MM2() MM2 {
	if s.Metric() {
		return MM2(s.metric)
	}
	return MM2(s.cmil / cmilPerMM2)
}

// Metric tells whether the size is a section of IEC 60228.
func (s Size) Metric() bool { return s.metric > 0 }

// IsZero tells whether there is no size.
func (s Size) IsZero() bool { return s.cmil == 0 }

// Less compares nominal areas, across the two series too.
func (s Size) Less(o Size) bool { return s.cmil < o.cmil }

// Stocked tells whether a shop usually has the size. 3 AWG stands in the tables
// and is seldom on a reel: common practice, no source.
func (s Size) Stocked() bool { return !s.IsZero() && s.name != "3 AWG" }

// Next is the next larger stocked size of the same series, so 2 AWG follows
// 4 AWG; ok is false at the end of the series and for no size.
func Next(s Size) (next Size, ok bool) {
	if s.IsZero() {
		return Size{}, false
	}
	series := awg
	if s.Metric() {
		series = MetricSizes()
	}
	for _, o := range series {
		if s.Less(o) && o.Stocked() {
			return o, true
		}
	}
	return Size{}, false
}
