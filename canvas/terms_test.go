package canvas

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// A caravan is told of in its own words everywhere in the window, as in its hand-off;
// what the owner wrote stays, and with the rule set the words go.
func TestACaravanIsToldInItsOwnWords(t *testing.T) {
	h := newHand(t)
	sample, ok := projects.FindSample("caravan-230")
	require.True(t, ok)
	h.s.Start(sample.Document())
	h.settle()
	assert.Equal(t, []string{"As drawn", "Mains hook-up", "Off grid"}, h.strip.names)
	assert.Contains(t, h.findings.sieve.states.Options, "Mains hook-up")
	assert.Contains(t, h.onShelf(), "Caravan inlet")
	assert.Contains(t, h.onShelf(), "Distribution board")
	h.strip.row.Objects[1].(*tipButton).OnTapped()
	h.settle()
	assert.Equal(t, "Shore", h.s.State(), "the file keeps its word")
	assert.Equal(t, "In the state Mains hook-up", h.details.title.Text)
	live, ok := h.s.Live()
	require.True(t, ok)
	assert.Contains(t, live.Lines[0], "neutral meets earth")
	assert.Equal(t, "N–PE of SH1", live.Tags[0].Text)
	assert.Equal(t, "Mains hook-up", h.field("Name").Text)
	h.write("Name", "Mains hook-up")
	assert.Empty(t, h.s.UndoLabel(), "the word of the rule set is no name of the rig's own")
	f := h.askCommand()
	f.typed.SetText("state mains")
	assert.Len(t, f.lines, 1)
	f.d.Hide()
	h.s.Select("INL1")
	assert.Equal(t, "INL1  Caravan inlet", h.details.title.Text)

	e := h.s.Doc().Project()
	e.Basis = components.USVehicle
	require.NoError(t, h.s.Do("Change the rule set", e))
	h.settle()
	assert.Equal(t, []string{"As drawn", "Shore", "Off grid"}, h.strip.names)
	assert.Contains(t, h.onShelf(), "Shore inlet")
	assert.Equal(t, "INL1  Shore inlet", h.details.title.Text)
}

// A size in square millimetres reads as on the sheet, and is kept as the file has it.
func TestSquareMillimetresReadAsOnTheSheet(t *testing.T) {
	h := newHand(t)
	sample, ok := projects.FindSample("caravan-230")
	require.True(t, ok)
	h.s.Start(sample.Document())
	h.settle()
	h.s.Select("W8")
	h.pick("Size", "50 mm²")
	r, _ := h.s.Doc().Run("W8")
	assert.Equal(t, "50 mm2", r.Spec["size"].Str())
	for _, row := range h.details.rows {
		if row.title == "Size" {
			assert.Equal(t, "50 mm²", row.control.(*pickList).Selected)
		}
	}
}

// The protective conductor of a caravan is PE, to read and to write; the file's is G.
func TestTheProtectiveConductorIsPE(t *testing.T) {
	h := newHand(t)
	sample, ok := projects.FindSample("caravan-230")
	require.True(t, ok)
	h.s.Start(sample.Document())
	h.settle()
	h.s.Select("W3")
	for _, row := range h.details.rows {
		if row.title != "Conductors" {
			continue
		}
		assert.Equal(t, "Those that both ports have: L, N, PE", row.says.Text)
		e := row.control.(*entry)
		h.win.Canvas().Focus(e)
		e.SetText("L, N, PE")
		e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		assert.Equal(t, "L, N, PE", e.Text)
	}
	r, _ := h.s.Doc().Run("W3")
	assert.Equal(t, "L, N, G", coresText(r.Cores))
}

// onShelf is the names on the shelf.
func (h *hand) onShelf() (names []string) {
	for _, it := range h.shelf.items {
		names = append(names, it.CreateRenderer().(*shelfItemRenderer).name.Text)
	}
	return names
}

// The choices of a field are read in the words of the rule set, and the file keeps its own.
func TestChoicesAreReadInTheWordsOfTheRuleSet(t *testing.T) {
	h := newHand(t)
	sample, ok := projects.FindSample("caravan-230")
	require.True(t, ok)
	h.s.Start(sample.Document())
	h.settle()
	p := h.fromShelf("busbar", h.s.View.ToSheet(100, 500))
	carries := h.row("Pole").control.(*pickList)
	assert.Contains(t, carries.Options, "earth (PE)")
	assert.NotContains(t, carries.Options, "ground (G)")
	for range 2 { // and once more, when the row has shown itself again
		h.pick("Pole", "earth (PE)")
		q, _ := h.s.Doc().Part(p)
		assert.Equal(t, "G", q.Spec["pole"].Str())
		assert.Equal(t, "earth (PE)", carries.Selected)
		h.pick("Pole", "negative (−)")
		q, _ = h.s.Doc().Part(p)
		assert.Equal(t, "-", q.Spec["pole"].Str())
	}
}

// A question that a gesture leaves open is asked in the words of the rule set.
func TestQuestionsAreAskedInTheWordsOfTheRuleSet(t *testing.T) {
	h := newHand(t)
	e := h.s.Doc().Project()
	e.Basis = components.Caravan
	require.NoError(t, h.s.Do("Change the rule set", e))
	h.s.ZoomTo(1)
	h.fromShelf("inverter", h.s.View.ToSheet(300, 200))
	h.fromShelf("panel", h.s.View.ToSheet(560, 200))
	h.connect("INV1.ac-out", "PNL1.main")
	h.press("L to L1, N, PE")
	r, ok := h.s.Doc().Run("W1")
	require.True(t, ok)
	assert.Equal(t, "L>L1, N, G", coresText(r.Cores))
}
