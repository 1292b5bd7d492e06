package projects

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// parse turns the bytes into a tree of nodes, or tells why they are none. The
// tree may still hold what the format refuses; see refuse.
func (r *reader) parse(data []byte) (root *yaml.Node, ok bool) {
	if len(data) > MaxBytes {
		r.problem(1, 1, "the file has %d bytes: want at most 8 MiB", len(data))
		return nil, false
	}
	if n := bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte(":")) + bytes.Count(data, []byte(",")); n > maxSigns {
		r.problem(1, 1, "the file has %d line ends, colons and commas: want at most %d", n, maxSigns)
		return nil, false
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if line, col, what := badCharacter(data); what != "" {
		r.problem(line, col, "%s", what)
		return nil, false
	}
	lines := &lineReader{rest: data}
	decoder := yaml.NewDecoder(lines)
	var doc, next yaml.Node
	if err := decoder.Decode(&doc); errors.Is(err, io.EOF) {
		r.problem(1, 1, "the file is empty: want a project that begins with format: %s", Version)
		return nil, false
	} else if err != nil {
		r.syntax(data, lines.lines, err)
		return nil, false
	}
	if err := decoder.Decode(&next); err == nil {
		r.fault(&next, "a second document begins here: want one project in a file")
		return nil, false
	} else if !errors.Is(err, io.EOF) {
		r.syntax(data, lines.lines, err)
		return nil, false
	}
	return &doc, true
}

// badCharacter finds the first byte that is not UTF-8 and the first character
// that YAML allows in no place.
func badCharacter(data []byte) (line, col int, what string) {
	line, col = 1, 1
	for i := 0; i < len(data); {
		c, n := utf8.DecodeRune(data[i:])
		switch {
		case c == utf8.RuneError && n == 1:
			return line, col, fmt.Sprintf("byte 0x%02X is not UTF-8: save the file as UTF-8 text", data[i])
		case c == '\n':
			line, col = line+1, 0
		case c < ' ' && c != '\t' && c != '\r', c >= 0x7F && c < 0xA0 && c != 0x85, c == 0xFEFF, c == 0xFFFE, c == 0xFFFF:
			return line, col, fmt.Sprintf("control character %U: want text", c)
		}
		col++
		i += n
	}
	return 0, 0, ""
}

var (
	errorLine   = regexp.MustCompile(`^yaml: (?:line (\d+): )?`)
	errorAnchor = regexp.MustCompile(`unknown anchor '(.*)' referenced`)
)

// syntaxHints say in the writer's words what the parser says in its own.
var syntaxHints = []struct{ parser, hint string }{
	{"did not find expected '-' indicator", "this line does not line up with the entries above it: check its indentation"},
	{"did not find expected key", "this line does not line up with the keys above it: check its indentation"},
	{"did not find expected ',' or ']'", "a [ is not closed, or a comma is missing"},
	{"did not find expected ',' or '}'", "a { is not closed, or a comma is missing"},
	{"mapping values are not allowed", "a colon too many, or wrong indentation: put a text that holds a colon in quotes"},
	{"found character that cannot start any token", "a tab or a special character begins the value: indent with spaces, put such a text in quotes"},
	{"found a tab character", "a tab in the indentation: indent with spaces"},
	{"found unexpected end of stream", "a quote is opened and not closed"},
	{"found unknown escape character", "an unknown escape in double quotes: write a backslash twice"},
	{"could not find expected ':'", "a key without its colon"},
	{"exceeded max depth", "nested too deep: want at most 12 levels"},
	{"block sequence entries are not allowed", "a list begins inside a line: begin it on a line of its own"},
}

// syntax reports why the bytes are no YAML, the parser having stopped in a line.
// The parser itself names the line on which the surrounding block begins, or none.
func (r *reader) syntax(data []byte, line int, err error) {
	text := err.Error()
	if m := errorAnchor.FindStringSubmatch(text); m != nil {
		line, col := find(data, "*"+m[1])
		r.problem(line, col, "alias *%s: write the value itself, the format has no aliases", clip(m[1]))
		return
	}
	if m := errorLine.FindStringSubmatch(text); m[1] != "" {
		begun, _ := strconv.Atoi(m[1])
		switch {
		case strings.Contains(text, "unexpected end of stream"):
			line = begun // where the quote was opened
		case strings.Contains(text, "expected ',' or"):
			line = min(line, begun+1) // where the bracket was; the parser counts from 0 here
		}
	}
	text = text[len(errorLine.FindString(text)):]
	for _, h := range syntaxHints {
		if strings.Contains(text, h.parser) {
			text = h.hint
			break
		}
	}
	r.problem(line, firstColumn(data, line), "not readable as YAML: %s", text)
}

// find gives the line and column of the first occurrence of text.
func find(data []byte, text string) (line, col int) {
	before, _, _ := bytes.Cut(data, []byte(text))
	i := bytes.LastIndexByte(before, '\n')
	return bytes.Count(before, []byte("\n")) + 1, utf8.RuneCount(before[i+1:]) + 1
}

func firstColumn(data []byte, line int) int {
	for range line - 1 {
		_, data, _ = bytes.Cut(data, []byte("\n"))
	}
	text, _, _ := bytes.Cut(data, []byte("\n"))
	return len(text) - len(bytes.TrimLeft(text, " ")) + 1
}

// lineReader hands out one line at a time, so that the number of lines handed out
// when the parser stops tells in which it stopped.
type lineReader struct {
	rest  []byte
	lines int  // begun
	inner bool // the last line was handed out in part
}

func (r *lineReader) Read(p []byte) (int, error) {
	if len(r.rest) == 0 {
		return 0, io.EOF
	}
	if len(p) == 0 {
		return 0, nil
	}
	if !r.inner {
		r.lines++
	}
	n := copy(p, r.rest)
	if end := bytes.IndexByte(p[:n], '\n'); end >= 0 {
		n = end + 1
	}
	r.inner = r.rest[n-1] != '\n'
	r.rest = r.rest[n:]
	return n, nil
}

// refuse reports what YAML has and the format has not: anchors, aliases, merge
// keys, tags, and nesting without end. It tells whether the tree is fit to walk.
func (r *reader) refuse(n *yaml.Node, depth int) bool {
	fit := true
	bad := func(format string, args ...any) {
		r.fault(n, format, args...)
		fit = false
	}
	if depth > maxDepth {
		bad("nested too deep: want at most %d levels", maxDepth)
		return false
	}
	switch {
	case n.Kind == yaml.AliasNode:
		bad("alias *%s: write the value itself, the format has no aliases", clip(n.Value))
		return false // the aliased node is visited where it stands
	case n.Anchor != "":
		bad("anchor &%s: leave it out, the format has no aliases", clip(n.Anchor))
	case n.Style&yaml.TaggedStyle != 0:
		bad("tag %s: leave it out, the format knows the type of every value", clip(n.Tag))
	}
	for i, c := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 && c.Kind == yaml.ScalarNode && c.Value == "<<" && plain(c) {
			r.fault(c, "merge key <<: write the keys themselves")
			fit = false
		}
		fit = r.refuse(c, depth+1) && fit
	}
	return fit
}
