package checks

import (
	"fmt"
	"slices"
	"sync"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// runAmpacity is what one core of a run may carry, all its conductors in
// parallel counted, by the table of its construction.
func runAmpacity(p *rules.Pass, r components.Run, pole components.Pole) (tables.Ampacity, error) {
	all := circuit.Lasting(p.Circuit, coresKey{}, func() *sync.Map { return &sync.Map{} })
	key := coreKey{r.ID, pole}
	if kept, ok := all.Load(key); ok {
		if found := kept.(*ampacityFound); found.holds(p, r) {
			return found.of(r)
		}
	}
	var reads components.Reads
	found := &ampacityFound{err: fmt.Errorf("the size of %s is not known: read it off the jacket", r.ID), spec: r.Spec, ambient: p.Doc.AmbientC, tables: p.Doc.Ampacity}
	if size, ok := r.Watched(&reads).Size(pole); ok {
		found.Ampacity, found.err = ampacityAt(p, r.Watched(&reads), pole, size)
	}
	found.read = reads.Fields()
	if drawn, ok := p.Doc.Run(r.ID); ok && drawn.Spec.Same(r.Spec) {
		all.Store(key, found)
	}
	return found.of(r)
}

// coresKey asks for what cores were found to carry, as the circuit is settled.
type coresKey struct{}

type coreKey struct {
	run  components.ID
	pole components.Pole
}

// ampacityAsked is what an ampacity follows from beside the run itself.
type ampacityAsked struct {
	run      components.ID
	pole     components.Pole
	size     units.Size
	together int     // conductors that carry current beside each other
	volts    float64 // nominal, where the table asks
}

// ampacityFound is an answer, with what else it rests on.
type ampacityFound struct {
	tables.Ampacity
	err     error
	spec    components.Spec
	ambient float64
	tables  string // of the project
	read    components.FieldSet
}

// of gives the answer for its run, of which it counts as read what was.
func (f *ampacityFound) of(r components.Run) (tables.Ampacity, error) {
	r.CountRead(f.read)
	return f.Ampacity, f.err
}

// holds tells whether an answer is still the run's.
func (f *ampacityFound) holds(p *rules.Pass, r components.Run) bool {
	return f.spec.Same(r.Spec) && f.ambient == p.Doc.AmbientC && f.tables == p.Doc.Ampacity
}

// ampacityAt is what a core of a run may carry if it had a size. It is worked out
// once for all states that ask the same.
func ampacityAt(p *rules.Pass, r components.Run, pole components.Pole, size units.Size) (tables.Ampacity, error) {
	var reads components.Reads
	asker := r
	r = r.Watched(&reads)
	defer func() { asker.CountRead(reads.Fields()) }()
	cable, ok := r.Cable()
	if !ok {
		return tables.Ampacity{}, fmt.Errorf("the construction of %s is not known: read it off the jacket", r.ID)
	}
	ask := ampacityAsked{run: r.ID, pole: pole, size: size, together: int(r.Figure("with").Value)}
	switch {
	case cable.Table == components.Metric230 || size.Metric() && pole == components.G && european(p.Doc):
	case pole.DC() && cable.Table == components.FreeAirDC:
		ask.together += dcCores(p, r)
		if ask.together > 2 { // the voltage matters to a bundle alone
			ask.volts = nominal(p, r)
		}
	default:
		ask.together += acCarrying(p, r)
	}
	if drawn, ok := p.Doc.Run(r.ID); !ok || !drawn.Spec.Same(r.Spec) { // a run as it would be
		return ask.work(p.Doc, r, cable)
	}
	memo := p.Circuit.Memo()
	if kept, ok := memo.Load(ask); ok {
		return kept.(*ampacityFound).of(r)
	}
	if kept, ok := p.Circuit.Before(ask); ok {
		if found := kept.(*ampacityFound); found.holds(p, r) {
			memo.Store(ask, found)
			return found.of(r)
		}
	}
	a, err := ask.work(p.Doc, r, cable)
	a.Working, a.RestsOn = slices.Clip(a.Working), slices.Clip(a.RestsOn) // whoever adds a line adds it to a copy
	memo.Store(ask, &ampacityFound{a, err, r.Spec, p.Doc.AmbientC, p.Doc.Ampacity, reads.Fields()})
	return a, err
}

func (ask ampacityAsked) work(doc *components.Document, r components.Run, cable components.Construction) (tables.Ampacity, error) {
	size, ambient := ask.size, doc.AmbientOf(r)
	terminal := r.Figure("terminal_c")
	var a tables.Ampacity
	var err error
	var taken string
	metricGround := size.Metric() && ask.pole == components.G && european(doc)
	if size.Metric() && cable.Table != components.Metric230 && !metricGround {
		var ok bool
		if size, ok = nextAWG(ask.size); !ok {
			return a, fmt.Errorf("%s is %s, smaller than any size of its table", r.ID, ask.size)
		}
		taken = fmt.Sprintf("%s taken as %s, the size next below it in the table", ask.size, size)
	}
	switch {
	case cable.Table == components.Metric230 || metricGround:
		a, err = tables.MetricAmpacity(tables.MetricQuery{Size: size, AmbientC: ambient, InsulationC: cable.InsulationC, With: ask.together})
	case ask.pole.DC() && cable.Table == components.FreeAirDC:
		a, err = tables.DCAmpacity(tables.DCQuery{Size: counted(r, size), InsulationC: cable.InsulationC, TerminalC: terminal.Value, AmbientC: ambient,
			Engine: r.Is("engine_space"), Bundled: ask.together, NominalV: ask.volts})
		if err == nil && doc.Ampacity == components.Enclosed {
			a, err = enclosed(a, r, counted(r, size), cable, ambient, ask.together)
		}
	default:
		a, err = tables.ACAmpacity(tables.ACQuery{Size: size, Metal: metals[r.Metal()], InsulationC: min(cable.InsulationC, 90), TerminalC: terminal.Value, AmbientC: ambient,
			Carrying: ask.together, NMCable: cable.NMCable, Cord: cable.Table == components.FlexibleCord})
	}
	if err != nil {
		return a, fmt.Errorf("%s: %w", r.ID, err)
	}
	if taken != "" {
		a.Working = append([]string{taken}, a.Working...)
	}
	if sets := r.Figure("sets").Value; sets > 1 && !ask.pole.DC() && !european(doc) && size.Less(awg1_0) {
		a.Working = append(a.Working, fmt.Sprintf("%v conductors of %s in parallel count as one: 1/0 AWG is the smallest (310.10(G))", sets, size))
	} else if sets > 1 {
		a.Table, a.Corrected, a.Usable = a.Table*sets, a.Corrected*sets, a.Usable*sets
		a.Working = append(a.Working, fmt.Sprintf("× %v conductors in parallel = %.4g A", sets, a.Usable))
	}
	if !r.Figure("ambient_c").Known() {
		a.RestsOn = append(a.RestsOn, fmt.Sprintf("air around %s taken as the project's %v °C", r.ID, doc.AmbientC))
	}
	return a, nil
}

// enclosed is what a DC cable carries as in a raceway, where that is less than what
// it carries in free air. A size that the raceway's table does not list keeps the
// other figure; it is an error where the table lists it and permits no current, as in
// air too hot for it.
func enclosed(free tables.Ampacity, r components.Run, size units.Size, cable components.Construction, ambient float64, together int) (tables.Ampacity, error) {
	if !tables.InRaceway(size, metals[r.Metal()]) {
		return free, nil
	}
	if r.Is("engine_space") {
		ambient = max(ambient, 50)
	}
	a, err := tables.ACAmpacity(tables.ACQuery{Size: size, Metal: metals[r.Metal()], InsulationC: min(cable.InsulationC, 90), TerminalC: r.Figure("terminal_c").Value, AmbientC: ambient, Carrying: together})
	if err != nil {
		return a, fmt.Errorf("taken as in a raceway, as the project says: %w", err)
	}
	if a.Usable >= free.Usable {
		return free, nil
	}
	a.Working = append([]string{fmt.Sprintf("the project takes DC cable as in a raceway, which is less than the %s A in free air:", numText(free.Usable))}, a.Working...)
	a.WaivedFactor = free.WaivedFactor
	return a, nil
}

// nextAWG is the largest American size that is not larger than a metric one.
func nextAWG(metric units.Size) (units.Size, bool) {
	var next units.Size
	for _, s := range units.AWGSizes() {
		if s.Stocked() && !metric.Less(s) {
			next = s
		}
	}
	return next, !next.IsZero()
}

// dcCores counts a run's own loaded DC cores where they share one jacket; single
// conductors lie free unless the run says what lies with it.
func dcCores(p *rules.Pass, r components.Run) int {
	if c, ok := r.Cable(); ok && !c.Multi {
		return 1
	}
	n := 0
	for _, core := range p.Doc.CoresOf(r) {
		if core.From.DC() {
			n++
		}
	}
	return n
}

// acCarrying counts a run's current-carrying conductors: its hots, and its
// neutral unless it carries only the difference of two opposite legs (NEC
// 310.15(E)). A neutral that carries the sum, or a wye's, counts. Grounds do not.
func acCarrying(p *rules.Pass, r components.Run) int {
	var hots []circuit.Term
	neutral := false
	for _, core := range p.Doc.CoresOf(r) {
		switch {
		case core.From.Hot():
			if t, ok := p.Circuit.Term(r.From.At(core.From)); ok {
				hots = append(hots, t)
			}
		case core.From == components.N:
			neutral = true
		case core.From.DC():
			hots = append(hots, 0)
		}
	}
	n := len(hots)
	if neutral && !(len(hots) == 2 && (p.Circuit.PhaseOf(hots[0], hots[1]) == circuit.Opposite || p.Circuit.PhaseOf(hots[0], hots[1]) == circuit.OneDead)) {
		n++
	}
	return n
}

// nominal is the nominal voltage of the DC circuit that a run belongs to, 0
// where nothing feeds it: the highest, where several circuits share a negative.
func nominal(p *rules.Pass, r components.Run) float64 {
	volts := 0.0
	for _, core := range p.Doc.CoresOf(r) {
		t, ok := p.Circuit.Term(r.From.At(core.From))
		if !ok {
			continue
		}
		for _, s := range p.Circuit.Feeds(t) {
			return s.Volts
		}
		for _, s := range p.Circuit.Sources {
			if core.From == components.Neg && p.Circuit.Net(s.Return) == p.Circuit.Net(t) {
				volts = max(volts, s.Volts)
			}
		}
	}
	return volts
}

// sizesLike are the sizes of the shelf that a run's own is taken from, smallest first:
// metric ones where it is metric, or not told in a metric drawing.
func sizesLike(doc *components.Document, r components.Run, pole components.Pole) []units.Size {
	now, told := r.Size(pole)
	return shelf(told && now.Metric() || !told && doc.Units == "metric")
}

// shelf are the sizes that a shop has, metric or American, smallest first.
func shelf(metric bool) []units.Size {
	if metric {
		return units.MetricSizes()
	}
	return slices.DeleteFunc(units.AWGSizes(), func(s units.Size) bool { return !s.Stocked() })
}

// sizeFor is the smallest size of the run's construction that a device of a
// rating may protect.
func sizeFor(p *rules.Pass, r components.Run, pole components.Pole, amps float64) (units.Size, bool) {
	for _, s := range sizesLike(p.Doc, r, pole) {
		if most, capped := smallCap(p, r, s); capped && !pole.DC() && amps > most {
			continue
		}
		if a, err := ampacityAt(p, r, pole, s); err == nil && a.Usable >= amps {
			return s, true
		}
	}
	return units.Size{}, false
}

var threeAWG = func() units.Size { s, _ := units.ParseSize("3 AWG"); return s }()

// smallCap is the largest device that a small conductor of a run may stand behind
// (NEC 240.4(D)); a metric size counts as the American one next below it. A caravan's
// rule set has no such caps.
func smallCap(p *rules.Pass, r components.Run, s units.Size) (amps float64, capped bool) {
	if european(p.Doc) {
		return 0, false
	}
	if s.Metric() {
		next, ok := nextAWG(s)
		if !ok {
			return 0, true
		}
		s = next
	}
	if s.Less(awg18) {
		return 0, true // thinner than any that the clause lists
	}
	limit, capped := tables.SmallConductorCap(s, metals[r.Metal()])
	return float64(limit.Amps), capped
}

// tooThin tells whether an AC conductor is thinner than the ampacity table begins, at
// 14 AWG: what may stand ahead of it is for the caps of small conductors alone.
func tooThin(p *rules.Pass, r components.Run, pole components.Pole) bool {
	size, ok := r.Size(pole)
	cable, _ := r.Cable()
	return ok && cable.Table != components.FlexibleCord && !european(p.Doc) && size.Less(awg14)
}

var (
	awg14  = mustSize("14 AWG")
	awg1_0 = mustSize("1/0 AWG") // the smallest that may be laid in parallel
)

func standardAtLeast(a float64) (float64, bool) { return tables.StandardAtLeast(a, true) }

func breakerAtMost(a float64) (float64, bool) { return tables.StandardAtMost(a, false) }

// iecRatings are the preferred ratings of IEC 60898-1 breakers, in amperes, from
// memory.
var iecRatings = []float64{6, 10, 13, 16, 20, 25, 32, 40, 50, 63}

// iecBreakerAtMost is the largest preferred breaker not above a current.
func iecBreakerAtMost(a float64) (rating float64, ok bool) {
	for _, r := range iecRatings {
		if r <= a {
			rating, ok = r, true
		}
	}
	return rating, ok
}

// iecBreakerAtLeast is the smallest preferred breaker not below a current.
func iecBreakerAtLeast(a float64) (rating float64, ok bool) {
	for _, r := range iecRatings {
		if r >= a {
			return r, true
		}
	}
	return 0, false
}

// european tells whether a project is held to IEC 60364, where a device carries its
// rating for hours: I_B ≤ I_n, without the margin that American breakers need.
func european(doc *components.Document) bool { return doc.Basis == components.Caravan }

// coordination is IEC 60364-4-43 433.1.
var coordination = rules.Basis{Source: "IEC 60364-4-43", Clause: "433.1", Says: "design current ≤ rating of the device ≤ ampacity of the conductor", Seen: rules.Memory, Set: components.Caravan}

// fuseAtMost is the largest class T rating not above a current.
func fuseAtMost(a float64) (float64, bool) {
	f, _ := tables.FuseFamily("class-t")
	return f.AtMost(a)
}

// fuseAtLeast is the smallest class T rating not below a current.
func fuseAtLeast(a float64) (float64, bool) {
	f, _ := tables.FuseFamily("class-t")
	return f.AtLeast(a)
}

// metals are the tables' words for a run's.
var metals = map[string]tables.Metal{components.Copper: tables.Copper, components.Aluminum: tables.Aluminum, components.CopperClad: tables.CopperClad}

// counted is the copper size that a conductor of the DC side counts as: itself,
// or two gauge numbers smaller where it is aluminum, by practice. Two numbers are
// a factor of 1.59 in area.
func counted(r components.Run, size units.Size) units.Size {
	if r.Metal() == components.Copper {
		return size
	}
	smaller := units.Size{}
	for _, s := range units.AWGSizes() {
		if s.Cmil() <= size.Cmil()/1.58 {
			smaller = s
		}
	}
	return smaller
}
