package canvas

import (
	"slices"
	"strings"
	"time"
	"unicode"
)

// typed is what was typed in one go to find a word in a list.
type typed struct {
	begins string
	last   time.Time
}

// otherWord is the pause after which a letter begins another word.
const otherWord = time.Second

// find is the next word behind the present one that begins with a letter, and with
// letters typed in one go the next from it on that begins with all of them. at is -1 for
// no present one.
func (t *typed) find(words []string, at int, r rune) (next int, ok bool) {
	now := time.Now()
	if now.Sub(t.last) > otherWord {
		t.begins = ""
	}
	t.last = now
	letter := strings.ToLower(string(r))
	if t.begins != "" {
		if next, ok = beginning(words, max(0, at), t.begins+letter); ok {
			t.begins += letter
			return next, true
		}
	}
	t.begins = letter
	return beginning(words, at+1, letter)
}

// beginning is the first entry from a place on, all round, that begins so, else the
// first in which a later word does.
func beginning(words []string, from int, begins string) (at int, ok bool) {
	later := func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	for _, fits := range []func(string) bool{
		func(s string) bool { return strings.HasPrefix(s, begins) },
		func(s string) bool {
			return slices.ContainsFunc(strings.FieldsFunc(s, later), func(w string) bool { return strings.HasPrefix(w, begins) })
		},
	} {
		for i := range words {
			if at = (from + i) % len(words); fits(strings.ToLower(words[at])) {
				return at, true
			}
		}
	}
	return 0, false
}
