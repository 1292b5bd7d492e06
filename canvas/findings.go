package canvas

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/rules"
)

// findings is the list of what is wrong, worst first.
type findings struct {
	e     *Editor
	title *widget.Label
	list  *fyne.Container
	box   fyne.CanvasObject
	shown *rules.Report
	fresh bool
	open  map[string]bool // findings unfolded, by rule and address
	cards []fyne.CanvasObject
	roll  *container.Scroll
}

func newFindings(e *Editor) *findings {
	f := &findings{e: e, title: widget.NewLabel("Findings"), list: container.NewVBox(), open: map[string]bool{}}
	f.title.TextStyle.Bold = true
	f.title.Truncation = fyne.TextTruncateEllipsis
	f.roll = container.NewVScroll(besideBar(f.list))
	f.box = container.NewBorder(container.NewVBox(widget.NewSeparator(), f.title), nil, nil, nil, f.roll)
	f.refresh()
	return f
}

func keyOf(f rules.Finding) string {
	key := f.Rule.ID + " " + f.At + " " + strings.Join(f.Also, " ")
	if f.Unchecked {
		key += " " + f.Message
	}
	return key
}

// refresh shows the last report.
func (l *findings) refresh() {
	report, current := l.e.s.Report()
	if report == l.shown && current == l.fresh && report != nil {
		return
	}
	l.fresh = current
	title := "Findings"
	switch {
	case report == nil, len(report.Doc.Parts()) == 0:
	case !current:
		title = "Findings, checking again …"
	default:
		c := report.Counts()
		title = "Findings: " + countsText(c)
	}
	l.title.SetText(title)
	if report == l.shown {
		return
	}
	l.shown = report
	l.fill()
}

func countsText(c rules.Counts) string {
	var words []string
	for _, n := range []struct {
		n    int
		one  string
		many string
	}{{c.Danger, "danger", "dangers"}, {c.Violation, "violation", "violations"}, {c.Advice, "advice", "advice"}, {c.Unchecked, "not checked", "not checked"}, {c.Accepted, "accepted", "accepted"}} {
		switch {
		case n.n == 1:
			words = append(words, "1 "+n.one)
		case n.n > 1:
			words = append(words, fmt.Sprintf("%d %s", n.n, n.many))
		}
	}
	if len(words) == 0 {
		return "none open"
	}
	return strings.Join(words, ", ")
}

func (l *findings) fill() {
	l.list.RemoveAll()
	l.cards = nil
	if l.shown == nil {
		return
	}
	l.cards = make([]fyne.CanvasObject, len(l.shown.Findings))
	for i := 0; i < len(l.shown.Findings); {
		n := sameCause(l.shown.Findings[i:])
		if n > mostAlike {
			l.group(i, n)
		} else {
			for k := i; k < i+n; k++ {
				l.cards[k] = l.card(k+1, l.shown.Findings[k])
				l.list.Add(l.cards[k])
				l.list.Add(widget.NewSeparator())
			}
		}
		i += n
	}
	if n := len(l.shown.Unchecked); n > 0 {
		key := "unchecked"
		head := widget.NewButtonWithIcon(fmt.Sprintf("Not checked for want of a figure: %d", n), theme.MenuExpandIcon(), func() { l.toggle(key) })
		head.Alignment, head.Importance = widget.ButtonAlignLeading, widget.LowImportance
		l.list.Add(head)
		if l.open[key] {
			head.SetIcon(theme.MenuDropDownIcon())
			for _, f := range l.shown.Unchecked {
				l.list.Add(l.card(0, f))
				l.list.Add(widget.NewSeparator())
			}
		}
	}
	for _, a := range l.shown.Stale {
		text := widget.NewLabel(fmt.Sprintf("An acceptance matches nothing any more: %s at %s (%s)", a.Rule, strings.Join(a.On, ", "), a.Reason))
		text.Wrapping = fyne.TextWrapWord
		back := widget.NewButton("Take it out", func() { _ = l.e.s.Unaccept(a) })
		l.list.Add(container.NewVBox(text, container.NewHBox(back), widget.NewSeparator()))
	}
	l.list.Refresh()
}

// mostAlike is how many findings of one rule stand in the list one by one.
const mostAlike = 3

// sameCause counts the findings at the head of a list that share rule and level.
func sameCause(all []rules.Finding) int {
	n := 1
	for n < len(all) && all[n].Rule == all[0].Rule && all[n].Level == all[0].Level && (all[n].Accepted == nil) == (all[0].Accepted == nil) {
		n++
	}
	return n
}

func groupKey(f rules.Finding) string {
	return fmt.Sprintf("all %s %v %v", f.Rule.ID, f.Level, f.Accepted != nil)
}

// group folds the findings of one rule under one line.
func (l *findings) group(first, n int) {
	all := l.shown.Findings[first : first+n]
	key := groupKey(all[0])
	name := all[0].Level.String()
	if all[0].Accepted != nil {
		name = "accepted " + name
	}
	places := make([]string, n)
	for i, f := range all {
		places[i] = f.At
	}
	head := newText(fmt.Sprintf("%d–%d  %s, %d places", first+1, first+n, name, n), theme.ColorNameForeground)
	head.bold = true
	fold := widget.NewButtonWithIcon("", theme.MenuExpandIcon(), func() { l.toggle(key) })
	fold.Importance = widget.LowImportance
	mark := container.NewCenter(newLevelMark(all[0].Level, 14, all[0].Accepted != nil))
	says := newLink(all[0].Rule.Title+": "+strings.Join(places, ", "), func() { l.toggle(key) })
	card := container.NewVBox(container.NewBorder(nil, nil, container.NewPadded(mark), fold, head), says)
	l.list.Add(card)
	l.list.Add(widget.NewSeparator())
	for i, f := range all {
		l.cards[first+i] = card
		if !l.open[key] {
			continue
		}
		l.cards[first+i] = l.card(first+i+1, f)
		l.list.Add(l.cards[first+i])
		l.list.Add(widget.NewSeparator())
	}
	if l.open[key] {
		fold.SetIcon(theme.MenuDropDownIcon())
	}
}

