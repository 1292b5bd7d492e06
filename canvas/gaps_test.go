package canvas

import (
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/projects"
)

// lacking opens a sample without some of its figures.
func (h *hand) lacking(edits ...components.Edit) {
	h.t.Helper()
	van, ok := projects.FindSample("camper-van")
	require.True(h.t, ok)
	h.s.Start(van.Document())
	require.NoError(h.t, h.s.Do("Forget", edits...))
	h.settle()
}

// The missing figures are told one after the other from the keyboard: the return key
// goes on to the next, and the sheet shows what it is of.
func TestMissingFiguresAreToldInOneGo(t *testing.T) {
	h := newHand(t)
	h.lacking(components.Set{On: "W1", Key: "length_ft", Value: components.Unknown}, components.Set{On: "W3", Key: "length_ft", Value: components.Unknown})
	require.Len(t, h.s.Lacks(), 2)
	h.run(h.command("Tell what is missing"))
	assert.False(t, h.details.box.Visible())
	for _, id := range []components.ID{"W1", "W3"} {
		e, ok := h.win.Canvas().Focused().(*entry)
		require.True(t, ok)
		assert.True(t, h.s.IsSelected(id), "the sheet shows %s", id)
		test.Type(e, "4")
		e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		r, _ := h.s.Doc().Run(id)
		assert.Equal(t, 4.0, r.Figure("length_ft").Value)
	}
	h.settle()
	assert.Equal(t, "No figure is missing", h.gaps.title.Text)
	h.press("Back to the details")
	assert.True(t, h.details.box.Visible())
}

// A word of a list is chosen by its first letter, and the return key goes on; where
// one of two is enough, the other is passed over.
func TestAMissingWordIsChosenByItsLetter(t *testing.T) {
	h := newHand(t)
	h.lacking(components.Set{On: "BAT1", Key: "cold_cutoff", Value: components.Value{}}, components.Set{On: "BAT1", Key: "coldest_c", Value: components.Value{}},
		components.Set{On: "W1", Key: "length_ft", Value: components.Unknown})
	h.run(h.command("Tell what is missing"))
	c, ok := h.win.Canvas().Focused().(*pickList)
	require.True(t, ok)
	c.TypedRune('y')
	bat, _ := h.s.Doc().Part("BAT1")
	assert.True(t, bat.Spec["cold_cutoff"].Truth())
	c.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.True(t, h.s.IsSelected("W1"))
}

// What has no size is sized by the rules once the person takes what they found, as
// one step.
func TestMissingSizesAreChosenByTheRules(t *testing.T) {
	h := newHand(t)
	van, _ := projects.FindSample("camper-van")
	was := map[components.ID]string{}
	var edits []components.Edit
	for _, r := range van.Document().Runs() {
		if size, ok := r.Size(""); ok && r.Status != components.Existing && len(edits) < 2 {
			was[r.ID] = size.String()
			edits = append(edits, components.Set{On: r.ID, Key: "size", Value: components.Unknown})
		}
	}
	h.lacking(edits...)
	require.Len(t, h.s.Unsized(), 2)
	h.run(h.command("Size what has no size"))
	for h.win.Canvas().Overlays().Top() == nil {
		(<-h.late)()
	}
	h.press("Take these sizes")
	h.settle()
	assert.Empty(t, h.s.Unsized())
	report, _ := h.s.Report()
	assert.True(t, report.Ready(), "%v", report.Counts())
	h.s.Undo()
	assert.Len(t, h.s.Unsized(), 2)
}

// What a figure makes the checks ask for comes behind the last, and the cursor goes
// there by itself.
func TestTheCursorGoesOnToWhatIsAskedForSince(t *testing.T) {
	h := newHand(t)
	h.lacking(components.Set{On: "W1", Key: "length_ft", Value: components.Unknown})
	h.run(h.command("Tell what is missing"))
	e, ok := h.win.Canvas().Focused().(*entry)
	require.True(t, ok)
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) // at the end, and nothing told
	require.NoError(t, h.s.Do("Forget", components.Set{On: "W3", Key: "length_ft", Value: components.Unknown}))
	h.settle()
	assert.True(t, h.s.IsSelected("W3"))
	next, ok := h.win.Canvas().Focused().(*entry)
	require.True(t, ok)
	assert.NotSame(t, e, next)
}

