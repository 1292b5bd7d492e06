package solve

import (
	"math"

	"rigline/components"
)

// Demand is the largest continuous current of every DC link, in amperes: all
// inverters at rated power at their lowest input voltage with all DC loads on,
// and, apart from that, every charge source at its full output with no load
// drawing. It is worked out once, whatever the state's own loads are.
type Demand struct {
	Amps    map[int]float64
	Missing map[components.ID]string // parts whose demand is not known
}

// FullDemand works out the demand on the DC side.
func (s *Solution) FullDemand() Demand {
	d := Demand{Amps: map[int]float64{}, Missing: map[components.ID]string{}}
	for _, drawing := range []bool{true, false} {
		n := s.lay(inDC, false, s.Circuit.Doc.ConductorTempC)
		s.banks(&n)
		any := false
		for _, p := range s.Circuit.Doc.Parts() {
			if p.Gone() {
				continue
			}
			port, amps, known := draws(p)
			if !drawing {
				port, amps, known = gives(p)
			}
			if port == "" {
				continue
			}
			if !known {
				d.Missing[p.ID] = "its rated current is not known"
				continue
			}
			pos, okP := n.at(s.Circuit, p.ID, port, components.Pos)
			neg, okN := n.at(s.Circuit, p.ID, port, components.Neg)
			if !okP || !okN {
				continue
			}
			any = true
			if drawing {
				n.net.Current(pos, neg, complex(amps, 0))
			} else {
				n.net.Current(neg, pos, complex(amps, 0))
			}
		}
		if !any {
			continue
		}
		f, err := n.net.Factor()
		if err != nil {
			continue
		}
		r, err := f.Solve()
		if err != nil {
			continue
		}
		for link, b := range n.branch {
			d.Amps[link] = math.Max(d.Amps[link], math.Abs(real(r.I(b))))
		}
	}
	return d
}

// banks puts the batteries in at their sagging resistance, and a way back for
// the current of every charge source's own feed.
func (s *Solution) banks(n *side) {
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Battery {
			continue
		}
		b, _ := bankOf(p, 0.5, false)
		pos, okP := n.at(s.Circuit, p.ID, "pos", components.Pos)
		neg, okN := n.at(s.Circuit, p.ID, "neg", components.Neg)
		if okP && okN && b.emf > 0 {
			n.of[n.net.Source(pos, neg, complex(b.emf, 0), complex(math.Max(b.ohms, stiff), 0))] = p.ID
		}
	}
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
