package session

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// bench is a session whose late results wait until the test takes them.
type bench struct {
	*Session
	t    *testing.T
	late chan func()
}

func newBench(t *testing.T) *bench {
	b := &bench{t: t, late: make(chan func(), 64)}
	b.Session = New(func(f func()) { b.late <- f }, checks.All)
	b.Resize(1000, 700)
	return b
}

// settle takes late results until the present document is checked.
func (b *bench) settle() {
	b.t.Helper()
	b.await(b.Settled)
}

// await takes late results until something is so.
func (b *bench) await(so func() bool) {
	b.t.Helper()
	deadline := time.After(10 * time.Second)
	for !so() {
		select {
		case f := <-b.late:
			f()
		case <-deadline:
			b.t.Fatal("what was awaited did not come")
		}
	}
}

func at(x, y float64) Pointer { return Pointer{At: scene.Pt{X: x, Y: y}, Reach: 6} }

// drag presses at one place and releases at another, with a stop between.
func (b *bench) drag(x0, y0, x1, y1 float64) {
	b.Hover(at(x0, y0))
	b.Press(at(x0, y0))
	b.Session.Drag(at((x0+x1)/2, (y0+y1)/2))
	b.Session.Drag(at(x1, y1))
	b.Release(at(x1, y1))
}

// place puts a part of a kind down.
func (b *bench) place(kind string, x, y float64) components.ID {
	b.t.Helper()
	k, ok := components.FindKind(kind)
	require.True(b.t, ok, kind)
	b.Take(NewPlace(k))
	b.Hover(at(x, y))
	b.Press(at(x, y))
	b.Release(at(x, y))
	require.Len(b.t, b.Selected(), 1)
	return b.Selected()[0]
}

// connect drags from one port's landing to another's.
func (b *bench) connect(from, to string) {
	b.t.Helper()
	p, q := b.portAt(from), b.portAt(to)
	b.drag(p.X, p.Y, q.X, q.Y)
}

func (b *bench) portAt(ref string) scene.Pt {
	b.t.Helper()
	for _, p := range b.Sheet().Ports {
		if p.Ref.String() == ref {
			return p.At
		}
	}
	b.t.Fatalf("no port %s", ref)
	return scene.Pt{}
}

func (b *bench) part(id components.ID) components.Part {
	b.t.Helper()
	p, ok := b.Doc().Part(id)
	require.True(b.t, ok, id)
	return p
}

func (b *bench) run(id components.ID) components.Run {
	b.t.Helper()
	r, ok := b.Doc().Run(id)
	require.True(b.t, ok, id)
	return r
}

func TestPlaceMoveUndo(t *testing.T) {
	b := newBench(t)
	id := b.place("battery", 203, 297)
	assert.Equal(t, components.ID("BAT1"), id)
	assert.Equal(t, components.Point{X: 200, Y: 300}, b.part(id).At, "on the grid")
	assert.Equal(t, "Add BAT1", b.UndoLabel())
	assert.True(t, b.part(id).Spec["nominal_v"].IsUnknown(), "a figure nobody told is told to be unknown")

	b.drag(200, 300, 287, 341)
	assert.Equal(t, components.Point{X: 290, Y: 340}, b.part(id).At)
	assert.Equal(t, "Move BAT1", b.UndoLabel(), "a whole drag is one step")

	b.Undo()
	assert.Equal(t, components.Point{X: 200, Y: 300}, b.part(id).At)
	assert.Equal(t, "Add BAT1", b.UndoLabel())
	assert.Equal(t, "Move BAT1", b.RedoLabel())
	b.Redo()
	assert.Equal(t, components.Point{X: 290, Y: 340}, b.part(id).At)
	b.Undo()
	b.Undo()
	assert.Empty(t, b.Doc().Parts())
	assert.Empty(t, b.Selected(), "what is gone is not selected")
	assert.False(t, b.Dirty(), "back where it began")
}

func TestAClickMovesNothing(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.Select()
	b.Press(at(200, 300))
	b.Session.Drag(at(201, 301))
	b.Release(at(201, 301))
	assert.Equal(t, []components.ID{"BAT1"}, b.Selected())
	assert.Equal(t, "Add BAT1", b.UndoLabel())
}

