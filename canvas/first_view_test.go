package canvas

import (
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

// rigs are all samples, sound and broken, and the fifteen usual arrangements.
func rigs(t *testing.T) (all []*components.Document) {
	t.Helper()
	for _, s := range append(projects.Samples(), projects.BrokenSamples()...) {
		all = append(all, s.Document())
	}
	files, err := filepath.Glob("../testdata/topologies/*.yaml")
	require.NoError(t, err)
	require.Len(t, files, 15)
	for _, f := range files {
		doc, _, err := projects.Load(f)
		require.NoError(t, err)
		all = append(all, doc)
	}
	return all
}

// A rig that is opened is seen whole, with every word and every mark that stands
// beside it, when its findings have come too.
func TestAFirstViewCutsNothingOff(t *testing.T) {
	for _, size := range []fyne.Size{{Width: 1280, Height: 720}, {Width: 1920, Height: 1080}} {
		h := newHand(t)
		h.win.Resize(size)
		h.setSplits(size)
		for _, doc := range rigs(t) {
			h.s.Start(doc)
			h.settle()
			v := h.s.View
			for _, sh := range h.s.Sheet().Shapes {
				if sh.Layer == scene.FrameLayer {
					continue
				}
				b := sh.Box()
				x0, y0 := v.ToWindow(b.Min)
				x1, y1 := v.ToWindow(b.Max)
				assert.True(t, x0 >= 0 && y0 >= 0 && x1 <= v.W && y1 <= v.H, "%v, %s: %s is cut off by the window", size, doc.Title, sh)
			}
		}
	}
}
