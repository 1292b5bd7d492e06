package canvas

import (
	"fmt"
	"slices"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/rules"
)

// gaps is the list of the figures that checks ask for and nobody has told, one under
// the other, to be told in one go. It takes the place of the details while it is
// open, and the sheet shows what the cursor is at. A figure that is told stays in
// its place, so that nothing jumps under the hand.
type gaps struct {
	e     *Editor
	title *widget.Label
	sizes *widget.Button
	why   *widget.Label
	list  *fyne.Container
	roll  *container.Scroll
	rows  []*gap
	heaps []*heap
	box   fyne.CanvasObject
	place *fyne.Container // where the details stand, or the list
	more  bool            // the cursor waits at the end for what the check still asks for
	early bool            // it waits for the first check
	split float64         // where the border to the findings was
}

// gap is one figure in the list.
type gap struct {
	session.Lack
	row  *row
	heap *heap
}

// heap are the figures of one part or run that stand together in the list, with a
// button below them that tells the same of those alike.
type heap struct {
	rows []*gap
	box  *fyne.Container
	same *sameButton
}

// sameButton goes on when Enter is pressed on it: what is told of others is told with
// the space bar or the pointer, never by one Enter too many.
type sameButton struct {
	widget.Button
	onward func()
}

func newSameButton(press, onward func()) *sameButton {
	b := &sameButton{onward: onward}
	b.ExtendBaseWidget(b)
	b.OnTapped, b.Alignment = press, widget.ButtonAlignLeading
	b.Hide()
	return b
}

// TypedKey goes on with Enter; the space bar presses.
func (b *sameButton) TypedKey(k *fyne.KeyEvent) {
	switch k.Name {
	case fyne.KeyReturn, fyne.KeyEnter:
		b.onward()
	case fyne.KeySpace:
		b.Button.TypedKey(k)
	default:
		toWindow(b, k)
	}
}

func newGaps(e *Editor) *gaps {
	g := &gaps{e: e, title: widget.NewLabel(""), why: widget.NewLabel(""), list: container.NewVBox()}
	g.title.TextStyle.Bold = true
	g.title.Truncation = fyne.TextTruncateEllipsis
	g.why.Wrapping = fyne.TextWrapWord
	g.why.SizeName = theme.SizeNameCaptionText
	g.sizes = widget.NewButton("Size what has no size", e.askSizes)
	done := widget.NewButton("Back to the details", g.hide)
	done.Importance = widget.LowImportance
	roll, box := rolled(besideBar(g.list))
	g.roll = roll
	head := container.NewVBox(g.title, container.NewHBox(g.sizes, done), widget.NewSeparator())
	why := container.NewVScroll(g.why) // of one height, so that the list stays where it is
	why.SetMinSize(fyne.NewSize(0, 84))
	foot := container.NewVBox(widget.NewSeparator(), why)
	g.box = container.NewBorder(head, foot, nil, nil, box)
	g.box.Hide()
	g.place = container.NewStack(e.details.box)
	return g
}

// show opens the list at the first figure.
func (g *gaps) show() {
	if !g.box.Visible() {
		g.split = g.e.splits.findings.Offset
		g.e.splits.findings.SetOffset(max(g.split, 0.8))
		g.e.details.box.Hide()
		g.box.Show()
		g.place.Objects = []fyne.CanvasObject{g.box}
		g.place.Refresh()
	}
	g.e.s.Tell(session.Plain, "")
	g.empty()
	if _, current := g.e.s.Report(); !current {
		g.early = true
		g.title.SetText("Checking …")
		g.why.SetText("")
	}
	g.refresh()
	g.next(-1)
}

func (g *gaps) empty() {
	g.rows, g.heaps = nil, nil
	g.list.RemoveAll()
}

func (g *gaps) hide() {
	if !g.box.Visible() {
		return
	}
	g.box.Hide()
	g.e.details.box.Show()
	g.place.Objects = []fyne.CanvasObject{g.e.details.box}
	g.place.Refresh()
	g.e.splits.findings.SetOffset(g.split)
	g.e.win.Canvas().Focus(g.e.board)
}