func TestConnectByDragging(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.connect("BAT1.pos", "F1.line")
	r := b.run("W1")
	assert.Equal(t, "BAT1.pos", r.From.String())
	assert.Equal(t, "F1.line", r.To.String())
	assert.Nil(t, r.Cores, "what both ports share")
	assert.Equal(t, "Run W1 from BAT1.pos to F1.line", b.UndoLabel())
	assert.Equal(t, []components.ID{"W1"}, b.Selected(), "its figures come next")
}

func TestPortsLightUpWithTheReason(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.place("panel", 600, 300)
	from, ok, not := b.portAt("BAT1.pos"), b.portAt("F1.line"), b.portAt("PNL1.main")
	b.Press(at(from.X, from.Y))
	b.Session.Drag(at(ok.X, ok.Y))
	v := b.Preview()
	lit := map[scene.Pt]Light{}
	for _, l := range v.Lights {
		lit[l.At] = l
	}
	assert.True(t, lit[ok].OK && lit[ok].Aim)
	assert.NotContains(t, lit, not, "a port that does not fit stays dark")
	assert.NotContains(t, lit, b.portAt("BAT1.neg"))

	b.Session.Drag(at(not.X, not.Y))
	v = b.Preview()
	assert.True(t, v.Wrong)
	assert.Equal(t, "BAT1.pos has +, PNL1.main has L1 L2 N G: no conductor in common", v.Hint)
	b.Release(at(not.X, not.Y))
	assert.Empty(t, b.Doc().Runs())
	assert.Contains(t, b.Told().Text, "no conductor in common")
	assert.Equal(t, Wrong, b.Told().Mood)
}

func TestPolesThatDifferAskWhichLeg(t *testing.T) {
	b := newBench(t)
	b.place("inverter", 200, 300)
	b.place("panel", 500, 300)
	b.connect("INV1.ac-out", "PNL1.main")
	assert.Empty(t, b.Doc().Runs(), "not before the answer")
	q := b.Question()
	require.NotNil(t, q)
	assert.Equal(t, "L to L1, N, G", q.Choices[0].Label)
	assert.Equal(t, "L to L2, N, G", q.Choices[1].Label)
	assert.Equal(t, "N, G", q.Choices[2].Label)
	b.Answer(1)
	assert.Nil(t, b.Question())
	assert.Equal(t, []components.Core{{From: "L", To: "L2"}, {From: "N", To: "N"}, {From: "G", To: "G"}}, b.run("W1").Cores)

	b.Undo()
	b.connect("INV1.ac-out", "PNL1.main")
	b.Answer(-1)
	assert.Empty(t, b.Doc().Runs(), "no answer, no run")
}

func TestWays(t *testing.T) {
	doc := sample(t, "bus-50a")
	for _, c := range []struct {
		from, to string
		labels   []string
		why      string
	}{
		{"BAT1.pos", "F1.line", []string{"+"}, ""},
		{"BAT1.pos", "BAT1.pos", nil, "two different ports"},
		{"BAT1.pos", "XYZ.pos", nil, "no such port"},
		{"BAT1.pos", "BAT1.neg", nil, "no conductor in common"},
	} {
		from, err := components.ParsePortRef(c.from)
		require.NoError(t, err)
		to, err := components.ParsePortRef(c.to)
		require.NoError(t, err)
		ways, why := Ways(doc, from, to)
		var labels []string
		for _, w := range ways {
			labels = append(labels, w.Label)
		}
		assert.Equal(t, c.labels, labels, "%s to %s", c.from, c.to)
		if c.why != "" {
			assert.Contains(t, why, c.why)
		}
	}
}

func sample(t *testing.T, name string) *components.Document {
	t.Helper()
	s, ok := projects.FindSample(name)
	require.True(t, ok, name)
	return s.Document()
}

