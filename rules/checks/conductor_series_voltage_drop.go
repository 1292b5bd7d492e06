package checks

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
)

// SeriesDrop adds up what is lost between a source and each AC load.
var SeriesDrop = &rules.Rule{
	ID:    "conductor.series-voltage-drop",
	Title: "Too much voltage is lost on the way",
	Must:  "With everything on, at most 3 % of the voltage is lost in a branch circuit and 5 % from the outlet, generator or inverter to the load, charger or inverter input, the cord counted.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "210.19(A) and 215.2(A), informational notes", Says: "3 % for the branch, 5 % in all (not mandatory)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "Chapter 9, Tables 8 and 9", Says: "resistance and reactance, out and back", Seen: rules.Published},
	},
	Level: rules.Advice, OnePerPlace: true,
	Check: seriesDrop,
}

const (
	branchDrop = 3.0 // %
	totalDrop  = 5.0 // %
)

func seriesDrop(p *rules.Pass) {
	if p.Solution().Failure != nil {
		return
	}
	if missing := unmeasured(p.Doc, p.Circuit); len(missing) > 0 {
		if p.First() {
			p.Unchecked(missing[0], fmt.Sprintf("the length of %s is not known, so what the AC loads lose on the way is not: measure along the cables", strings.Join(missing, ", ")), missing[1:]...)
		}
		return
	}
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		for _, hots := range drawsAt(p, q) {
			if w, ok := wayTo(p, q, hots); ok {
				tellDrop(p, q, w)
			}
		}
	}
}

// drawsAt are the hots between which, or against the neutral, a part draws AC: a load's, a
// charger's, and each leg of an inverter/charger that takes its input.
func drawsAt(p *rules.Pass, q components.Part) [][]components.Pole {
	switch {
	case q.Kind == &components.ACLoad:
		return [][]components.Pole{poles(q)}
	case q.Kind == &components.Charger:
		return [][]components.Pole{{components.L}}
	case q.Kind == &components.InverterCharger && p.Circuit.Positions[q.ID] == circuit.Passing:
		return [][]components.Pole{{components.L}, {components.L1}, {components.L2}}
	}
	return nil
}

// drawsFrom is the port at which it does.
func drawsFrom(q components.Part) string {
	if q.Kind == &components.InverterCharger {
		return "ac-in"
	}
	return usesPort(q)
}

type unmeasuredKey struct{}

// unmeasured are the AC runs with a hot and no length told, looked for once for all
// states.
func unmeasured(doc *components.Document, c *circuit.Circuit) []string {
	return circuit.Once(doc.Reads(), c.Memo(), unmeasuredKey{}, func() []string { return findUnmeasured(doc) })
}

func findUnmeasured(doc *components.Document) []string {
	var ids []string
	for _, r := range doc.Runs() {
		if r.Gone() || r.Figure("length_ft").Known() {
			continue
		}
		for _, core := range doc.CoresOf(r) {
			if core.From.Hot() {
				ids = append(ids, string(r.ID))
				break
			}
		}
	}
	return ids
}

// way is the supply of a load: volts at the source, at the branch device and at
// the load, and the run that loses the most.
type way struct {
	rated, source, bar, load float64
	worst                    components.ID
	worstV                   float64 // out and back
	scale                    float64 // below 1 where the source's breaker allows less than everything on
}

func wayTo(p *rules.Pass, q components.Part, hots []components.Pole) (way, bool) {
	c := p.Circuit
	back := components.N
	if len(hots) == 2 {
		back = components.L2
	}
	hot, okH := c.At(q.ID, drawsFrom(q), hots[0])
	ret, okR := c.At(q.ID, drawsFrom(q), back)
	at, solved := p.Solution().Between(hot, ret)
	feed, fed := loosestAhead(p, hot)
	if !okH || !okR || !solved || !fed || cmplx.Abs(at) < 1 {
		return way{}, false
	}
	w := way{rated: p.Doc.MainsVolts() * float64(len(hots)), load: cmplx.Abs(at), scale: 1}
	far := feed.Source.Return
	if len(hots) == 2 {
		for _, s := range c.Feeds(ret) {
			if s.Part == feed.Source.Part {
				far = s.Hot
			}
		}
	}
	from, ok := p.Solution().Between(feed.Source.Hot, far)
	if !ok {
		return way{}, false
	}
	w.source, w.bar = cmplx.Abs(from), cmplx.Abs(from)
	path, ok := supply(p, feed.Source.Hot, hot)
	if ok {
		w.along(p, feed.Source.Hot, path, feed, back)
	}
	return w, ok
}

// supplyFrom asks for the shortest ways from a source's hot.
type supplyFrom circuit.Term

