package canvas

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/components"
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
	deck  deck
	roll  *container.Scroll
	sieve sieve
	parts []*fyne.Container // round the title, from within, which may take two lines
}

func newFindings(e *Editor) *findings {
	f := &findings{e: e, title: widget.NewLabel("Findings"), list: container.NewVBox(), open: map[string]bool{}}
	f.title.TextStyle.Bold = true
	f.title.Wrapping = fyne.TextWrapWord
	roll, box := rolled(besideBar(f.list))
	f.roll = roll
	sieve := f.newSieve()
	line := container.NewBorder(nil, nil, nil, f.sieve.mine, f.title)
	head := container.NewVBox(widget.NewSeparator(), line, sieve)
	f.box = container.NewBorder(head, nil, nil, nil, box)
	f.parts = []*fyne.Container{line, head, f.box.(*fyne.Container)}
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
	if l.title.Text != title {
		l.title.SetText(title)
		for _, c := range l.parts {
			c.Layout.Layout(c.Objects, c.Size())
		}
	}
	if report == l.shown {
		return
	}
	l.shown = report
	if report != nil {
		l.sieve.follow(report, l.e.s.Say)
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
	l.cards = nil
	l.deck.begin()
	defer l.deck.end(l.list)
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
			}
		}
		i += n
	}
	l.unchecked(&left)
	for _, a := range l.shown.Stale {
		says := fmt.Sprintf("An acceptance matches nothing any more: %s at %s (%s)", a.Rule, strings.Join(a.On, ", "), a.Reason)
		l.deck.add(says, rules.Finding{}, func(*card) fyne.CanvasObject {
			text := widget.NewLabel(says)
			text.Wrapping = fyne.TextWrapWord
			back := newButton("Take it out", nil, func() { _ = l.e.s.Unaccept(a) })
			return container.NewVBox(text, container.NewHBox(back), widget.NewSeparator())
		})
	}
	if left > 0 {
		says := "1 is left out: show all"
		if left > 1 {
			says = fmt.Sprintf("%d are left out: show all", left)
		}
		if l.sieve.selected && len(l.e.s.Selected()) == 0 {
			says = "Nothing is selected, " + says
		}
		l.deck.add(says, rules.Finding{}, func(*card) fyne.CanvasObject {
			all := newButton(says, nil, func() { l.showAll() })
			all.Importance = widget.LowImportance
			return all
		})
	}
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
	open := l.open[key] || l.sieve.level == notCheckedOnly
	says := fmt.Sprintf("Not checked for want of a figure: %d", len(kept))
	l.deck.add(fmt.Sprint(says, open), rules.Finding{}, func(*card) fyne.CanvasObject {
		head := newButton(says, foldIcon(open), func() { l.toggle(key) })
		head.Alignment, head.Importance = widget.ButtonAlignLeading, widget.LowImportance
		tell := newButton("Tell what is missing", nil, func() { l.e.gaps.show() })
		return container.NewVBox(head, container.NewHBox(tell))
	})
	if !open {
		return
	}
	for _, f := range kept {
		l.card(0, f)
	}
}

// foldIcon tells whether something is unfolded.
func foldIcon(open bool) fyne.Resource {
	if open {
		return theme.MenuDropDownIcon()
	}
	return theme.MenuExpandIcon()
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
	open, mend := l.open[key], l.mendOf(kept)
	title := fmt.Sprintf("%d–%d  %s, %d places", kept[0]+1, kept[n-1]+1, name, n)
	text := l.e.s.Say(head0.Rule.Title) + ": " + strings.Join(places, ", ")
	c := l.deck.add(fmt.Sprint(key, title, text, open, mend), head0, func(*card) fyne.CanvasObject {
		head := newText(title, theme.ColorNameForeground)
		head.bold = true
		fold := newButton("", foldIcon(open), func() { l.toggle(key) })
		fold.Importance = widget.LowImportance
		mark := container.NewCenter(newLevelMark(head0.Level, 14, head0.Accepted != nil))
		says := newLink(text, func() { l.toggle(key) })
		box := container.NewVBox(container.NewBorder(nil, nil, container.NewPadded(mark), fold, head), says)
		if mend != "" {
			box.Add(newOrder(mend, func() { l.repairAll(key) }))
		}
		box.Add(widget.NewSeparator())
		return box
	})
	for _, k := range kept {
		l.cards[k] = c.box
		if open {
			l.cards[k] = l.card(k+1, l.shown.Findings[k])
		}
	}
}

// mendOf is what the button says that repairs all findings of a group; "" where one of
// them has no repair, is taken as it is, or would only lose something.
func (l *findings) mendOf(kept []int) string {
	for _, k := range kept {
		f := l.shown.Findings[k]
		if f.Accepted != nil || len(f.Fixes) == 0 || onlyTakesOut(f.Fixes[0]) {
			return ""
		}
	}
	return l.e.s.Say(fmt.Sprintf("Repair all %d places, as: %s", len(kept), l.shown.Findings[kept[0]].Fixes[0].Title))
}

// onlyTakesOut tells whether a repair does nothing but take something off the sheet: that
// is not offered for many at once.
func onlyTakesOut(x rules.Fix) bool {
	return !slices.ContainsFunc(x.Edits, func(e components.Edit) bool {
		switch e.(type) {
		case components.RemovePart, components.RemoveRun:
			return false
		}
		return true
	})
}