func TestDropAFuseIntoALead(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 400)
	b.place("busbar", 500, 300)
	b.connect("BAT1.pos", "BUS1.bar")
	f, _ := components.RunField("length_ft")
	require.NoError(t, b.SetField("W1", f, components.Num(6)))
	size, _ := components.RunField("size")
	require.NoError(t, b.SetField("W1", size, components.Str("1/0 AWG")))
	path := b.Sheet().Paths["W1"]
	mid := scene.Pt{X: (path[1].X + path[2].X) / 2, Y: (path[1].Y + path[2].Y) / 2}
	id := b.place("fuse", mid.X, mid.Y+3)

	assert.Equal(t, "Fit F1 in W1", b.UndoLabel(), "one step")
	head, tail := b.run("W1"), b.run("W2")
	assert.Equal(t, "BAT1.pos", head.From.String())
	assert.Equal(t, "F1.line", head.To.String(), "the line side faces where the run came from")
	assert.Equal(t, "F1.load", tail.From.String())
	assert.Equal(t, "BUS1.bar", tail.To.String())
	assert.Equal(t, "1/0 AWG", tail.Spec["size"].String())
	assert.True(t, head.Spec["length_ft"].IsUnknown(), "nobody has measured the pieces")
	assert.True(t, tail.Spec["length_ft"].IsUnknown())
	assert.Contains(t, b.Told().Text, "W1 was 6 ft")
	assert.Contains(t, []int{0, 90, 180, 270}, b.part(id).Turn)
	b.Undo()
	assert.Len(t, b.Doc().Runs(), 1)
	assert.InDelta(t, 6, b.run("W1").Figure("length_ft").Value, 0)
}

func TestAFuseInTwoConductorsLeavesTheOtherWhole(t *testing.T) {
	b := newBench(t)
	b.place("solar-array", 200, 300)
	b.place("solar-controller", 500, 300)
	b.connect("PV1.out", "CC1.pv")
	require.Len(t, b.Doc().Runs(), 1)
	b.place("fuse", 350, 300)
	require.Len(t, b.Doc().Runs(), 3)
	assert.Equal(t, []components.Core{{From: "+", To: "+"}}, b.run("W1").Cores)
	assert.Equal(t, "F1.line", b.run("W1").To.String())
	assert.Equal(t, []components.Core{{From: "-", To: "-"}}, b.run("W3").Cores)
	assert.Equal(t, "CC1.pv", b.run("W3").To.String())
}

func TestAPartDraggedOntoARunIsFittedIn(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 400)
	b.place("busbar", 500, 300)
	b.place("fuse", 700, 600)
	b.connect("BAT1.pos", "BUS1.bar")
	path := b.Sheet().Paths["W1"]
	mid := scene.Pt{X: (path[1].X + path[2].X) / 2, Y: (path[1].Y + path[2].Y) / 2}
	b.drag(700, 600, mid.X, mid.Y)
	assert.Equal(t, "Fit F1 in W1", b.UndoLabel())
	assert.Len(t, b.Doc().Runs(), 2)
}

func TestAFuseForTheNegativeTakesItsPole(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 400)
	bar := b.place("busbar", 500, 300)
	f, _ := components.Busbar.Field("pole")
	require.NoError(t, b.SetField(bar, f, components.Str("-")))
	b.connect("BAT1.neg", "BUS1.bar")
	path := b.Sheet().Paths["W1"]
	b.place("fuse", (path[1].X+path[2].X)/2, (path[1].Y+path[2].Y)/2)
	assert.Equal(t, "-", b.part("F1").Spec["pole"].String())
	assert.Len(t, b.Doc().Runs(), 2)
}

func TestBandAndShift(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.place("panel", 700, 300)
	b.drag(120, 120, 480, 380)
	assert.Equal(t, []components.ID{"BAT1", "F1"}, b.Selected())
	p := at(700, 290)
	p.Shift = true
	b.Press(p)
	b.Release(p)
	assert.Equal(t, []components.ID{"BAT1", "F1", "PNL1"}, b.Selected())
	b.Press(p)
	b.Release(p)
	assert.Equal(t, []components.ID{"BAT1", "F1"}, b.Selected())
	b.Press(at(900, 600))
	b.Release(at(900, 600))
	assert.Empty(t, b.Selected())
}

func TestSeveralMoveTogether(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.connect("BAT1.pos", "F1.line")
	b.SelectAll()
	b.drag(200, 300, 250, 330)
	assert.Equal(t, components.Point{X: 250, Y: 330}, b.part("BAT1").At)
	assert.Equal(t, components.Point{X: 450, Y: 230}, b.part("F1").At)
	assert.Equal(t, "Move 2 parts", b.UndoLabel())
}

