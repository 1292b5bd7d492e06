package solve

import (
	"math"
	"slices"
	"sync"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
)

// Demand is what the DC side has to carry, apart from what a state happens to
// use: all inverters at rated power at their lowest input voltage with all DC
// loads on, every charge source at its full output with no load drawing, and the
// inverters at their surge power.
type Demand struct {
	Amps     []float64                // largest continuous current by link
	Surge    []float64                // the same with every inverter at its surge power
	Drawing  Case                     // loads and inverters on
	DCOnly   Case                     // DC loads on, inverters at rest
	Charging Case                     // charge sources on
	Surging  Case                     // loads and inverters on, inverters at their surge power
	Missing  map[components.ID]string // parts whose demand is not known
	Open     []bool                   // by link: whether what is missing would flow there; nil where nothing is
}

// Case is one solved way of loading the DC side.
type Case struct {
	n *side
	r *nodal.Result
}

// Amps is the current of a link in A, positive from its A to its B; 0 where none
// flows.
func (k Case) Amps(link int) float64 {
	if k.r == nil {
		return 0
	}
	b, ok := k.n.branch(link)
	if !ok {
		return 0
	}
	return real(k.r.I(b))
}

// Between is the voltage from one terminal to another, in V; ok is false where
// nothing feeds them.
func (k Case) Between(a, b circuit.Term) (volts float64, ok bool) {
	if k.r == nil {
		return 0, false
	}
	x, okA := k.n.node(a)
	y, okB := k.n.node(b)
	if !okA || !okB || k.r.Dead(x) || k.r.Dead(y) {
		return 0, false
	}
	return real(k.r.V(x) - k.r.V(y)), true
}

// FullDemand works out the demand on the DC side, once for all states in which the
// same contacts of it are closed.
func (s *Solution) FullDemand() Demand {
	s.demandOnce.Do(func() {
		key, work := demandKey(s.contacts(dcSide)), any(sync.OnceValue(s.fullDemand))
		if before, ok := s.Circuit.Before(key); ok && s.Circuit.Unchanged(DemandFields) {
			work = before
		}
		kept, _ := s.Circuit.Memo().LoadOrStore(key, work)
		s.demand = kept.(func() Demand)()
	})
	return s.demand
}

// demandKey is the closed contacts of the DC side.
type demandKey string

func (s *Solution) fullDemand() Demand {
	d := Demand{Amps: make([]float64, len(s.Circuit.Links)), Surge: make([]float64, len(s.Circuit.Links)), Missing: map[components.ID]string{}}
	drawing, giving := s.stressed(draws, -1, &d), s.stressed(gives, 1, &d)
	d.Drawing = drawing.solve(draws)
	d.DCOnly = drawing.solve(withoutInverters)
	d.Surging = drawing.solve(surges)
	d.Charging = giving.solve(gives)
	for i := range s.Circuit.Links {
		d.Amps[i] = math.Max(math.Abs(d.Drawing.Amps(i)), math.Abs(d.Charging.Amps(i)))
		d.Surge[i] = math.Max(math.Abs(d.Surging.Amps(i)), d.Amps[i])
	}
	if len(d.Missing) > 0 {
		d.Open = make([]bool, len(s.Circuit.Links))
		drawing.reach(d.Missing, d.Open)
		giving.reach(d.Missing, d.Open)
	}
	return d
}

// reach marks the links in which the current of some parts would flow: it sends 1 A
// through each of them and looks what that changes.
func (k *stress) reach(parts map[components.ID]string, open []bool) {
	at := func(amps float64) Case {
		return k.solve(func(p components.Part) (string, float64, bool) {
			if _, ok := parts[p.ID]; ok {
				return "any", amps, true
			}
			return "any", 0, true
		})
	}
	rest, sent := at(0), at(1)
	for i := range open {
		open[i] = open[i] || math.Abs(sent.Amps(i)-rest.Amps(i)) > 1e-6
	}
}

// rated is the DC current of a part at one of its ports, in A; port is "" where it
// has none.
type rated func(components.Part) (port string, amps float64, known bool)

// stress is the DC side with a current source at each part that draws, or at each
// that gives. It is factored once for all currents.
type stress struct {
	n        side
	sign     float64
	at       []stressed
	factored *nodal.Factored
}

// stressed is one part's current source.
type stressed struct {
	part   components.Part
	branch nodal.Branch
}

func (s *Solution) stressed(of rated, sign float64, d *Demand) *stress {
	k := &stress{n: s.lay(inDC, false, s.Circuit.Doc.ConductorTempC, nil), sign: sign}
	s.banks(&k.n)
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Gone() {
			continue
		}
		if sign < 0 {
			s.holdsOutput(&k.n, p)
		}
		port, _, known := of(p)
		if port == "" {
			continue
		}
		if !known {
			d.Missing[p.ID] = "its rated current is not known"
		}
		pos, okP := k.n.at(s.Circuit, p.ID, port, components.Pos)
		neg, okN := k.n.at(s.Circuit, p.ID, port, components.Neg)
		if okP && okN {
			k.at = append(k.at, stressed{p, k.n.net.Current(neg, pos, 0)})
		}
	}
	if len(k.at) > 0 {
		k.factored, _ = k.n.net.Factor() // none where it has no solution
	}
	return k
}

