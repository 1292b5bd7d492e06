package letters

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/runenames"
)

// Printed is what paper shows of a text. Control characters and marks of direction
// go; a sign that no letter shows is called by its name in square brackets, a
// letter by its number, so that nothing is lost without a trace.
func Printed(text string) string {
	if plain(text) {
		return text
	}
	var out strings.Builder
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		if r == utf8.RuneError && n == 1 {
			fmt.Fprintf(&out, "[byte %02X]", text[i])
		} else {
			out.WriteString(printed(r))
		}
		i += n
	}
	return out.String()
}

func plain(text string) bool {
	for i := range len(text) {
		if text[i] < ' ' || text[i] >= 0x7f {
			return false
		}
	}
	return true
}

const (
	firstRegional, lastRegional = 0x1f1e6, 0x1f1ff // letters that make flags in pairs
	firstTone, lastTone         = 0x1f3fb, 0x1f3ff // of skin
	firstTag, lastTag           = 0xe0000, 0xe007f
)

func printed(r rune) string {
	switch {
	case r == '\n', r == '\t', r == '\u2028', r == '\u2029':
		return " "
	case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r),
		r >= firstTone && r <= lastTone, r >= firstTag && r <= lastTag:
		return ""
	case r >= firstRegional && r <= lastRegional:
		return string('A' + r - firstRegional)
	}
	if _, ok := Of(r, false); ok {
		return string(r)
	}
	name := runenames.Name(r)
	if unicode.IsSymbol(r) && name != "" && name[0] != '<' {
		return "[" + strings.ToLower(name) + "]"
	}
	return fmt.Sprintf("[%U]", r)
}

// Called tells whether paper calls some character of a text by name or number.
func Called(text string) bool {
	return !plain(text) && (!utf8.ValidString(text) || strings.ContainsFunc(text, func(r rune) bool {
		p := printed(r)
		return len(p) > 1 && p[0] == '['
	}))
}
