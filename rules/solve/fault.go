package solve

import (
	"cmp"
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"sync"
	"sync/atomic"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// faultCache keeps the networks of the highest and the lowest fault currents.
type faultCache struct {
	once    sync.Once
	ac, dc  *faultSide // highest: conductors at 20 °C, banks full and at cell level
	lowOnce sync.Once
	low     []feeder
	lowFrom []components.ID // the battery that is alone in each, "" for the AC network
}

type faultSide struct {
	side
	factored *nodal.Factored
	open     *nodal.Result
	loops    *loops
	givers   func() []giver
	once     sync.Once
	done     atomic.Bool
}

// giver is a source of a fault network, and how its current answers one between
// any two nodes.
type giver struct {
	branch nodal.Branch
	part   components.ID
	to     *nodal.Transfer
}

// loops are the Thevenin impedances of a network, by unknowns.
type loops struct {
	sync.Mutex
	known map[[2]int]loop
}

// loop is the impedance of a short's way; ok is false where there is none.
type loop struct {
	z  complex128
	ok bool
}

// thevenin is worked out once for nodes that ideal branches join.
func (f *faultSide) thevenin(x, y nodal.Node) (complex128, bool) {
	if !f.factored.SameIsland(x, y) {
		return 0, false
	}
	key := [2]int{f.factored.Unknown(x), f.factored.Unknown(y)}
	f.loops.Lock()
	defer f.loops.Unlock()
	kept, known := f.loops.known[key]
	if !known {
		kept.z, kept.ok = f.factored.Thevenin(x, y)
		f.loops.known[key] = kept
	}
	return kept.z, kept.ok
}

// faultKey tells fault networks apart: the contacts that are closed, and what
// feeds them. A network is the same in every state in which these are, so it is
// kept beside the layout.
type faultKey struct {
	closed string
	as     strength
	bare   bool    // nothing feeds it
	from   string  // AC sources, or the battery that is alone; "" for all banks together
	soc    float64 // of a battery that is alone
}

func (s *Solution) dcFault(key faultKey, tempC float64, banks []components.Part) *faultSide {
	return s.kept(key, func(f *faultSide) {
		f.side = s.lay(inDC, false, tempC, nil)
		for _, p := range banks {
			if b, ok := s.faultBank(p, key.as == highest); ok {
				f.battery(s.Circuit, p.ID, b)
			}
		}
	})
}

// sourcesKey asks for the AC sources that are alive.
type sourcesKey struct{}

func (s *Solution) acFault(tempC float64, as strength) *faultSide {
	from := circuit.Lasting(s.Circuit, sourcesKey{}, func() string {
		from := []byte{'~'}
		for _, src := range s.Circuit.Sources {
			if !s.Circuit.Terms[src.Hot].Pole.DC() {
				from = fmt.Appendf(from, "%s %d %d %g %g;", src.Part, src.Hot, src.Return, src.Volts, src.Degrees)
			}
		}
		return string(from)
	})
	return s.kept(faultKey{closed: s.contacts(acSide), as: as, from: from}, func(f *faultSide) {
		f.side = s.lay(inAC, true, tempC, nil)
		s.acSources(&f.side, as)
	})
}

// kept is a fault network, made and factored where no state has it yet.
func (s *Solution) kept(key faultKey, lay func(*faultSide)) *faultSide {
	kept, _ := s.Circuit.Memo().LoadOrStore(key, &faultSide{})
	f := kept.(*faultSide)
	f.once.Do(func() {
		old := s.faultsBefore(key)
		if old != nil && s.Circuit.Unchanged(FaultFields) {
			f.side = old.side
		} else {
			lay(f)
		}
		if old != nil && f.net.Same(old.net) {
			f.follow(old)
		} else {
			f.factor()
		}
		f.done.Store(true)
	})
	return f
}

// faultsBefore is the fault network of the document before, nil where none was factored.
func (s *Solution) faultsBefore(key faultKey) *faultSide {
	b, ok := s.Circuit.Before(key)
	if !ok {
		return nil
	}
	if f := b.(*faultSide); f.done.Load() && f.factored != nil {
		return f
	}
	return nil
}

// follow takes over what was found of a network that has the same figures.
func (f *faultSide) follow(old *faultSide) {
	f.factored, f.open, f.loops, f.givers = old.factored, old.open, old.loops, old.givers
}

// The networks of a circuit.
type network int

const (
	both network = iota
	acSide
	dcSide
)

// of tells whether a pole belongs to a network.
func (n network) of(p components.Pole) bool {
	switch n {
	case acSide:
		return inAC(p)
	case dcSide:
		return inDC(p)
	}
	return true
}

// contacts is which links of a network are closed, a byte each.
func (s *Solution) contacts(n network) string {
	return circuit.Lasting(s.Circuit, n, func() string { return s.listContacts(n.of) })
}

func (s *Solution) listContacts(in func(components.Pole) bool) string {
	closed := make([]byte, 0, len(s.Circuit.Links))
	for i := range s.Circuit.Links {
		l := &s.Circuit.Links[i]
		if in(s.Circuit.Terms[l.A].Pole) && in(s.Circuit.Terms[l.B].Pole) {
			closed = append(closed, '0')
			if l.Closed {
				closed[len(closed)-1] = '1'
			}
		}
	}
	return string(closed)
}

// prepareFaults lays the networks out. Chargers, controllers and inverters are
// current sources by nature and left out: their tens of amperes stay far below
// the thousands of a bank or a site. The lowest current has the conductors hot and
// one source alone, at its sagging resistance.
func (s *Solution) prepareFaults() {
	s.faults.ac = s.acFault(20, highest)
	s.faults.dc = s.dcFault(faultKey{closed: s.contacts(dcSide), as: highest}, 20, s.batteries())
}

func (s *Solution) batteries() []components.Part {
	var banks []components.Part
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Kind == &components.Battery && !p.Gone() {
			banks = append(banks, p)
		}
	}
	return banks
}

