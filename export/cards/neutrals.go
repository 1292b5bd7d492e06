package cards

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/checks"
	"rigline/rules/circuit"
)

// No device watches a neutral. With two hots in phase it carries their sum, which may be
// more than the conductor, the inlet's pin or the contact on its way is good for while
// each hot is within its breaker.

// neutral is what the neutral of a run carries for hours.
type neutral struct {
	amps float64
	size string
}

// carried notes what every neutral carries that may have more on it than one hot: those
// that go back from several, and those that run by themselves. s is the rig with
// everything off.
func (c *Card) carried(s *solved.State, lines []line) {
	c.neutrals = map[components.ID]neutral{}
	for _, r := range s.Circuit.Doc.Runs() {
		hots, back := 0, false
		for _, core := range s.Circuit.Doc.CoresOf(r) {
			if core.From.Hot() {
				hots++
			}
			back = back || core.From == components.N && core.To == components.N
		}
		if r.Gone() || !back || hots == 1 {
			continue
		}
		a, err := checks.AmpacityForHours(s.Circuit, r, components.N)
		if err == nil {
			c.neutrals[r.ID] = neutral{a.Usable, r.Told("size").String()}
		} else if adds(s, r) || hots == 0 && slices.ContainsFunc(lines, func(l line) bool { return len(summed(lines, l)) > 1 }) {
			c.unknown("%v: its neutral may carry the sum of two hots", err)
		}
	}
}

// adds tells whether the hots of a run are in phase, so that its neutral carries their sum.
func adds(s *solved.State, r components.Run) bool {
	var hots []circuit.Term
	for _, i := range s.Links(r.ID) {
		if l := s.Circuit.Links[i]; l.Core.From.Hot() {
			hots = append(hots, l.A)
		}
	}
	return len(hots) > 1 && s.Circuit.PhaseOf(hots[0], hots[1]) == circuit.InPhase
}

// summed are the hots whose currents add up on the neutral of a line's source, by their
// numbers among the lines: those in phase.
func summed(lines []line, of line) []int {
	var all []int
	for k, l := range lines {
		if l.source.Part == of.source.Part && math.Mod(l.source.Degrees-of.source.Degrees, 360) == 0 {
			all = append(all, k)
		}
	}
	return all
}

// returns is what the neutral of a link may carry and what it is of, 0 where it has no
// limit that is known.
func (c *Card) returns(in *circuit.Circuit, l circuit.Link) (amps float64, what string) {
	switch {
	case !l.Closed || l.Bond:
	case l.Run != "" && l.Core.From == components.N && l.Core.To == components.N:
		if n, ok := c.neutrals[l.Run]; ok {
			return n.amps, fmt.Sprintf("the neutral of %s (%s)", l.Run, n.size)
		}
	case l.Part != "" && l.Join.APole == components.N && l.Join.BPole == components.N:
		if amps, what = ratedOf(in, l); amps > 0 {
			return amps, "the neutral of " + what
		}
	}
	return 0, ""
}

// ways are the links by which terminals are reached from one, over closed contacts and
// cores of some poles, by the shortest way: -1 at the one itself.
func ways(in *circuit.Circuit, from circuit.Term, along func(components.Pole) bool) map[circuit.Term]int {
	via := map[circuit.Term]int{from: -1}
	for queue := []circuit.Term{from}; len(queue) > 0; queue = queue[1:] {
		for _, i := range in.LinksAt(queue[0]) {
			l := in.Links[i]
			far := l.Other(queue[0])
			if _, seen := via[far]; seen || !l.Closed || l.Bond || !along(in.Terms[far].Pole) {
				continue
			}
			via[far] = int(i)
			queue = append(queue, far)
		}
	}
	return via
}

// back calls do for every link on the way from a terminal to where the ways begin.
func back(in *circuit.Circuit, via map[circuit.Term]int, at circuit.Term, do func(link int)) {
	for {
		i, reached := via[at]
		if !reached || i < 0 {
			return
		}
		do(i)
		at = in.Links[i].Other(at)
	}
}

func isNeutral(p components.Pole) bool { return p == components.N }

// leftBack is what the neutrals between an inverter/charger and its source have left in
// a solved state, and which has the least; +Inf where the source has legs that are apart,
// of which one may relieve the other.
func (c *Card) leftBack(s *solved.State, id components.ID, lines []line, of line) (amps float64, what string) {
	amps = math.Inf(1)
	from, ok := s.Circuit.At(id, "ac-in", components.N)
	with := summed(lines, of)
	apart := false
	for k, l := range lines {
		apart = apart || l.source.Part == of.source.Part && !slices.Contains(with, k)
	}
	if !ok || apart {
		return amps, ""
	}
	back(s.Circuit, ways(s.Circuit, of.source.Return, isNeutral), from, func(i int) {
		rated, whose := c.returns(s.Circuit, s.Circuit.Links[i])
		if a, solved := s.Solution.Amps(i); rated > 0 && solved && rated-a < amps {
			amps, what = rated-a, fmt.Sprintf("%s, %v A, which carries what all hots draw", whose, rated)
		}
	})
	return amps, what
}

// tells says of hots in phase which neutral they may overload together.
func (c *Card) tells(s *solved.State, wants []want, lines []line) {
	var all []int
	for i := range wants {
		all = append(all, i)
	}
	told := map[string]bool{}
	for _, g := range c.gates(s, wants, all, lines) {
		if len(g.lines) < 2 {
			continue
		}
		hots, of := 0.0, make([]string, len(g.lines))
		for i, k := range g.lines {
			hots, of[i] = hots+lines[k].Amps, lines[k].Hot
			if !slices.ContainsFunc(g.of, func(w int) bool { return cmplx.Abs(wants[w].demand[k]) > 0 }) {
				hots = 0 // it carries what some of them draw alone
				break
			}
		}
		if says := fmt.Sprintf("%s are in phase: together they may draw %.1f A, what %s is good for", strings.Join(of, " and "), g.rated, g.what); hots > g.rated && !told[says] {
			told[says] = true
			c.Back = append(c.Back, says)
		}
	}
}
