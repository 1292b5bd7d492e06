package canvas

import (
	"fmt"
	"image/color"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/projects"
	"rigline/rules/circuit"
)

// tagOf is what the chosen state writes at an address.
func (h *hand) tagOf(at string) string {
	live, ok := h.s.Live()
	require.True(h.t, ok)
	for _, tag := range live.Tags {
		if tag.At == at {
			return tag.Text
		}
	}
	return ""
}

// On a two-leg rig an open neutral ahead of the panel leaves 240 V across the
// loads of both legs in series: the larger load gets less, the smaller more, and
// the two still add up.
func TestAnOpenNeutralShowsWhatTheLoadsGet(t *testing.T) {
	h := newHand(t)
	s, ok := projects.FindSample("library-bus")
	require.True(t, ok)
	h.s.Start(s.Document())
	h.s.ChooseState("Shore")
	h.settle()
	live, _ := h.s.Live()
	assert.NotEmpty(t, live.By["W1"], "every live run knows its source")
	assert.NotEmpty(t, h.tagOf("SH1"), "the bond of neutral and ground is marked")
	before := h.paintNow()

	h.s.Select("W1")
	menu := h.whatIfs()
	require.NotNil(t, menu)
	var open *fyne.MenuItem
	for _, item := range menu.ChildMenu.Items {
		if strings.Contains(item.Label, "the neutral of W1") {
			open = item
		}
	}
	require.NotNil(t, open)
	open.Action()
	h.settle()
	live, _ = h.s.Live()
	low, high := 0, 0
	for _, tag := range live.Tags {
		var v float64
		if p, ok := h.s.Doc().Part(components.ID(tag.At)); !ok || p.Kind != &components.ACLoad {
			continue
		}
		_, err := fmt.Sscanf(tag.Text, tag.At+" %g V", &v)
		require.NoError(t, err, "%s names its load", tag.Text)
		if v < 104 {
			low++
		}
		if v > 127 {
			high++
		}
	}
	assert.Positive(t, low, "some load gets too little")
	assert.Positive(t, high, "and some too much")
	assert.Empty(t, h.s.Selected(), "the details tell what follows")
	assert.True(t, strings.HasPrefix(live.Lines[0], "What if"), "%v", live.Lines)
	assert.True(t, h.strip.what.Visible())
	at := h.app.Driver().AbsolutePositionForObject(h.strip.row).X
	assert.Contains(t, h.strip.what.Text, "the neutral of W1 is open")
	assert.NotEqual(t, before, h.paintNow())
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	h.settle()
	assert.Equal(t, session.Fault{}, h.s.Supposed())
	assert.False(t, h.strip.what.Visible())
	assert.Empty(t, h.s.Told().Text, "nothing speaks of it any more")
	assert.Less(t, h.app.Driver().AbsolutePositionForObject(h.strip.row).X, at, "the states take its room")
}

// What fails is chosen by keys alone: the keyboard is at the first fault, the tab key goes
// on, the return key takes one, and escape ends it.
func TestWhatFailsIsChosenByKeys(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.settle()
	h.s.ChooseState("Shore")
	h.settle()
	h.s.Select("W5")
	h.run(h.command("What if it fails"))
	first, ok := h.win.Canvas().Focused().(*keyButton)
	require.True(t, ok)
	assert.Equal(t, "The neutral of W5 is open", first.Text)
	h.win.Canvas().FocusNext()
	next := h.win.Canvas().Focused().(*keyButton)
	assert.Equal(t, "Leg L1 of W5 is open", next.Text)
	next.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Nil(t, h.win.Canvas().Overlays().Top())
	h.settle()
	live, ok := h.s.Live()
	require.True(t, ok)
	assert.Contains(t, live.Lines[0], "leg L1 of W5 is open")
	h.board.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	h.settle()
	live, _ = h.s.Live()
	assert.NotContains(t, live.Lines[0], "What if")
}

// The supply of a state is told in plain words and kept in the file's.
func TestASupplyOfAStateIsReadInPlainWords(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.s.ChooseState("Shore")
	h.settle()
	h.pick("Site supply", "30 A, an adapter on both legs")
	st, ok := h.s.StateNamed("Shore")
	require.True(t, ok)
	assert.Equal(t, "30a-120-adapter", st.Shore)
	h.pick("Site supply", "off")
	st, _ = h.s.StateNamed("Shore")
	assert.Empty(t, st.Shore)
}

func TestALostLegLeavesItsLoadsDead(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.s.ChooseState("Shore")
	h.settle()
	h.s.Suppose(session.Fault{What: session.Opened, On: "W1", Pole: components.L1})
	h.settle()
	live, _ := h.s.Live()
	dead := 0
	for _, tag := range live.Tags {
		if tag.Text == tag.At+" 0 V" {
			dead++
		}
	}
	assert.Positive(t, dead)
}

func (h *hand) paintNow() string {
	h.board.paint(int(h.board.Size().Width), int(h.board.Size().Height))
	return string(h.board.out.Pix)
}

// A state that was worked out becomes the rig's own when it is changed, in one
// step that can be taken back.
func TestStatesAreEditedInTheDetails(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.settle()
	worked := len(h.s.Doc().Operating())
	told := len(h.s.Doc().States)
	h.press("Off grid")
	h.settle()
	h.write("Bank charged to", "80")
	st, ok := h.s.StateNamed("Off grid")
	require.True(t, ok)
	assert.InDelta(t, 0.8, st.SoC, 1e-9)
	assert.Len(t, h.s.Doc().States, worked)
	assert.Equal(t, "Off grid", h.s.State())
	h.write("Name", "Parked")
	assert.Equal(t, "Parked", h.s.State())
	h.write("Switched off", "LD1")
	st, _ = h.s.StateNamed("Parked")
	assert.Equal(t, []components.ID{"LD1"}, st.Off)
	h.write("Switched off", "NONE9")
	assert.Contains(t, h.note("Switched off"), "there is no part NONE9")
	h.press("Another like this")
	assert.Equal(t, "Parked 2", h.s.State())
	assert.Len(t, h.s.Doc().Operating(), worked+1)
	h.press("Remove it")
	assert.Len(t, h.s.Doc().Operating(), worked)
	for h.s.UndoLabel() != "" {
		h.s.Undo()
	}
	assert.Len(t, h.s.Doc().States, told)
	h.settle()
}

// No two nets of a rig's state are shaded alike.
func TestNetsAreShadedApart(t *testing.T) {
	for _, doc := range rigs(t) {
		laid := circuit.Lay(doc)
		for _, st := range doc.Operating() {
			nets := map[int]bool{}
			for _, s := range laid.In(st).Sources {
				nets[int(laid.In(st).Net(s.Hot))] = true
			}
			assert.LessOrEqual(t, len(nets), len(tints), "%s, %s", doc.Title, st.Name)
		}
	}
	seen := map[color.RGBA]bool{}
	for _, c := range tints {
		seen[c] = true
	}
	assert.Len(t, seen, len(tints))
}

func TestShadesAreChosenInTheStrip(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.settle()
	assert.False(t, h.strip.shade.Visible())
	h.press("Shore")
	h.settle()
	assert.True(t, h.strip.shade.Visible())
	pictures := map[string]bool{}
	for _, name := range shadings {
		h.strip.shade.SetSelected(name)
		pictures[h.paintNow()] = true
	}
	assert.Len(t, pictures, len(shadings))
}
