package canvas

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
	"rigline/rules"
)

// Every choice of the catalogue is read in plain words, no two of a field in the
// same, and each leads back to the word of the file.
func TestChoicesAreReadInPlainWords(t *testing.T) {
	bare := regexp.MustCompile(`^[a-z]+$`) // a plain word already
	look := func(where string, fields []components.Field) {
		for _, f := range fields {
			seen := map[string]string{}
			if f.Type != components.Choice {
				continue
			}
			for _, c := range f.Choices {
				w := plainWord(f.Key, c)
				if w == c {
					assert.Regexp(t, bare, c, "%s: %s has no plain words", where, f.Key)
				}
				assert.Empty(t, seen[w], "%s: %s says %q of two choices", where, f.Key, w)
				seen[w] = c
				assert.Equal(t, c, bareChoice(f.Key, f.Choices, w))
			}
		}
	}
	for _, k := range components.Catalog {
		look(k.ID, k.Fields)
		for _, f := range k.Fields {
			look(k.ID+"."+f.Key, f.Row)
		}
	}
	look("run", components.RunFields)
	assert.Equal(t, "50 A, 120/240 V, two legs", plainWord("service", "50a-120/240"))
	assert.Equal(t, "16 A, 230 V", plainWord("service", "16a-230"))
}

// The shelf finds a kind by what people call it.
func TestTheShelfKnowsOtherNames(t *testing.T) {
	h := newHand(t)
	for called, kind := range map[string]string{
		"battery switch": "dc-switch", "shore power": "shore", "breaker box": "panel", "outlet": "receptacle",
		"negative to chassis": "bond", "MPPT": "solar-controller", "battery monitor": "shunt", "air conditioner": "ac-load",
	} {
		h.shelf.search.SetText(called)
		var found []string
		for _, it := range h.shelf.items {
			found = append(found, it.kind.ID)
		}
		assert.Contains(t, found, kind, called)
	}
}

// A long list of tags is read by its ends, and no tag that is not in it is in that.
func TestTagsInARowAreToldByTheirEnds(t *testing.T) {
	for in, want := range map[string]string{
		"the length of W1, W2, W3, W4 is not known":          "the length of W1 to W4 is not known",
		"the length of W1, W2, W3, W5, W7, W8 is not known":  "the length of W1 to W3, W5, W7, W8 is not known",
		"W9, W10, W11, F1, F2, F3 and F4":                    "W9 to W11, F1 to F3 and F4",
		"the length of W1, W2, W3 is not known":              "the length of W1, W2, W3 is not known",
		"W4 (2 AWG), W5 (2 AWG), W6 (2 AWG), W7 (2 AWG)":     "W4 (2 AWG), W5 (2 AWG), W6 (2 AWG), W7 (2 AWG)",
		"the length or size of W1, W3, W5, W7 is not known.": "the length or size of W1, W3, W5, W7 is not known.",
	} {
		assert.Equal(t, want, plainSaying(components.NewDocument(""), rules.Finding{Message: in}))
	}
}