func TestDeleteTellsWhatGoes(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.connect("BAT1.pos", "F1.line")
	b.Select("BAT1")
	b.Delete()
	assert.Equal(t, "Delete BAT1 and 1 run", b.UndoLabel())
	assert.Empty(t, b.Doc().Runs())
	b.Undo()
	assert.Len(t, b.Doc().Runs(), 1)
}

func TestCopyPasteGivesNewTags(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.connect("BAT1.pos", "F1.line")
	b.SelectAll()
	text := b.Copy()
	other := newBench(t)
	other.place("battery", 100, 100)
	other.Paste(text)
	assert.Equal(t, "Paste 2 parts", other.UndoLabel())
	r := other.run("W1")
	assert.Equal(t, "BAT2.pos", r.From.String())
	assert.Equal(t, "F1.line", r.To.String())
	b.Duplicate()
	assert.Equal(t, "Duplicate 2 parts", b.UndoLabel())
	assert.Equal(t, "BAT2.pos", b.run("W2").From.String())
	for _, bench := range []*bench{b, other} {
		parts := bench.Doc().Parts()
		for i, p := range parts {
			for _, q := range parts[i+1:] {
				x, y := roomOf(p), roomOf(q)
				apart := x.Max.X <= y.Min.X || y.Max.X <= x.Min.X || x.Max.Y <= y.Min.Y || y.Max.Y <= x.Min.Y
				assert.True(t, apart, "%s lies on %s", p.ID, q.ID)
			}
		}
	}
	before := b.Doc()
	b.Paste("hello")
	assert.Same(t, before, b.Doc(), "what is no project is not pasted")
}

func TestCopiesStandInARow(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 500)
	b.place("fuse", 200, 380)
	b.connect("BAT1.pos", "F1.line")
	b.SelectAll()
	for range 3 {
		b.Duplicate()
	}
	last := b.part("BAT1").At
	for _, tag := range []components.ID{"BAT2", "BAT3", "BAT4"} {
		at := b.part(tag).At
		assert.Equal(t, last.Y, at.Y, tag)
		assert.Greater(t, at.X, last.X, tag)
		last = at
	}
}

func TestFieldOutOfRange(t *testing.T) {
	b := newBench(t)
	id := b.place("fuse", 200, 300)
	f, _ := components.Fuse.Field("rating_a")
	before := b.Doc()
	_, err := f.Parse("5000")
	assert.EqualError(t, err, "rating_a is 5000: want 0.1 to 1000 A")
	assert.Error(t, b.SetField(id, f, components.Num(5000)))
	assert.Same(t, before, b.Doc(), "nothing was changed")
	require.NoError(t, b.SetField(id, f, components.Num(80)))
	assert.Equal(t, "Set rating of F1 to 80 A", b.UndoLabel())
}

func TestCircuits(t *testing.T) {
	b := newBench(t)
	id := b.place("panel", 300, 300)
	f, _ := components.Panel.Field("circuits")
	for range 3 {
		require.NoError(t, b.AddRow(id, f))
	}
	assert.Len(t, b.part(id).Spec["circuits"].Rows(), 3)
	assert.True(t, b.part(id).Spec["circuits"].Rows()[0]["breaker_a"].IsUnknown())
	b.place("ac-load", 600, 400)
	b.connect("PNL1.c3", "LD1.in")
	require.Len(t, b.Doc().Runs(), 1)
	assert.ErrorContains(t, b.RemoveRow(id, f, 2), "W1 ends at circuit 3 of PNL1: remove the run first")
	require.NoError(t, b.RemoveRow(id, f, 0))
	assert.Equal(t, "PNL1.c2", b.run("W1").From.String(), "the run keeps its circuit, which has moved up")
	assert.Equal(t, "Remove circuit 1 of PNL1", b.UndoLabel())
}

