package report

import (
	"fmt"
	"io"
	"strings"
	"unicode"
)

// Brief writes a line a finding: file:line:column: danger: what (rule).
func Brief(w io.Writer, d Document) error {
	var b strings.Builder
	for _, f := range d.Findings {
		f.brief(&b, d.File)
	}
	for _, f := range d.Unchecked {
		f.brief(&b, d.File)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func (f Finding) brief(b *strings.Builder, file string) {
	level := f.Severity
	if f.Accepted != nil {
		level = "accepted " + level
	}
	fmt.Fprintf(b, "%s: %s: %s (%s)\n", f.place(file), level, oneLine(strings.TrimSuffix(f.Says, ".")), f.Rule)
}

// place is where the finding stands in the file, as editors and terminals read it.
func (f Finding) place(file string) string {
	if f.Line == 0 {
		return oneLine(file)
	}
	return fmt.Sprintf("%s:%d:%d", oneLine(file), f.Line, f.Column)
}

// Text writes the findings for a person, worst first, with their arithmetic, what
// they rest on and the ways out; then what could not be checked, then the outcome
// and the caution.
func Text(w io.Writer, d Document) error {
	var b strings.Builder
	for _, f := range d.Findings {
		f.text(&b, d.File)
	}
	if len(d.Unchecked) > 0 {
		b.WriteString("NOT CHECKED, for want of a figure\n")
		for _, f := range d.Unchecked {
			fmt.Fprintf(&b, "  %s: %s (%s)\n", oneLine(strings.Join(f.On, ", ")), oneLine(f.Says), f.Rule)
		}
		b.WriteString("\n")
	}
	for _, a := range d.Stale {
		fmt.Fprintf(&b, "The acceptance of %s on %s matches nothing any more: take it out.\n\n", oneLine(a.Rule), oneLine(strings.Join(a.On, ", ")))
	}
	fmt.Fprintf(&b, "%s: %s.\n%s\n", oneLine(d.File), d.Readiness, Caution)
	_, err := io.WriteString(w, b.String())
	return err
}

func (f Finding) text(b *strings.Builder, file string) {
	level := strings.ToUpper(f.Severity)
	if f.Accepted != nil {
		level = "ACCEPTED " + level
	}
	fmt.Fprintf(b, "%s  %s  (%s)\n", level, oneLine(strings.Join(f.On, ", ")), f.Rule)
	fmt.Fprintf(b, "  %s\n", sentence(oneLine(f.Says)))
	for _, line := range f.Working {
		fmt.Fprintf(b, "      %s\n", oneLine(line))
	}
	put := func(label string, lines ...string) {
		for _, l := range lines {
			if l != "" {
				fmt.Fprintf(b, "  %-9s %s\n", label, oneLine(l))
			}
			label = ""
		}
	}
	if len(f.RestsOn) > 0 {
		put("rests on", f.RestsOn...)
	}
	put("states", strings.Join(f.States, ", "))
	var basis []string
	for _, x := range f.Basis {
		basis = append(basis, basisLine(x.Source, x.Clause, x.Says, string(x.Seen)))
	}
	put("basis", basis...)
	for i, x := range f.Fixes {
		put(fmt.Sprintf("repair %d", i+1), x.Says)
	}
	if f.Accepted != nil {
		by := ""
		if f.Accepted.By != "" {
			by = f.Accepted.By + ": "
		}
		put("accepted", by+f.Accepted.Reason)
	}
	put("in", f.place(file))
	b.WriteString("\n")
}

func basisLine(source, clause, says, seen string) string {
	line := source
	if clause != "" {
		line += " " + clause
	}
	if says != "" {
		line += ": " + strings.TrimSuffix(says, ".")
	}
	if seen != "" && seen != source {
		line += " (" + seen + ")"
	}
	return line
}

func sentence(s string) string {
	if s == "" || strings.ContainsRune(".!?", rune(s[len(s)-1])) {
		return s
	}
	return s + "."
}

// oneLine keeps a name in the project from breaking the line or commanding the
// terminal: control characters become spaces.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || unicode.Is(unicode.Bidi_Control, r) {
			return ' '
		}
		return r
	}, s)
}
