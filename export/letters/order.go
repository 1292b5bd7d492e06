package letters

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/bidi"
)

// Marks that isolate words which are read from the right (Unicode Annex 9).
const (
	rightIsolate = '\u2067'
	popIsolate   = '\u2069'
)

// stretch is a part of a text that is read from the right, from its first such
// letter to its last: what stands beside it, a tag, a figure or another name, keeps
// its place.
type stretch struct{ from, to int } // of runes

// Every text of a hand-off is read from the left. A stretch ends at a letter that is
// read from the left and at the marks that part names from each other.
const parting = "·:;,=|→←[]{}<>"

func fromRight(r rune) bool {
	if r < 0x0590 {
		return false
	}
	p, _ := bidi.LookupRune(r)
	return p.Class() == bidi.R || p.Class() == bidi.AL
}

func fromLeft(r rune) bool {
	p, _ := bidi.LookupRune(r)
	return p.Class() == bidi.L
}

func stretches(all []rune) []stretch {
	var out []stretch
	for i := 0; i < len(all); i++ {
		if !fromRight(all[i]) {
			continue
		}
		from, last, open := i, i, 0
		for i++; i < len(all) && !fromLeft(all[i]) && !strings.ContainsRune(parting, all[i]) && !unicode.IsControl(all[i]); i++ {
			switch r := all[i]; {
			case r == '(':
				open++
			case r == ')':
				if open--; open == 0 {
					last = i
				}
			case fromRight(r) && open == 0, unicode.Is(unicode.Mn, r) && last == i-1:
				last = i
			}
			if open < 0 {
				break
			}
		}
		// "Bank 2" ends in its number; "Bank 12 V" does not.
		if open == 0 && (i == len(all) || strings.ContainsRune(parting, all[i])) {
			for end := i - 1; end > last; end-- {
				if unicode.IsDigit(all[end]) {
					last = end
					break
				}
			}
		}
		out = append(out, stretch{from, last + 1})
		i = last
	}
	return out
}

// Isolated puts words that are read from the right between marks that keep them
// apart from what stands beside them. It may be given markup, since no stretch holds
// any.
func Isolated(text string) string {
	if !strings.ContainsFunc(text, fromRight) {
		return text
	}
	all := []rune(text)
	var out strings.Builder
	at := 0
	for _, s := range stretches(all) {
		out.WriteString(string(all[at:s.from]))
		out.WriteRune(rightIsolate)
		out.WriteString(string(all[s.from:s.to]))
		out.WriteRune(popIsolate)
		at = s.to
	}
	out.WriteString(string(all[at:]))
	return out.String()
}

// Visual puts a text into the order in which it is printed from the left, with the
// letters of Arabic joined.
func Visual(text string) string {
	if !strings.ContainsFunc(text, fromRight) {
		return text
	}
	all := []rune(joined(text))
	for _, s := range stretches(all) {
		turn(all[s.from:s.to])
	}
	return string(all)
}

// turn reverses a stretch, but leaves numbers as they are read.
func turn(part []rune) {
	reverse(part)
	for i := 0; i < len(part); i++ {
		from := i
		for i < len(part) && (unicode.IsDigit(part[i]) || i > from && strings.ContainsRune(".,/", part[i]) && i+1 < len(part) && unicode.IsDigit(part[i+1])) {
			i++
		}
		reverse(part[from:i])
		if i < len(part) {
			part[i] = mirrored(part[i])
		}
	}
}

func reverse(part []rune) {
	for i, j := 0, len(part)-1; i < j; i, j = i+1, j-1 {
		part[i], part[j] = part[j], part[i]
	}
}

func mirrored(r rune) rune {
	switch r {
	case '(':
		return ')'
	case ')':
		return '('
	}
	return r
}