func (s *Solution) prepareLow() {
	hot := s.Circuit.Doc.ConductorTempC
	s.faults.low, s.faults.lowFrom = append(s.faults.low, s.acFault(hot, lowest)), append(s.faults.lowFrom, "")
	closed := s.contacts(dcSide)
	bare := s.bare(closed)
	for _, p := range s.batteries() {
		var alone []components.Part // the whole string, where others stand below it
		for _, id := range s.Circuit.InSeries(p.ID) {
			q, _ := s.Circuit.Doc.Part(id)
			alone = append(alone, q)
		}
		var from feeder
		if own, ok := s.onItsOwn(bare, alone); ok {
			from = own
		} else {
			from = s.dcFault(faultKey{closed: closed, as: lowest, from: string(p.ID), soc: s.Circuit.State.SoC}, hot, alone)
		}
		s.faults.low, s.faults.lowFrom = append(s.faults.low, from), append(s.faults.lowFrom, p.ID)
	}
}

func (f *faultSide) factor() {
	factored, err := f.net.Factor()
	if err != nil {
		return
	}
	f.factored, f.loops = factored, &loops{known: map[[2]int]loop{}}
	f.open, _ = factored.Solve()
	f.givers = sync.OnceValue(func() []giver {
		var all []giver
		for _, d := range f.drawn {
			if to, ok := factored.Transfer(d.branch); ok {
				all = append(all, giver{d.branch, d.part, to})
			}
		}
		return all
	})
}

// faultBank is a battery as a fault sees it; ok is false where its figures are missing,
// which Assumed names for the state at work: it is left out.
func (s *Solution) faultBank(p components.Part, highest bool) (b bank, ok bool) {
	b, missing := s.bankOf(p, s.Circuit.State.SoC, highest)
	return b, missing == ""
}