// giveWay gives the findings their room back, where one of them is wanted.
func (g *gaps) giveWay() {
	if s := g.e.splits.findings; g.box.Visible() && s.Offset > g.split {
		s.SetOffset(g.split)
	}
}

// refresh brings the figures up to date, adds those that checks ask for since, and
// starts again where a part is gone.
func (g *gaps) refresh() {
	if !g.box.Visible() {
		return
	}
	s := g.e.s
	if slices.ContainsFunc(g.rows, func(r *gap) bool { return !g.there(r.Lack) }) {
		g.empty()
	}
	for _, r := range g.rows {
		r.row.show()
	}
	for _, h := range g.heaps {
		g.offer(h)
	}
	if _, current := s.Report(); !current {
		return
	}
	lacks := s.Lacks()
	had := len(g.rows)
	for _, l := range lacks {
		if i := slices.IndexFunc(g.rows, func(r *gap) bool { return r.Same(l) }); i < 0 {
			g.add(l)
		} else if r := g.rows[i]; r.Says != l.Says { // figures within the words change with others
			r.Lack = l
			if g.focused() == r.row.control {
				g.say(r)
			}
		}
	}
	if g.early {
		g.early = false
		g.next(-1)
	}
	if g.more && len(g.rows) > had && had > 0 && g.rows[had-1].row.control == g.focused() {
		g.next(had - 1)
	}
	unsized := s.Unsized()
	bare := slices.ContainsFunc(lacks, func(l session.Lack) bool { return l.Sizes() && slices.Contains(unsized, l.On) })
	switch n := len(lacks); n {
	case 0:
		g.title.SetText("No figure is missing")
		g.why.SetText("Every check has what it needs. " + g.onward())
	case 1:
		g.title.SetText("1 figure is missing")
	default:
		g.title.SetText(fmt.Sprintf("%d figures are missing", n))
	}
	if bare {
		g.sizes.Enable()
	} else {
		g.sizes.Disable()
	}
}

// onward is what comes next once nothing is missing.
func (g *gaps) onward() string {
	report, _ := g.e.s.Report()
	c := report.Counts()
	switch {
	case c.Danger+c.Violation > 0:
		return "Next: the findings below, the worst first (F8 goes from one to the next)."
	case c.Advice > 0:
		return "Nothing is wrong by the rules; read the advice below. The hand-off is in the File menu."
	}
	return "The hand-off is in the File menu."
}

// there tells whether a figure still has its place in the rig.
func (g *gaps) there(l session.Lack) bool {
	if p, ok := g.e.s.Doc().Part(l.On); ok {
		return l.Rows == nil || l.Row < len(p.Spec[l.Rows.Key].Rows())
	}
	_, ok := g.e.s.Doc().Run(l.On)
	return ok
}

// add puts a figure at the end of the list, under the name of what it is of.
func (g *gaps) add(l session.Lack) {
	if n := len(g.rows); n == 0 || g.rows[n-1].On != l.On {
		t := newText(g.nameOf(l.On), theme.ColorNamePlaceHolder)
		t.bold = true
		h := &heap{box: container.NewVBox()}
		h.same = newSameButton(func() { g.tellSame(h) }, func() { g.behind(h) })
		g.heaps = append(g.heaps, h)
		g.list.Add(container.NewPadded(t))
		g.list.Add(h.box)
		g.list.Add(h.same)
	}
	r := &gap{Lack: l, row: g.rowOf(l), heap: g.heaps[len(g.heaps)-1]}
	r.heap.rows = append(r.heap.rows, r)
	r.heap.box.Add(r.row.box)
	g.rows = append(g.rows, r)
	entered := func() { g.at(r) }
	switch c := r.row.control.(type) {
	case *entry:
		check := c.entered
		c.entered = func(in bool) {
			if check != nil {
				check(in)
			}
			if in {
				entered()
			}
		}
		c.OnSubmitted = func(string) {
			c.take()
			if !r.row.wrong { // what cannot be taken is put right first
				g.onwardFrom(r)
			}
		}
	case *pickList:
		c.entered = entered
		c.onward = func() { g.onwardFrom(r) }
	}
}

