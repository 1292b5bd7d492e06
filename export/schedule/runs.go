// Package schedule makes the lists that a rig is built, labelled and set by: the
// conductor schedule, the devices, the panel directories, the torques, the
// settings, the labels, and what comes out. Each is a function of the solved
// document; what is not known says so.
package schedule

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/checks"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// NotKnown is what a cell says where a figure is missing.
const NotKnown = "not known"

// Run is one line of the conductor schedule.
type Run struct {
	ID           components.ID
	Status       components.Status
	From, To     string // "BAT1.pos"
	Cores        []string
	Size, Ground string // of the cores, and of the ground core where it is smaller
	Sets         string // conductors in parallel a core
	Construction string
	Colours      string
	Length       string // one way, in the project's unit
	Ends         [2]string
	Torques      [2]string
	Protection   []string // what stands ahead, from each source: "F1, 225 A"
	Amps         []Amps   // by state, as Rig.States
	Ampacity     Ampacity
	Drop         Drop // in the state where it is largest
	Note         string
}

// Amps is the largest current of a run's cores in one state.
type Amps struct {
	State string
	Amps  float64
	Known bool
}

// Ampacity is what the weakest core may carry, in amperes, in the state that
// allows least.
type Ampacity struct {
	Table, Corrected, Usable float64
	Known                    bool
	Working                  []string // the arithmetic, a step a line
	Missing                  string   // what is missing where it is not known
}

// Drop is the voltage that a run loses over its current-carrying cores, out and
// back where both are in it, and its part of the circuit's nominal voltage.
type Drop struct {
	State          string
	Volts, Percent float64
	Known          bool
}

// Runs is the conductor schedule, in tag order. Runs that come out are left out.
func Runs(rig *solved.Rig) []Run {
	ahead := protection(rig)
	var all []Run
	for _, r := range rig.Doc.Runs() {
		if r.Gone() {
			continue
		}
		row := Run{ID: r.ID, Status: r.Status, From: r.From.String(), To: r.To.String(), Note: r.Note,
			Size: size(r, components.L), Construction: NotKnown, Length: length(rig.Doc, r), Sets: figure(r.Figure("sets"))}
		if row.Status == "" {
			row.Status = components.New
		}
		cores := rig.Doc.CoresOf(r)
		if g := size(r, components.G); g != row.Size && slices.ContainsFunc(cores, func(c components.Core) bool { return c.Role() == components.G }) {
			row.Ground = g
		}
		if c, ok := r.Cable(); ok {
			row.Construction = c.Title
		}
		for _, c := range cores {
			row.Cores = append(row.Cores, c.String())
		}
		row.Colours = strings.Join(bom.Colours(rig.Doc, r), ", ")
		from, to := bom.EndsOf(rig.Doc, r)
		row.Ends = [2]string{ends(from), ends(to)}
		row.Torques = [2]string{torque(rig.Doc, r.Figure("from_torque_nm")), torque(rig.Doc, r.Figure("to_torque_nm"))}
		row.Protection = ahead[r.ID]
		for _, s := range rig.States {
			a, ok := s.Amps(r.ID)
			row.Amps = append(row.Amps, Amps{s.Name, a, ok})
			if d, ok := dropIn(s, r); ok && (!row.Drop.Known || d.Volts > row.Drop.Volts) {
				row.Drop = d
			}
		}
		row.Ampacity = ampacity(rig, r, cores, checks.AmpacityForHours)
		all = append(all, row)
	}
	return all
}

// size is the size of a core, or that it is not known.
func size(r components.Run, pole components.Pole) string {
	s, ok := r.Size(pole)
	if !ok {
		return NotKnown
	}
	return s.String()
}

func figure(f components.Figure) string {
	if !f.Known() {
		return NotKnown
	}
	return num(f.Value)
}

// num prints a number without a tail of noughts.
func num(v float64) string { return components.Num(v).String() }

const metresPerFoot = 0.3048

// length is a run's length one way, as a number in the project's unit.
func length(doc *components.Document, r components.Run) string {
	f := r.Figure("length_ft")
	switch {
	case !f.Known():
		return NotKnown
	case doc.Units == "metric":
		return num(math.Round(f.Value*metresPerFoot*100) / 100)
	}
	return num(math.Round(f.Value*100) / 100)
}

// LengthUnit is the unit of the schedule's lengths.
func LengthUnit(doc *components.Document) string {
	if doc.Units == "metric" {
		return "m"
	}
	return "ft"
}

// ends tells the terminations of one end, like ones once.
func ends(all []bom.End) string {
	var said []string
	for _, e := range all {
		if s := e.String(); !slices.Contains(said, s) {
			said = append(said, s)
		}
	}
	return strings.Join(said, "; ")
}

