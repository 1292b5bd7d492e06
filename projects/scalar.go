package projects

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// plain tells whether a scalar is written without quotes.
func plain(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode &&
		n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0
}

// empty tells whether nothing is written where a value should be.
func empty(n *yaml.Node) bool {
	return plain(n) && (n.Value == "" || n.Value == "~" || n.Value == "null")
}

// shown is a value as a fault quotes it.
func shown(n *yaml.Node) string {
	switch {
	case n.Kind == yaml.MappingNode:
		return "a group of keys"
	case n.Kind == yaml.SequenceNode:
		return "a list"
	case empty(n):
		return "empty"
	}
	return strconv.Quote(clip(n.Value))
}

// clip shortens a text that a fault quotes.
func clip(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	return string([]rune(s)[:most]) + "…"
}

// near is components.DidYouMean where that takes no long time.
func (r *reader) near(word string, words []string) string {
	if len(word) > 64 || len(words) > maxNearWords || len(r.problems) > maxNear {
		return ""
	}
	return components.DidYouMean(word, words)
}

// nearPart is near among the parts.
func (r *reader) nearPart(tag string) string {
	if r.tags == nil {
		for _, p := range r.doc.Parts() {
			r.tags = append(r.tags, string(p.ID))
		}
	}
	return r.near(tag, r.tags)
}

// unknownWord says that a word is none of those known.
func (r *reader) unknownWord(what, word string, words []string) string {
	near := r.near(word, words)
	if near == "" {
		near = ": want one of " + strings.Join(words, ", ")
	}
	return fmt.Sprintf("unknown %s %q%s", what, clip(word), near)
}

// numberText is how a number is written: no digit groups, no other base, no
// infinity, none of the leading zeros that older YAML takes for octal.
var numberText = regexp.MustCompile(`^-?(?:0|[1-9][0-9]*)?(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,3})?$`)

func parseNumber(text string) (float64, bool) {
	if !numberText.MatchString(text) {
		return 0, false
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, false
	}
	return v + 0, true // -0 becomes 0
}

// number reads a number between lo and hi.
func (s scope) number(n *yaml.Node, key string, lo, hi float64) (float64, bool) {
	v, ok := 0.0, false
	if plain(n) {
		v, ok = parseNumber(n.Value)
	}
	if !ok {
		s.fault(n, "%s is %s: want a number from %s to %s", key, shown(n), number(lo), number(hi))
		return 0, false
	}
	if v < lo || v > hi {
		s.fault(n, "%s is %s: want %s to %s", key, n.Value, number(lo), number(hi))
		return 0, false
	}
	return v, true
}

// text reads any text; what is empty reads as "".
func (s scope) text(n *yaml.Node, key string) string {
	switch {
	case empty(n):
		return ""
	case n.Kind != yaml.ScalarNode:
		s.fault(n, "%s is %s: want text", key, shown(n))
		return ""
	case len(n.Value) > maxText:
		s.fault(n, "%s has %d bytes: want at most %d", key, len(n.Value), maxText)
		return ""
	}
	return n.Value
}

// word reads one of some words.
func (s scope) word(n *yaml.Node, key string, words []string) string {
	if n.Kind != yaml.ScalarNode || empty(n) {
		s.fault(n, "%s is %s: want one of %s", key, shown(n), strings.Join(words, ", "))
		return ""
	}
	for _, w := range words {
		if n.Value == w {
			return w
		}
	}
	s.fault(n, "%s is %s: want one of %s%s", key, shown(n), strings.Join(words, ", "), s.near(n.Value, words))
	return ""
}

// truth reads true or false.
func (s scope) truth(n *yaml.Node, key string) bool {
	if !plain(n) || n.Value != "true" && n.Value != "false" {
		s.fault(n, "%s is %s: want true or false", key, shown(n))
		return false
	}
	return n.Value == "true"
}

// list reads a list of at most most entries; what is empty reads as none.
func (s scope) list(n *yaml.Node, key string, most int) []*yaml.Node {
	switch {
	case empty(n):
		return nil
	case n.Kind != yaml.SequenceNode:
		s.fault(n, "%s is %s: want a list", key, shown(n))
		return nil
	case len(n.Content) > most:
		s.fault(n, "%s has %d entries: want at most %d", key, len(n.Content), most)
		return nil
	}
	return n.Content
}

// point reads [x, y] in sheet units; one that must stand on the grid is a whole
// number of modules.
func (s scope) point(n *yaml.Node, key string, onGrid bool) (components.Point, bool) {
	want := fmt.Sprintf("want two whole numbers from -%d to %d, as in [120, 480]", sheetEdge, sheetEdge)
	if onGrid {
		want = fmt.Sprintf("want two multiples of %d from -%d to %d, as in [120, 480]", components.Module, sheetEdge, sheetEdge)
	}
	if n.Kind != yaml.SequenceNode || len(n.Content) != 2 {
		found := shown(n)
		if n.Kind == yaml.SequenceNode {
			found = fmt.Sprintf("a list of %d", len(n.Content))
		}
		s.fault(n, "%s is %s: %s", key, found, want)
		return components.Point{}, false
	}
	var xy [2]int
	for i, c := range n.Content {
		v, ok := 0.0, false
		if plain(c) {
			v, ok = parseNumber(c.Value)
		}
		if !ok || v != math.Trunc(v) || math.Abs(v) > sheetEdge || onGrid && int(v)%components.Module != 0 {
			s.fault(c, "%s holds %s: %s", key, strings.Trim(shown(c), `"`), want)
			return components.Point{}, false
		}
		xy[i] = int(v)
	}
	return components.Point{X: xy[0], Y: xy[1]}, true
}