// likenesses are the told figures of a heap with those that may well be the same.
func (g *gaps) likenesses(h *heap) (all []session.Likeness) {
	var open, closed []session.Lack
	for _, o := range g.rows {
		if g.open(o) {
			open = append(open, o.Lack)
		} else {
			closed = append(closed, o.Lack)
		}
	}
	for _, r := range h.rows {
		if alike := g.e.s.Alike(r.Lack, open, closed); len(alike) > 0 {
			all = append(all, session.Likeness{Of: r.Lack, To: alike})
		}
	}
	return all
}

// offer shows under the figures of a part what else they could be told of.
func (g *gaps) offer(h *heap) {
	const named = 3
	var ids []string
	figures := g.likenesses(h)
	for _, l := range figures {
		for _, o := range l.To {
			if !slices.Contains(ids, string(o.On)) {
				ids = append(ids, string(o.On))
			}
		}
	}
	if len(ids) == 0 {
		h.same.Hide()
		return
	}
	text := "The same for "
	if len(figures) > 1 {
		text = fmt.Sprintf("These %d the same for ", len(figures))
	}
	text += strings.Join(ids[:min(named, len(ids))], ", ")
	if more := len(ids) - named; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	if h.same.Text != text {
		h.same.SetText(text)
	}
	if !h.same.Visible() {
		h.same.Show()
		g.list.Refresh() // it has no place yet
	}
}

// tellSame tells the figures of a heap of all that is alike, and goes on.
func (g *gaps) tellSame(h *heap) {
	if err := g.e.s.TellAlike(g.likenesses(h)); err != nil {
		g.e.s.Tell(session.Wrong, "%s", err)
		return
	}
	g.behind(h)
}

// behind goes on with the first open figure behind a heap.
func (g *gaps) behind(h *heap) { g.next(slices.Index(g.rows, h.rows[len(h.rows)-1])) }

// onwardFrom goes on from a figure: to the next open one of its heap, to what tells
// the same of others, or to the next heap.
func (g *gaps) onwardFrom(r *gap) {
	i := slices.Index(r.heap.rows, r)
	if g.offer(r.heap); r.heap.same.Visible() && !slices.ContainsFunc(r.heap.rows[i+1:], g.open) {
		g.scrollTo(r.heap.same.Position().Y, r.heap.same.Size().Height)
		g.e.details.focus(r.heap.same)
		return
	}
	g.next(slices.Index(g.rows, r))
}

// nameOf is a part with its name, or a run with its ends.
func (g *gaps) nameOf(id components.ID) string {
	if r, ok := g.e.s.Doc().Run(id); ok {
		return fmt.Sprintf("%s  from %s to %s", id, r.From, r.To)
	}
	p, _ := g.e.s.Doc().Part(id)
	if p.Name == "" || p.Name == p.Kind.Title {
		return string(id) + "  " + g.e.s.Say(p.Kind.Title)
	}
	return fmt.Sprintf("%s  %s, %s", id, g.e.s.Say(p.Kind.Title), p.Name)
}

