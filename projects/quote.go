package projects

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// notText are the plain words that some YAML or this format reads as something
// else than text.
var notText = map[string]bool{
	"": true, "null": true, "~": true, "unknown": true, "true": true, "false": true, "yes": true, "no": true,
	"on": true, "off": true, "y": true, "n": true, "nan": true, "inf": true, "infinity": true,
}

// dateLike is what older YAML reads as a day.
var dateLike = regexp.MustCompile(`^[0-9]+-[0-9]+(-[0-9]+)?`)

// quote writes a text so that YAML reads the same text back, plain where no YAML
// could take it for something else. Plain texts are the same in a line and in a
// flow list, so they hold no comma there.
func quote(s string, flow bool) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	if isPlain(s, flow) {
		return s
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c == '\n':
			b.WriteString(`\n`)
		case c == '\t':
			b.WriteString(`\t`)
		case c == '\r':
			b.WriteString(`\r`)
		case c == ' ' || unicode.IsPrint(c):
			b.WriteRune(c)
		case c <= 0xFF:
			fmt.Fprintf(&b, `\x%02X`, c)
		case c <= 0xFFFF:
			fmt.Fprintf(&b, `\u%04X`, c)
		default:
			fmt.Fprintf(&b, `\U%08X`, c)
		}
	}
	b.WriteByte('"')
	return b.String()
}

func isPlain(s string, flow bool) bool {
	if s == "N" {
		return true // the neutral, which the format writes plain; only YAML 1.1 to the letter takes it for "no"
	}
	if notText[strings.ToLower(s)] || dateLike.MatchString(s) || numberLike(s) || strings.HasSuffix(s, " ") {
		return false
	}
	for i, c := range s {
		letter := unicode.IsLetter(c) || c >= '0' && c <= '9'
		switch {
		case letter:
		case i == 0:
			return false
		case strings.ContainsRune(" _/.()+%-°²Ω–>", c):
		case c == ',' && !flow:
		default:
			return false
		}
	}
	return true
}

// numberLike tells whether any YAML might read the text as a number.
func numberLike(s string) bool {
	s = strings.NewReplacer("_", "", ",", "").Replace(s)
	if _, err := strconv.ParseFloat(s, 64); err == nil || strings.HasSuffix(err.Error(), strconv.ErrRange.Error()) {
		return true
	}
	_, err := strconv.ParseInt(s, 0, 64)
	return err == nil || strings.HasSuffix(err.Error(), strconv.ErrRange.Error())
}

// block gives the lines of a text that reads well as a literal block; ok is
// false for a text of one line and for one whose spaces or characters a block
// would not keep.
func block(s string) (lines []string, ok bool) {
	s = strings.ToValidUTF8(s, "\uFFFD")
	if !strings.Contains(s, "\n") {
		return nil, false
	}
	lines = strings.Split(s, "\n")
	if lines[0] == "" || lines[len(lines)-1] == "" {
		return nil, false
	}
	for _, line := range lines {
		if strings.TrimSpace(line) != line || strings.ContainsFunc(line, func(c rune) bool { return c != ' ' && !unicode.IsPrint(c) }) {
			return nil, false
		}
	}
	return lines, true
}

// commentLines are the lines of a comment without empty ones around them.
func commentLines(s string) []string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = comment(lines[i])
	}
	for len(lines) > 0 && lines[0] == "" {
		lines = lines[1:]
	}
	for len(lines) > 0 && lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	return lines
}

// comment makes text fit to stand behind a #.
func comment(s string) string {
	return strings.TrimRight(strings.Map(func(c rune) rune {
		switch {
		case c == '\t' || c == ' ' || unicode.IsPrint(c):
			return c
		}
		return ' '
	}, strings.ToValidUTF8(s, "\uFFFD")), " \t")
}
