package pdf

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/bidi"

	"rigline/export/scene"
)

// noLetter stands for a character that the sheet's letters lack.
const noLetter = '□'

// clean leaves what the embedded letters can show: control characters and marks
// of direction go, a character without a letter becomes a box.
func clean(text string) string {
	plain := true
	for i := range len(text) {
		if text[i] < ' ' || text[i] >= 0x7f {
			plain = false
			break
		}
	}
	if plain {
		return text
	}
	if !utf8.ValidString(text) {
		text = strings.ToValidUTF8(text, string(noLetter))
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\t', r == '\u2028', r == '\u2029':
			return ' '
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r):
			return -1
		case r > 0xffff, !scene.HasLetter(r):
			return noLetter
		}
		return r
	}, text)
}

// visual puts a text that is read from the right into the order in which it is
// printed from the left, as PDF wants it.
func visual(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool {
		return unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana)
	}) {
		return text
	}
	var p bidi.Paragraph
	if _, err := p.SetString(text, bidi.DefaultDirection(bidi.LeftToRight)); err != nil {
		return text
	}
	order, err := p.Order()
	if err != nil {
		return text
	}
	var out strings.Builder
	for i := range order.NumRuns() {
		run := order.Run(i)
		if run.Direction() == bidi.RightToLeft {
			out.WriteString(bidi.ReverseString(run.String()))
		} else {
			out.WriteString(run.String())
		}
	}
	return out.String()
}
