package folio

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/schedule"
)

// notes are the notes block of every sheet: what keeps the rig from being used, where neutral meets ground in each
// state, which figures are defaults, and what the one who builds has to keep to
// (common practice, no source).
func notes(in Input) []string {
	var all, order []string
	if in.About.Open != "" {
		all = append(all, in.About.Open+": see the findings.")
	}
	by := map[string][]string{}
	for _, st := range in.Rig.States {
		for _, isle := range st.Circuit.Islands() {
			where := "nowhere"
			var at []string
			for _, b := range isle.Bonds {
				at = append(at, b.At+" ("+b.Via+")")
			}
			if len(at) > 0 {
				where = "at " + strings.Join(at, " and ")
			}
			says := fmt.Sprintf("%s feeds AC and neutral meets ground %s.", isle.Source, where)
			if !slices.Contains(order, says) {
				order = append(order, says)
			}
			by[says] = append(by[says], st.Name)
		}
	}
	for _, says := range order {
		all = append(all, strings.Join(by[says], ", ")+": "+says)
	}
	all = append(all, "One neutral-ground bond at a time. Neutrals stay off the enclosures of the vehicle's panels, and each returns to the panel of its own breaker.")
	if tables := schedule.AmpacityTables(in.Doc); len(tables) > 0 {
		all = append(all, "Conductors carry by "+strings.Join(tables, "; ")+".")
	}
	if n := defaults(in.Doc); n > 0 {
		says := "Not told, and so the catalogue's default: 1 figure. Findings that rest on it say so."
		if n > 1 { // no number at the beginning, where the note's own stands
			says = fmt.Sprintf("Not told, and so the catalogue's defaults: %d figures. Findings that rest on one say so.", n)
		}
		all = append(all, says)
	}
	all = append(all, takenAsTheyAre(in.Doc)...)
	return append(all, "Tighten every terminal by its own label; check all again after the first trip.",
		"The instructions of the devices come before this drawing. Check that this revision is the one in the rig.")
}

// defaults counts the figures of parts that stand at the catalogue's default.
func defaults(doc *components.Document) int {
	n := 0
	for _, p := range doc.Parts() {
		for i := range p.Kind.Fields {
			f := &p.Kind.Fields[i]
			if _, told := p.Spec[f.Key]; !told && f.Type == components.Number && !p.Gone() {
				if _, from := f.Of(p.Spec); from == components.Default {
					n++
				}
			}
		}
	}
	return n
}

// takenAsTheyAre tells which findings a person accepted, by whom; the reasons stand
// with the findings.
func takenAsTheyAre(doc *components.Document) []string {
	const most = 4
	var told []string
	for i, a := range doc.Accepted {
		if i == most {
			told = append(told, fmt.Sprintf("and %d more", len(doc.Accepted)-most))
			break
		}
		by := ""
		if a.By != "" {
			by = " by " + a.By
		}
		told = append(told, fmt.Sprintf("%s at %s%s", a.Rule, strings.Join(a.On, ", "), by))
	}
	if len(told) == 0 {
		return nil
	}
	return []string{"Accepted as they are, each for the reason that stands with the findings: " + strings.Join(told, "; ") + "."}
}