// between is the bolted current between two terminals of one network.
func (f *faultSide) between(a, b circuit.Term) (Prospective, bool) {
	x, okA := f.node(a)
	y, okB := f.node(b)
	if !okA || !okB || f.open == nil || f.open.Dead(x) || f.open.Dead(y) {
		return Prospective{}, false
	}
	z, ok := f.thevenin(x, y)
	v := cmplx.Abs(f.open.V(x) - f.open.V(y))
	if !ok || cmplx.Abs(z) == 0 || v < 1e-3 {
		return Prospective{}, false
	}
	return Prospective{Amps: v / cmplx.Abs(z), Volts: v, Ohms: cmplx.Abs(z)}, true
}

// Prospective is the highest bolted fault current between two terminals, in
// amperes, with the voltage before the fault and the impedance of the loop. ok is
// false where nothing feeds them or a figure is missing.
type Prospective struct {
	Amps, Volts float64
	Ohms        float64
}

// HighestFault finds the highest prospective current between two terminals. A
// fault on an inverter's own output is limited by its electronics and is not
// found here.
func (s *Solution) HighestFault(a, b circuit.Term) (Prospective, bool) {
	s.faults.once.Do(s.prepareFaults)
	for _, f := range []*faultSide{s.faults.ac, s.faults.dc} {
		if p, ok := f.between(a, b); ok {
			return p, true
		}
	}
	return Prospective{}, false
}

// LowestFault finds the lowest: conductors hot, one source alone.
func (s *Solution) LowestFault(a, b circuit.Term) (Prospective, bool) {
	s.faults.lowOnce.Do(s.prepareLow)
	var lowest Prospective
	found := false
	for i := range s.faults.low {
		if p, ok := s.faults.low[i].between(a, b); ok && (!found || p.Amps < lowest.Amps) {
			lowest, found = p, true
		}
	}
	return lowest, found
}

// LowestFaultFrom finds the lowest that one source gives, itself alone: what a device on
// its way has to open at. A string of batteries is one source, and so are all AC sources
// of a state.
func (s *Solution) LowestFaultFrom(source components.ID, a, b circuit.Term) (Prospective, bool) {
	s.faults.lowOnce.Do(s.prepareLow)
	for i := range s.faults.low {
		if from := s.faults.lowFrom[i]; from != "" && from != source {
			continue
		}
		if p, ok := s.faults.low[i].between(a, b); ok {
			return p, true
		}
	}
	return Prospective{}, false
}

// FaultRange is the highest and the lowest prospective current of a pair of poles
// at a port, in amperes.
type FaultRange struct {
	Highest, Lowest float64
	Between         [2]circuit.Term
}

// pairs are the pairs of poles between which a short is asked for.
var pairs = []struct {
	a, b components.Pole
	name string
}{
	{components.L1, components.N, "L1-N"}, {components.L2, components.N, "L2-N"}, {components.L, components.N, "L-N"},
	{components.L1, components.L2, "L1-L2"}, {components.L1, components.G, "L1-G"}, {components.L2, components.G, "L2-G"}, {components.L, components.G, "L-G"},
	{components.Pos, components.Neg, "+-"},
}

// Faults finds the prospective currents at every port that a source feeds.
func (s *Solution) Faults() map[components.PortRef]map[string]FaultRange {
	all := make(map[components.PortRef]map[string]FaultRange, len(s.Circuit.Ports))
	for i := range s.Circuit.Ports {
		port := &s.Circuit.Ports[i]
		for _, pair := range pairs {
			a, okA := port.Term(pair.a)
			b, okB := port.Term(pair.b)
			if !okA || !okB {
				continue
			}
			high, ok := s.HighestFault(a, b)
			low := Prospective{}
			if ok {
				low, _ = s.LowestFault(a, b)
			} else if amps, unknown := s.InverterFault(a); amps > 0 && unknown == "" {
				high.Amps, low.Amps, ok = amps, amps, true
			}
			if !ok {
				continue
			}
			if all[port.Ref] == nil {
				all[port.Ref] = make(map[string]FaultRange, 5)
			}
			all[port.Ref][pair.name] = FaultRange{high.Amps, low.Amps, [2]circuit.Term{a, b}}
		}
	}
	return all
}

