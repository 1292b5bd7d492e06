package canvas

import (
	"fmt"
	"testing"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/projects"
)

// area is where something is seen in the window.
type area struct{ x0, y0, x1, y1 float32 }

func (a area) cut(b area) area {
	return area{max(a.x0, b.x0), max(a.y0, b.y0), min(a.x1, b.x1), min(a.y1, b.y1)}
}
func (a area) empty() bool { return a.x1-a.x0 < 1 || a.y1-a.y0 < 1 }

// lettered is a text as it stands in the window.
type lettered struct {
	text string
	box  area // where its letters are
	seen area // of that, what no scroll and no column cuts off
	wide bool // it is cut off at its left or right
}

// words walks everything that is seen and measures its texts.
func words(o fyne.CanvasObject, at fyne.Position, clip area) (all []lettered) {
	if !o.Visible() {
		return nil
	}
	at = at.Add(o.Position())
	own := area{at.X, at.Y, at.X + o.Size().Width, at.Y + o.Size().Height}
	switch o := o.(type) {
	case *fynecanvas.Text:
		if o.Text == "" {
			return nil
		}
		m := fyne.MeasureText(o.Text, o.TextSize, o.TextStyle)
		x := at.X
		switch o.Alignment {
		case fyne.TextAlignCenter:
			x += (o.Size().Width - m.Width) / 2
		case fyne.TextAlignTrailing:
			x += o.Size().Width - m.Width
		}
		box := area{x, at.Y + (o.Size().Height-m.Height)/2, x + m.Width, at.Y + (o.Size().Height+m.Height)/2}
		seen := box.cut(clip)
		if !seen.empty() {
			all = append(all, lettered{o.Text, box, seen, box.x0 < clip.x0-1 || box.x1 > clip.x1+1})
		}
	case *fyne.Container:
		for _, c := range o.Objects {
			all = append(all, words(c, at, clip)...)
		}
	case *widget.Entry, *entry: // a long text scrolls inside its field
		return nil
	case *container.Scroll:
		for _, c := range test.WidgetRenderer(o).Objects() {
			all = append(all, words(c, at, clip.cut(own))...)
		}
	case fyne.Widget:
		for _, c := range test.WidgetRenderer(o).Objects() {
			all = append(all, words(c, at, clip)...)
		}
	}
	return all
}

// No two texts of the window lie on each other and none is cut off at its side, at
// the least and at a usual size of the screen, whatever is selected.
func TestTextsNeitherOverlapNorClip(t *testing.T) {
	for _, size := range []fyne.Size{{Width: 1280, Height: 720}, {Width: 1920, Height: 1080}, {Width: 3840, Height: 2160}} {
		h := newHand(t)
		h.win.Resize(size)
		h.setSplits(size)
		check := func(what string) {
			t.Helper()
			root := h.win.Content()
			all := words(root, fyne.NewPos(0, 0), area{0, 0, root.Size().Width, root.Size().Height})
			assert.Greater(t, len(all), 20, what)
			for i, a := range all {
				assert.False(t, a.wide, "%v %s: %q is cut off", size, what, a.text)
				for _, b := range all[:i] {
					over := a.seen.cut(b.seen)
					if over.x1-over.x0 > 1.5 && over.y1-over.y0 > 3 {
						t.Errorf("%v %s: %q lies on %q", size, what, a.text, b.text)
					}
				}
			}
		}
		check("empty")
		for _, s := range append(projects.Samples(), projects.BrokenSamples()...) {
			h.s.Start(s.Document())
			h.settle()
			check(s.Name)
			for _, kind := range []string{"battery", "fuse", "panel", "inverter-charger"} {
				for _, p := range h.s.Doc().Parts() {
					if p.Kind.ID == kind {
						h.s.Select(p.ID)
						check(fmt.Sprintf("%s, %s", s.Name, p.ID))
						break
					}
				}
			}
			h.s.Select(h.s.Doc().Runs()[0].ID)
			check(s.Name + ", a run")
			h.s.Select()
			if states := h.s.Doc().Operating(); len(states) > 0 {
				h.s.ChooseState(states[0].Name)
				h.settle()
				check(s.Name + ", in a state")
				h.s.ChooseState("")
			}
			h.settle()
			if report, _ := h.s.Report(); len(report.Findings) > 0 {
				h.s.ShowFinding(1)
				check(s.Name + ", a finding unfolded")
			}
			h.s.Select([]components.ID{h.s.Doc().Parts()[0].ID, h.s.Doc().Parts()[1].ID}...)
			check(s.Name + ", two parts")
		}
	}
}
