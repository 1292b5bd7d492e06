package scene

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
)

// A part's tag stands nearer to its own symbol than to another's, or a leader leads
// from it.
func TestTagsStandAtTheirOwnSymbols(t *testing.T) {
	tags := 0
	for _, doc := range testDocuments(t) {
		s := Draw(doc, Options{})
		led, at := map[string]bool{}, map[string]Box{}
		for _, sh := range s.Shapes {
			if sh.Layer != LabelLayer {
				continue
			}
			if sh.Form == Filled {
				led[sh.Address] = true
			}
			if _, known := doc.Part(components.ID(sh.Address)); known && sh.Form == Text {
				box, begun := at[sh.Address]
				if !begun {
					box = sh.Box()
				}
				at[sh.Address] = box.union(sh.Box())
			}
		}
		for address, box := range at {
			if led[address] {
				continue
			}
			tags++
			own := gap(box, s.Bodies[components.ID(address)])
			for id, body := range s.Bodies {
				if id != components.ID(address) && gap(box, body) < own {
					t.Errorf("%s: the label of %s is %.1f from its symbol and %.1f from %s", doc.Title, address, own, gap(box, body), id)
				}
			}
		}
	}
	assert.Greater(t, tags, 300)
}