func TestRename(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.place("fuse", 400, 200)
	b.connect("BAT1.pos", "F1.line")
	require.NoError(t, b.Rename("BAT1", "HOUSE"))
	assert.Equal(t, "HOUSE.pos", b.run("W1").From.String())
	assert.Equal(t, []components.ID{"HOUSE"}, b.Selected())
	assert.Error(t, b.Rename("HOUSE", "F1"))
	assert.Error(t, b.Rename("HOUSE", "a b"))
	require.NoError(t, b.Rename("W1", "MAIN"))
	assert.Equal(t, "HOUSE.pos", b.run("MAIN").From.String())
}

func TestFindingsFollowEdits(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 400)
	b.place("busbar", 500, 300)
	b.connect("BAT1.pos", "BUS1.bar")
	_, current := b.Report()
	assert.False(t, current, "not checked yet")
	line, _ := b.Readiness()
	assert.Equal(t, "Checking …", line)
	b.settle()
	f := finding(t, b, "overcurrent.battery-unfused")
	assert.Equal(t, rules.Danger, f.Level)
	_, level := b.Readiness()
	assert.Equal(t, rules.Danger, level)

	b.Nudge(1, 0)
	b.Select("BUS1")
	b.Nudge(1, 0)
	_, current = b.Report()
	assert.False(t, current, "old marks are known to be old")
	assert.NotEmpty(t, marksOf(b.checks.report), "and stay until the new ones come")
	b.settle()
	finding(t, b, "overcurrent.battery-unfused")
}

func finding(t *testing.T, b *bench, rule string) rules.Finding {
	t.Helper()
	report, current := b.Report()
	require.True(t, current)
	for _, f := range report.Findings {
		if f.Rule.ID == rule {
			return f
		}
	}
	var have []string
	for _, f := range report.Findings {
		have = append(have, f.Rule.ID)
	}
	t.Fatalf("no %s among %v", rule, have)
	return rules.Finding{}
}

func TestALateResultOfAnOlderDocumentIsDropped(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 400)
	b.settle()
	report, _ := b.Report()
	b.place("fuse", 400, 200)
	stale := report.Doc
	assert.NotSame(t, stale, b.Doc())
	b.settle()
	now, _ := b.Report()
	assert.Same(t, b.Doc(), now.Doc)
}

func TestARuleThatFailsIsNeverAnAllClear(t *testing.T) {
	late := make(chan func(), 8)
	trip := &rules.Rule{ID: "x.y", Check: func(*rules.Pass) { panic("tripped") }}
	s := New(func(f func()) { late <- f }, []*rules.Rule{trip})
	require.NoError(t, s.Do("Add", components.AddPart{Part: NewPart(s.Doc(), &components.Battery)}))
	deadline := time.After(10 * time.Second)
	for {
		if line, level := s.Readiness(); level == rules.Danger {
			assert.Contains(t, line, "Not checked: a rule failed: tripped")
			return
		}
		select {
		case f := <-late:
			f()
		case <-deadline:
			t.Fatal("no result")
		}
	}
}

func TestRepairAndAccept(t *testing.T) {
	b := newBench(t)
	b.Start(sample(t, "van-12v"))
	b.settle()
	report, _ := b.Report()
	i := -1
	for k, f := range report.Findings {
		if len(f.Fixes) > 0 {
			i = k
			break
		}
	}
	require.GreaterOrEqual(t, i, 0, "a finding with a repair")
	f := report.Findings[i]
	require.NoError(t, b.Repair(f.Fixes[0]))
	assert.Equal(t, f.Fixes[0].Title, b.UndoLabel(), "a repair is a step like any other")
	b.settle()
	now, _ := b.Report()
	for _, g := range now.Findings {
		assert.False(t, g.Rule.ID == f.Rule.ID && g.At == f.At, "%s still stands", f.Rule.ID)
	}
	b.Undo()
	b.settle()
	require.NoError(t, b.Accept(f, "measured and found good", "Kim"))
	b.settle()
	now, _ = b.Report()
	last := now.Findings[len(now.Findings)-1]
	require.NotNil(t, last.Accepted)
	assert.Equal(t, "measured and found good", last.Accepted.Reason)
	assert.Error(t, b.Accept(f, "  ", ""), "no acceptance without a reason")
}