// Contribution is what one source gives to a short, in amperes.
type Contribution struct {
	Part components.ID
	Amps float64
}

// Contributions are what each source gives to the highest prospective current
// between two terminals, the largest first.
func (s *Solution) Contributions(a, b circuit.Term) []Contribution {
	s.faults.once.Do(s.prepareFaults)
	for _, f := range []*faultSide{s.faults.ac, s.faults.dc} {
		x, okA := f.node(a)
		y, okB := f.node(b)
		if !okA || !okB || f.open == nil || f.open.Dead(x) || f.open.Dead(y) {
			continue
		}
		z, ok := f.thevenin(x, y)
		if !ok || z == 0 {
			continue
		}
		short := (f.open.V(x) - f.open.V(y)) / z // leaves x, comes back at y
		whole, size := complex(1, 0), cmplx.Abs(short)
		if size > 0 {
			whole = short / complex(size, 0)
		}
		byPart := map[components.ID]float64{}
		for _, g := range f.givers() {
			gives := g.to.Amps(x, y)*short - f.open.I(g.branch) // out of its plus
			// Along the whole, so that they add up to it. A short from leg to leg
			// runs through both EMFs of a source, in at one and out at the other.
			i := real(gives / whole)
			if f == s.faults.ac {
				i = math.Abs(i)
			}
			if math.Abs(i) > math.Abs(byPart[g.part]) {
				byPart[g.part] = i
			}
		}
		var all []Contribution
		for part, amps := range byPart {
			if math.Abs(amps) > size*1e-6 {
				all = append(all, Contribution{part, amps})
			}
		}
		slices.SortFunc(all, func(p, q Contribution) int {
			return cmp.Or(cmp.Compare(q.Amps, p.Amps), components.CompareIDs(p.Part, q.Part))
		})
		return all
	}
	return nil
}

// InverterFault is what an inverter that feeds a terminal delivers into a short,
// in amperes, by its electronics: any impedance of the wiring is small against
// that limit. unknown names an inverter that does not tell.
func (s *Solution) InverterFault(a circuit.Term) (amps float64, unknown components.ID) {
	if !s.Circuit.Terms[a].Pole.Hot() {
		return 0, ""
	}
	for _, src := range s.Circuit.Feeds(a) {
		p, _ := s.Circuit.Doc.Part(src.Part)
		if p.Kind.Role != components.Converts {
			continue
		}
		if f := p.Figure("fault_a"); f.Known() {
			amps += f.Value
		} else {
			unknown = p.ID
		}
	}
	return amps, unknown
}

// FaultThrough is the current that a link carries, in amperes, when a and b are
// bolted together: what a device there must break. A device in one of several
// parallel strings sees its own string, or all the others.
func (s *Solution) FaultThrough(link int, a, b circuit.Term) (Prospective, bool) {
	s.faults.once.Do(s.prepareFaults)
	for _, f := range []*faultSide{s.faults.ac, s.faults.dc} {
		x, okA := f.node(a)
		y, okB := f.node(b)
		br, okL := f.branch(link)
		if !okA || !okB || !okL || f.open == nil || f.open.Dead(x) || f.open.Dead(y) {
			continue
		}
		short, err := f.factored.FaultCurrent(x, y, 0)
		if err != nil {
			continue
		}
		amps, volts := cmplx.Abs(short.Result.I(br)), cmplx.Abs(short.Open)
		if amps == 0 || volts == 0 {
			return Prospective{Volts: volts}, volts > 0
		}
		return Prospective{Amps: amps, Volts: volts, Ohms: volts / amps}, true
	}
	return Prospective{}, false
}
