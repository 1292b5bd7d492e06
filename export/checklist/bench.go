package checklist

import (
	"fmt"
	"math"
	"math/cmplx"
	"sync"

	"rigline/components"
	"rigline/export/cards"
	"rigline/export/solved"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// bench holds the rig and the states that the items measure in, each solved when
// the first item asks for it.
type bench struct {
	rig   *solved.Rig
	doc   *components.Document
	sites func() []cards.Card

	sunny    func() *circuit.Circuit // in the sun, as the arrays stand in series
	quiet    func() *solved.State    // on the bank alone, everything off
	loads    func() *solved.State    // on the bank alone, the inverters off, all DC loads on
	idle     func() *solved.State    // on the bank alone, the inverters on, no load
	charging func() *solved.State    // on shore, all loads off
	shore    func() *solved.State    // on shore, everything on
	engine   func() *solved.State    // the engine runs, everything off
	site     *components.Part
	tests    map[components.ID]func() (*solved.State, components.Part, bool)
}

const halfFull = 0.5

func newBench(rig *solved.Rig) *bench {
	b := &bench{rig: rig, doc: rig.Doc, tests: map[components.ID]func() (*solved.State, components.Part, bool){}}
	b.sites = sync.OnceValue(func() []cards.Card { return cards.Of(b.doc) })
	solveOnce := func(st components.State) func() *solved.State {
		return sync.OnceValue(func() *solved.State { return solved.One(b.rig.Layout, st) })
	}
	var ac, dc, inverters []components.ID
	for _, p := range b.doc.Parts() {
		switch p.Kind {
		case &components.ACLoad, &components.Charger:
			ac = append(ac, p.ID)
		case &components.DCLoad:
			dc = append(dc, p.ID)
		case &components.Inverter, &components.InverterCharger:
			inverters = append(inverters, p.ID)
		case &components.Shore:
			if b.site == nil && !p.Gone() {
				b.site = &p
			}
		}
	}
	off := func(lists ...[]components.ID) []components.ID {
		var all []components.ID
		for _, l := range lists {
			all = append(all, l...)
		}
		return all
	}
	b.sunny = sync.OnceValue(func() *circuit.Circuit {
		return b.rig.Layout.In(components.State{Name: "in the sun", SoC: halfFull, Sun: 1})
	})
	b.quiet = solveOnce(components.State{Name: "everything off", SoC: halfFull, Off: off(ac, dc, inverters)})
	b.loads = solveOnce(components.State{Name: "DC loads alone", SoC: halfFull, Off: off(ac, inverters)})
	b.idle = solveOnce(components.State{Name: "inverter idle", SoC: halfFull, Off: off(ac, dc)})
	b.engine = solveOnce(components.State{Name: "engine running", SoC: halfFull, Engine: true, Off: off(ac, dc, inverters)})
	service := ""
	if b.site != nil {
		service = b.site.Word("service")
	}
	b.shore = solveOnce(components.State{Name: "shore, everything on", SoC: halfFull, Shore: service})
	b.charging = solveOnce(components.State{Name: "shore, charging alone", SoC: halfFull, Shore: service, Off: off(b.acLoads(), dc)})
	for _, inv := range b.parts(&components.Inverter, &components.InverterCharger) {
		var s *solved.State
		var load components.Part
		var ok bool
		once := sync.OnceFunc(func() { s, load, ok = b.findTest(inv, ac, dc) })
		b.tests[inv.ID] = func() (*solved.State, components.Part, bool) { once(); return s, load, ok }
	}
	return b
}

// acLoads are the appliances without the chargers.
func (b *bench) acLoads() []components.ID {
	var all []components.ID
	for _, p := range b.doc.Parts() {
		if p.Kind == &components.ACLoad {
			all = append(all, p.ID)
		}
	}
	return all
}

// mostTest is the largest load that is taken for a test, in VA: about what a
// heater draws.
const mostTest = 1600

// test solves the inverter with its test load alone: the largest load up to
// mostTest that it feeds off grid, or else the smallest; a motor only where there
// is nothing else, since its power is not steady. ok is false where none of
// known power hangs on it.
func (b *bench) test(inv components.Part) (s *solved.State, load components.Part, ok bool) {
	return b.tests[inv.ID]()
}

func (b *bench) findTest(inv components.Part, ac, dc []components.ID) (*solved.State, components.Part, bool) {
	c := b.idle().Circuit
	var best components.Part
	bestVA, found, motor := 0.0, false, false
	for _, p := range b.parts(&components.ACLoad) {
		va := p.Figure("va")
		x, y, _, ok := solve.LoadTerms(c, p)
		if !ok || !va.Known() || va.Value <= 0 || !fedBy(c, x, inv.ID) || c.Terms[y].Pole.Hot() && c.PhaseOf(x, y) != circuit.Opposite {
			continue
		}
		better := va.Value > bestVA && va.Value <= mostTest || bestVA > mostTest && va.Value < bestVA
		starts := p.Figure("start_va").Known()
		if !found || motor && !starts || better && starts == motor {
			best, bestVA, found, motor = p, va.Value, true, starts
		}
	}
	if !found {
		return nil, best, false
	}
	off := make([]components.ID, 0, len(ac)+len(dc))
	for _, id := range ac {
		if id != best.ID {
			off = append(off, id)
		}
	}
	return solved.One(b.rig.Layout, components.State{Name: "test load", SoC: halfFull, Off: append(off, dc...)}), best, true
}

func fedBy(c *circuit.Circuit, t circuit.Term, source components.ID) bool {
	for _, f := range c.Feeds(t) {
		if f.Part == source {
			return true
		}
	}
	return false
}

// volts is the voltage between two poles of a part's ports, in volts; ok is false
// where there is none.
func volts(s *solved.State, part components.ID, portA string, a components.Pole, portB string, z components.Pole) (float64, bool) {
	x, okA := s.Circuit.At(part, portA, a)
	y, okB := s.Circuit.At(part, portB, z)
	if !okA || !okB || !s.Solved() {
		return 0, false
	}
	v, ok := s.Solution.Between(x, y)
	if !ok {
		return 0, false
	}
	if a.DC() {
		return real(v), true
	}
	return cmplx.Abs(v), true
}

// bankOf are the strings of house batteries that feed a part's positive at a port, in
// tag order.
func (b *bench) bankOf(s *solved.State, part components.ID, port string) []solved.String {
	t, ok := s.Circuit.At(part, port, components.Pos)
	if !ok {
		return nil
	}
	return s.StringsAt(t)
}

// assumed tells whether the solver had to take a figure of the DC side for
// granted, so that its drops and currents are no prediction, and which.
func assumed(s *solved.State) (string, bool) {
	var first components.ID
	for id := range s.Solution.Assumed {
		if onACAlone(s.Circuit.Doc, id) {
			continue // it moves a DC reading by no more than the AC drop moves the load
		}
		if first == "" || components.CompareIDs(id, first) < 0 {
			first = id
		}
	}
	if first == "" {
		return "", false
	}
	return fmt.Sprintf("%s: %s", first, s.Solution.Assumed[first]), true
}

// onACAlone tells whether a tag stands for a run or a load without a DC core.
func onACAlone(doc *components.Document, id components.ID) bool {
	if r, ok := doc.Run(id); ok {
		for _, c := range doc.CoresOf(r) {
			if c.From.DC() {
				return false
			}
		}
		return true
	}
	p, _ := doc.Part(id)
	return p.Kind == &components.ACLoad || p.Kind == &components.Shore || p.Kind == &components.Generator
}

// drawnAt is the largest current of the runs that end at a terminal, in amperes.
func drawnAt(s *solved.State, part components.ID, port string, pole components.Pole) (float64, bool) {
	t, ok := s.Circuit.At(part, port, pole)
	if !ok || !s.Solved() {
		return 0, false
	}
	var sum complex128
	found := false
	for _, i := range s.Circuit.LinksAt(t) {
		l := s.Circuit.Links[i]
		if l.Run == "" {
			continue
		}
		if amps, solved := s.Solution.Current(int(i)); solved {
			if l.A != t {
				amps = -amps
			}
			sum, found = sum+amps, true
		}
	}
	return cmplx.Abs(sum), found
}

func infinite(v float64) bool { return math.IsInf(v, 0) }