func (l *findings) toggle(key string) {
	l.open[key] = !l.open[key]
	l.fill()
}

// bring unfolds a finding and scrolls to it.
func (l *findings) bring(number int) {
	if l.shown == nil || number < 1 || number > len(l.shown.Findings) {
		return
	}
	f := l.shown.Findings[number-1]
	l.open[keyOf(f)], l.open[groupKey(f)] = true, true
	l.fill()
	y := l.cards[number-1].Position().Y
	l.roll.ScrollToOffset(fyne.NewPos(0, y))
}

// card is one finding: its mark, level and message; unfolded, the arithmetic, the
// states, the basis, the repairs and the acceptance.
func (l *findings) card(number int, f rules.Finding) fyne.CanvasObject {
	key := keyOf(f)
	open := l.open[key]
	word := f.Level.String()
	switch {
	case f.Unchecked:
		word = "not checked"
	case f.Accepted != nil:
		word = "accepted " + word
	}
	name := word + "  " + f.At
	if number > 0 {
		name = fmt.Sprintf("%d  %s", number, name)
	}
	head := newText(strings.ToUpper(name[:1])+name[1:], theme.ColorNameForeground)
	head.bold = true
	fold := widget.NewButtonWithIcon("", theme.MenuExpandIcon(), func() { l.toggle(key) })
	fold.Importance = widget.LowImportance
	if open {
		fold.SetIcon(theme.MenuDropDownIcon())
	}
	says := newLink(f.Message, func() { l.e.s.GoTo(f.At) })
	body := container.NewVBox(says)
	for _, fix := range f.Fixes {
		if f.Accepted != nil {
			break
		}
		body.Add(newOrder(fix.Title, func() { _ = l.e.s.Repair(fix) }))
	}
	if open {
		l.unfold(body, f)
	}
	mark := container.NewCenter(newLevelMark(f.Level, 14, f.Accepted != nil || f.Unchecked))
	return container.NewVBox(container.NewBorder(nil, nil, container.NewPadded(mark), fold, head), body)
}

func (l *findings) unfold(body *fyne.Container, f rules.Finding) {
	para := func(title string, lines ...string) {
		if len(lines) == 0 {
			return
		}
		t := newText(title, theme.ColorNamePlaceHolder)
		t.bold = true
		text := widget.NewLabel(strings.Join(lines, "\n"))
		text.Wrapping = fyne.TextWrapWord
		text.SizeName = theme.SizeNameCaptionText
		body.Add(container.NewPadded(t))
		body.Add(text)
	}
	para("What has to hold", f.Rule.Must)
	para("Arithmetic", f.Working...)
	para("Rests on defaults", f.RestsOn...)
	if len(f.States) > 0 {
		para("In the states", strings.Join(f.States, ", "))
	}
	if len(f.Also) > 0 {
		para("Speaks of", strings.Join(f.Also, ", "))
	}
	var basis []string
	for _, b := range f.Rule.Basis {
		line := b.Source
		if b.Clause != "" {
			line += ", " + b.Clause
		}
		if b.Says != "" {
			line += ": " + b.Says
		}
		basis = append(basis, line+" ("+string(b.Seen)+")")
	}
	para("Basis", basis...)
	para("Rule", f.Rule.ID)
	switch {
	case f.Accepted != nil:
		by := ""
		if f.Accepted.By != "" {
			by = ", by " + f.Accepted.By
		}
		para("Accepted because", f.Accepted.Reason+by)
		body.Add(container.NewHBox(widget.NewButton("Take the acceptance back", func() { _ = l.e.s.Unaccept(*f.Accepted) })))
	case !f.Unchecked:
		body.Add(container.NewHBox(widget.NewButton("Accept with a reason", func() { l.askReason(f) })))
	}
}

// askReason takes a finding as it is, once a reason is given.
func (l *findings) askReason(f rules.Finding) {
	reason, by := widget.NewMultiLineEntry(), widget.NewEntry()
	reason.SetPlaceHolder("Why this is taken as it is")
	reason.Validator = func(t string) error {
		if strings.TrimSpace(t) == "" {
			return fmt.Errorf("a reason is needed")
		}
		return nil
	}
	by.SetText(l.e.s.Doc().Rig.DrawnBy)
	says := widget.NewLabel(f.Message)
	says.Wrapping = fyne.TextWrapWord
	d := dialog.NewForm("Accept "+f.Rule.Title, "Accept", "Cancel", []*widget.FormItem{
		widget.NewFormItem("Finding", says), widget.NewFormItem("Reason", reason), widget.NewFormItem("By", by),
	}, func(ok bool) {
		if ok {
			_ = l.e.s.Accept(f, strings.TrimSpace(reason.Text), strings.TrimSpace(by.Text))
		}
	}, l.e.win)
	d.Resize(fyne.NewSize(520, 320))
	l.e.show(d)
}

// link is a text that goes somewhere on a click.
type link struct {
	widget.Label
	tapped func()
}

func newLink(text string, tapped func()) *link {
	l := &link{tapped: tapped}
	l.ExtendBaseWidget(l)
	l.Wrapping = fyne.TextWrapWord
	l.SetText(text)
	return l
}

// Tapped goes there.
func (l *link) Tapped(*fyne.PointEvent) { l.tapped() }
