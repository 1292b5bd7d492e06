package checks

import (
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
)

// path is the best way over ground conductors from a terminal to the frame: the
// one whose thinnest run is thickest.
type path struct {
	Found    bool
	Thinnest components.ID // "" where only metal lies between
	Size     units.Size
	Unknown  components.ID // a run on the way whose size is not told
	Other    components.ID // a run on the way that is not copper
}

// toFrame finds the best ground path from a terminal to a chassis stud, leaving
// out the links that skip names. Bonds are no ground conductors.
func toFrame(p *rules.Pass, from circuit.Term, skip func(circuit.Link) bool) path {
	c := p.Circuit
	type step struct {
		area float64 // 0 for not reached
		path path
	}
	grounds := groundsOf(p)
	best := map[circuit.Term]step{from: {area: math.Inf(1)}} // few terminals lie on the way
	queue := []circuit.Term{from}
	answer := path{}
	area := -1.0
	for len(queue) > 0 {
		t := queue[0]
		queue = queue[1:]
		at := best[t]
		if grounds.frame[t] {
			if at.area > area {
				area, answer = at.area, at.path
				answer.Found = true
			}
			continue
		}
		for _, i := range c.LinksAt(t) {
			l := &c.Links[i]
			o := l.Other(t)
			if !l.Closed || l.Bond || c.Terms[o].Pole != components.G || skip(*l) {
				continue
			}
			if next, wide := at.path.over(l, grounds.core[i], at.area); wide > best[o].area {
				best[o] = step{wide, next}
				queue = append(queue, o)
			}
		}
	}
	return answer
}

type fromFrameKey struct{}

// bestWay is toFrame over what is no unit's case ground, worked out for all terminals at
// once, from the frame outwards: who takes the unit out takes that way along.
func bestWay(p *rules.Pass, from circuit.Term) path {
	type step struct {
		area float64
		path path
	}
	best := rules.Once(p, fromFrameKey{}, func() []step {
		c, grounds := p.Circuit, groundsOf(p)
		best := make([]step, len(c.Terms))
		var queue []circuit.Term
		for t := range c.Terms {
			if grounds.frame[t] && c.Terms[t].Pole == components.G {
				best[t] = step{math.Inf(1), path{Found: true}}
				queue = append(queue, circuit.Term(t))
			}
		}
		for len(queue) > 0 {
			t := queue[0]
			queue = queue[1:]
			for _, i := range c.LinksAt(t) {
				l := &c.Links[i]
				o := l.Other(t)
				if !l.Closed || l.Bond || c.Terms[o].Pole != components.G || grounds.frame[o] || l.Run == "" && c.Terms[t].Port == "case" {
					continue
				}
				if next, area := best[t].path.over(l, grounds.core[i], best[t].area); area > best[o].area {
					best[o] = step{area, next}
					queue = append(queue, o)
				}
			}
		}
		return best
	})
	return best[from].path
}

// over is the way with one link more, and the area of its thinnest conductor.
func (w path) over(l *circuit.Link, g groundCore, area float64) (path, float64) {
	switch {
	case l.Run == "":
	case g.area == 0:
		w.Unknown = l.Run
	case g.area < area:
		w.Size, w.Thinnest, area = g.size, l.Run, g.area
	}
	if g.other {
		w.Other = l.Run
	}
	return w, area
}

// grounds are the ground cores of a layout, whatever the state, and where the frame
// is.
type grounds struct {
	core  []groundCore // by link
	frame []bool       // by terminal
}

// groundCore is a ground core with its area in copper; 0 where its size is not told.
type groundCore struct {
	size  units.Size
	area  float64
	other bool // of another metal, told
}

type groundsKey struct{}

func groundsOf(p *rules.Pass) grounds {
	return rules.Once(p, groundsKey{}, func() grounds {
		g := grounds{core: make([]groundCore, len(p.Circuit.Links)), frame: make([]bool, len(p.Circuit.Terms))}
		for i := range p.Circuit.Links {
			l := &p.Circuit.Links[i]
			if l.Run == "" || p.Circuit.Terms[l.A].Pole != components.G && p.Circuit.Terms[l.B].Pole != components.G {
				continue
			}
			r, _ := p.Doc.Run(l.Run)
			if size, ok := r.Size(components.G); ok {
				g.core[i] = groundCore{size, copperArea(size, r), r.Metal() != components.Copper}
			}
		}
		for t := range p.Circuit.Terms {
			q, _ := p.Doc.Part(p.Circuit.Terms[t].Part)
			g.frame[t] = q.Kind == &components.Chassis
		}
		return g
	})
}

// copperArea is the area of a run's core in circular mils, conductors in parallel
// counted.
func copperArea(s units.Size, r components.Run) float64 { return s.Cmil() * r.Figure("sets").Value }

// eightAWG is the smallest bonding conductor to the chassis (NEC 551.56(C), 552.10(C)).
var eightAWG = func() units.Size {
	s, err := units.ParseSize("8 AWG")
	if err != nil {
		panic(err)
	}
	return s
}()

// fourMM2 is the smallest bonding conductor to the frame of a 230 V caravan (IEC
// 60364-7-721 721.544, from memory).
var fourMM2 = func() units.Size {
	s, err := units.ParseSize("4 mm2")
	if err != nil {
		panic(err)
	}
	return s
}()

// leastBond is the smallest bonding conductor to the frame under the project's
// rule set.
func leastBond(doc *components.Document) units.Size {
	if european(doc) {
		return fourMM2
	}
	return eightAWG
}

// oneSmaller is the next smaller size of the same series that a shop has: below 2 AWG
// that is 4 AWG.
func oneSmaller(s units.Size) units.Size {
	smaller := s
	for _, o := range shelf(s.Metric()) {
		if o.Less(s) {
			smaller = o
		}
	}
	return smaller
}