// What cannot be taken is put right before the cursor goes on, and the words beside
// a figure are those of the last check, not of the time when the list was opened.
func TestAMissingFigureIsPutRightFirst(t *testing.T) {
	h := newHand(t)
	h.lacking(components.Set{On: "W1", Key: "length_ft", Value: components.Unknown}, components.Set{On: "W3", Key: "length_ft", Value: components.Unknown})
	h.run(h.command("Tell what is missing"))
	e, _ := h.win.Canvas().Focused().(*entry)
	test.Type(e, "b")
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Same(t, e, h.win.Canvas().Focused(), "a letter is no length")
	e.SetText("")
	test.Type(e, "4")
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.NotSame(t, e, h.win.Canvas().Focused())
	h.settle()
	for _, r := range h.gaps.rows {
		for _, l := range h.s.Lacks() {
			if r.Same(l) {
				assert.Equal(t, l.Says, r.Says)
			}
		}
	}
}

// A conductor with neither size nor construction gets both: held to what its cable
// carries, so that no danger follows from the size that was chosen.
func TestAMissingConstructionIsChosenWithItsSize(t *testing.T) {
	h := newHand(t)
	van, _ := projects.FindSample("camper-van")
	var edits []components.Edit
	var bare []components.ID
	for _, r := range van.Document().Runs() {
		if r.Status != components.Existing && len(bare) < 3 && r.Spec["cable"].Str() == "battery-105" {
			bare = append(bare, r.ID)
			edits = append(edits, components.Set{On: r.ID, Key: "size", Value: components.Unknown}, components.Set{On: r.ID, Key: "cable", Value: components.Unknown})
		}
	}
	require.NotEmpty(t, bare)
	h.lacking(edits...)
	h.run(h.command("Size what has no size"))
	h.await("found", func() bool { return h.win.Canvas().Overlays().Top() != nil })
	h.press("Take these sizes")
	h.settle()
	for _, id := range bare {
		r, _ := h.s.Doc().Run(id)
		assert.Equal(t, "battery-105", r.Spec["cable"].Str(), "%s", id)
		assert.True(t, r.Spec["size"].Known(), "%s", id)
	}
	report, _ := h.s.Report()
	assert.True(t, report.Ready(), "%v", report.Counts())
	h.s.Undo()
	r, _ := h.s.Doc().Run(bare[0])
	assert.False(t, r.Spec["cable"].Known() || r.Spec["size"].Known(), "one step")
}

// The list of what is missing, asked for while a first sheet is still being drawn,
// comes as soon as it is there.
func TestWhatIsMissingWaitsForTheFirstSheet(t *testing.T) {
	h := newHand(t)
	h.drawFirst(usualAnswers(), nil, nil)
	assert.True(t, h.drawing)
	h.run(h.command("Tell what is missing"))
	assert.False(t, h.gaps.box.Visible())
	assert.Contains(t, h.s.Told().Text, "Drawing")
	h.await("drawn", func() bool { return len(h.s.Doc().Parts()) > 0 })
	assert.True(t, h.gaps.box.Visible())
	h.settle()
	assert.NotEmpty(t, h.gaps.rows)
	assert.Same(t, h.gaps.rows[0].row.control, h.win.Canvas().Focused(), "at the first figure, once it is known")
}

// What is told of one battery is told of those like it with one press, and the
// keyboard goes on behind them.
func TestAMissingFigureIsToldOfAllThatAreAlike(t *testing.T) {
	h := newHandAt(t, "library-bus")
	var alike []components.ID
	var edits []components.Edit
	for _, p := range h.s.Doc().Parts() {
		if p.Kind == &components.Battery {
			alike = append(alike, p.ID)
			edits = append(edits, components.Set{On: p.ID, Key: "cold_cutoff", Value: components.Value{}}, components.Set{On: p.ID, Key: "coldest_c", Value: components.Value{}})
		}
	}
	require.Greater(t, len(alike), 1)
	require.NoError(t, h.s.Do("Forget", edits...))
	h.settle()
	h.run(h.command("Tell what is missing"))
	c, ok := h.win.Canvas().Focused().(*pickList)
	require.True(t, ok)
	c.TypedRune('y')
	h.settle()
	h.press("The same for " + string(alike[1]))
	for _, id := range alike {
		bat, _ := h.s.Doc().Part(id)
		assert.True(t, bat.Spec["cold_cutoff"].Truth(), id)
	}
	h.settle()
	assert.Equal(t, "No figure is missing", h.gaps.title.Text)
}

