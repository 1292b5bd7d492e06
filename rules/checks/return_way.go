package checks

import (
	"fmt"
	"maps"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// returnWays holds every negative on the way from an appliance back to its source to
// what protects the appliance's positive: a short there comes back the same way, and
// no device of its own watches it. Where two ways lead back they share, and neither is
// judged.
func returnWays(p *rules.Pass) {
	worst := map[components.ID]returned{}
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
			if _, known := f.limit(); !known {
				continue // asked for at the positive
			}
			amps := map[components.ID]float64{}
			for _, feed := range append([]circuit.Feed{f.Feed}, f.Joint...) {
				for _, run := range homeward(p.Circuit, feed.Source.Return, neg) {
					amps[run] += feed.LimitA
				}
			}
			limit, _ := f.limit() // a device that all came through may be tighter
			for run, a := range amps {
				if a = min(a, limit); a > worst[run].amps {
					worst[run] = returned{a, *f, ref}
				}
			}
		}
	})
	for _, run := range slices.SortedFunc(maps.Keys(worst), components.CompareIDs) {
		w := worst[run]
		r, ok := p.Doc.Run(run)
		if own, found := returnRun(p.Doc, w.fed.Run); !ok || found && own.ID == run {
			continue // returnWithinDC looks at it
		}
		w.judge(p, r)
	}
}

// returned is what may come back over a negative: the device that bounds it, and where
// what it protects is joined.
type returned struct {
	amps float64
	fed  fed
	at   components.PortRef
}

func (w returned) judge(p *rules.Pass, r components.Run) {
	a, err := runAmpacity(p, r, components.Neg)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return
	}
	level, over := overBy(w.amps, a, w.fed.Feed.Source.Volts)
	if !over {
		return
	}
	next, _ := standardAtLeast(a.Usable)
	f := rules.Finding{
		At: string(r.ID), Also: w.fed.also(), Level: level,
		Message: fmt.Sprintf("%s (%s) brings back what %s takes and carries %s A, but only %s it", r.ID, r.Told("size"), w.at, numText(a.Usable), w.fed.protects()),
		Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A < %s A; next standard rating %s A; 150 %% of the table %s A", numText(a.Usable), numText(w.amps), numText(next), numText(1.5*a.Table))),
		RestsOn: a.RestsOn,
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

// homeward are the runs of the only way from a negative to a source's return.
func homeward(c *circuit.Circuit, home, from circuit.Term) []components.ID {
	w := circuit.Lasting(c, homeKey(home), func() *wayHome { return findHome(c, home) })
	var runs []components.ID
	for t := from; t != home; {
		i, ok := w.over[t]
		if !ok {
			return nil
		}
		l := &c.Links[i]
		if l.Run != "" && !w.twice[i] {
			runs = append(runs, l.Run)
		}
		t = l.Other(t)
	}
	return runs
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
