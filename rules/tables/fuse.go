package tables

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"sync"

	"rigline/components/units"
)

// Family is a generic family of fuses or DC breakers. Its figures are cautious
// ones for a device whose own are not told.
type Family struct {
	ID, Name, Standard string
	VoltsDC            float64   // highest DC voltage
	Steps              []Step    // interrupting rating by voltage, lowest voltage first
	Ratings            []float64 // standard ratings in A, smallest first
	Reversible         bool      // breaks current of either direction
	Limiting           bool      // current-limiting
}

// Step is an interrupting rating, in A, up to a voltage.
type Step struct{ Volts, Amps float64 }

var familyOrder = sync.OnceValue(func() []Family {
	var all []Family
	for _, r := range read("fuse_families") {
		f := Family{
			ID: r["family"], Name: r["name"], Standard: r["standard"], VoltsDC: r.num("volts_dc"),
			Reversible: r["reversible"] == "y", Limiting: r["limiting"] == "y",
		}
		for _, s := range strings.Split(r["steps"], ";") {
			v, a, _ := strings.Cut(s, ":")
			f.Steps = append(f.Steps, Step{mustFloat(v), mustFloat(a)})
		}
		for _, s := range strings.Split(r["ratings"], ";") {
			f.Ratings = append(f.Ratings, mustFloat(s))
		}
		all = append(all, f)
	}
	return all
})

// FuseFamilies are all families, in the order of the table.
func FuseFamilies() []Family { return slices.Clone(familyOrder()) }

// FuseFamily finds a family by the first column of the table.
func FuseFamily(id string) (Family, bool) {
	for _, f := range familyOrder() {
		if f.ID == id {
			return f, true
		}
	}
	return Family{}, false
}

// Interrupts is the current in A that the family breaks at a voltage: zero above
// its last step, since an interrupting rating is never carried to a higher voltage.
func (f Family) Interrupts(volts float64) float64 {
	for _, s := range f.Steps {
		if volts <= s.Volts && volts <= f.VoltsDC {
			return s.Amps
		}
	}
	return 0
}

// FuseInterrupting is the current in A that a family breaks at a DC voltage; ok is
// false for a family that is not in the table and above its highest voltage.
func FuseInterrupting(family string, volts float64) (amps float64, ok bool) {
	f, _ := FuseFamily(family)
	amps = f.Interrupts(math.Abs(volts))
	return amps, amps > 0
}

// AtMost is the family's largest rating not above a current, both in A.
func (f Family) AtMost(amps float64) (best float64, ok bool) {
	for _, r := range f.Ratings {
		if r <= amps {
			best, ok = r, true
		}
	}
	return best, ok
}

// AtLeast is the family's smallest rating not below a current, both in A.
func (f Family) AtLeast(amps float64) (float64, bool) {
	for _, r := range f.Ratings {
		if r >= amps {
			return r, true
		}
	}
	return 0, false
}

// timePoint is an opening time at a multiple of the rating; a NaN end is not told.
type timePoint struct{ multiple, shortest, longest float64 }

type timeRow struct {
	timePoint
	ratingTo float64
}

// curve is the points of a family for its ratings up to one, smallest multiple first.
type curve struct {
	ratingTo float64
	points   []timePoint
}

// times are the curves of each family, that of the smallest ratings first.
var times = sync.OnceValue(func() map[string][]curve {
	rows := map[string][]timeRow{}
	for _, r := range read("fuse_times") {
		p := timePoint{r.num("percent") / 100, r.or("min_s", math.NaN()), r.or("max_s", math.NaN())}
		rows[r["family"]] = append(rows[r["family"]], timeRow{p, r.or("rating_to", math.Inf(1))})
	}
	t := map[string][]curve{}
	for family, of := range rows {
		t[family] = curves(of)
	}
	return t
})

// curves draws one through the rows of a family for each rating up to which one of them
// goes: of the rows for a multiple, the first that reaches the rating counts.
func curves(rows []timeRow) []curve {
	var all []curve
	for _, last := range rows {
		c := curve{ratingTo: last.ratingTo}
		for _, r := range rows {
			if n := len(c.points); c.ratingTo <= r.ratingTo && (n == 0 || c.points[n-1].multiple != r.multiple) {
				c.points = append(c.points, r.timePoint)
			}
		}
		all = append(all, c)
	}
	slices.SortStableFunc(all, func(a, b curve) int { return cmp.Compare(a.ratingTo, b.ratingTo) })
	return all
}

// timePoints are a family's points for one rating.
func timePoints(family string, ratingA float64) []timePoint {
	for _, c := range times()[family] {
		if ratingA <= c.ratingTo {
			return c.points
		}
	}
	return nil
}

// FuseOpens gives bounds on how long a device of a family takes to open, in
// seconds: between its rating's points the times run straight on log-log paper,
// and nothing is drawn beyond them, nor through a point whose time is not told.
// minS is 0 where no holding is promised and maxS is +Inf where no opening is;
// known is false where neither is promised.
//
// What a device carries for long is a point of its own: up to it minS is that
// time. From there to the next point minS is that point's, since a smaller current
// takes no less long, and a straight line would promise more than the curve holds.
func FuseOpens(family string, ratingA, amps float64) (minS, maxS float64, known bool) {
	points := timePoints(family, ratingA)
	if !(ratingA > 0) || !(amps >= 0) || len(points) == 0 {
		return 0, math.Inf(1), false
	}
	m := amps / ratingA
	maxS = between(points, m, func(p timePoint) float64 { return p.longest })
	switch {
	case m <= points[0].multiple:
		minS = points[0].shortest
	case len(points) > 1 && m < points[1].multiple:
		minS = points[1].shortest
	default:
		minS = between(points, m, func(p timePoint) float64 { return p.shortest })
	}
	known = !math.IsNaN(minS) || !math.IsNaN(maxS)
	if math.IsNaN(minS) {
		minS = 0
	}
	if math.IsNaN(maxS) {
		maxS = math.Inf(1)
	}
	return minS, maxS, known
}

// between is the time at a multiple, straight on log-log paper between the points
// on either side of it; NaN beyond them or where one of them is not told.
func between(points []timePoint, m float64, time func(timePoint) float64) float64 {
	const sameMultiple = 1e-9 // a rating times a multiple, divided again
	for i, p := range points {
		if math.Abs(m/p.multiple-1) < sameMultiple {
			return time(p)
		}
		if i > 0 && m > points[i-1].multiple && m < p.multiple {
			before := points[i-1]
			k := math.Log(m/before.multiple) / math.Log(p.multiple/before.multiple)
			return math.Exp((1-k)*math.Log(time(before)) + k*math.Log(time(p)))
		}
	}
	return math.NaN()
}

// Holds tells what a rating of the family carries without opening, in A, and for
// how long at least.
func (f Family) Holds(ratingA float64) (amps float64, time units.Second, ok bool) {
	points := timePoints(f.ID, ratingA)
	if len(points) == 0 || math.IsNaN(points[0].shortest) {
		return 0, 0, false
	}
	return points[0].multiple * ratingA, units.Second(points[0].shortest), true
}
