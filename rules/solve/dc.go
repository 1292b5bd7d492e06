package solve

import (
	"math"

	"rigline/components"
	"rigline/rules/circuit"
	"rigline/rules/nodal"
	"rigline/rules/tables"
)

// bank is the model of a battery: an EMF behind a resistance.
type bank struct {
	emf, ohms      float64
	absorb, blocks float64 // charging voltage of the whole string; 12 V blocks in series
}

// bankOf models a battery at a state of charge; fault asks for the cell-level
// resistance, without crediting the management system's switch, and the highest
// rested voltage.
func (s *Solution) bankOf(p components.Part, soc float64, fault bool) (bank, string) {
	chem, ok := tables.BatteryChemistry(p.Word("chemistry"))
	volts, ah := p.Figure("nominal_v"), p.Figure("capacity_ah")
	if !ok || !volts.Known() {
		return bank{}, "its chemistry or voltage is not known"
	}
	series, parallel := p.Figure("series").Value, s.Circuit.Strings(p)
	if parallel <= 0 {
		return bank{}, ""
	}
	blocks := volts.Value / chem.NominalVoltage * series // of 12 V
	b := bank{blocks: blocks, absorb: chem.ChargeVoltage.Absorb * blocks}
	if fault {
		soc = 1
	}
	b.emf = chem.OpenCircuit(soc) * blocks
	declared, internal := p.Figure("fault_a"), p.Figure("internal_mohm")
	switch {
	case fault && declared.Known():
		b.ohms = b.emf / declared.Value / parallel
	case fault && internal.Known():
		b.ohms = internal.Value / 1000 * series / parallel
	case !ah.Known():
		return b, "its capacity is not known"
	default:
		mohm := chem.Resistance.Sag
		if fault {
			mohm = chem.Resistance.Fault
		}
		b.ohms = mohm / 1000 * 100 / ah.Value * blocks / parallel
	}
	return b, ""
}

// charge is a source of DC current that holds a voltage once it reaches it: a
// charger, a solar controller, an alternator, a DC-DC device.
type charge struct {
	part    components.Part
	pos     circuit.Term
	gives   nodal.Branch // its current, while it is at its limit
	holds   nodal.Branch // its voltage, once it holds that; one of the two is open
	amps    float64      // its limit
	volts   float64      // what it holds
	holding bool
	feeds   nodal.Branch // the power it draws where it comes from, -1 for none
	ac      bool         // feeds is in the AC network
	eff     float64
	share   float64 // of its full current that its input allows
	lifts   line    // its voltage against its share
	free    line    // what its input leaves it, in watts, against what it draws there
}

// shareFor is the share with which the source gives a power, in watts:
// share × amps × (rest + lift × share).
func (ch *charge) shareFor(watts float64) float64 {
	each := math.Max(0, watts) / ch.amps
	volts, lift := ch.lifts.answer, ch.lifts.slope
	if lift <= 0 {
		return each / volts
	}
	rest := volts - lift*ch.lifts.asked
	return 2 * each / (rest + math.Sqrt(rest*rest+4*lift*each))
}

// coupled are the branches of either network that follow from the other.
type coupled struct {
	charges   []*charge
	inverters []inverter
	boosts    []*boost
}

type inverter struct {
	part   components.Part
	branch nodal.Branch // the power that it draws from the bank
}

// stepDownMargin is how far above its rating a step-down's electronics begin to limit
// (common practice, no source). Loads that take just what it gives draw a little more
// for what their cables lose; those that take more are found by adding them up.
const stepDownMargin = 1.05

