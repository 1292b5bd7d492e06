package canvas

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// Whatever a menu does is done by keys alone, by a few letters of its name.
func TestEveryCommandIsFoundByItsName(t *testing.T) {
	h := newHand(t)
	s, _ := projects.FindSample("library-bus")
	h.s.Start(s.Document())
	h.settle()
	h.s.Select("F1", "F2", "F3")
	h.run(h.command(findCommand))
	typed, ok := h.win.Canvas().Focused().(*findEntry)
	require.True(t, ok)
	test.Type(typed, "align left")
	typed.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Nil(t, h.win.Canvas().Overlays().Top())
	assert.Equal(t, "Align 3 parts", h.s.UndoLabel())

	f := h.askCommand()
	for _, c := range h.table {
		if c.name == findCommand || c.can != nil && !c.can(h.Editor) {
			continue
		}
		name := c.name
		if c.label != nil {
			name = c.label(h.Editor)
		}
		f.typed.SetText(strings.ToLower(name))
		require.NotEmpty(t, f.lines, name)
		assert.Contains(t, f.lines[0].text, name)
	}
	f.typed.SetText("state off")
	require.Len(t, f.lines, 1)
	f.typed.SetText("show")
	f.typed.TypedKey(&fyne.KeyEvent{Name: fyne.KeyDown})
	assert.Equal(t, 1, f.at, "the arrow keys go through the list")
	f.typed.SetText("part f2")
	require.Len(t, f.lines, 1)
	f.typed.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Equal(t, []components.ID{"F2"}, h.s.Selected(), "a part by its tag")
	f = h.askCommand()
	f.typed.SetText("run: w20 ")
	f.typed.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Equal(t, []components.ID{"W20"}, h.s.Selected(), "a run by its tag")
	f = h.askCommand()
	assert.Len(t, f.lines, mostLines)
	f.typed.SetText("no such thing")
	assert.Empty(t, f.lines)
	f.typed.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Nil(t, h.win.Canvas().Overlays().Top())
	h.settle()
}

// The list of keys is one page: nothing of it is to be rolled for, on the least screen.
func TestTheKeysAreOnOnePage(t *testing.T) {
	h := newHand(t)
	h.win.Resize(fyne.NewSize(1280, 720))
	h.showKeys()
	var roll *container.Scroll
	for _, o := range test.LaidOutObjects(h.win.Canvas().Overlays().Top()) {
		if s, ok := o.(*container.Scroll); ok {
			roll = s
		}
	}
	require.NotNil(t, roll)
	assert.LessOrEqual(t, roll.Content.MinSize().Height, roll.Size().Height)
	page := roll.Content.(*container.ThemeOverride).Content.(*fyne.Container)
	require.Len(t, page.Objects, 2*len(h.keyList()))
	for i, o := range page.Objects {
		end := o.Position().AddXY(o.Size().Width, o.Size().Height)
		assert.True(t, end.X <= page.Size().Width+1 && end.Y <= roll.Size().Height, "%s", h.keyList()[i/2])
	}
}