// solve solves it with the current that each part draws or gives, as far as it is known.
func (k *stress) solve(of rated) Case {
	any := false
	for _, at := range k.at {
		port, amps, known := of(at.part)
		if port == "" || !known {
			amps = 0
		}
		any = any || port != "" && known
		k.n.net.SetCurrent(at.branch, complex(k.sign*amps, 0))
	}
	if !any || k.factored == nil {
		return Case{}
	}
	r, err := k.factored.Solve()
	if err != nil {
		return Case{}
	}
	return Case{&k.n, r}
}

// holdsOutput makes the output of a step-down the source of what hangs on it. What
// it draws itself is its rated current, whatever hangs there. Where a battery hangs there
// too, that one gives what the loads take: the step-down never gives more than its rating,
// which is counted where it charges that battery.
func (s *Solution) holdsOutput(n *side, p components.Part) {
	if p.Kind != &components.DCConverter || !p.Figure("out_v").Known() || s.buffered(p) {
		return
	}
	pos, okP := n.at(s.Circuit, p.ID, "out", components.Pos)
	neg, okN := n.at(s.Circuit, p.ID, "out", components.Neg)
	if okP && okN {
		n.net.Source(pos, neg, complex(p.Figure("out_v").Value, 0), stiff)
	}
}

// buffered tells whether a battery hangs on the output of a step-down.
func (s *Solution) buffered(p components.Part) bool {
	out, ok := s.Circuit.At(p.ID, "out", components.Pos)
	return ok && slices.ContainsFunc(s.Circuit.Sources, func(o circuit.Source) bool {
		return o.Stores && s.Circuit.Net(o.Hot) == s.Circuit.Net(out)
	})
}

// banks puts the batteries in at their sagging resistance. One of unknown make
// takes the current all the same; beside others its share is then a guess, and the
// rules that ask for its label say so.
func (s *Solution) banks(n *side) {
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Battery {
			continue
		}
		b, missing := s.bankOf(p, 0.5, false)
		if missing != "" {
			b.emf, b.ohms = s.nominalAt(p.ID, "pos"), unknownBank
		}
		n.battery(s.Circuit, p.ID, b)
	}
}

// unknownBank stands for the resistance of a battery whose label has not been
// read, in ohms.
const unknownBank = 1e-3

// surges is what a part draws in the moments of its surge, where it has one.
func surges(p components.Part) (port string, amps float64, known bool) {
	port, amps, known = draws(p)
	va, surge := p.Figure("continuous_va"), p.Figure("surge_va")
	if known && surge.Known() && surge.Value > va.Value {
		amps *= surge.Value / va.Value
	}
	return port, amps, known
}

// withoutInverters is what DC loads and step-downs draw.
func withoutInverters(p components.Part) (port string, amps float64, known bool) {
	if p.Kind == &components.Inverter || p.Kind == &components.InverterCharger {
		return "", 0, false
	}
	return draws(p)
}

// draws is the rated current that a part takes from its DC port at the lowest
// voltage.
func draws(p components.Part) (port string, amps float64, known bool) {
	switch p.Kind {
	case &components.Inverter, &components.InverterCharger:
		va, low, eff := p.Figure("continuous_va"), p.Figure("dc_low_v"), p.Figure("efficiency")
		return "dc", va.Value / (eff.Value * low.Value), va.Known() && low.Known() && eff.Known()
	case &components.DCLoad:
		a := p.Figure("a")
		return "in", a.Value, a.Known()
	case &components.DCConverter, &components.DCCharger:
		out, outV, inV, eff := p.Figure("output_a"), p.Figure("out_v"), p.Figure("in_v"), p.Figure("efficiency")
		low := 10.5 / 12 * components.VoltClass(inV.Value)
		if p.Kind == &components.DCCharger {
			low = components.VoltClass(inV.Value) // a charger runs with the engine
		}
		return "in", out.Value * outV.Value / (eff.Value * low), out.Known() && outV.Known() && inV.Known()
	}
	return "", 0, false
}

// gives is the full output of a charge source.
func gives(p components.Part) (port string, amps float64, known bool) {
	f := components.Figure{}
	switch p.Kind {
	case &components.InverterCharger, &components.Charger:
		port, f = "dc", p.Figure("charge_a")
	case &components.SolarController:
		port, f = "battery", p.Figure("output_a")
	case &components.DCCharger, &components.DCConverter:
		port, f = "out", p.Figure("output_a")
	case &components.Alternator:
		port, f = "out", p.Figure("rating_a")
	}
	return port, f.Value, f.Known()
}