// dcSources puts banks in, and everything that charges them or lives on them.
func (s *Solution) dcNetwork(dc, ac *side) *coupled {
	c := s.Circuit
	k := &coupled{}
	for _, p := range c.Doc.Parts() {
		if p.Gone() {
			continue
		}
		switch p.Kind {
		case &components.Battery:
			b, missing := s.bankOf(p, c.State.SoC, false)
			if missing != "" {
				s.Assumed[p.ID] = missing
			}
			dc.battery(c, p.ID, b)
		case &components.DCLoad:
			a := p.Figure("a")
			pos, okP := dc.at(c, p.ID, "in", components.Pos)
			neg, okN := dc.at(c, p.ID, "in", components.Neg)
			if !a.Known() {
				s.Assumed[p.ID] = "its current is not known"
			} else if okP && okN && s.on(p.ID) && a.Value > 0 {
				v := s.nominalAt(p.ID, "in")
				dc.put(dc.net.Power(pos, neg, complex(a.Value*v, 0), v), p.ID)
			}
		case &components.Inverter, &components.InverterCharger:
			s.inverterDC(dc, k, p)
			if p.Kind == &components.InverterCharger && c.Positions[p.ID] == circuit.Passing {
				s.addCharge(dc, ac, k, p, "dc", p.Figure("charge_a"), p.Figure("efficiency").Value, true)
			}
		case &components.Charger:
			if t, ok := c.At(p.ID, "ac-in", components.L); ok && c.Live(t) && s.on(p.ID) {
				s.addCharge(dc, ac, k, p, "dc", p.Figure("charge_a"), p.Figure("efficiency").Value, true)
			}
		case &components.SolarController:
			if t, ok := c.At(p.ID, "pv", components.Pos); ok && c.Live(t) {
				s.addCharge(dc, ac, k, p, "battery", p.Figure("output_a"), 1, false)
			}
		case &components.Alternator:
			if c.State.Engine {
				s.addCharge(dc, ac, k, p, "out", p.Figure("rating_a"), 1, false)
			}
		case &components.DCCharger:
			if c.Charges(p) {
				s.addCharge(dc, ac, k, p, "out", p.Figure("output_a"), p.Figure("efficiency").Value, false)
			}
		case &components.DCConverter:
			if t, ok := c.At(p.ID, "in", components.Pos); ok && c.Live(t) {
				limit := p.Figure("output_a")
				limit.Value *= stepDownMargin
				s.addCharge(dc, ac, k, p, "out", limit, p.Figure("efficiency").Value, false)
			}
		case &components.SolarArray:
			if c.State.Sun > 0 {
				pos, okP := dc.at(c, p.ID, "out", components.Pos)
				neg, okN := dc.at(c, p.ID, "out", components.Neg)
				v := p.Figure("series").Value * p.Figure("vmp_v").Value
				if okP && okN && v > 0 {
					dc.put(dc.net.Source(pos, neg, complex(v, 0), stiff), p.ID)
				}
			}
		}
	}
	return k
}

// nominalAt is the nominal voltage of what feeds a port, 12 V where nothing does.
func (s *Solution) nominalAt(part components.ID, port string) float64 {
	if t, ok := s.Circuit.At(part, port, components.Pos); ok {
		for _, src := range s.Circuit.Feeds(t) {
			return src.Volts
		}
	}
	return 12
}

func (s *Solution) inverterDC(dc *side, k *coupled, p components.Part) {
	c := s.Circuit
	if c.Positions[p.ID] != circuit.Inverting {
		return
	}
	pos, okP := dc.at(c, p.ID, "dc", components.Pos)
	neg, okN := dc.at(c, p.ID, "dc", components.Neg)
	if !okP || !okN {
		return
	}
	inv := inverter{part: p, branch: dc.net.Power(pos, neg, 0, s.nominalAt(p.ID, "dc"))}
	dc.put(inv.branch, p.ID)
	k.inverters = append(k.inverters, inv)
}

// follower is the resistance of a charge source that holds its voltage, in ohms:
// enough for two that hold much the same voltage to share.
const follower = 1e-3

