package circuit

import (
	"iter"
	"slices"

	"rigline/components"
)

// Walk goes outward from terminals over the links that it is let over, to each
// terminal once, nearest first. Bonds are no part of it.
type Walk struct {
	c    *Circuit
	over func(l *Link, to Term) bool
	came map[Term]int32 // the link that led there, -1 where it begins
	met  []Term         // nearest first
	done int            // how many of them have been left again
}

// Walk begins at terminals. Nothing is walked before it is asked for.
func (c *Circuit) Walk(over func(l *Link, to Term) bool, from ...Term) *Walk {
	w := &Walk{c: c, over: over, came: make(map[Term]int32, len(from))}
	for _, t := range from {
		if _, twice := w.came[t]; !twice {
			w.came[t] = -1
			w.met = append(w.met, t)
		}
	}
	return w
}

// Nearest are the terminals in the order of their distance, those where it begins
// first. Behind the one at which the loop stops it goes no farther.
func (w *Walk) Nearest() iter.Seq[Term] {
	return func(yield func(Term) bool) {
		for i := 0; i < len(w.met); i++ {
			if !yield(w.met[i]) {
				return
			}
			if i == w.done {
				w.leave(w.met[i])
				w.done++
			}
		}
	}
}

func (w *Walk) leave(t Term) {
	for _, i := range w.c.LinksAt(t) {
		l := &w.c.Links[i]
		o := l.Other(t)
		if _, been := w.came[o]; been || l.Bond || !w.over(l, o) {
			continue
		}
		w.came[o] = i
		w.met = append(w.met, o)
	}
}

// Way is the shortest way to a terminal, a link after the other; false where it is
// not reached.
func (w *Walk) Way(to Term) (links []int32, ok bool) {
	if _, ok = w.came[to]; !ok {
		for t := range w.Nearest() {
			if ok = t == to; ok {
				break
			}
		}
	}
	if !ok {
		return nil, false
	}
	for t := to; w.came[t] >= 0; {
		i := w.came[t]
		links = append(links, i)
		t = w.c.Links[i].Other(t)
	}
	slices.Reverse(links)
	return links, true
}

// Reached is every terminal that it comes to.
func (w *Walk) Reached() map[Term]bool {
	all := make(map[Term]bool, len(w.met))
	for t := range w.Nearest() {
		all[t] = true
	}
	return all
}

// ByRun is every terminal that it comes to, with the last run on the way there; none
// where no run lies on it.
func (w *Walk) ByRun() map[Term]components.ID {
	by := make(map[Term]components.ID, len(w.met))
	for t := range w.Nearest() {
		i := w.came[t]
		if i < 0 {
			by[t] = ""
			continue
		}
		l := &w.c.Links[i]
		if by[t] = l.Run; l.Run == "" {
			by[t] = by[l.Other(t)]
		}
	}
	return by
}
