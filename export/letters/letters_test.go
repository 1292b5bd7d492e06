package letters

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// What paper prints of a text: signs by name, letters by number, nothing in silence.
func TestPrinted(t *testing.T) {
	for in, want := range map[string]string{
		"BAT1 · 2/0 AWG": "BAT1 · 2/0 AWG",
		"a\x00b\x1b[0m":  "ab[0m",
		"one\ntwo":       "one two",
		"⚡🔋 lit":         "⚡[battery] lit",
		"👩‍🔧 bench":      "[woman][wrench] bench",
		"👍🏽":             "[thumbs up sign]",
		"🇩🇪 plug":        "DE plug",
		"\u202eevil":     "evil",
		"bad \xff byte":  "bad [byte FF] byte",
		"电池":             "[U+7535][U+6C60]",
		"बैटरी"[:3]:      "[U+092C]",
		"خزان":           "خزان",
		"תיב":            "תיב",
	} {
		assert.Equal(t, want, Printed(in), "%q", in)
		assert.Equal(t, strings.Contains(strings.Replace(want, "[0m", "", 1), "["), Called(in), "%q", in)
	}
}

// Shapes as the Unicode standard names them (block Arabic Presentation Forms-B).
func TestArabicJoins(t *testing.T) {
	for name, c := range map[string]struct{ in, want string }{
		"tank: initial, final, alone, alone":           {"خزان", "\ufea7\ufeb0\ufe8d\ufee5"},
		"house: initial, medial, final":                {"بيت", "\ufe91\ufef4\ufe96"},
		"no: lam with alef alone":                      {"لا", "\ufefb"},
		"peace: lam with alef joined to the seen":      {"سلام", "\ufeb3\ufefc\ufee1"},
		"a vowel mark does not part letters":           {"بَت", "\ufe91\u064e\ufe96"},
		"a hamza joins nothing":                        {"ماء", "\ufee3\ufe8e\ufe80"},
		"Persian letters: pump":                        {"پمپ", "\ufb58\ufee4\ufb57"},
		"two words":                                    {"بي بي", "\ufe91\ufef2 \ufe91\ufef2"},
		"madda written apart is the letter with madda": {"ا\u0653ب", "\ufe81\ufe8f"},
		"Latin and Hebrew stay":                        {"W1 בית", "W1 בית"},
	} {
		assert.Equal(t, c.want, joined(c.in), name)
	}
}

// Every shape that joining may choose is in the further letters of both weights,
// for the letters of Arabic and Persian.
func TestEveryShapeHasALetter(t *testing.T) {
	letters, pairs := joining()
	for _, r := range "ءآأؤإئابةتثجحخدذرزسشصضطظعغفقكلمنهوىيپچژکگی" {
		assert.NotEmpty(t, letters[r], "%c has shapes", r)
		for _, f := range letters[r] {
			for _, bold := range []bool{false, true} {
				face, ok := Of(f, bold)
				assert.True(t, ok, "%U", f)
				assert.Equal(t, bold, face == FurtherBold, "%U", f)
			}
		}
	}
	assert.Len(t, pairs, 4)
	for pair, f := range pairs {
		assert.Len(t, f, 2)
		assert.Equal(t, norm.NFKC.String(string(f[0])), string(pair[:]))
	}
}

// In the order of printing, a figure beside a name keeps its side and its digits.
func TestVisual(t *testing.T) {
	for in, want := range map[string]string{
		"plain":                "plain",
		"pump בית":             "pump תיב",
		"בית 12 V":             "תיב 12 V",
		"W1 · בית · 4 mm²":     "W1 · תיב · 4 mm²",
		"אב feeds גד":          "בא feeds דג",
		"אב · גד":              "בא · דג",
		"אב 12.5 גד":           "דג 12.5 בא",
		"אב (גד) 3 A":          "(דג) בא 3 A",
		"אב (גד":               "בא (דג",
		"CB1 (אב) is 20 A":     "CB1 (בא) is 20 A",
		"خزان 2":               "2 \ufee5\ufe8d\ufeb0\ufea7",
		"אב 12 · 30 A":         "12 בא · 30 A",
		"\u05d1\u05bc\u05d0 x": "\u05d0\u05bc\u05d1 x",
	} {
		assert.Equal(t, want, Visual(in), "%q", in)
	}
}

// Marks of isolation stand around words that are read from the right, and only there.
func TestIsolated(t *testing.T) {
	for in, want := range map[string]string{
		"plain":       "plain",
		"בית 12 V":    "\u2067בית\u2069 12 V",
		"אב feeds גד": "\u2067אב\u2069 feeds \u2067גד\u2069",
		"<b>אב</b>":   "<b>\u2067אב\u2069</b>",
		"אב (גד) 3 A": "\u2067אב (גד)\u2069 3 A",
		"":            "",
	} {
		assert.Equal(t, want, Isolated(in), "%q", in)
	}
}

func TestFacesAreWhole(t *testing.T) {
	for _, f := range Faces {
		_, err := sfnt.Parse(f.TTF())
		assert.NoError(t, err)
	}
	_, ok := Of('电', false)
	assert.False(t, ok)
	wide, ok := Advance('A', false)
	assert.True(t, ok)
	assert.InDelta(t, 0.667, wide, 0.001, "the capital A of the sheet's letters is 1366 of 2048 units wide")
}