func TestStateShowsWhatIsLive(t *testing.T) {
	b := newBench(t)
	b.Start(sample(t, "van-12v"))
	b.ChooseState("Off grid")
	b.settle()
	live, ok := b.Live()
	require.True(t, ok)
	assert.False(t, live.On["BAT1"].Dead)
	assert.True(t, live.On["PV1"].Dead, "no sun")
	assert.Contains(t, live.On["W1"].Figure, " V")
	b.ChooseState("Driving")
	b.settle()
	live, _ = b.Live()
	assert.False(t, live.On["ALT1"].Dead)
	b.ChooseState("")
	_, ok = b.Live()
	assert.False(t, ok)
}

// Sources that are joined are one net, shaded in one colour: every colour of the legend is
// on the sheet.
func TestEveryShadeIsOnTheSheet(t *testing.T) {
	b := newBench(t)
	b.Start(sample(t, "library-bus"))
	b.ChooseState("Shore")
	b.settle()
	live, ok := b.Live()
	require.True(t, ok)
	assert.Equal(t, []components.ID{"BAT2"}, live.With["BAT1"], "two strings of one bank")
	assert.Equal(t, []components.ID{"BAT1", "SD1", "SH1"}, live.Order)
	for _, src := range live.Order {
		shaded := false
		for _, r := range b.Doc().Runs() {
			shaded = shaded || live.By[r.ID] == src && !live.On[r.ID].Dead
		}
		assert.True(t, shaded, src)
	}
}

// What was told of one step goes with the next; a warning stands.
func TestNewsGoesWithTheNextStep(t *testing.T) {
	b := newBench(t)
	b.Start(sample(t, "van-12v"))
	b.Select("BAT1")
	for _, mood := range []Mood{Plain, Wrong} {
		b.Tell(mood, "about what was there")
		b.Nudge(1, 0)
		assert.Equal(t, mood == Wrong, b.Told().Text != "")
	}
}

func TestSaveAndOpen(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	assert.True(t, b.Dirty())
	assert.Equal(t, "• Unsaved rig", b.Name())
	path := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, b.Save(path))
	assert.False(t, b.Dirty())
	assert.Equal(t, "rig.yaml", b.Name())
	b.Nudge(1, 0)
	assert.True(t, b.Dirty())
	b.Undo()
	assert.False(t, b.Dirty(), "back at what the file holds")

	other := newBench(t)
	require.NoError(t, other.Open(path))
	assert.Equal(t, projects.Write(b.Doc()), projects.Write(other.Doc()))
	assert.False(t, other.ChangedOutside())
	require.NoError(t, os.WriteFile(path, []byte("format: rigline/1\ntitle: x\nparts: []\nruns: []\n"), 0o644))
	assert.True(t, other.ChangedOutside())
}

func TestAFaultyFileChangesNothing(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	doc := b.Doc()
	path := filepath.Join(t.TempDir(), "broken.yaml")
	require.NoError(t, os.WriteFile(path, []byte("format: rigline/1\ntitle: x\nparts:\n  - {id: BAT1, kind: batery, at: [0, 0]}\n  - {id: F1, kind: fuse, at: [3, 0]}\nruns: []\n"), 0o644))
	err := b.Open(path)
	require.Error(t, err)
	faults := Faults(err)
	assert.GreaterOrEqual(t, len(faults), 2)
	assert.Contains(t, faults[0], "broken.yaml:4:")
	assert.Same(t, doc, b.Doc())
}

func TestView(t *testing.T) {
	b := newBench(t)
	b.ZoomTo(1)
	under := b.View.ToSheet(300, 200)
	b.ZoomAt(300, 200, 2)
	x, y := b.View.ToWindow(under)
	assert.InDelta(t, 300, x, 1e-9, "the point under the pointer stays")
	assert.InDelta(t, 200, y, 1e-9)
	assert.InDelta(t, 2, b.View.Zoom, 1e-9)
	b.ZoomAt(0, 0, 1e9)
	assert.InDelta(t, MostZoom, b.View.Zoom, 0)
	b.Fit()
	paper := b.Sheet().Paper
	x, y = b.View.ToWindow(paper.Min)
	assert.GreaterOrEqual(t, x, 0.0)
	assert.GreaterOrEqual(t, y, 0.0)
	x, y = b.View.ToWindow(paper.Max)
	assert.LessOrEqual(t, x, 1000.0)
	assert.LessOrEqual(t, y, 700.0)
	b.Resize(600, 400)
	x, _ = b.View.ToWindow(paper.Max)
	assert.LessOrEqual(t, x, 600.0, "a fitted sheet stays fitted")
}