// Enter goes from figure to figure of a battery, then to what tells them all of those
// like it: the space bar does that, as one step, and one more Enter passes it by.
func TestTheFiguresOfOneAreToldOfThoseAlikeAtOnce(t *testing.T) {
	h := newHand(t)
	for i := range 3 {
		p := session.NewPart(h.s.Doc(), &components.Battery)
		p.At = components.Point{X: 200 + 200*i, Y: 400}
		require.NoError(t, h.s.Do("Add", components.AddPart{Part: p}))
	}
	join := func(a, b components.ID, port string) {
		h.s.Connect(components.PortRef{Part: a, Port: port}, components.PortRef{Part: b, Port: port})
	}
	for _, port := range []string{"pos", "neg"} {
		join("BAT1", "BAT2", port)
		join("BAT2", "BAT3", port)
	}
	h.settle()
	h.run(h.command("Tell what is missing"))
	require.Equal(t, components.ID("BAT1"), h.gaps.rows[0].On)
	key := func(f fyne.Focusable, name fyne.KeyName) { f.TypedKey(&fyne.KeyEvent{Name: name}) }
	figures := map[string]string{"nominal_v": "12.8", "capacity_ah": "100"}
	pressed := 0
	for range 12 {
		switch c := h.win.Canvas().Focused().(type) {
		case *sameButton:
			assert.Contains(t, c.Text, "BAT2, BAT3")
			before := h.s.Doc()
			key(c, fyne.KeyReturn)
			assert.Same(t, before, h.s.Doc(), "Enter goes on")
			h.win.Canvas().Focus(c)
			key(c, fyne.KeySpace)
			assert.NotSame(t, before, h.s.Doc())
			pressed++
		case *entry:
			i := slices.IndexFunc(h.gaps.rows, func(r *gap) bool { return r.row.control == fyne.CanvasObject(c) })
			c.SetText(figures[h.gaps.rows[i].Field.Key])
			key(c, fyne.KeyReturn)
		case *pickList:
			c.TypedRune('l')
			key(c, fyne.KeyReturn)
		}
		h.settle()
	}
	require.NotZero(t, pressed)
	_, gone := h.win.Canvas().Focused().(*sameButton)
	assert.False(t, gone, "the keyboard is at what is there")
	for _, id := range []components.ID{"BAT1", "BAT2", "BAT3"} {
		bat, _ := h.s.Doc().Part(id)
		assert.Equal(t, "lfp", bat.Spec["chemistry"].Str(), id)
	}
}

// The button that offers the same of others has its place in the list from the first, so
// that the list does not jump to its beginning.
func TestAnOfferHasItsPlaceAtOnce(t *testing.T) {
	h := newHandAt(t, "library-bus")
	var edits []components.Edit
	for _, p := range h.s.Doc().Parts() {
		if p.Kind == &components.Battery {
			edits = append(edits, components.Set{On: p.ID, Key: "discharge_a", Value: components.Unknown}, components.Set{On: p.ID, Key: "capacity_ah", Value: components.Unknown})
		}
	}
	for _, r := range h.s.Doc().Runs() {
		edits = append(edits, components.Set{On: r.ID, Key: "length_ft", Value: components.Unknown})
	}
	require.NoError(t, h.s.Do("Forget", edits...))
	h.settle()
	h.run(h.command("Tell what is missing"))
	seen := 0
	for range 40 {
		switch c := h.win.Canvas().Focused().(type) {
		case *entry:
			c.SetText("5")
			c.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
			if b, ok := h.win.Canvas().Focused().(*sameButton); ok {
				top := h.gaps.roll.Offset.Y
				assert.True(t, b.Position().Y >= top && b.Position().Y+b.Size().Height <= top+h.gaps.roll.Size().Height, "%s at %v is out of sight", b.Text, b.Position())
			}
		case *sameButton:
			seen++
			c.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		case *pickList:
			c.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		}
		h.settle()
	}
	assert.Greater(t, seen, 1)
}
