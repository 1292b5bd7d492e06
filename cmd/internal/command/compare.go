package command

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"rigline/assets"
	"rigline/components"
	"rigline/export/bom"
	"rigline/export/compare"
	"rigline/export/folio"
	"rigline/export/html"
	"rigline/export/lists"
	"rigline/export/pdf"
	"rigline/export/report"
	"rigline/export/scene"
	"rigline/export/svg"
)

var compareTwo = &Command{
	Name: "compare", Args: "OLD NEW [--out DIR]",
	Does:    "What the new drawing adds, takes out, resizes and moves, and what that needs.",
	Example: "compare as-found.yaml retrofit.yaml --out changes",
	Run: func(c *call) (int, error) {
		out := c.String("out", "", "the folder to write: a sheet with both drawings, the list, what to buy; an older one there is replaced")
		files, err := c.parse(2, 2, "two files, the old one first")
		if err != nil {
			return Failed, err
		}
		if files[0] == "-" && files[1] == "-" {
			return Failed, usagef("standard input can be one of the two files, not both")
		}
		old, _, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		next, _, err := c.load(files[1])
		if err != nil {
			return Failed, err
		}
		d := compare.Of(old, next)
		rows, err := d.Materials()
		if err != nil {
			return Failed, fmt.Errorf("compare %s with %s: %w", files[0], files[1], err)
		}
		doc := comparison(d, files[0], files[1], rows)
		if *out != "" {
			sheets, err := comparisonFiles(d, doc, rows)
			if err != nil {
				return Failed, fmt.Errorf("compare %s with %s: %w", files[0], files[1], err)
			}
			if err := writeFolder(*out, sheets); err != nil {
				return Failed, err
			}
		}
		code := Content
		if !d.Same() {
			code = Found
		}
		if *c.json {
			e := json.NewEncoder(c.stdout)
			e.SetIndent("", "  ")
			return code, e.Encode(doc)
		}
		_, err = io.WriteString(c.stdout, comparisonText(d, rows))
		return code, err
	},
}

// comparisonJSON is the JSON of a comparison.
type comparisonJSON struct {
	Format    string               `json:"format"`
	Old       string               `json:"old"`
	New       string               `json:"new"`
	Project   report.Project       `json:"project"` // the new one
	Counts    map[compare.Sort]int `json:"counts"`
	Kept      int                  `json:"kept"`
	Changes   []compare.Change     `json:"changes"`
	Materials []materialJSON       `json:"materials"`
	Caution   string               `json:"caution"`
	Cautions  []string             `json:"cautions,omitempty"` // in a folder
}

type materialJSON struct {
	Section     bom.Section     `json:"section"`
	Quantity    *float64        `json:"quantity"` // null where a figure is missing
	Unit        string          `json:"unit"`
	Description string          `json:"description"`
	Rating      string          `json:"rating,omitempty"`
	For         []components.ID `json:"for"`
	Note        string          `json:"note,omitempty"`
}

func comparison(d compare.Difference, old, new string, rows []bom.Row) comparisonJSON {
	doc := comparisonJSON{Format: report.Format, Old: old, New: new, Project: report.ProjectOf(d.New), Counts: map[compare.Sort]int{}, Kept: d.Kept, Changes: d.Changes, Materials: []materialJSON{}, Caution: report.Caution}
	if doc.Changes == nil {
		doc.Changes = []compare.Change{}
	}
	for _, s := range compare.Sorts {
		doc.Counts[s] = d.Count(s)
	}
	for _, r := range rows {
		m := materialJSON{Section: r.Section, Unit: r.Unit, Description: r.Description, Rating: r.Rating, For: r.For, Note: r.Note}
		if r.Known {
			q := r.Quantity
			m.Quantity = &q
		}
		doc.Materials = append(doc.Materials, m)
	}
	return doc
}