// supply is the shortest way over hot conductors from a source to a terminal, a
// link after the other.
func supply(p *rules.Pass, from, to circuit.Term) (path []int32, ok bool) {
	path = circuit.Lasting(p.Circuit, supplyWay{from, to}, func() []int32 { return supplyPath(p.Circuit, from, to) })
	return path, path != nil
}

// supplyWay asks for one of them.
type supplyWay struct{ from, to circuit.Term }

// supplyPath is nil where there is no way.
func supplyPath(c *circuit.Circuit, from, to circuit.Term) []int32 {
	walk := circuit.Lasting(c, supplyFrom(from), func() *circuit.Walk {
		w := c.Walk(func(l *circuit.Link, o circuit.Term) bool { return l.Closed && c.Terms[o].Pole.Hot() }, from)
		for range w.Nearest() { // to its end, before others read it
		}
		return w
	})
	path, ok := walk.Way(to)
	if ok && path == nil {
		path = []int32{}
	}
	return path
}

// along walks from the source to the load: the run that loses the most, the volts
// ahead of the last device, and how far the source's own breaker holds the current.
func (w *way) along(p *rules.Pass, t circuit.Term, path []int32, feed circuit.Feed, back components.Pole) {
	c := p.Circuit
	for _, i := range path {
		l := &c.Links[i]
		if d, ok := c.Device(*l); ok && d.At() == feed.Last.At() {
			if v, ok := p.Solution().Between(t, other(c, t, back)); ok {
				w.bar = cmplx.Abs(v)
			}
		}
		if l.Run != "" {
			v := 0.0
			for j, o := range c.LinksOf(l.Run) {
				if o.Core != l.Core && o.Core.From != back {
					continue
				}
				if d, ok := p.Solution().Between(c.Links[j].A, c.Links[j].B); ok {
					v += cmplx.Abs(d)
				}
			}
			if v > w.worstV {
				w.worst, w.worstV = l.Run, v
			}
			if amps, ok := p.Solution().Amps(int(i)); ok && amps > feed.Source.LimitA {
				w.scale = math.Min(w.scale, feed.Source.LimitA/amps)
			}
		}
		t = l.Other(t)
	}
}

// other is the return beside a hot terminal, itself where there is none.
func other(c *circuit.Circuit, t circuit.Term, back components.Pole) circuit.Term {
	if o, ok := c.Term(c.Terms[t].PortRef.At(back)); ok {
		return o
	}
	return t
}

func tellDrop(p *rules.Pass, q components.Part, w way) {
	branch := 100 * (w.bar - w.load) / w.rated
	total := branch + 100*(w.source-w.bar)/w.rated*w.scale
	over := math.Max(branch-branchDrop, total-totalDrop)
	if over <= 0 || w.worst == "" {
		return
	}
	r, _ := p.Doc.Run(w.worst)
	f := rules.Finding{
		At: string(w.worst), Also: []string{string(q.ID)},
		Message: fmt.Sprintf("%s gets %.1f V of %s V: %.1f %% is lost on the way, most of it in %s", q.ID, w.rated-total/100*w.rated, numText(w.rated), total, w.worst),
		Working: []string{
			fmt.Sprintf("branch: %.4g V − %.4g V = %.1f %% of %s V (3 %% at most)", w.bar, w.load, branch, numText(w.rated)),
			fmt.Sprintf("in all: %.1f %% (5 %% at most); %s alone %.1f %%", total, w.worst, 100*w.worstV/w.rated),
		},
	}
	if w.scale < 1 {
		f.Working = append(f.Working, fmt.Sprintf("the way to the branch counted at %.0f %%: the source's breaker allows no more", 100*w.scale))
	}
	if size, ok := sizeForDrop(r, 100*w.worstV/w.rated, over); ok {
		edits := []components.Edit{set(r.ID, "size", components.Str(size.String()))}
		if hasCore(p.Doc, r, components.G) {
			edits = append(edits, set(r.ID, "ground_size", components.Str(size.String()))) // 250.122(B)
		}
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s, its ground with it", w.worst, size), Edits: edits}}
	}
	p.Report(f)
}

// sizeForDrop is the smallest size that takes as much off a run's own drop as is
// too much: resistance falls as the area grows. A little is added for reactance,
// which does not.
func sizeForDrop(r components.Run, own, over float64) (units.Size, bool) {
	size, ok := r.Size(components.L)
	if !ok || size.Metric() || own <= over || r.Told("cable").Str() == "cord-shore" {
		return units.Size{}, false
	}
	want := 1.05 * size.Cmil() * own / (own - over)
	for _, s := range units.AWGSizes() {
		if s.Cmil() >= want && s != threeAWG {
			return s, true
		}
	}
	return units.Size{}, false
}
