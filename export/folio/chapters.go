package folio

import (
	"fmt"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/cards"
	"rigline/export/lists"
	"rigline/export/report"
	"rigline/export/scene"
)

var severities = map[string]scene.Level{"danger": scene.DangerMark, "violation": scene.ViolationMark, "advice": scene.AdviceMark}

// findings tells every finding with its arithmetic, its basis and its ways out.
func findings(d report.Document) Chapter {
	c := Chapter{Name: "findings", Title: "Findings", Lines: []string{d.Readiness + ".", d.Caution}}
	for i, f := range d.Findings {
		e := finding(f)
		e.Mark = &scene.Mark{Level: severities[f.Severity], Number: i + 1}
		c.Entries = append(c.Entries, e)
	}
	for _, f := range d.Unchecked {
		e := finding(f)
		e.Mark = &scene.Mark{Level: scene.UncheckedMark}
		c.Entries = append(c.Entries, e)
	}
	for _, a := range d.Stale {
		c.Lines = append(c.Lines, "The acceptance of "+a.Rule+" on "+strings.Join(a.On, ", ")+" matches nothing any more: take it out.")
	}
	return c
}

func finding(f report.Finding) Entry {
	title := strings.ToUpper(f.Severity) + "  " + strings.Join(f.On, ", ")
	if f.Severity == "unchecked" {
		title = "NOT CHECKED  " + strings.Join(f.On, ", ")
	}
	e := Entry{Title: title}
	if f.Accepted != nil {
		e.Title = "ACCEPTED " + e.Title
	}
	say := func(about string, says ...string) {
		under := about != ""
		for _, s := range says {
			if s != "" {
				e.Lines = append(e.Lines, Line{About: about, Says: s, Under: under})
			}
			about = ""
		}
	}
	say("", f.Says)
	for _, w := range f.Working {
		e.Lines = append(e.Lines, Line{Says: w, Figure: true})
	}
	say("rests on", f.RestsOn...)
	say("states", strings.Join(f.InStates(), ", "))
	var basis []string
	for _, b := range f.Basis {
		from := strings.TrimSpace(b.Source + " " + b.Clause)
		if from != "" && b.Says != "" {
			from += ": "
		}
		basis = append(basis, from+b.Says)
	}
	say("basis", basis...)
	for i, x := range f.Fixes {
		say("repair "+strconv.Itoa(i+1), x.Says)
	}
	if f.Accepted != nil {
		by := ""
		if f.Accepted.By != "" {
			by = " (" + f.Accepted.By + ")"
		}
		say("accepted", f.Accepted.Reason+by)
	}
	say("rule", f.Rule)
	return e
}

// Materials are the rows of a shopping list, a table a section.
func Materials(name, title string, rows []bom.Row) Chapter {
	c := Chapter{Name: name, Title: title}
	for _, s := range bom.Sections {
		t := lists.Table{Name: string(s), Title: strings.ToUpper(string(s)[:1]) + string(s)[1:], Head: materialHead}
		for _, r := range rows {
			if r.Section == s {
				t.Add(material(r)...)
			}
		}
		if len(t.Rows) > 0 {
			c.Tables = append(c.Tables, t)
		}
	}
	return c
}

// MaterialsTable are the same rows in one table, with the section in front.
func MaterialsTable(rows []bom.Row) lists.Table {
	t := lists.Table{Name: "materials", Title: "Materials", Head: append([]string{"Section"}, materialHead...)}
	for _, r := range rows {
		t.Add(append([]string{string(r.Section)}, material(r)...)...)
	}
	return t
}

var materialHead = []string{"Quantity", "Unit", "What", "Rating", "For", "Note", "Price of one"}

func material(r bom.Row) []string {
	quantity, price := "not known", ""
	if r.Known {
		quantity = number(r.Quantity)
	}
	if r.Price > 0 {
		price = strconv.FormatFloat(r.Price, 'f', 2, 64)
	}
	return []string{quantity, r.Unit, r.Description, r.Rating, tags(r.For), r.Note, price}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func tags(ids []components.ID) string {
	words := make([]string, len(ids))
	for i, id := range ids {
		words[i] = string(id)
	}
	return strings.Join(words, ", ")
}

// siteCards are the cards for the door, a page each, with what keeps the rig from being
// used.
func siteCards(all []cards.Card, open string) Chapter {
	c := Chapter{Name: "cards", Title: "Site cards"}
	for _, card := range all {
		e := Entry{Title: card.Title, Apart: true}
		if open != "" {
			e.Lines = append(e.Lines, Line{Says: open + ". Until then this card is no leave to use the rig."})
		}
		for i, l := range strings.Split(strings.TrimRight(card.String(), "\n"), "\n") {
			if i < 2 || i == 2 && l == "" { // the title and its rule
				continue
			}
			e.Lines = append(e.Lines, Line{Says: l, Figure: true})
		}
		c.Entries = append(c.Entries, e)
	}
	return c
}

func amps(a float64) string {
	if a >= 9.95 {
		return fmt.Sprintf("%.0f A", a)
	}
	return fmt.Sprintf("%.1f A", a)
}