// repairAll repairs every place that a group tells of and that is shown.
func (l *findings) repairAll(key string) {
	if l.shown == nil {
		return
	}
	var places []rules.Finding
	for _, f := range l.shown.Findings {
		if groupKey(f) == key && l.sieve.lets(l.e.s, f) {
			places = append(places, f)
		}
	}
	l.e.s.RepairEach(places)
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
	return l.deck.add(l.face(number, f), f, func(c *card) fyne.CanvasObject {
		return container.NewVBox(l.draw(c, number), widget.NewSeparator())
	}).box
}

// draw makes the card.
func (l *findings) draw(c *card, number int) fyne.CanvasObject {
	f := c.of
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
	fold := newButton("", foldIcon(open), func() { l.toggle(key) })
	fold.Importance = widget.LowImportance
	says := newLink(l.e.saying(f), func() {
		if f.Unchecked {
			l.e.s.GoToMissing(c.of)
			return
		}
		l.e.s.GoTo(f.At)
	})
	body := container.NewVBox(says)
	for i := range f.Fixes {
		if f.Accepted != nil {
			break
		}
		body.Add(l.repair(c, i))
	}
	if open {
		l.unfold(body, c)
	}
	mark := container.NewCenter(newLevelMark(f.Level, 14, f.Accepted != nil || f.Unchecked))
	return container.NewVBox(container.NewBorder(nil, nil, container.NewPadded(mark), fold, head), body)
}

// repair is the button of a card's repair; while the pointer or the keyboard is on it, the
// sheet shows what it would do.
func (l *findings) repair(c *card, i int) fyne.CanvasObject {
	o := newOrder(l.e.s.Say(c.of.Fixes[i].Title), func() {
		l.e.s.TryOut(nil)
		_ = l.e.s.Repair(c.of.Fixes[i])
	})
	o.shown = func(on bool) {
		if on {
			l.e.s.TryOut(&c.of.Fixes[i])
		} else {
			l.e.s.TryOut(nil)
		}
	}
	return o
}

func (l *findings) unfold(body *fyne.Container, c *card) {
	f := c.of
	para := func(title string, lines ...string) {
		if len(lines) == 0 {
			return
		}
		t := newText(title, theme.ColorNamePlaceHolder)
		t.bold = true
		text := widget.NewLabel(l.e.s.Say(strings.Join(lines, "\n")))
		text.Wrapping = fyne.TextWrapWord
		text.SizeName = theme.SizeNameCaptionText
		body.Add(container.NewPadded(t))
		body.Add(text)
	}
	para("What has to hold", f.Rule.Must)
	para("Arithmetic", f.Working...)
	para("Rests on defaults", f.RestsOn...)
	if len(f.States) > 0 && !f.Rule.Stateless {
		para("In the states", strings.Join(f.States, ", "))
	}
	if len(f.Also) > 0 {
		para("Speaks of", strings.Join(f.Also, ", "))
	}
	var basis []string
	for _, b := range f.Rule.BasisOf(l.e.s.Doc().Basis) {
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
		body.Add(container.NewHBox(newButton("Take the acceptance back", nil, func() { _ = l.e.s.Unaccept(*c.of.Accepted) })))
	case !f.Unchecked:
		body.Add(container.NewHBox(newButton("Accept with a reason", nil, func() { l.askReason(c.of) })))
	}
}

// askReason takes a finding as it is, once a reason is given, and of a danger by
// whom. It is taken at this one place; the others of its rule stand.
func (l *findings) askReason(f rules.Finding) {
	reason, by := newLines(), widget.NewEntry()
	reason.SetPlaceHolder("Why this is taken as it is")
	by.SetPlaceHolder("Who takes it")
	if f.Level == rules.Danger {
		by.SetPlaceHolder("Who takes it: a danger is accepted with a name alone")
	}
	by.SetText(l.e.s.Doc().Rig.DrawnBy)
	says := widget.NewLabel(l.e.saying(f))
	says.Wrapping = fyne.TextWrapWord
	told := func(e *widget.Entry) bool { return strings.TrimSpace(e.Text) != "" }
	var d *dialog.CustomDialog
	accept := widget.NewButton("Accept", func() {
		d.Hide()
		_ = l.e.s.Accept(f, strings.TrimSpace(reason.Text), strings.TrimSpace(by.Text))
	})
	accept.Importance = widget.HighImportance
	check := func(string) {
		if told(&reason.Entry) && (f.Level != rules.Danger || told(by)) {
			accept.Enable()
		} else {
			accept.Disable()
		}
	}
	reason.OnChanged, by.OnChanged = check, check
	check("")
	by.OnSubmitted = func(string) {
		if !accept.Disabled() {
			accept.OnTapped()
		}
	}
	form := widget.NewForm(widget.NewFormItem("Finding", says), widget.NewFormItem("Reason", reason), widget.NewFormItem("By", by))
	d = dialog.NewCustomWithoutButtons("Accept this "+f.Level.String()+" at "+f.At, form, l.e.win)
	d.SetButtons([]fyne.CanvasObject{widget.NewButton("Cancel", func() { d.Hide() }), accept})
	d.Resize(fyne.NewSize(520, 300))
	reason.done = l.e.win.Canvas().FocusNext
	l.e.show(d)
	l.e.win.Canvas().Focus(reason)
}
