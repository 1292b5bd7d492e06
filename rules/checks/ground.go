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
}

// toFrame finds the best ground path from a terminal to a chassis stud, leaving
// out the links that skip names. Bonds are no ground conductors.
func toFrame(p *rules.Pass, from circuit.Term, skip func(circuit.Link) bool) path {
	c := p.Circuit
	type step struct {
		area float64
		path path
	}
	best := map[circuit.Term]step{from: {area: math.Inf(1)}}
	queue := []circuit.Term{from}
	answer := path{}
	area := -1.0
	for len(queue) > 0 {
		t := queue[0]
		queue = queue[1:]
		at := best[t]
		if q, _ := p.Doc.Part(c.Terms[t].Part); q.Kind == &components.Chassis {
			if at.area > area {
				area, answer = at.area, at.path
				answer.Found = true
			}
			continue
		}
		for _, i := range c.LinksAt(t) {
			l := c.Links[i]
			o := l.Other(t)
			if !l.Closed || l.Bond || c.Terms[o].Pole != components.G || skip(l) {
				continue
			}
			next := at
			if l.Run != "" {
				r, _ := p.Doc.Run(l.Run)
				size, ok := r.Size(components.G)
				switch {
				case !ok:
					next.path.Unknown = l.Run
				case copperArea(size, r) < at.area:
					next.area, next.path.Size, next.path.Thinnest = copperArea(size, r), size, l.Run
				}
			}
			if old, ok := best[o]; !ok || next.area > old.area {
				best[o] = next
				queue = append(queue, o)
			}
		}
	}
	return answer
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
	if doc.Basis == components.Caravan {
		return fourMM2
	}
	return eightAWG
}

// oneSmaller is the next smaller American size.
func oneSmaller(s units.Size) units.Size {
	smaller := s
	for _, o := range units.AWGSizes() {
		if o.Less(s) {
			smaller = o
		}
	}
	return smaller
}
