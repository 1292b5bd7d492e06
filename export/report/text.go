package report

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"rigline/rules"
)

// Brief writes a line a finding: file:line:column: danger: what (rule).
func Brief(w io.Writer, d Document) error {
	var b strings.Builder
	for _, f := range d.Findings {
		f.brief(&b, d.File)
		for _, x := range f.Behind {
			x.brief(&b, d.File)
		}
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

// mostAsked is how many questions a person is asked at once.
const mostAsked = 5

// Text writes the findings for a person, worst first, with their arithmetic, what
// they rest on and the ways out; then the figures most worth finding out, then
// the outcome and the caution. A mistake made at several places is told once,
// with its places.
func Text(w io.Writer, d Document) error {
	var b strings.Builder
	for _, same := range alike(d.Findings) {
		text(&b, same, d.File)
	}
	if n := len(d.Questions); n > 0 {
		b.WriteString("NOT CHECKED, for want of a figure; most worth finding out first\n")
		for i, q := range d.Questions {
			if i == mostAsked && n > mostAsked+1 {
				fmt.Fprintf(&b, "  and %d more (--brief or --json tells all)\n", n-mostAsked)
				break
			}
			fmt.Fprintf(&b, "  %s: %s\n      could uncover %s (%s)\n", oneLine(q.At), oneLine(q.Says), counted(q.Uncovers), strings.Join(q.Rules, ", "))
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

// alike puts findings of one rule and level together, where the first stands;
// accepted ones stay by themselves, each with its reason.
func alike(findings []Finding) [][]Finding {
	var all [][]Finding
	place := map[string]int{}
	for _, f := range findings {
		key := f.Rule + " " + f.Severity
		if i, ok := place[key]; ok && f.Accepted == nil {
			all[i] = append(all[i], f)
			continue
		}
		if f.Accepted == nil {
			place[key] = len(all)
		}
		all = append(all, []Finding{f})
	}
	return all
}

func text(b *strings.Builder, same []Finding, file string) {
	f := same[0]
	level := strings.ToUpper(f.Severity)
	if f.Accepted != nil {
		level = "ACCEPTED " + level
	}
	on := oneLine(strings.Join(f.On, ", "))
	if len(same) > 1 {
		on = fmt.Sprintf("%d places", len(same))
	}
	fmt.Fprintf(b, "%s  %s  (%s)\n", level, on, f.Rule)
	for _, x := range same {
		x.at(b, file, len(same) > 1)
	}
	var basis []string
	for _, x := range f.Basis {
		basis = append(basis, basisLine(x.Source, x.Clause, x.Says, string(x.Seen)))
	}
	put(b, "basis", basis...)
	if f.Accepted != nil {
		by := ""
		if f.Accepted.By != "" {
			by = f.Accepted.By + ": "
		}
		put(b, "accepted", by+f.Accepted.Reason)
	}
	b.WriteString("\n")
}

// at tells what is particular to one place.
func (f Finding) at(b *strings.Builder, file string, several bool) {
	says := sentence(oneLine(f.Says))
	if several {
		says = oneLine(strings.Join(f.On, ", ")) + ": " + says
	}
	fmt.Fprintf(b, "  %s\n", says)
	for _, line := range f.Working {
		fmt.Fprintf(b, "      %s\n", oneLine(line))
	}
	if len(f.RestsOn) > 0 {
		put(b, "rests on", f.RestsOn...)
	}
	put(b, "states", strings.Join(f.inWords, ", "))
	for i, x := range f.Fixes {
		put(b, fmt.Sprintf("repair %d", i+1), x.Says)
	}
	for _, x := range f.Behind {
		put(b, "behind it", fmt.Sprintf("%s, %s: %s (%s)", x.Severity, strings.Join(x.On, ", "), strings.TrimSuffix(x.Says, "."), x.Rule))
	}
	put(b, "in", f.place(file))
}

func put(b *strings.Builder, label string, lines ...string) {
	for _, l := range lines {
		if l != "" {
			fmt.Fprintf(b, "  %-9s %s\n", label, oneLine(l))
		}
		label = ""
	}
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

// counted is one finding of a level: a danger, a violation, advice.
func counted(level string) string {
	if level == rules.Advice.String() {
		return level
	}
	return "a " + level
}
