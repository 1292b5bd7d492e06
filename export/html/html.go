// Package html writes the hand-off as one page that opens without a network: no
// script, nothing fetched, every word escaped by the template.
package html

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"rigline/assets"
	"rigline/export/folio"
	"rigline/export/letters"
	"rigline/export/lists"
	"rigline/export/scene"
	"rigline/export/svg"
)

//go:embed page.html
var source string

var tmpl = template.Must(template.New("page").Funcs(template.FuncMap{
	"mark":   mark,
	"level":  level,
	"given":  given,
	"plain":  plain,
	"sorts":  sorts,
	"plains": plains,
}).Parse(source))

// page is what the template reads.
type page struct {
	*folio.Folio
	Fonts    template.CSS
	Font     string
	Drawings []folio.Drawing // the sheets, the states, the marked sheet
	set      *svg.Set
}

// Write writes the page. The same folio gives the same bytes, and nothing is
// written to w before the whole page stands.
func Write(w io.Writer, f *folio.Folio) error { return WriteWith(w, f, svg.NewSet(f.Drawn())) }

// WriteWith does the same with drawings that are of a set.
func WriteWith(w io.Writer, f *folio.Folio, set *svg.Set) error {
	p := page{Folio: f, Font: assets.FontName, set: set}
	p.Drawings = slices.Concat(f.Sheets, f.States, f.Marked)
	fonts, err := svg.Fonts(f.Drawn(), words(f))
	if err != nil {
		return err
	}
	p.Fonts = template.CSS(fonts) // made of the sheet's own font, encoded, and of nothing else
	var b bytes.Buffer
	b.Grow(set.Len() + len(fonts) + 1<<20)
	if err := tmpl.Execute(&b, p); err != nil {
		return fmt.Errorf("make page: %w", err)
	}
	if _, err := w.Write(b.Bytes()); err != nil {
		return fmt.Errorf("write page: %w", err)
	}
	return nil
}

// Inline is a sheet as an element. The writer of drawings escapes what it is given.
func (p page) Inline(s *scene.Sheet) (template.HTML, error) {
	var b strings.Builder
	if err := p.set.Inline(&b, s); err != nil {
		return "", err
	}
	return template.HTML(b.String()), nil
}

// mark is a finding's mark as a small drawing.
func mark(m *scene.Mark) (template.HTML, error) {
	const r = 10
	s := &scene.Sheet{Paper: scene.Box{Min: scene.Pt{X: -16, Y: -16}, Max: scene.Pt{X: 16, Y: 16}}, Title: level(m), Scale: 1, Shapes: m.Sample(scene.Pt{}, r)}
	return page{set: svg.NewSet([]*scene.Sheet{s})}.Inline(s)
}

func level(m *scene.Mark) string {
	return [...]string{"advice", "violation", "danger", "not checked"}[m.Level]
}

func given(s string) string {
	if s == "" {
		return "not given"
	}
	return plain(s)
}

// plain readies a text: nothing in it commands the reader, and words that are read
// from the right stay apart from what stands beside them.
func plain(s string) string { return letters.Isolated(lists.Plain(s)) }

// plains readies the head of a table, which on a narrow screen stands before each cell.
func plains(head []string) []string {
	all := make([]string, len(head))
	for i, h := range head {
		all[i] = plain(h)
	}
	return all
}

// sorts tells which columns of a table nobody has filled in yet, "blank", and which
// hold sentences, "long", that are not to stand a word a line on paper.
func sorts(t lists.Table) []string {
	const sentence = 50
	all := make([]string, len(t.Head))
	for i := range all {
		blank := true
		for _, r := range t.Rows {
			blank = blank && r[i] == ""
			if len([]rune(r[i])) > sentence {
				all[i] = "long"
			}
		}
		if blank {
			all[i] = "blank"
		}
	}
	return all
}

// words are all words of the page, for the letters that it embeds.
func words(f *folio.Folio) string {
	var b strings.Builder
	b.WriteString("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:;()-·×−…")
	put := func(words ...string) {
		for _, w := range words {
			b.WriteString(w)
		}
	}
	put(f.About.Title, f.About.Revision, f.About.Date, f.About.Rules, f.Outcome)
	put(f.About.Cautions...)
	for _, c := range f.Chapters {
		put(c.Title)
		put(c.Lines...)
		for _, e := range c.Entries {
			put(e.Title)
			for _, l := range e.Lines {
				put(l.About, l.Says)
			}
		}
		for _, t := range c.Tables {
			put(t.Title)
			put(t.Head...)
			for _, r := range t.Rows {
				put(r...)
			}
		}
	}
	return b.String()
}