// MakersLabel is the torque of a terminal that nobody has told.
const MakersLabel = "by the maker's label"

// torque prints a told torque in both units of the trade, in the one alone where the
// project is metric; none is made up.
func torque(doc *components.Document, f components.Figure) string {
	if !f.Known() {
		return MakersLabel
	}
	if doc.Units == "metric" {
		return num(f.Value) + " N·m"
	}
	const inchPoundsPerNewtonMetre = 8.8507
	return fmt.Sprintf("%s N·m (%.0f in-lb)", num(f.Value), f.Value*inchPoundsPerNewtonMetre)
}

// aheadOf is the device passed last on the way from a source, or what the source
// itself allows where there is none.
func aheadOf(doc *components.Document, f circuit.Feed) string {
	p, _ := doc.Part(f.Source.Part)
	switch {
	case f.Last.Part != "" && !f.Last.RatingA.Known():
		return f.Last.String() + ", rating not known"
	case f.Last.Part != "":
		return fmt.Sprintf("%s, %v A", f.Last, f.Last.RatingA.Value)
	case p.Kind == &components.Shore:
		return "the site's breaker"
	case math.IsInf(f.LimitA, 1):
		return "no device from " + string(p.ID)
	}
	return f.Source.LimitText
}

// protection tells for each run the devices ahead of it, from every source that
// can feed it in any state.
func protection(rig *solved.Rig) map[components.ID][]string {
	ahead := map[components.ID][]string{}
	for _, s := range rig.States {
		feeds := s.Feeds()
		for i, l := range s.Circuit.Links {
			if l.Run == "" || l.Core.From == components.G || l.Core.From == components.N || l.Core.From == components.Neg {
				continue
			}
			for _, f := range feeds[i] {
				text := aheadOf(rig.Doc, f)
				if !slices.Contains(ahead[l.Run], text) {
					ahead[l.Run] = append(ahead[l.Run], text)
				}
			}
		}
	}
	for _, all := range ahead {
		slices.SortFunc(all, func(a, b string) int { return components.CompareIDs(components.ID(a), components.ID(b)) })
	}
	return ahead
}

// ampacity is that of the run's weakest core but its ground, in the state that
// allows least.
func ampacity(rig *solved.Rig, r components.Run, cores []components.Core, of ampacityOf) Ampacity {
	var least Ampacity
	var seen []circumstance
	for _, s := range rig.States {
		as := circumstanceOf(s, r, cores)
		if slices.Contains(seen, as) {
			continue
		}
		seen = append(seen, as)
		for i, c := range cores {
			if c.From == components.G && len(cores) > 1 || i > 0 && cores[i-1].From.DC() == c.From.DC() && cores[i-1].From != components.G {
				continue // a core of the kind and size before it
			}
			a, err := of(s.Circuit, r, c.From)
			if err != nil {
				return Ampacity{Missing: err.Error()}
			}
			if !least.Known || a.Usable < least.Usable {
				least = known(a)
			}
		}
	}
	return least
}

// ampacityOf is what a core is good for: as a fuse sees it, or for hours.
type ampacityOf func(*circuit.Circuit, components.Run, components.Pole) (tables.Ampacity, error)

// circumstance is what of a state the ampacity of a run hangs on: whether two legs
// share its neutral and how, and the voltage of its circuit.
type circumstance struct {
	phase circuit.Phase
	volts float64
}

func circumstanceOf(s *solved.State, r components.Run, cores []components.Core) circumstance {
	var as circumstance
	var hots []circuit.Term
	for _, c := range cores {
		t, ok := s.Circuit.Term(r.From.At(c.From))
		if !ok {
			continue
		}
		if c.From.Hot() {
			hots = append(hots, t)
		}
		if f := s.Circuit.Feeds(t); as.volts == 0 && len(f) > 0 {
			as.volts = f[0].Volts
		}
	}
	if len(hots) == 2 {
		as.phase = s.Circuit.PhaseOf(hots[0], hots[1])
	}
	return as
}

func known(a tables.Ampacity) Ampacity {
	return Ampacity{Table: a.Table, Corrected: a.Corrected, Usable: a.Usable, Known: true, Working: a.Working}
}

