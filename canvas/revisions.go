package canvas

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2/theme"

	"rigline/components"
)

// revisions lists the issues of the drawing, each opened on a click.
func (d *details) revisions() {
	s := d.e.s
	d.head("Revisions")
	for i := range s.Doc().Revisions {
		now := func() components.Revision {
			if all := s.Doc().Revisions; i < len(all) {
				return all[i]
			}
			return components.Revision{}
		}
		key := fmt.Sprintf("revision %d", i)
		if !d.folding(key, func() string { return revisionText(now()) }, func() { _ = s.RemoveRevision(i) }) {
			continue
		}
		text := func(title string, at func(*components.Revision) *string) *row {
			return textRow(title, notTold, func() string { r := now(); return *at(&r) }, func(t string) error {
				r := now()
				*at(&r) = t
				return s.SetRevision(i, r)
			})
		}
		d.add(
			text("Letter", func(r *components.Revision) *string { return &r.Letter }),
			text("Date of it", func(r *components.Revision) *string { return &r.Date }),
			text("What changed", func(r *components.Revision) *string { return &r.What }),
			text("By", func(r *components.Revision) *string { return &r.By }),
		)
	}
	d.list.Add(newButton("Add a revision", theme.ContentAddIcon(), func() {
		d.open[fmt.Sprintf("revision %d", len(s.Doc().Revisions))] = true
		_ = s.AddRevision()
	}))
}

// revisionText is an issue in one line.
func revisionText(r components.Revision) string {
	what := r.What
	if what == "" {
		what = "what changed is not told"
	}
	words := []string{r.Letter}
	for _, w := range []string{r.Date, what, r.By} {
		if w != "" {
			words = append(words, w)
		}
	}
	return strings.Join(words, "   ")
}