func TestAlignAndDistribute(t *testing.T) {
	b := newBench(t)
	b.place("fuse", 200, 200)
	b.place("fuse", 330, 260)
	b.place("fuse", 600, 230)
	b.SelectAll()
	b.Align(Centres)
	for _, p := range b.Doc().Parts() {
		assert.Equal(t, 200, p.At.Y)
	}
	assert.Equal(t, "Align 3 parts", b.UndoLabel())
	b.Distribute(true)
	assert.Equal(t, 400, b.part("F2").At.X)
	b.Turn()
	assert.Equal(t, 90, b.part("F1").Turn)
	assert.Equal(t, "Turn 3 parts", b.UndoLabel())
}

func TestBendARun(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 500)
	b.place("busbar", 500, 300)
	b.connect("BAT1.pos", "BUS1.bar")
	b.Select("W1")
	grips := b.Preview().Grips
	require.NotEmpty(t, grips)
	g := grips[0]
	b.drag(g.X, g.Y, g.X, g.Y-40)
	assert.Equal(t, "Bend W1", b.UndoLabel())
	assert.NotEmpty(t, b.run("W1").Path)
	b.Straighten()
	assert.Empty(t, b.run("W1").Path)
}

// A bend that a hand placed stays where it was put when a part moves, but for the
// straight piece at the part's own end, which stays straight.
func TestABendGoesAlongWithItsPart(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 500)
	b.place("battery", 600, 300)
	b.connect("BAT1.pos", "BAT2.pos")
	b.Select("W1")
	path := b.Sheet().Paths["W1"]
	require.Greater(t, len(path), 3)
	b.drag(path[1].X, path[1].Y, path[1].X, path[1].Y-40)
	was := b.run("W1").Path
	require.NotEmpty(t, was)
	for _, by := range []components.Point{{X: 0, Y: 60}, {X: -50, Y: 0}, {X: 30, Y: -40}} {
		b.Select("BAT1")
		b.MoveBy(by)
		now := b.run("W1").Path
		require.Len(t, now, len(was))
		assert.Equal(t, was[len(was)-1].X, now[len(now)-1].X, "the far end stays as it was")
		drawn := b.Sheet().Paths["W1"]
		assert.LessOrEqual(t, len(drawn), len(path)+1, "no new corner: %v", drawn)
		for i := 1; i < len(drawn); i++ {
			assert.True(t, drawn[i].X == drawn[i-1].X || drawn[i].Y == drawn[i-1].Y, "right angles: %v", drawn)
		}
	}
	assert.Equal(t, "Move BAT1", b.UndoLabel())
	for range 3 {
		b.Undo()
	}
	assert.Equal(t, was, b.run("W1").Path)
}

func TestEscape(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 300)
	b.Press(at(200, 300))
	b.Session.Drag(at(300, 300))
	b.Escape()
	b.Release(at(300, 300))
	assert.Equal(t, components.Point{X: 200, Y: 300}, b.part("BAT1").At, "a dropped drag moves nothing")
	b.Take(NewPlace(&components.Fuse))
	b.Escape()
	assert.IsType(t, &Hand{}, b.Tool())
	assert.NotEmpty(t, b.Selected())
	b.Escape()
	assert.Empty(t, b.Selected())
}

// A run may be left loose: it is drawn, it is a finding, and it is drawn on from
// its end later.
func TestARunLeftLooseIsAFinding(t *testing.T) {
	b := newBench(t)
	b.place("battery", 200, 400)
	b.place("busbar", 700, 300)
	p := b.portAt("BAT1.pos")
	b.drag(p.X, p.Y, 400, 250)
	require.Len(t, b.Doc().Runs(), 1)
	end := b.part("J1")
	assert.Equal(t, &components.Splice, end.Kind)
	assert.Contains(t, b.UndoLabel(), "loose end")
	b.settle()
	f := finding(t, b, "conductor.loose-end")
	assert.Equal(t, rules.Danger, f.Level, "the bank makes it live")
	b.connect("J1.b", "BUS1.bar")
	b.settle()
	report, _ := b.Report()
	for _, f := range report.Findings {
		assert.NotEqual(t, "conductor.loose-end", f.Rule.ID)
	}
	b.Undo()
	b.Undo()
	assert.Empty(t, b.Doc().Runs())
	_, there := b.Doc().Part("J1")
	assert.False(t, there, "one step")
}

