package session

import (
	"fmt"

	"rigline/components"
	"rigline/export/scene"
)

// stroke draws a run from a port.
type stroke struct {
	from  components.PortRef
	start scene.PortAt
	at    scene.Pt
	far   bool // the pointer has left the port
	why   map[components.PortRef]string
	ways  map[components.PortRef]int
	poles map[components.PortRef]map[components.Pole]bool // that a run would bring there
	says  map[components.PortRef]string                   // what a part would become by the run

	router *scene.Router // of the rig as it is; nil until the pointer has left the port, and on a large rig
	goal   goal          // what path was found for
	path   []scene.Pt
}

// goal is where the run that is being drawn would end: at a port, or at a place.
type goal struct {
	port components.PortRef
	at   components.Point
}

func newStroke(s *Session, hit Hit) *stroke {
	k := &stroke{from: hit.Port, at: hit.At, why: map[components.PortRef]string{}, ways: map[components.PortRef]int{}, poles: map[components.PortRef]map[components.Pole]bool{}, says: map[components.PortRef]string{}}
	for _, p := range s.Sheet().Ports {
		if p.Ref == hit.Port && p.At == hit.At {
			k.start = p
		}
		if _, done := k.ways[p.Ref]; done {
			continue
		}
		ways, why := Ways(s.Doc(), k.from, p.Ref)
		k.ways[p.Ref], k.why[p.Ref] = len(ways), why
		k.poles[p.Ref] = map[components.Pole]bool{}
		for _, w := range ways {
			doc := s.Doc()
			if w.doc != nil {
				doc, k.says[p.Ref] = w.doc, w.Says
			}
			from, to := w.ends(k.from, p.Ref)
			for _, c := range doc.CoresOf(components.Run{From: from, To: to, Cores: w.Cores}) {
				k.poles[p.Ref][c.To] = true
			}
		}
	}
	return k
}

func (k *stroke) drag(s *Session, p Pointer) {
	k.at = p.At
	k.far = k.far || dist(p.At, k.start.At) > p.Reach
}

// aim is the landing that the pointer means: one under it, or the nearest fitting
// one of the part under it.
func (k *stroke) aim(s *Session, p Pointer) (scene.PortAt, bool) {
	sheet := s.Sheet()
	if port, ok := nearestPort(sheet, p.At, max(p.Reach*2, 10), s.IsSelected); ok && port.Ref != k.from {
		return port, true
	}
	hit := s.Hit(p)
	if hit.Part == "" || hit.Part == k.from.Part {
		return scene.PortAt{}, false
	}
	best, found := 0.0, scene.PortAt{}
	for _, port := range sheet.Ports {
		if port.Ref.Part != hit.Part {
			continue
		}
		d := dist(port.At, p.At)
		if k.ways[port.Ref] == 0 {
			d += 1e6 // only where nothing fits, to say why
		}
		if found.Ref.Part == "" || d < best {
			best, found = d, port
		}
	}
	return found, found.Ref.Part != ""
}

func (k *stroke) release(s *Session, p Pointer) {
	k.drag(s, p)
	if !k.far { // a click
		s.pick(k.from.Part, p.Shift)
		return
	}
	port, ok := k.aim(s, p)
	if !ok {
		if s.Hit(p).Part == k.from.Part {
			s.Tell(Plain, "A run ends at a port. Drag from %s to one that is lit", k.from)
			return
		}
		s.leaveLoose(k.from, p.At)
		return
	}
	s.Connect(k.from, port.Ref)
}

// leaveLoose ends a run on empty paper, at a junction with nothing behind it: it
// may be drawn on from there later, and until then the rules say that it is loose.
func (s *Session) leaveLoose(from components.PortRef, at scene.Pt) {
	_, port, ok := s.Doc().Port(from)
	if !ok {
		return
	}
	end := NewPart(s.Doc(), &components.Splice)
	end.Name = "Loose end"
	end.At = onGrid(at)
	words := make([]string, len(port.Poles))
	for i, pole := range port.Poles {
		words[i] = string(pole)
	}
	end.Spec = end.Spec.With("poles", components.Words(words...))
	end.At.X += components.Module // its first port comes to lie under the pointer
	run := components.Run{ID: s.Doc().FreeID("W"), From: from, To: end.Ref("a")}
	if s.Do(fmt.Sprintf("Run %s from %s to a loose end", run.ID, from), components.AddPart{Part: end}, components.AddRun{Run: run}) != nil {
		return
	}
	s.Select(run.ID)
	s.Tell(Plain, "%s ends loose at %s. Drag on from there, or draw it to a port", run.ID, end.ID)
}

