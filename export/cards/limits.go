package cards

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/circuit"
)

// held is what may be drawn for hours of a site's or a generator's breaker. An
// American one is held to 80 % for loads of three hours or more (NEC 210.20(A), 125 %
// the other way round; from memory), one under IEC 60364 to its rating (60364-4-43
// 433.1, I_B ≤ I_n; from memory).
func held(doc *components.Document, rated float64, whose string) (amps float64, why string) {
	if doc.Basis == components.Caravan {
		return rated, fmt.Sprintf("the rating of %s %v A breaker", whose, rated)
	}
	return 0.8 * rated, fmt.Sprintf("80 %% of %s %v A breaker, for hours", whose, rated)
}

// line is a limit of the card and the source that it belongs to.
type line struct {
	Limit
	source circuit.Source
}

// limits are the lines of a state: one for each hot of each AC source.
func (c *Card) limits(s *solved.State) []line {
	var all []line
	count := map[components.ID]int{}
	for _, src := range s.Circuit.Sources {
		if s.Circuit.Terms[src.Hot].Pole.Hot() {
			count[src.Part]++
		}
	}
	for _, src := range s.Circuit.Sources {
		pole := s.Circuit.Terms[src.Hot].Pole
		if !pole.Hot() {
			continue
		}
		p, _ := s.Circuit.Doc.Part(src.Part)
		l := line{source: src, Limit: Limit{Hot: string(p.ID) + " " + string(pole), Amps: src.LimitA}}
		switch p.Kind {
		case &components.Shore:
			l.Amps, l.Why = held(s.Circuit.Doc, c.Breaker, "the site's")
		case &components.Generator:
			l.generator(p, count[p.ID], s.Circuit.Doc, c)
		default:
			if math.IsInf(src.LimitA, 1) || src.LimitA <= 0 {
				l.Amps = 0
				c.unknown("the continuous power of %s is not known: read it off the device", p.ID)
			}
			l.Why = src.LimitText
		}
		all = append(all, l)
	}
	for _, l := range all {
		c.Limits = append(c.Limits, l.Limit)
	}
	return all
}

// generator holds a hot to the smaller of what the breaker passes for hours and the set's share of
// its rating.
func (l *line) generator(p components.Part, hots int, doc *components.Document, c *Card) {
	volts := doc.MainsVolts()
	breaker, va := p.Figure("breaker_a"), p.Figure("rating_va")
	l.Amps = math.Inf(1)
	if breaker.Known() {
		l.Amps, l.Why = held(doc, breaker.Value, string(p.ID)+"'s")
	}
	if va.Known() && va.Value/float64(hots)/volts < l.Amps {
		l.Amps, l.Why = va.Value/float64(hots)/volts, fmt.Sprintf("%s's rating of %v VA over %d hot and %v V", p.ID, va.Value, hots, volts)
		if hots > 1 {
			l.Why = fmt.Sprintf("%s's rating of %v VA over %d hots and %v V", p.ID, va.Value, hots, volts)
		}
	}
	if !breaker.Known() || !va.Known() {
		c.unknown("the rating or the breaker of %s is not known: read them off the set", p.ID)
		l.Amps = 0
	}
}

func (c *Card) unknown(format string, args ...any) {
	c.Unknown = append(c.Unknown, fmt.Sprintf(format, args...))
}

// hair is what a figure may stand above its limit by rounding.
const hair = 1 + 1e-6

// rounding is what a current that is worked out may stand below a whole ampere that it is.
const rounding = 1e-3

// fits tells whether a solved state stays within every limit of the card, every
// breaker, contact and inlet on the way, the neutrals back, and the bank's own limit;
// where not, why.
func (c *Card) fits(s *solved.State, lines []line) (string, bool) {
	if f := s.Solution.Failure; f != nil {
		return f.Reason, false
	}
	for _, l := range lines {
		if a := s.Drawn(l.source.Hot); a > l.Amps*hair {
			return fmt.Sprintf("%s would give %.1f A of %.1f A", l.Hot, a, l.Amps), false
		}
	}
	for i, l := range s.Circuit.Links {
		rated, what := c.returns(s.Circuit, l)
		if l.Part != "" && l.Closed && l.Join.APole.Hot() {
			rated, what = ratedOf(s.Circuit, l)
		}
		if rated <= 0 {
			continue
		}
		if a, ok := s.Solution.Amps(i); ok && a > rated*hair {
			return fmt.Sprintf("%s would carry %.1f A of %v A", what, a, rated), false
		}
	}
	for _, p := range s.Circuit.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Battery {
			continue
		}
		limit := p.Figure("discharge_a")
		f, ok := s.Solution.Flows[p.ID]
		most := limit.Value * p.Figure("parallel").Value
		if ok && limit.Known() && -f.DCAmps > most*hair {
			return fmt.Sprintf("%s would give %.0f A of %.0f A", p.ID, -f.DCAmps, most), false
		}
	}
	return "", true
}

// ratedOf is the rating of the device or contact that a link passes, 0 where it
// has none that is known.
func ratedOf(c *circuit.Circuit, l circuit.Link) (amps float64, what string) {
	if d, ok := c.Device(l); ok {
		return d.RatingA.Value, d.String()
	}
	p, _ := c.Doc.Part(l.Part)
	switch p.Kind {
	case &components.Inlet, &components.SurgeProtector, &components.TransferSwitch:
		return p.Figure("rating_a").Value, string(p.ID)
	case &components.InverterCharger:
		if l.Join.When == components.Passing {
			return p.Figure("relay_a").Value, string(p.ID) + "'s relay"
		}
	}
	return 0, ""
}
