package scene

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// Lines run on whole modules, level or upright, from landing to landing.
func TestLinesAreOrthogonalOnWholeModules(t *testing.T) {
	for _, doc := range testDocuments(t) {
		s := Draw(doc, Options{})
		for id, path := range s.Paths {
			for i, p := range path {
				assert.Zero(t, int(p.X)%components.Module, "%s %s", doc.Title, id)
				assert.Zero(t, int(p.Y)%components.Module, "%s %s", doc.Title, id)
				if i > 0 {
					assert.True(t, (p.X == path[i-1].X) != (p.Y == path[i-1].Y), "%s %s: %s to %s", doc.Title, id, path[i-1], p)
				}
			}
		}
	}
}

// No line goes through a symbol; only the stud of a bar lies within one.
func TestLinesKeepOffSymbols(t *testing.T) {
	for _, doc := range testDocuments(t) {
		s := Draw(doc, Options{})
		for _, r := range doc.Runs() {
			path := s.Paths[r.ID]
			for _, p := range doc.Parts() {
				body := s.Bodies[p.ID].grown(-0.5)
				for i := 1; i < len(path); i++ {
					own := i == 1 && r.From.Part == p.ID || i == len(path)-1 && r.To.Part == p.ID
					if !own && crosses(path[i-1], path[i], body) {
						t.Errorf("%s: %s runs through %s", doc.Title, r.ID, p.ID)
					}
				}
			}
		}
	}
}

// Two lines lie on one another only where they come from one landing.
func TestLinesStayApart(t *testing.T) {
	type piece struct{ a, b Pt }
	for _, doc := range testDocuments(t) {
		s := Draw(doc, Options{})
		lands := landings(doc)
		on := map[piece][]components.ID{}
		for _, r := range doc.Runs() {
			path := s.Paths[r.ID]
			for i := 1; i < len(path); i++ {
				a, b := path[i-1], path[i]
				n := int(dist(a, b) / components.Module)
				for k := range n {
					p := Pt{a.X + (b.X-a.X)*float64(k)/float64(n), a.Y + (b.Y-a.Y)*float64(k)/float64(n)}
					q := Pt{a.X + (b.X-a.X)*float64(k+1)/float64(n), a.Y + (b.Y-a.Y)*float64(k+1)/float64(n)}
					if q.X < p.X || q.Y < p.Y {
						p, q = q, p
					}
					on[piece{p, q}] = append(on[piece{p, q}], r.ID)
				}
			}
		}
		for at, runs := range on {
			for i, a := range runs {
				for _, b := range runs[i+1:] {
					joined := false
					for _, x := range []bool{false, true} {
						for _, y := range []bool{false, true} {
							joined = joined || lands[runEnd{a, x}].key == lands[runEnd{b, y}].key
						}
					}
					assert.True(t, joined, "%s: %s and %s share %s to %s", doc.Title, a, b, at.a, at.b)
				}
			}
		}
	}
}

func TestPlacedBendPointsAreKept(t *testing.T) {
	r := newRig(t, "Bent")
	r.part("battery", "BAT1", 120, 200, "", components.Spec{"chemistry": str("lfp"), "nominal_v": amount(12.8), "capacity_ah": amount(20)})
	r.part("fuse", "F1", 300, 100, "", components.Spec{"family": str("blade-atc"), "rating_a": amount(5)})
	bends := []components.Point{{X: 100, Y: 60}, {X: 240, Y: 60}, {X: 240, Y: 100}}
	r.run("W1", "BAT1.pos", "F1.line", wire("14 AWG", 1), bends...)
	path := Draw(r.document(), Options{}).Paths["W1"]
	assert.Equal(t, []Pt{{100, 170}, {100, 60}, {240, 60}, {240, 100}, {280, 100}}, path)
}

func TestCrossingLinesHop(t *testing.T) {
	r := newRig(t, "Cross")
	fuse := components.Spec{"family": str("blade-atc"), "rating_a": amount(5)}
	r.part("fuse", "F1", 100, 200, "", fuse)
	r.part("fuse", "F2", 400, 200, "", fuse)
	r.part("fuse", "F3", 250, 60, "", fuse)
	r.part("fuse", "F4", 250, 340, "", fuse)
	r.edits[2] = turned(r.edits[2], 90)
	r.edits[3] = turned(r.edits[3], 90)
	r.run("W1", "F1.load", "F2.line", wire("14 AWG", 1))
	r.run("W2", "F3.load", "F4.line", wire("14 AWG", 1))
	got := routeAll(r.document(), nil)
	assert.Equal(t, map[components.ID][]Pt{"W1": {{250, 200}}}, got.hops)
	assert.Empty(t, got.dots)
}

func turned(e components.Edit, deg int) components.Edit {
	add := e.(components.AddPart)
	add.Part.Turn = deg
	return add
}

// Lines of one landing part with a dot; those of + and - at one port do not join.
func TestDotsOnlyWhereConductorsJoin(t *testing.T) {
	r := newRig(t, "Join")
	r.part("battery", "BAT1", 100, 300, "", components.Spec{"chemistry": str("lfp"), "nominal_v": amount(12.8), "capacity_ah": amount(20)})
	r.part("dc-load", "DL1", 300, 100, "", components.Spec{"a": amount(1)})
	r.part("dc-load", "DL2", 300, 200, "", components.Spec{"a": amount(1)})
	r.run("W1", "BAT1.pos", "DL1.in", wire("14 AWG", 1))
	r.run("W2", "BAT1.pos", "DL2.in", wire("14 AWG", 1))
	r.run("W3", "BAT1.neg", "DL1.in", wire("14 AWG", 1))
	r.run("W4", "BAT1.neg", "DL2.in", wire("14 AWG", 1))
	got := routeAll(r.document(), nil)
	require.Len(t, got.dots, 2, "one at each post: %v", got.dots)
	for _, id := range []components.ID{"W1", "W3"} {
		end := got.paths[id][len(got.paths[id])-1]
		for _, other := range []components.ID{"W1", "W3"} {
			if other != id {
				assert.NotEqual(t, end, got.paths[other][len(got.paths[other])-1])
			}
		}
	}
}

func TestRouter(t *testing.T) {
	doc := lamp(t)
	r := NewRouter(doc)
	before := Draw(doc, Options{}).Paths
	for _, run := range doc.Runs() {
		assert.Equal(t, before[run.ID], r.Path(run.ID), run.ID)
		assert.Equal(t, before[run.ID], r.Route(run), "routed again, nothing else having changed: %s", run.ID)
	}
	free := r.RouteTo(components.PortRef{Part: "F1", Port: "load"}, Pt{303, 207})
	assert.Equal(t, Pt{220, 100}, free[0])
	assert.Equal(t, Pt{300, 210}, free[len(free)-1])
	assert.Nil(t, r.RouteTo(components.PortRef{Part: "F9", Port: "load"}, Pt{}))
	assert.Equal(t, before["W2"], r.Path("W2"), "trying leaves no trace")
}