// dropIn is a run's drop in one state. Where a hot and its return lie in the run,
// it is what the voltage between them loses; where one core runs alone, what that
// core loses. It is not known where a figure of the run is missing.
func dropIn(s *solved.State, r components.Run) (Drop, bool) {
	if _, assumed := s.Solution.Assumed[r.ID]; assumed || !s.Solved() {
		return Drop{}, false
	}
	links := s.Links(r.ID)
	back := -1
	for _, i := range links {
		if p := s.Circuit.Links[i].Core.From; p == components.N || p == components.Neg {
			back = i
		}
	}
	d := Drop{State: s.Name}
	for _, i := range links {
		l := s.Circuit.Links[i]
		pole := l.Core.From
		if pole == components.G && !s.GroundAlone(r.ID) || i == back && len(links) > 1 && (l.Core.From.DC() || hasHot(s, links)) {
			continue
		}
		lost, ok := s.Solution.Between(l.A, l.B)
		if !ok {
			continue
		}
		volts := cmplx.Abs(lost)
		if back >= 0 && back != i {
			b := s.Circuit.Links[back]
			near, ok1 := s.Solution.Between(l.A, b.A)
			far, ok2 := s.Solution.Between(l.B, b.B)
			if ok1 && ok2 {
				volts = math.Abs(cmplx.Abs(near) - cmplx.Abs(far))
			}
		}
		if !d.Known || volts > d.Volts {
			d.Volts, d.Known = volts, true
			d.Percent = 0
			if v := circuitVolts(s, l.A, l.B); v > 0 {
				d.Percent = 100 * volts / v
			}
		}
	}
	return d, d.Known
}

// circuitVolts is the nominal voltage of the circuit that a conductor belongs to: that
// of what feeds it, and of a return that of the nearest source or fed port at it.
func circuitVolts(s *solved.State, ends ...circuit.Term) float64 {
	c := s.Circuit
	fed := func(t circuit.Term) float64 {
		for _, f := range c.Feeds(t) {
			if f.Volts > 0 {
				return f.Volts
			}
		}
		return 0
	}
	if v := fed(ends[0]); v > 0 {
		return v
	}
	for t := range c.Walk(func(_ *circuit.Link, o circuit.Term) bool { return c.Terms[o].Pole == c.Terms[ends[0]].Pole }, ends...).Nearest() {
		at := c.Terms[t]
		if at.Pole != components.Neg {
			continue
		}
		if p, _ := c.Doc.Part(at.Part); p.Kind == &components.Battery {
			return p.Figure("nominal_v").Value * p.Figure("series").Value
		}
		if plus, ok := c.Term(at.PortRef.At(components.Pos)); ok {
			if v := fed(plus); v > 0 {
				return v
			}
		}
	}
	return 0
}

func hasHot(s *solved.State, links []int) bool {
	return slices.ContainsFunc(links, func(i int) bool { return s.Circuit.Links[i].Core.From.Hot() })
}

// RunsTable is the conductor schedule as a table; the currents have a column a
// state.
func RunsTable(rig *solved.Rig) lists.Table {
	unit := LengthUnit(rig.Doc)
	t := lists.Table{Name: "runs", Title: "Conductor schedule", None: "the drawing has no run", Head: []string{"tag", "status", "from", "to", "cores", "size", "ground core", "conductors in parallel", "construction", "colour", "length one way, " + unit,
		"termination at from", "torque at from", "termination at to", "torque at to", "protection ahead"}}
	for _, s := range rig.States {
		t.Head = append(t.Head, "A, "+s.Name)
	}
	t.Head = append(t.Head, "ampacity by the table, A", "after heat and bundling, A", "usable at the terminals, A", "how", "largest drop, V", "drop, %", "drop in state", "note")
	for _, r := range Runs(rig) {
		cells := []string{string(r.ID), string(r.Status), r.From, r.To, poles(r.Cores), r.Size, r.Ground, r.Sets, r.Construction, r.Colours, r.Length,
			r.Ends[0], r.Torques[0], r.Ends[1], r.Torques[1], strings.Join(r.Protection, "; ")}
		for _, a := range r.Amps {
			cells = append(cells, orNotKnown(a.Amps, 2, a.Known))
		}
		a := r.Ampacity
		how := strings.Join(a.Working, "; ")
		if !a.Known {
			how = a.Missing
		}
		cells = append(cells, orNotKnown(a.Table, 1, a.Known), orNotKnown(a.Corrected, 1, a.Known), orNotKnown(a.Usable, 1, a.Known), how,
			orNotKnown(r.Drop.Volts, 3, r.Drop.Known), orNotKnown(r.Drop.Percent, 2, r.Drop.Known), r.Drop.State, r.Note)
		t.Add(cells...)
	}
	return terms.Of(rig.Doc).Table(t)
}

// poles names cores so that no cell begins with a sign.
func poles(cores []string) string {
	return polesInWords.Replace(strings.Join(cores, " "))
}

func orNotKnown(v float64, decimals int, known bool) string {
	if !known || math.IsNaN(v) || math.IsInf(v, 0) {
		return NotKnown
	}
	scale := math.Pow10(decimals)
	return num(math.Round(v*scale)/scale + 0)
}

var polesInWords = strings.NewReplacer("+", "positive", "-", "negative")