func comparisonText(d compare.Difference, rows []bom.Row) string {
	var b strings.Builder
	for _, s := range compare.Sorts {
		if d.Count(s) == 0 {
			continue
		}
		fmt.Fprintf(&b, "%s\n", strings.ToUpper(string(s)))
		for _, c := range d.Changes {
			if c.Sort != s {
				continue
			}
			fmt.Fprintf(&b, "  %-8s %s\n", c.ID, oneLine(c.What))
			for _, x := range c.Details {
				fmt.Fprintf(&b, "           %s\n", oneLine(x))
			}
		}
		b.WriteByte('\n')
	}
	section := bom.Section("")
	for _, r := range rows {
		if r.Section != section {
			section = r.Section
			fmt.Fprintf(&b, "%s\n", strings.ToUpper(string(section)))
		}
		quantity := "not known"
		if r.Known {
			quantity = fmt.Sprintf("%g %s", r.Quantity, r.Unit)
		}
		says := strings.Join(nonempty(r.Description, r.Rating), ", ")
		if r.Note != "" && (r.Section == bom.Protection || r.Section == bom.Out) {
			says += ": " + r.Note
		}
		fmt.Fprintf(&b, "  %-10s %s\n", quantity, oneLine(says))
	}
	if len(rows) > 0 {
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "%s\n", summary(d))
	return b.String()
}

func summary(d compare.Difference) string {
	var words []string
	for _, s := range compare.Sorts {
		if n := d.Count(s); n > 0 {
			words = append(words, fmt.Sprintf("%d %s", n, s))
		}
	}
	if len(words) == 0 {
		return fmt.Sprintf("No difference: %d parts and runs are the same.", d.Kept)
	}
	if d.Kept == 1 {
		return strings.Join(words, ", ") + "; 1 stays as it is."
	}
	return fmt.Sprintf("%s; %d stay as they are.", strings.Join(words, ", "), d.Kept)
}

func nonempty(words ...string) []string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}

// oneLine keeps a project's words on their line, and from commanding a terminal.
func oneLine(s string) string { return strings.Join(strings.Fields(lists.Plain(s)), " ") }

// comparisonFiles makes every file before any is written.
func comparisonFiles(d compare.Difference, doc comparisonJSON, rows []bom.Row) ([]sheet, error) {
	project := report.ProjectOf(d.New)
	about := lists.About{Title: project.Title, Revision: project.Revision, Date: project.Date, Rules: project.Rules, Cautions: strings.Split(strings.TrimSpace(assets.Cautions), "\n")}
	doc.Cautions = about.Cautions
	drawn, err := d.Sheet(scene.Meta{Sheet: 1, Of: 1, Rules: project.Rules, Subtitle: "Changes from revision " + orBlank(d.Old.Rig.Revision) + " to " + orBlank(d.New.Rig.Revision)})
	if err != nil {
		return nil, err
	}
	f := &folio.Folio{About: about, Outcome: strings.TrimSuffix(summary(d), "."),
		Sheets:   []folio.Drawing{{Name: "changes-sheet", Title: "Both drawings on one sheet", Sheet: drawn}},
		Chapters: []folio.Chapter{{Name: "changes", Title: "Changes", Lines: []string{summary(d)}, Tables: []lists.Table{d.Table()}}, folio.Materials("materials", "What the change needs", rows)}}
	var files []sheet
	for _, s := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{"compare.svg", func(w io.Writer) error { return svg.Write(w, drawn) }},
		{"compare.pdf", func(w io.Writer) error {
			book := pdf.New(about)
			book.Folio(f, d.New.Units == "metric")
			return book.Write(w)
		}},
		{"compare.html", func(w io.Writer) error { return html.Write(w, f) }},
		{"changes.csv", func(w io.Writer) error { return lists.CSV(w, d.Table(), about) }},
		{"materials.csv", func(w io.Writer) error { return lists.CSV(w, folio.MaterialsTable(rows), about) }},
		{"compare.json", func(w io.Writer) error {
			e := json.NewEncoder(w)
			e.SetIndent("", "  ")
			return e.Encode(doc)
		}},
	} {
		var b bytes.Buffer
		if err := s.write(&b); err != nil {
			return nil, fmt.Errorf("%s: %w", s.name, err)
		}
		files = append(files, sheet{s.name, b.Bytes()})
	}
	return files, nil
}

func orBlank(s string) string {
	if s == "" {
		return "not given"
	}
	return s
}
