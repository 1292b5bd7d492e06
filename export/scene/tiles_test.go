package scene

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A drawing that is too large for legible letters is parted: every part stands on
// one sheet, every line that leaves one is told where it goes, nothing lies outside
// the frame and no text stands on another.
func TestLargeDrawingOnSeveralSheets(t *testing.T) {
	for _, n := range []int{150, 400} {
		doc := bigRig(t, n)
		for _, o := range []Options{{Frame: true, Meta: Meta{Notes: someNotes}}, {Frame: true, Marks: everythingMarked(doc), List: true}} {
			sheets := NewPlan(doc).Sheets(o)
			require.Greater(t, len(sheets), 1)
			seen := map[string]int{}
			for i, s := range sheets {
				assert.GreaterOrEqual(t, s.Scale, legibleScale, "%d parts, sheet %d", n, i+1)
				for id := range s.Bodies {
					seen[string(id)]++
				}
				assert.Contains(t, s.String(), fmt.Sprintf("%d of %d", i+1, len(sheets)))
				for _, sh := range s.Shapes {
					b := sh.Box()
					assert.True(t, s.Paper.grown(0.1).Holds(b.Min) && s.Paper.grown(0.1).Holds(b.Max), "%s lies off the paper", sh)
				}
				if faults := overlaps(s); len(faults) > 0 {
					t.Errorf("%d parts, sheet %d: %d faults, the first: %s", n, i+1, len(faults), faults[0])
				}
			}
			for _, p := range doc.Parts() {
				assert.Equal(t, 1, seen[string(p.ID)], p.ID)
			}
			to := map[string]int{} // each continuation has its twin
			for i, s := range sheets {
				for _, sh := range s.Shapes {
					if tags, other, ok := strings.Cut(sh.Text, " · sheet "); ok && sh.Form == Text {
						to[fmt.Sprintf("%s %d %s", tags, min(i+1, atoi(t, other)), fmt.Sprint(max(i+1, atoi(t, other))))]++
					}
				}
			}
			for key, n := range to {
				assert.Zero(t, n%2, key)
			}
		}
	}
}

func atoi(t *testing.T, s string) int {
	n := 0
	_, err := fmt.Sscan(s, &n)
	require.NoError(t, err)
	return n
}

// What fits stays on one sheet, as Draw gives it.
func TestSmallDrawingOnOneSheet(t *testing.T) {
	for _, doc := range testDocuments(t) {
		o := Options{Frame: true}
		sheets := NewPlan(doc).Sheets(o)
		if len(sheets) == 1 {
			assert.Equal(t, Draw(doc, o).String(), sheets[0].String())
		}
	}
}