// rowOf is the row in which a figure is told. What the words of a check name no
// figure of is a text that leads to the part.
func (g *gaps) rowOf(l session.Lack) *row {
	s := g.e.s
	spec := func() components.Spec {
		if r, ok := s.Doc().Run(l.On); ok {
			return r.Spec
		}
		p, _ := s.Doc().Part(l.On)
		if l.Rows == nil {
			return p.Spec
		}
		if rows := p.Spec[l.Rows.Key].Rows(); l.Row < len(rows) {
			return rows[l.Row]
		}
		return nil
	}
	if l.Field == nil {
		text := newLink(s.Say(l.Says), func() {
			g.hide()
			s.GoTo(string(l.On))
		})
		return &row{box: text, control: text, show: func() {}}
	}
	get := func() components.Value { return spec()[l.Field.Key] }
	metric := s.Doc().Units == "metric"
	if l.Rows != nil {
		f := *g.e.spoken(l.Field)
		f.Title = fmt.Sprintf("Circuit %d: %s", l.Row+1, f.Title)
		r := g.e.said(fieldRow(&f, get, spec, func(v components.Value) error { return s.SetCell(l.On, l.Rows, l.Row, l.Field, v) }, metric))
		if session.ChoosableCell(f.Key) {
			r = weighed(r, func() { g.e.chooseCell(l.On, l.Rows, l.Row, l.Field) })
		}
		return r
	}
	set := func(v components.Value) error { return s.SetField(l.On, l.Field, v) }
	if metric && l.Field.Unit == "ft" {
		return metreRow(g.e.spoken(l.Field), get, set)
	}
	return g.e.details.choosable(l.On, l.Field, g.e.details.field(l.Field, get, spec, set, metric))
}

// at shows what the cursor is at, on the sheet and in words.
func (g *gaps) at(r *gap) {
	g.say(r)
	g.e.s.GoTo(string(r.On))
	g.into(r)
}

// say tells in words why a figure is asked for.
func (g *gaps) say(r *gap) {
	why := plainSaying(g.e.s.Doc(), rules.Finding{At: string(r.On), Message: r.Says})
	g.why.SetText(capital(g.e.s.Say(why)))
}

// into scrolls a figure into sight, with what stands around it.
func (g *gaps) into(r *gap) {
	g.scrollTo(r.heap.box.Position().Y+r.row.box.Position().Y, r.row.box.Size().Height)
}

// scrollTo brings a stretch of the list into sight.
func (g *gaps) scrollTo(y, h float32) {
	const rim = 60
	switch top := g.roll.Offset.Y; {
	case y < top+rim:
		g.roll.ScrollToOffset(fyne.NewPos(0, max(0, y-rim)))
	case y+h+rim > top+g.roll.Size().Height:
		g.roll.ScrollToOffset(fyne.NewPos(0, max(0, y+h+rim-g.roll.Size().Height)))
	}
}

// next takes the keyboard to the first figure behind a place that is still open. At
// the end it waits for what the check asks for then.
func (g *gaps) next(from int) {
	g.more = false
	for i := from + 1; i < len(g.rows); i++ {
		if r := g.rows[i]; g.open(r) {
			g.focus(r)
			return
		}
	}
	g.more = from >= 0
	if _, ok := g.focused().(*sameButton); ok && g.more { // it may be gone the next moment
		g.focus(g.rows[len(g.rows)-1])
	}
}

// open tells whether nobody has told a figure yet, nor another that does in its
// place: where a check asks for one of two, one is enough.
func (g *gaps) open(r *gap) bool {
	known := func(l session.Lack) (known, there bool) {
		v, ok := g.e.s.ValueOf(l)
		return v.Known(), ok
	}
	if told, there := known(r.Lack); told || !there {
		return false
	}
	return !strings.HasPrefix(r.Says, "neither ") || !slices.ContainsFunc(g.rows, func(o *gap) bool {
		told, _ := known(o.Lack)
		return told && o.On == r.On && o.Says == r.Says
	})
}

func (g *gaps) focus(r *gap) {
	if f, ok := r.row.control.(fyne.Focusable); ok {
		g.into(r)
		g.e.details.focus(f)
	}
}

// focused is what the keyboard is at, nil for nothing.
func (g *gaps) focused() fyne.CanvasObject {
	o, _ := g.e.win.Canvas().Focused().(fyne.CanvasObject)
	return o
}

// find takes the keyboard to a figure, where the list has it.
func (g *gaps) find(l session.Lack) bool {
	i := slices.IndexFunc(g.rows, func(r *gap) bool { return r.Same(l) })
	if i < 0 {
		return false
	}
	g.focus(g.rows[i])
	return true
}
