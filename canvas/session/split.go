package session

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/export/scene"
)

// fitting is how a part goes into a run: its ports towards the run's ends, the
// cores that pass through it and those that go past.
type fitting struct {
	part           components.Part
	run            components.Run
	towards, away  string
	through, past  []components.Core
	lengthsUnknown bool
}

// fits tells how a part of two ports goes into a run; ok is false where it cannot.
// A device for one conductor is made to suit the run's, the hot or positive first.
func (s *Session) fits(part components.Part, run components.Run) (fitting, bool) {
	if run.From.Part == part.ID || run.To.Part == part.ID {
		return fitting{}, false
	}
	cores := s.Doc().CoresOf(run)
	for _, c := range slices.Concat(cores, []components.Core{{}}) {
		p := part
		if c != (components.Core{}) {
			if p.Spec["pole"].Told() { // the person's choice stays
				continue
			}
			f, ok := p.Kind.Field("pole")
			if !ok || f.Check(components.Str(string(c.From))) != nil || c.From != c.To {
				continue
			}
			if f.Default.Str() != string(c.From) {
				p.Spec = p.Spec.With("pole", components.Str(string(c.From)))
			}
		}
		if f, ok := fitsAs(p, run, cores); ok {
			return f, true
		}
	}
	return fitting{}, false
}

func fitsAs(part components.Part, run components.Run, cores []components.Core) (fitting, bool) {
	line, okA := part.Port("line")
	load, okB := part.Port("load")
	if !okA || !okB {
		ports := part.Ports()
		if len(ports) != 2 || part.Kind.Role != components.Measures && part.Kind.Role != components.Switches {
			return fitting{}, false
		}
		line, load = ports[0], ports[1]
	}
	f := fitting{part: part, run: run, towards: line.Name, away: load.Name}
	for _, c := range cores {
		if line.Has(c.From) && load.Has(c.From) {
			f.through = append(f.through, c)
		} else {
			f.past = append(f.past, c)
		}
	}
	f.lengthsUnknown = run.Figure("length_ft").Known()
	return f, len(f.through) > 0
}

// edits cut the run in two at the part. The piece at the run's from end keeps its
// tag; conductors that the part does not carry stay whole, as a run of their own.
// How long the pieces are nobody has measured, so both lengths become unknown.
func (f fitting) edits(doc *components.Document) []components.Edit {
	head, tail := f.run, f.run
	head.To, tail.From = f.part.Ref(f.towards), f.part.Ref(f.away)
	head.Path, tail.Path = nil, nil
	head.Cores, tail.Cores = nil, nil
	for _, c := range f.through {
		head.Cores = append(head.Cores, components.Core{From: c.From, To: c.From})
		tail.Cores = append(tail.Cores, c)
	}
	if f.lengthsUnknown {
		head.Spec = head.Spec.With("length_ft", components.Unknown)
		tail.Spec = head.Spec
	}
	tail.ID = doc.FreeID("W")
	edits := []components.Edit{components.RemoveRun{ID: f.run.ID}, components.AddRun{Run: head}, components.AddRun{Run: tail}}
	if len(f.past) > 0 {
		past := f.run
		past.Cores = f.past
		past.ID = freeAfter(doc, "W", tail.ID)
		edits = append(edits, components.AddRun{Run: past})
	}
	return edits
}

// freeAfter is the next free tag beside one that is about to be used.
func freeAfter(doc *components.Document, prefix string, used ...components.ID) components.ID {
	for n := 1; ; n++ {
		id := components.ID(fmt.Sprintf("%s%d", prefix, n))
		_, part := doc.Part(id)
		_, run := doc.Run(id)
		if !part && !run && !slices.Contains(used, id) {
			return id
		}
	}
}

// landing finds the run under a place that a part would go into: where on it, and
// turned which way.
func (s *Session) landing(part components.Part, at scene.Pt, reach float64) (fitting, bool) {
	id, ok := s.runNear(at, max(reach, components.Module))
	if !ok {
		return fitting{}, false
	}
	run, _ := s.Doc().Run(id)
	f, ok := s.fits(part, run)
	if !ok {
		return fitting{}, false
	}
	path := s.Sheet().Paths[id]
	on, _ := nearestOn(path, at)
	f.part.At = onGrid(on.at)
	f.part.Turn = turnAlong(path[on.piece], path[on.piece+1])
	return f, true
}

// turnAlong turns a part that lies from left to right into the direction of a
// piece of a run.
func turnAlong(a, b scene.Pt) int {
	switch dx, dy := b.X-a.X, b.Y-a.Y; {
	case dx < 0 && -dx >= max(dy, -dy):
		return 180
	case dy > 0 && dy > max(dx, -dx):
		return 90
	case dy < 0 && -dy > max(dx, -dx):
		return 270
	}
	return 0
}

// tellSplit says what the person has to measure after a run was cut.
func (s *Session) tellSplit(f fitting) {
	if f.lengthsUnknown {
		s.Tell(Plain, "%s is cut in two at %s: measure the pieces, %s was %v ft", f.run.ID, f.part.ID, f.run.ID, f.run.Figure("length_ft").Value)
		return
	}
	s.Tell(Plain, "%s is cut in two at %s", f.run.ID, f.part.ID)
}
