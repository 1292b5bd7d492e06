// Package terms puts the texts of a hand-off into the words of the rig's rule set: a
// caravan on 230 V has a line and a protective conductor where a North American
// vehicle has a hot and a ground. The owner's own words stay as they are.
package terms

import (
	_ "embed"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"rigline/components"
	"rigline/export/lists"
)

//go:embed iec-caravan.txt
var caravan string

// vocabularies are the words of the rule sets that have other words than the texts
// are written in.
var vocabularies = map[string]func() *vocabulary{
	components.Caravan: sync.OnceValue(func() *vocabulary { return read(caravan) }),
}

// vocabulary is a list of words for words.
type vocabulary struct {
	says map[string]string
	find *regexp.Regexp
}

// read reads a vocabulary; a mistake in it is ours, and the first test run meets it.
func read(file string) *vocabulary {
	v := &vocabulary{says: map[string]string{}}
	var all []string
	for i, l := range strings.Split(file, "\n") {
		if l = strings.TrimSpace(l); l == "" || l[0] == '#' {
			continue
		}
		ours, theirs, ok := strings.Cut(l+" ", " = ")
		if !ok {
			panic(fmt.Sprintf("line %d of a vocabulary: want our words = their words", i+1))
		}
		ours, theirs = strings.TrimSpace(ours), strings.TrimSpace(theirs)
		if _, twice := v.says[ours]; twice {
			panic(fmt.Sprintf("line %d of a vocabulary: %q is told twice", i+1, ours))
		}
		v.says[ours] = theirs
		all = append(all, ours)
		if big := capital(ours); big != ours {
			if _, told := v.says[big]; !told {
				v.says[big] = capital(theirs)
				all = append(all, big)
			}
		}
	}
	v.find = finder(all)
	return v
}

// finder finds the longest of several words, whole.
func finder(all []string) *regexp.Regexp {
	slices.SortFunc(all, func(a, b string) int {
		if n := len(b) - len(a); n != 0 {
			return n
		}
		return strings.Compare(a, b)
	})
	for i, w := range all {
		all[i] = regexp.QuoteMeta(w)
	}
	return regexp.MustCompile(strings.Join(all, "|"))
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// Terms are the words of one rig. The zero value says everything as it is.
type Terms struct {
	vocabulary *vocabulary
	owner      *regexp.Regexp // the owner's own words, nil where there are none
}

// Of are the words of a document's rule set.
func Of(doc *components.Document) Terms {
	of, ok := vocabularies[doc.Basis]
	if !ok {
		return Terms{}
	}
	w := Terms{vocabulary: of()}
	if own := owned(doc); len(own) > 0 {
		w.owner = finder(own)
	}
	return w
}

// Say puts a text into the rule set's words.
func (w Terms) Say(text string) string {
	if w.vocabulary == nil || text == "" {
		return text
	}
	if w.owner == nil {
		return w.vocabulary.say(text)
	}
	var out strings.Builder
	at := 0
	for _, span := range w.owner.FindAllStringIndex(text, -1) {
		if whole(text, span) {
			out.WriteString(w.vocabulary.say(text[at:span[0]]))
			out.WriteString(text[span[0]:span[1]])
			at = span[1]
		}
	}
	out.WriteString(w.vocabulary.say(text[at:]))
	return out.String()
}

// All puts several texts into the rule set's words.
func (w Terms) All(texts []string) []string {
	if w.vocabulary == nil {
		return texts
	}
	said := slices.Clone(texts)
	for i, t := range said {
		said[i] = w.Say(t)
	}
	return said
}

func (v *vocabulary) say(text string) string {
	var out strings.Builder
	at := 0
	for at < len(text) {
		span := v.find.FindStringIndex(text[at:])
		if span == nil {
			break
		}
		from, to := at+span[0], at+span[1]
		if !whole(text, []int{from, to}) {
			// A longer phrase that ends inside a word may hide a shorter one.
			if short := v.shorter(text, from, to); short > from {
				to = short
			} else {
				_, n := utf8.DecodeRuneInString(text[from:])
				out.WriteString(text[at : from+n])
				at = from + n
				continue
			}
		}
		out.WriteString(text[at:from])
		out.WriteString(v.says[text[from:to]])
		at = to
	}
	out.WriteString(text[at:])
	return out.String()
}

// shorter is the end of the longest entry that stands whole at from and ends before to,
// or from where none does.
func (v *vocabulary) shorter(text string, from, to int) int {
	for end := to - 1; end > from; end-- {
		if _, ok := v.says[text[from:end]]; ok && whole(text, []int{from, end}) {
			return end
		}
	}
	return from
}

// whole tells whether a span of a text is a word of its own: no letter or digit goes on
// beside it, and it is no part of a tag, an address or the name of a rule, which are
// held together by points and underscores.
func whole(text string, span []int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:span[0]])
	after, n := utf8.DecodeRuneInString(text[span[1]:])
	first, _ := utf8.DecodeRuneInString(text[span[0]:])
	last, _ := utf8.DecodeLastRuneInString(text[:span[1]])
	if letter(first) && (letter(before) || before == '.' || before == '_') {
		return false
	}
	if !letter(last) {
		return true
	}
	if letter(after) || after == '_' {
		return false
	}
	next, _ := utf8.DecodeRuneInString(text[span[1]+n:])
	return after != '.' || !letter(next)
}

func letter(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r))
}

// Table puts the head and the cells of a list into the rule set's words, the owner's
// cells as they are.
func (w Terms) Table(t lists.Table) lists.Table {
	if w.vocabulary == nil {
		return t
	}
	t.Title, t.Head = w.Say(t.Title), w.All(t.Head)
	rows := make([][]string, len(t.Rows))
	for i, r := range t.Rows {
		rows[i] = w.All(r)
	}
	t.Rows = rows
	return t
}
