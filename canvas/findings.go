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
	sieve sieve
}

func newFindings(e *Editor) *findings {
	f := &findings{e: e, title: widget.NewLabel("Findings"), list: container.NewVBox(), open: map[string]bool{}}
	f.title.TextStyle.Bold = true
	f.title.Truncation = fyne.TextTruncateEllipsis
	f.roll = container.NewVScroll(besideBar(f.list))
	sieve := f.newSieve()
	f.box = container.NewBorder(container.NewVBox(widget.NewSeparator(), container.NewBorder(nil, nil, nil, f.sieve.mine, f.title), sieve), nil, nil, nil, f.roll)
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
	if report != nil {
		l.sieve.follow(report)
	}
	l.fill()
}

// reselected shows the findings of what is selected now, where only those are
// wanted.
func (l *findings) reselected() {
	if l.sieve.selected && l.shown != nil {
		l.fill()
	}
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
	left := 0
	for i := 0; i < len(l.shown.Findings); {
		n := sameCause(l.shown.Findings[i:])
		var kept []int
		for k := i; k < i+n; k++ {
			if l.sieve.lets(l.e.s, l.shown.Findings[k]) {
				kept = append(kept, k)
			}
		}
		left += n - len(kept)
		if len(kept) > mostAlike {
			l.group(kept)
		} else {
			for _, k := range kept {
				l.cards[k] = l.card(k+1, l.shown.Findings[k])
				l.list.Add(l.cards[k])
				l.list.Add(widget.NewSeparator())
			}
		}
		i += n
	}
	l.unchecked(&left)
	for _, a := range l.shown.Stale {
		text := widget.NewLabel(fmt.Sprintf("An acceptance matches nothing any more: %s at %s (%s)", a.Rule, strings.Join(a.On, ", "), a.Reason))
		text.Wrapping = fyne.TextWrapWord
		back := widget.NewButton("Take it out", func() { _ = l.e.s.Unaccept(a) })
		l.list.Add(container.NewVBox(text, container.NewHBox(back), widget.NewSeparator()))
	}
	if left > 0 {
		all := widget.NewButton(fmt.Sprintf("%d more are left out: show all", left), func() { l.showAll() })
		all.Importance = widget.LowImportance
		l.list.Add(all)
	}
	l.list.Refresh()
}

// unchecked lists what could not be checked, folded together.
func (l *findings) unchecked(left *int) {
	var kept []rules.Finding
	for _, f := range l.shown.Unchecked {
		if l.sieve.lets(l.e.s, f) {
			kept = append(kept, f)
		}
	}
	*left += len(l.shown.Unchecked) - len(kept)
	if len(kept) == 0 {
		return
	}
	const key = "unchecked"
	head := widget.NewButtonWithIcon(fmt.Sprintf("Not checked for want of a figure: %d", len(kept)), theme.MenuExpandIcon(), func() { l.toggle(key) })
	head.Alignment, head.Importance = widget.ButtonAlignLeading, widget.LowImportance
	l.list.Add(head)
	if !l.open[key] && l.sieve.level != notCheckedOnly {
		return
	}
	head.SetIcon(theme.MenuDropDownIcon())
	for _, f := range kept {
		l.list.Add(l.card(0, f))
		l.list.Add(widget.NewSeparator())
	}
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
func (l *findings) group(kept []int) {
	head0, n := l.shown.Findings[kept[0]], len(kept)
	key := groupKey(head0)
	name := head0.Level.String()
	if head0.Accepted != nil {
		name = "accepted " + name
	}
	places := make([]string, n)
	for i, k := range kept {
		places[i] = l.shown.Findings[k].At
	}
	head := newText(fmt.Sprintf("%d–%d  %s, %d places", kept[0]+1, kept[n-1]+1, name, n), theme.ColorNameForeground)
	head.bold = true
	fold := widget.NewButtonWithIcon("", theme.MenuExpandIcon(), func() { l.toggle(key) })
	fold.Importance = widget.LowImportance
	mark := container.NewCenter(newLevelMark(head0.Level, 14, head0.Accepted != nil))
	says := newLink(head0.Rule.Title+": "+strings.Join(places, ", "), func() { l.toggle(key) })
	card := container.NewVBox(container.NewBorder(nil, nil, container.NewPadded(mark), fold, head), says)
	l.list.Add(card)
	l.list.Add(widget.NewSeparator())
	for _, k := range kept {
		l.cards[k] = card
		if !l.open[key] {
			continue
		}
		l.cards[k] = l.card(k+1, l.shown.Findings[k])
		l.list.Add(l.cards[k])
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
	if !l.sieve.lets(l.e.s, f) {
		l.showAll()
	}
	l.fill()
	l.roll.Content.Refresh()
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
	says := newLink(plainSaying(l.e.s.Doc(), f), func() {
		if f.Unchecked {
			l.e.s.GoToMissing(f)
			return
		}
		l.e.s.GoTo(f.At)
	})
	body := container.NewVBox(says)
	for _, fix := range f.Fixes {
		if f.Accepted != nil {
			break
		}
		body.Add(l.repair(fix))
	}
	if open {
		l.unfold(body, f)
	}
	mark := container.NewCenter(newLevelMark(f.Level, 14, f.Accepted != nil || f.Unchecked))
	return container.NewVBox(container.NewBorder(nil, nil, container.NewPadded(mark), fold, head), body)
}

// repair is the button of a repair; while the pointer or the keyboard is on it, the
// sheet shows what it would do.
func (l *findings) repair(fix rules.Fix) fyne.CanvasObject {
	o := newOrder(fix.Title, func() {
		l.e.s.TryOut(nil)
		_ = l.e.s.Repair(fix)
	})
	o.shown = func(on bool) {
		if on {
			l.e.s.TryOut(&fix)
		} else {
			l.e.s.TryOut(nil)
		}
	}
	return o
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
