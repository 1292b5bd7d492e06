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
		"电池":             "电池",
		"बैटरी"[:3]:      "बैटरी"[:3],
		"மின்":           "மின்",
		"龘 \u1000":       "[U+9F98] [U+1000]", // beyond the common Han, and a script without letters here
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
	_, ok := Of('\u1000', false)
	assert.False(t, ok)
	wide, ok := Advance('A', false)
	assert.True(t, ok)
	assert.InDelta(t, 0.667, wide, 0.001, "the capital A of the sheet's letters is 1366 of 2048 units wide")
}

// Each script has a face that shows its common letters; the whole of a word.
func TestScriptsHaveLetters(t *testing.T) {
	for word, want := range map[string]Face{
		"Λεωφορείο": Sheet, "Автобус": Sheet, "buýt điện": Sheet, "אוטובוס": Sheet, "حافلة": Further,
		"ปั๊มน้ำที่ห้องครัว": Thai, "ປັ໊ມນ້ໍາ": Lao, "ម៉ូទ័រ": Khmer, "मुख्य": Devanagari, "ব্যাটারি": Bengali, "ਬੈਟਰੀ": Gurmukhi, "બૅટરી": Gujarati,
		"ବ୍ୟାଟେରୀ": Oriya, "மின்கலம்": Tamil, "బ్యాటరీ": Telugu, "ಬ್ಯಾಟರಿ": Kannada, "ബാറ്ററി": Malayalam, "බැටරිය": Sinhala, "电池箱": Han, "電池箱": Han, "リチウムねじ": Han, "전기": Hangul,
	} {
		for _, r := range word {
			if r == ' ' {
				continue
			}
			face, ok := Of(r, false)
			assert.True(t, ok, "%U of %s", r, word)
			if want != Further {
				assert.Equal(t, want, face, "%U of %s", r, word)
			}
		}
		assert.False(t, Called(word), word)
	}
}

// What shaping does: a conjunct is narrower than its letters side by side, the short i is
// drawn before its consonant, and of two Thai marks over one letter the second stands
// above the first. The width never passes what a box was measured for.
func TestShape(t *testing.T) {
	sum := func(word string) float64 {
		all := 0.0
		for _, r := range word {
			a, _ := Advance(r, false)
			all += a
		}
		return all
	}
	for word, of := range map[string]Face{"क्षेत्र": Devanagari, "शक्ति": Devanagari, "हिन्दी": Devanagari, "บ้าน": Thai, "ที่": Thai,
		"ນ້ໍາ": Lao, "ម៉ូទ័រ": Khmer, "ខ្មែរ": Khmer, "ব্যাটারি": Bengali, "ਬੈਟਰੀ": Gurmukhi, "બૅટરી": Gujarati, "ବ୍ୟାଟେରୀ": Oriya, "கொதி": Tamil, "బ్యాటరీ": Telugu, "ಬ್ಯಾಟರಿ": Kannada, "ബാറ്ററി": Malayalam, "ක්\u200dරියා": Sinhala} {
		outlines, wide := Shape(of, word)
		assert.NotEmpty(t, outlines, word)
		assert.Positive(t, wide, word)
		assert.LessOrEqual(t, wide, sum(word)*1.001, word)
	}
	_, conjunct := Shape(Devanagari, "क्ष")
	assert.Less(t, conjunct, 0.8*sum("क्ष"))
	top := func(word string) float64 {
		high := 0.0
		outlines, _ := Shape(Thai, word)
		for _, c := range outlines {
			for _, p := range c.Pts {
				high = max(high, p.Y)
			}
		}
		return high
	}
	assert.Greater(t, top("ที่"), top("ที")+0.05, "the tone mark stands above the vowel")
	left := func(of Face, word string, n int) float64 { // of the n-th outline's first point
		outlines, _ := Shape(of, word)
		for _, c := range outlines {
			if c.Move {
				if n--; n < 0 {
					return c.Pts[0].X
				}
			}
		}
		return -1
	}
	assert.Less(t, left(Devanagari, "कि", 0), left(Devanagari, "क", 0)+0.3)
}
