package tables

import (
	"fmt"
	"math"
	"sync"

	"rigline/components/units"
)

var methodB2 = sync.OnceValue(func() map[float64]float64 {
	t := map[float64]float64{}
	for _, r := range read("iec_60364_5_52_b2") {
		t[r.num("mm2")] = r.num("amps")
	}
	return t
})

// pvcC is the conductor's temperature at the table's figures.
const pvcC = 70.0

// MetricQuery asks for the ampacity of a conductor of a 230 V circuit.
type MetricQuery struct {
	Size     units.Size
	AmbientC float64
	// InsulationC is the rating of the insulation; above 70 °C, and zero, count as 70.
	InsulationC float64
	With        int // other carrying conductors in the bundle
}

// MetricAmpacity is the ampacity by IEC 60364-5-52 Table B.52.2, method B2, two
// loaded copper conductors with PVC insulation: the figure for air of 30 °C times
//
//	√((t − T) / (70 °C − 30 °C))
//
// where T is the air and t what the insulation stands, 70 °C at most: it neglects
// that insulation of 90 °C carries more. It is an error where the table does not
// reach, and for circuits bundled together, whose table is not held.
func MetricAmpacity(q MetricQuery) (Ampacity, error) {
	if !q.Size.Metric() {
		return Ampacity{}, fmt.Errorf("%s: outside IEC 60364-5-52 Table B.52.2, which lists mm² only", nameOf(q.Size))
	}
	if q.With > 0 {
		return Ampacity{}, fmt.Errorf("%d conductors of other circuits in one bundle: the reduction of IEC 60364-5-52 Table B.52.17 is not held; lay the cable apart, or look it up", q.With)
	}
	amps, ok := methodB2()[math.Round(float64(q.Size.MM2())*100)/100]
	if !ok {
		return Ampacity{}, fmt.Errorf("%s: outside IEC 60364-5-52 Table B.52.2 as held, 1.5 to 35 mm²", q.Size)
	}
	rated := pvcC
	if q.InsulationC > 0 {
		rated = min(rated, q.InsulationC)
	}
	if q.AmbientC >= rated {
		return Ampacity{}, fmt.Errorf("air of %v: a conductor of %v may carry nothing there", units.Celsius(q.AmbientC), units.Celsius(rated))
	}
	factor := math.Sqrt((rated - q.AmbientC) / (pvcC - 30))
	a := Ampacity{Table: amps, Corrected: amps, WaivedFactor: 1}
	a.note("IEC 60364-5-52 B.52.2, method B2, two loaded, PVC: %s = %v", q.Size, units.Amp(amps))
	a.times(min(factor, 1), "at %v, insulation of %v", units.Celsius(q.AmbientC), units.Celsius(rated))
	a.Usable = a.Corrected
	return a, nil
}

type leadRow struct {
	mm2      units.MM2
	verified string
}

var leads = sync.OnceValue(func() map[float64]leadRow {
	t := map[float64]leadRow{}
	for _, r := range read("iec_60364_7_721_lead") {
		t[r.num("rating_a")] = leadRow{units.MM2(r.num("mm2")), r["verified"]}
	}
	return t
})

// LeadSection is the least copper section of the cable between a pitch and a
// caravan (IEC 60364-7-721 Table 721.1), with how the row was verified. ok is false
// for a rating that the table does not list.
func LeadSection(ratingA float64) (section units.MM2, verified string, ok bool) {
	r, ok := leads()[ratingA]
	return r.mm2, r.verified, ok
}
