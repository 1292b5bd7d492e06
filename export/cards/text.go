package cards

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"rigline/export/lists"
)

// Text writes the cards for people, a page each, parted by a form feed.
func Text(w io.Writer, all []Card, about lists.About) error {
	var b strings.Builder
	for i, c := range all {
		if i > 0 {
			b.WriteString("\f\n")
		}
		var page strings.Builder
		if about.Open != "" {
			fmt.Fprintf(&page, "%s. Until then this card is no leave to use the rig.\n\n", about.Open)
		}
		c.text(&page)
		page.WriteByte('\n')
		for _, line := range about.Lines() {
			fmt.Fprintln(&page, oneLine(strings.Join(line[1:], "; ")))
		}
		b.WriteString(lists.Plain(page.String()))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// String is the card for people.
func (c Card) String() string {
	var b strings.Builder
	c.text(&b)
	return b.String()
}

func (c Card) text(b *strings.Builder) {
	fmt.Fprintf(b, "%s\n%s\n\n", c.Title, strings.Repeat("=", len([]rune(c.Title))))
	if c.Failure != "" {
		fmt.Fprintf(b, "No card for this supply: %s\n", oneLine(c.Failure))
	}
	for _, l := range c.Limits {
		fmt.Fprintf(b, "%s may give %.1f A: %s\n", l.Hot, l.Amps, oneLine(l.Why))
	}
	for _, l := range c.Back {
		fmt.Fprintln(b, oneLine(l))
	}
	group(b, "Not known: do not rely on this card before it is", c.Unknown)
	var lines []string
	for _, s := range c.Set {
		lines = append(lines, fmt.Sprintf("%s, %s: %s (%s)", s.Device, s.What, s.Value, s.Why))
	}
	group(b, "Set first", lines)
	group(b, "Small loads, counted as on throughout", names(c.Always, false))
	c.Budget.text(b, c.Limits)
	switch {
	case len(c.Budget.Loads) > 0 && len(c.Choices) > 0:
		b.WriteString("\nFor example:\n")
	case c.All && len(c.Choices) > 0:
		b.WriteString("\nEverything that runs on this supply may run at once.\n")
	case len(c.Choices) > 0 && len(c.Always) == 0:
		b.WriteString("\nOne of these lines at a time, and nothing beside it.\n")
	case len(c.Choices) > 0:
		b.WriteString("\nOne of these lines at a time, and beside it nothing but the small loads.\n")
	}
	for _, ch := range c.Choices {
		what := strings.Join(names(ch.Loads, false), " + ")
		switch {
		case what == "" && len(c.Always) == 0:
			what = "no AC load, DC loads alone"
		case what == "":
			what = "the small loads alone"
		}
		var says []string
		for i, a := range ch.Amps {
			says = append(says, fmt.Sprintf("%s %.1f A", c.Limits[i].Hot, a))
		}
		says = []string{strings.Join(says, ", ")}
		if len(c.Outlets) > 0 {
			says = append(says, fmt.Sprintf("%.1f A left for what is plugged in", ch.Left))
		}
		if ch.Volts > 0 {
			says = append(says, fmt.Sprintf("%.0f V at the farthest load", ch.Volts))
		}
		says = append(says, ch.Bank)
		says = slices.DeleteFunc(says, func(s string) bool { return s == "" })
		fmt.Fprintf(b, "  %s\n      %s", what, strings.Join(says, "; "))
		b.WriteByte('\n')
	}
	group(b, "Too big for this supply", names(c.TooBig, true))
	group(b, "Off", names(c.Off, true))
	group(b, fmt.Sprintf("Outlets: what is plugged in is on no drawing and counts too, 1 A for each %g W", c.Mains), names(c.Outlets, true))
	group(b, "Motors", c.Starts)
	group(b, "Charging", c.Charge)
}

// text writes the sums first, then what each load adds to them; loads that draw alike
// stand together.
func (g Budget) text(b *strings.Builder, limits []Limit) {
	if len(g.Loads) == 0 {
		return
	}
	b.WriteString("\nWhat may run together is a sum of amperes. Add up what is on, beside the small loads, and keep to every line:\n")
	for _, s := range g.Sums {
		where, of := "from "+s.Where, ""
		if s.Of != nil {
			where = "through " + s.Where + ","
			words := make([]string, len(s.Of))
			for i, id := range s.Of {
				words[i] = string(id)
			}
			of = ": " + strings.Join(words, ", ")
		}
		fmt.Fprintf(b, "  %s at most %.1f A together%s\n", where, s.Amps, of)
	}
	b.WriteString("\nEach adds:\n")
	var order []string
	by := map[string][]Load{}
	for _, l := range g.Loads {
		var says []string
		for k, a := range l.Amps {
			if a > 0 {
				says = append(says, fmt.Sprintf("%.1f A from %s", a, limits[k].Hot))
			}
		}
		key := strings.Join(says, ", ")
		if _, seen := by[key]; !seen {
			order = append(order, key)
		}
		by[key] = append(by[key], l.Load)
	}
	for _, key := range order {
		each := ""
		if len(by[key]) > 1 {
			each = " each"
		}
		fmt.Fprintf(b, "  %s%s: %s\n", key, each, strings.Join(names(by[key], false), ", "))
	}
}

func group(b *strings.Builder, title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s:\n", title)
	for _, l := range lines {
		fmt.Fprintf(b, "  %s\n", oneLine(l))
	}
}

func names(all []Load, why bool) []string {
	var words []string
	for _, l := range all {
		var about []string
		if l.Name != string(l.ID) {
			about = append(about, string(l.ID))
		}
		if l.VA > 0 {
			about = append(about, fmt.Sprintf("%.0f VA", l.VA))
		}
		text := oneLine(l.Name)
		if len(about) > 0 {
			text += " (" + strings.Join(about, ", ") + ")"
		}
		if why && l.Why != "" {
			text += ": " + l.Why
		}
		words = append(words, text)
	}
	return words
}

// oneLine keeps a person's words on their line.
func oneLine(s string) string { return strings.Join(strings.Fields(lists.Plain(s)), " ") }
