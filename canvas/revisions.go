package canvas

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

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
		toggle := func() {
			d.open[key] = !d.open[key]
			d.refresh()
		}
		fold := widget.NewButtonWithIcon("", theme.MenuExpandIcon(), toggle)
		fold.Importance = widget.LowImportance
		if d.open[key] {
			fold.SetIcon(theme.MenuDropDownIcon())
		}
		line := newLink("", toggle)
		gone := widget.NewButtonWithIcon("", theme.DeleteIcon(), func() {
			delete(d.open, key)
			_ = s.RemoveRevision(i)
		})
		gone.Importance = widget.LowImportance
		show := func() {
			if text := revisionText(now()); line.Text != text {
				line.SetText(text)
			}
		}
		show()
		d.add(&row{box: container.NewBorder(nil, nil, fold, gone, line), show: show})
		if !d.open[key] {
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
	d.list.Add(widget.NewButtonWithIcon("Add a revision", theme.ContentAddIcon(), func() {
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