// A bar that nothing ends at takes the conductor that is brought to it, in one step.
func TestAFreeBarTakesTheConductor(t *testing.T) {
	s := New(func(f func()) { f() }, nil)
	place := func(k *components.Kind, x int) components.ID {
		p := NewPart(s.Doc(), k)
		p.At = components.Point{X: x, Y: 300}
		require.NoError(t, s.Do("Add", components.AddPart{Part: p}))
		return p.ID
	}
	bat, bar := place(&components.Battery, 200), place(&components.Busbar, 500)
	before := s.Doc()
	s.Connect(components.PortRef{Part: bat, Port: "neg"}, components.PortRef{Part: bar, Port: "bar"})
	p, _ := s.Doc().Part(bar)
	assert.Equal(t, "-", p.Spec["pole"].Str())
	assert.Len(t, s.Doc().Runs(), 1)
	assert.Contains(t, s.Told().Text, "BUS1 is for the negative side now")
	s.Connect(components.PortRef{Part: bat, Port: "pos"}, components.PortRef{Part: bar, Port: "bar"})
	assert.Len(t, s.Doc().Runs(), 1, "a bar in use does not change sides")
	s.Undo()
	assert.Equal(t, before, s.Doc())
}

// A bar of no side that is brought to a port of two conductors takes the one that is
// not there yet, and asks where neither is.
func TestAFreeBarAtAPortOfTwoConductors(t *testing.T) {
	b := newBench(t)
	b.place("inverter", 300, 300)
	b.place("busbar", 500, 500)
	b.place("busbar", 700, 500)
	dc := components.PortRef{Part: "INV1", Port: "dc"}
	b.Connect(components.PortRef{Part: "BUS1", Port: "bar"}, dc)
	q := b.Question()
	require.NotNil(t, q)
	assert.Equal(t, "+: BUS1 is for the positive side", q.Choices[0].Label)
	assert.Equal(t, "-: BUS1 is for the negative side", q.Choices[1].Label)
	b.Answer(0)
	assert.Len(t, b.Doc().Runs(), 1)
	b.Connect(components.PortRef{Part: "BUS2", Port: "bar"}, dc)
	assert.Nil(t, b.Question())
	assert.Equal(t, "-", b.part("BUS2").Spec["pole"].Str())
	assert.Contains(t, b.Told().Text, "BUS2 is for the negative side now")
}

// Parts that nothing is joined to yet follow the site supply; those that are
// joined, or that a person has told otherwise, stay.
func TestFreePartsFollowTheSiteSupply(t *testing.T) {
	s := New(func(f func()) { f() }, nil)
	for i, k := range []*components.Kind{&components.Shore, &components.Inlet, &components.Panel, &components.SurgeProtector} {
		p := NewPart(s.Doc(), k)
		p.At = components.Point{X: 200 * (i + 1), Y: 300}
		require.NoError(t, s.Do("Add", components.AddPart{Part: p}))
	}
	sp, _ := components.SurgeProtector.Field("rating_a")
	require.NoError(t, s.SetField("SP1", sp, components.Num(20)))
	service, _ := components.Shore.Field("service")
	require.NoError(t, s.SetField("SH1", service, components.Str("30a-120")))
	part := func(id components.ID) components.Spec { p, _ := s.Doc().Part(id); return p.Spec }
	assert.Equal(t, 30.0, part("INL1")["rating_a"].Num())
	assert.Equal(t, 1.0, part("PNL1")["legs"].Num())
	assert.Equal(t, 20.0, part("SP1")["rating_a"].Num(), "told otherwise by hand")
	s.Undo()
	assert.Equal(t, 50.0, part("INL1")["rating_a"].Num())
}