// fits tells whether the run may end at a landing. One that is kept for a single
// conductor is not lit for a run without it.
func (k *stroke) fits(l scene.PortAt) bool {
	return k.ways[l.Ref] > 0 && (l.Pole == "" || k.poles[l.Ref][l.Pole])
}

func (k *stroke) preview(s *Session) Preview {
	v := Preview{Cursor: Cross, HintAt: k.at}
	if !k.far {
		v.Lights = []Light{{At: k.start.At, OK: true, Aim: true}}
		v.Hint = s.portText(k.from)
		return v
	}
	p := Pointer{At: k.at, Reach: s.View.Reach()}
	port, aimed := k.aim(s, p)
	end, side := k.at, k.start.Side
	for _, l := range s.Sheet().Ports {
		if l.Ref == k.from {
			continue
		}
		on := aimed && l == port
		if ok := k.fits(l); ok || on {
			v.Lights = append(v.Lights, Light{At: l.At, OK: k.ways[l.Ref] > 0, Aim: on})
		}
	}
	fits := true
	if aimed {
		end, side = port.At, port.Side
		v.Hint = s.portText(port.Ref)
		if k.ways[port.Ref] == 0 {
			v.Hint, v.Wrong, fits = k.why[port.Ref], true, false
		} else if k.ways[port.Ref] > 1 {
			v.Hint += "\nchoose the conductors on release"
		} else if says := k.says[port.Ref]; says != "" {
			v.Hint += "\n" + says
		}
	}
	if !aimed && s.Hit(p).Part == "" {
		v.Hint = "let go here and the run ends loose"
	}
	role := scene.Ink
	if !fits {
		role = scene.Danger
	}
	path := k.way(s, port, aimed && fits)
	if path == nil {
		path = elbow(k.start.At, k.start.Side, end, side, aimed)
	}
	v.Shapes = []scene.Shape{{Layer: scene.RunLayer, Form: scene.Polyline, Role: role, Weight: components.Wide, Dash: scene.ShortDash, Pts: path}}
	return v
}

// way is the line that the run would take around the parts and beside the other
// runs; nil on a large rig, where finding it takes too long for the pointer.
func (k *stroke) way(s *Session, port scene.PortAt, aimed bool) []scene.Pt {
	if size(s.Doc()) > instant {
		return nil
	}
	if k.router == nil {
		k.router = scene.NewRouter(s.Doc())
	}
	to := goal{at: onGrid(k.at)}
	if aimed {
		to = goal{port: port.Ref}
	}
	if k.path != nil && to == k.goal {
		return k.path
	}
	k.goal = to
	if aimed {
		k.path = k.router.Route(components.Run{ID: s.Doc().FreeID("W"), From: k.from, To: port.Ref})
	} else {
		k.path = k.router.RouteTo(k.from, k.at)
	}
	return k.path
}

// elbow is a quick line of right angles between two places, for a preview; the
// scene finds the real path on release.
func elbow(a scene.Pt, from components.Side, b scene.Pt, to components.Side, aimed bool) []scene.Pt {
	const out = 2 * components.Module
	step := func(p scene.Pt, s components.Side) scene.Pt {
		switch s {
		case components.Left:
			p.X -= out
		case components.Right:
			p.X += out
		case components.Top:
			p.Y -= out
		case components.Bottom:
			p.Y += out
		}
		return p
	}
	p := step(a, from)
	pts := []scene.Pt{a, p}
	q := b
	if aimed {
		q = step(b, to)
	}
	if from == components.Left || from == components.Right {
		pts = append(pts, scene.Pt{X: p.X, Y: q.Y})
	} else {
		pts = append(pts, scene.Pt{X: q.X, Y: p.Y})
	}
	pts = append(pts, q)
	if aimed {
		pts = append(pts, b)
	}
	return pts
}
