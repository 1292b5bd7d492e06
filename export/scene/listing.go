package scene

import (
	"fmt"
	"strconv"
	"strings"
)

var formNames = [...]string{"line", "polygon", "filled", "circle", "disc", "arc", "text"}
var layerNames = [...]string{"frame", "run", "part", "label", "note", "mark"}
var dashNames = [...]string{"", " long-dash", " dash-dot", " short-dash", " edged", " edged-long-dash", " edged-short-dash"}
var weightNames = [...]string{"0.18", "0.25", "0.5", "0.7"}

// String lists the sheet, a shape a line, in the order of painting. It is what
// golden files hold.
func (s *Sheet) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "sheet %s %s scale %s\n", s.Size, s.Paper, num(s.Scale))
	for _, sh := range s.Shapes {
		fmt.Fprintln(&b, sh)
	}
	return b.String()
}

func (s Shape) String() string {
	var b strings.Builder
	address := s.Address
	if address == "" {
		address = "-"
	}
	fmt.Fprintf(&b, "%s %s %s", layerNames[s.Layer], address, formNames[s.Form])
	for _, p := range s.Pts {
		fmt.Fprintf(&b, " %s", p)
	}
	if s.R != 0 {
		fmt.Fprintf(&b, " r %s", num(s.R))
	}
	if s.Form == Arc {
		fmt.Fprintf(&b, " from %s to %s", num(s.From), num(s.To))
	}
	if s.Form == Text {
		fmt.Fprintf(&b, " %q h %s %s", s.Text, num(s.Height), [...]string{"start", "middle", "end"}[s.Anchor])
		if s.Angle != 0 {
			fmt.Fprintf(&b, " angle %d", s.Angle)
		}
		if s.Bold {
			b.WriteString(" bold")
		}
	}
	fmt.Fprintf(&b, " %s", s.Role)
	if s.Form != Text {
		fmt.Fprintf(&b, " %s%s", weightNames[s.Weight], dashNames[s.Dash])
	}
	if s.Dim {
		b.WriteString(" dim")
	}
	return b.String()
}

func (p Pt) String() string { return num(p.X) + "," + num(p.Y) }

func (b Box) String() string { return b.Min.String() + " " + b.Max.String() }

// num prints a figure to a hundredth of a unit, without trailing noughts.
func num(v float64) string {
	t := strconv.FormatFloat(v, 'f', 2, 64)
	t = strings.TrimRight(strings.TrimRight(t, "0"), ".")
	if t == "-0" {
		return "0"
	}
	return t
}
