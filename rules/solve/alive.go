package solve

import (
	"math"
	"math/cmplx"

	"rigline/components"
	"rigline/rules/circuit"
)

// leastAmps is below half of the last digit that a current is shown with.
const leastAmps = 0.005

// Alive tells of every part and run whether it is alive: fed by a source, or, for
// a return that no source feeds, carrying current or beside what is fed.
func (s *Solution) Alive() map[components.ID]bool {
	c := s.Circuit
	alive := map[components.ID]bool{}
	for i := range c.Links {
		l := &c.Links[i]
		if !l.Closed {
			continue
		}
		if !c.Live(l.A) {
			if a, ok := s.Amps(i); !ok || l.Run == "" || a <= leastAmps {
				continue
			}
		}
		if l.Run != "" {
			alive[l.Run] = true
		} else {
			alive[l.Part] = true
		}
	}
	for _, src := range c.Sources {
		alive[src.Part] = true
	}
	for t, term := range c.Terms { // a load lives where its terminal does
		if c.Live(circuit.Term(t)) && (term.Pole.Hot() || term.Pole == components.Pos) {
			alive[term.Part] = true
		}
	}
	for _, r := range c.Doc.Runs() { // grounds, neutrals and negatives belong to what they run with
		if !alive[r.ID] && c.Doc.OnlyReturns(r) && alive[r.From.Part] && alive[r.To.Part] {
			alive[r.ID] = true
		}
	}
	for _, r := range c.Doc.Runs() { // a bar or a shunt lives with the runs that end at it
		if alive[r.ID] {
			alive[r.From.Part], alive[r.To.Part] = true, true
		}
	}
	return alive
}

// Peak is the largest current of a run's cores, in A, and the voltage of its hot
// against the return of what feeds it, in V, 0 where nothing does.
type Peak struct{ Amps, Volts float64 }

// Peaks are those of every run that is in a solved network. A ground core beside
// others is left out: what flows in it is a fault. A run of nothing but ground
// tells what flows in that.
func (s *Solution) Peaks() map[components.ID]Peak {
	c := s.Circuit
	peaks, grounds := map[components.ID]Peak{}, map[components.ID]float64{}
	others := map[components.ID]bool{}
	for i := range c.Links {
		l := &c.Links[i]
		if l.Run == "" {
			continue
		}
		a, ok := s.Amps(i)
		if l.Core.Role() == components.G {
			if ok {
				grounds[l.Run] = math.Max(grounds[l.Run], a)
			}
			continue
		}
		others[l.Run] = true
		p, had := peaks[l.Run]
		if ok {
			p.Amps = math.Max(p.Amps, a)
		}
		p.Volts = math.Max(p.Volts, s.fedVolts(l))
		if ok || had {
			peaks[l.Run] = p
		}
	}
	for run, a := range grounds {
		if !others[run] {
			peaks[run] = Peak{Amps: a}
		}
	}
	return peaks
}

// fedVolts is the voltage of a hot or positive core against the return of its
// first source.
func (s *Solution) fedVolts(l *circuit.Link) float64 {
	c := s.Circuit
	back := components.N
	if l.Core.From == components.Pos {
		back = components.Neg
	}
	feeds := c.Feeds(l.A)
	if len(feeds) == 0 || c.Terms[feeds[0].Return].Pole != back {
		return 0
	}
	v, _ := s.Between(l.A, feeds[0].Return)
	return cmplx.Abs(v)
}