// addCharge puts a charge source in, and the power that it draws at its input.
func (s *Solution) addCharge(dc, ac *side, k *coupled, p components.Part, port string, limit components.Figure, eff float64, fromAC bool) {
	c := s.Circuit
	pos, okP := dc.at(c, p.ID, port, components.Pos)
	neg, okN := dc.at(c, p.ID, port, components.Neg)
	if !okP || !okN {
		return
	}
	if !limit.Known() {
		s.Assumed[p.ID] = "its output current is not known"
		return
	}
	t, _ := c.At(p.ID, port, components.Pos)
	ch := &charge{part: p, pos: t, amps: limit.Value, eff: eff, share: 1, feeds: -1, volts: s.holds(p, t)}
	ch.lifts.answer = ch.volts // to begin with
	ch.holding = !s.banked(t)  // a current into loads alone would drive them to any voltage
	ch.gives = dc.put(dc.net.Current(pos, neg, 0), p.ID)
	ch.holds = dc.put(dc.net.Source(pos, neg, complex(ch.volts, 0), follower), p.ID)
	switch {
	case fromAC:
		ch.ac = true
		for _, pole := range []components.Pole{components.L, components.L1} {
			hot, okH := ac.at(c, p.ID, "ac-in", pole)
			n, okN := ac.at(c, p.ID, "ac-in", components.N)
			if okH && okN {
				ch.feeds = ac.net.Power(hot, n, 0, c.Doc.MainsVolts())
				ac.put(ch.feeds, p.ID)
				break
			}
		}
	default:
		in := map[*components.Kind]string{&components.SolarController: "pv", &components.DCCharger: "in", &components.DCConverter: "in"}[p.Kind]
		if in == "" {
			break
		}
		ip, okP := dc.at(c, p.ID, in, components.Pos)
		im, okM := dc.at(c, p.ID, in, components.Neg)
		if okP && okM {
			ch.feeds = dc.net.Power(ip, im, 0, s.nominalAt(p.ID, in))
			dc.put(ch.feeds, p.ID)
		}
	}
	if p.Kind == &components.SolarController {
		ch.share = s.sunShare(p, ch)
	}
	k.charges = append(k.charges, ch)
}

// banked tells whether a battery that is modelled takes what a source at a
// terminal gives.
func (s *Solution) banked(t circuit.Term) bool {
	for _, src := range s.Circuit.Feeds(t) {
		if !src.Stores {
			continue
		}
		p, _ := s.Circuit.Doc.Part(src.Part)
		if b, _ := s.bankOf(p, s.Circuit.State.SoC, false); b.emf > 0 {
			return true
		}
	}
	return false
}

// holds is the voltage that a charge source stops at: its own set voltage, or
// the absorption voltage of the bank that it feeds.
func (s *Solution) holds(p components.Part, t circuit.Term) float64 {
	switch p.Kind {
	case &components.Alternator:
		return p.Figure("volts").Value
	case &components.DCConverter:
		return p.Figure("out_v").Value
	}
	if set := p.Figure("absorb_v"); set.Known() {
		return set.Value
	}
	for _, src := range s.Circuit.Feeds(t) {
		if q, _ := s.Circuit.Doc.Part(src.Part); q.Kind == &components.Battery {
			return s.absorb(q)
		}
	}
	return 14.4 * components.VoltClass(s.nominalAt(p.ID, "dc")) / 12
}

// absorb is the charging voltage of a battery with those in series below it.
func (s *Solution) absorb(battery components.Part) float64 {
	volts := 0.0
	for _, id := range s.Circuit.InSeries(battery.ID) {
		q, _ := s.Circuit.Doc.Part(id)
		b, _ := s.bankOf(q, s.Circuit.State.SoC, false)
		volts += b.absorb
	}
	return volts
}

// sunShare is the part of the controller's output that its arrays can supply.
func (s *Solution) sunShare(p components.Part, ch *charge) float64 {
	t, ok := s.Circuit.At(p.ID, "pv", components.Pos)
	if !ok {
		return 0
	}
	watts := 0.0
	for _, src := range s.Circuit.Feeds(t) {
		if !src.Sun {
			continue
		}
		for _, id := range s.Circuit.InSeries(src.Part) {
			q, _ := s.Circuit.Doc.Part(id)
			watts += s.Circuit.State.Sun * q.Figure("series").Value * q.Figure("parallel").Value * q.Figure("vmp_v").Value * q.Figure("imp_a").Value
		}
	}
	if ch.volts <= 0 || ch.amps <= 0 {
		return 0
	}
	return min(1, watts/(ch.volts*ch.amps))
}
