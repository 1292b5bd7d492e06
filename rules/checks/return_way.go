package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// returnWays holds every negative on the way from an appliance back to its source to
// what protects the appliance's positive: a short there comes back the same way, and
// no device of its own watches it. Where two ways lead back, each is held to its share.
func returnWays(p *rules.Pass) {
	worst, doubtful := map[components.ID]returned{}, map[components.ID]returned{}
	eachFedRun(p, true, func(p *rules.Pass, f *fed) {
		if f.Feed.Source.Stores && !f.Feed.HasDevice() {
			return // overcurrent.battery-unfused speaks
		}
		for _, ref := range []components.PortRef{f.Run.From, f.Run.To} {
			pos, okP := p.Circuit.Term(ref.At(components.Pos))
			neg, okN := p.Circuit.Term(ref.At(components.Neg))
			if !okP || !okN || pos == f.Feed.Enters || f.Feed.Source.Hot == pos {
				continue
			}
			limit, known := f.limit() // a device that all came through may be tighter
			if !known {
				continue // asked for at the positive
			}
			type current struct{ amps, largest float64 } // and its largest share of one feed
			back, asks := map[components.ID]current{}, ""
			add := func(feed *circuit.Feed) {
				shares, missing := backOver(p, feed.Source.Return, neg)
				for run, share := range shares {
					c := back[run]
					back[run] = current{c.amps + share*feed.LimitA, max(c.largest, share)}
				}
				asks += missing
			}
			add(&f.Feed)
			for i := range f.Joint {
				add(&f.Joint[i])
			}
			for run, c := range back {
				a, to := min(c.amps, limit*c.largest), worst
				if asks != "" {
					a, to = limit, doubtful
				}
				if a > to[run].amps {
					to[run] = returned{a, c.largest, asks, f, ref}
				}
			}
		}
	})
	for _, run := range slices.SortedFunc(maps.Keys(worst), components.CompareIDs) {
		worst[run].judge(p, run)
	}
	for _, run := range slices.SortedFunc(maps.Keys(doubtful), components.CompareIDs) {
		doubtful[run].judge(p, run)
	}
}

// backOver are the runs that a current takes from a negative back to a source's return,
// with the share of it that each carries; missing says what is not told where two ways
// divide it.
func backOver(p *rules.Pass, home, from circuit.Term) (shares map[components.ID]float64, missing string) {
	whole := circuit.Lasting(p.Circuit, backKey{home, from}, func() map[components.ID]float64 { return wholeBack(p.Circuit, home, from) })
	if whole == nil {
		d := rules.Once(p, backKey{home, from}, func() solve.Division { return solve.DivideReturn(p.Circuit, from, home) })
		return d.Shares, strings.Join(d.Missing, ", ")
	}
	return whole, ""
}

// backKey asks how a current comes back from a negative to a source's return.
type backKey struct{ home, from circuit.Term }

// wholeBack gives every run of the way back the whole of a current, nil where another
// way takes its share.
func wholeBack(c *circuit.Circuit, home, from circuit.Term) map[components.ID]float64 {
	runs, alone := homeward(c, home, from)
	if !alone {
		return nil
	}
	shares := make(map[components.ID]float64, len(runs))
	for _, run := range runs {
		shares[run] = 1
	}
	return shares
}

// returned is what may come back over a negative: the device that bounds it, the share
// of that which this run takes, and where what it protects is joined.
type returned struct {
	amps, share float64
	asks        string // what is not told, so that the share is not known
	fed         *fed
	at          components.PortRef
}

func (w returned) judge(p *rules.Pass, run components.ID) {
	r, ok := p.Doc.Run(run)
	if own, found := ownReturn(p, w.fed.Run); !ok || found && own.ID == run && w.share > 0.999 {
		return // returnWithinDC looks at it
	}
	a, err := runAmpacity(p, r, components.Neg)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return
	}
	const digits = 1 - 1e-6 // what the division of a current leaves of exactness
	level, over := overBy(w.amps*digits, a, w.fed.Feed.Source.Volts)
	if !over {
		return
	}
	if w.asks != "" {
		p.Unchecked(string(r.ID), fmt.Sprintf("%s: two ways lead back from %s, and how %s A divide over them cannot be told. Measure and tell it, or take one way out", w.asks, w.at, numText(w.amps)))
		return
	}
	next, _ := standardAtLeast(a.Usable)
	f := rules.Finding{
		At: string(r.ID), Also: w.fed.also(), Level: level,
		Message: fmt.Sprintf("%s (%s) brings back what %s takes and is good for %s A, but only %s it", r.ID, r.Told("size"), w.at, numText(a.Usable), w.fed.protects()),
		Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A < %s A; next standard rating %s A; 150 %% of the table %s A", numText(a.Usable), numText(w.amps), numText(next), numText(1.5*a.Table))),
		RestsOn: a.RestsOn,
	}
	if w.share < 0.999 {
		f.Message = fmt.Sprintf("%s (%s) brings back %s A of what %s takes, beside another way, and is good for %s A, but only %s it", r.ID, r.Told("size"), numText(w.amps), w.at, numText(a.Usable), w.fed.protects())
		f.Working = append([]string{fmt.Sprintf("its share by the resistances of both ways: %.1f %%", 100*w.share)}, f.Working...)
	}
	if size, ok := sizeFor(p, r, components.Neg, w.amps); ok {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, size), Edits: []components.Edit{set(r.ID, "size", components.Str(size.String()))}}}
	}
	p.Report(f)
}

// homeKey asks for the ways back to a source's return.
type homeKey circuit.Term

// wayHome is a tree of negative links with a source's return as its root.
type wayHome struct {
	over  map[circuit.Term]int32 // the link that leads towards the root
	depth map[circuit.Term]int
	twice map[int32]bool // links beside which another way leads
}

// homeward are the runs of the way from a negative to a source's return; alone is false
// where another way leads there too.
func homeward(c *circuit.Circuit, home, from circuit.Term) (runs []components.ID, alone bool) {
	w := circuit.Lasting(c, homeKey(home), func() *wayHome { return findHome(c, home) })
	for t := from; t != home; {
		i, ok := w.over[t]
		if !ok {
			return nil, true
		}
		l := &c.Links[i]
		if w.twice[i] {
			return nil, false
		}
		if l.Run != "" {
			runs = append(runs, l.Run)
		}
		t = l.Other(t)
	}
	return runs, true
}

func findHome(c *circuit.Circuit, home circuit.Term) *wayHome {
	w := &wayHome{over: map[circuit.Term]int32{}, depth: map[circuit.Term]int{home: 0}, twice: map[int32]bool{}}
	near := []circuit.Term{home}
	for len(near) > 0 {
		t := near[0]
		near = near[1:]
		for _, i := range c.LinksAt(t) {
			l := &c.Links[i]
			o := l.Other(t)
			if !l.Closed || l.Bond || c.Terms[o].Pole != components.Neg || i == w.over[t] && t != home {
				continue
			}
			if _, been := w.depth[o]; been {
				w.shared(c, t, o)
				continue
			}
			w.over[o], w.depth[o] = i, w.depth[t]+1
			near = append(near, o)
		}
	}
	return w
}

// shared marks the two ways from a link's ends back to where they meet.
func (w *wayHome) shared(c *circuit.Circuit, a, b circuit.Term) {
	for a != b {
		if w.depth[a] < w.depth[b] {
			a, b = b, a
		}
		i := w.over[a]
		w.twice[i] = true
		a = c.Links[i].Other(a)
	}
}
