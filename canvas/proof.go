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
	"rigline/export/checklist"
)

// proof is the checklist of the rig with a place for every reading: what to do,
// what the drawing expects, what was read, and what a wrong reading means.
type proof struct {
	e      *Editor
	by     *widget.Entry
	phases *pickList
	left   *widget.Check
	told   *widget.Label
	list   *fyne.Container
	box    *fyne.Container
	all    []checklist.Result
	steps  map[string]*proofStep
	dialog dialog.Dialog
}

// proofStep is one step of the checklist in the window.
type proofStep struct {
	item    checklist.Item
	answer  fyne.CanvasObject // an entry, or yes and no
	verdict *widget.Label
}

// stages are the choices of the stage that is shown: all at once would be hundreds
// of steps.
func (p *proof) stages() (names []string, first string) {
	for _, r := range p.all {
		if !slices.Contains(names, r.Phase.Title) {
			names = append(names, r.Phase.Title)
		}
		if first == "" && r.Reading == nil {
			first = r.Phase.Title
		}
	}
	if first == "" && len(names) > 0 {
		first = names[0]
	}
	return names, first
}

// showProof opens the checklist.
func (e *Editor) showProof() {
	p := &proof{e: e, list: container.NewVBox(widget.NewLabel("Working out what to expect …")), by: widget.NewEntry(), told: widget.NewLabel(""), steps: map[string]*proofStep{}}
	p.by.SetText(e.s.ReadingBy())
	p.by.SetPlaceHolder("who reads")
	p.phases = newPickListOf(nil, func(string) { p.fill() })
	p.phases.PlaceHolder = "Stage"
	p.left = widget.NewCheck("Only what is not read yet", func(bool) { p.fill() })
	p.told.Wrapping = fyne.TextWrapWord
	head := container.NewBorder(nil, nil, container.NewHBox(container.New(&wide{260}, p.phases), p.left, widget.NewLabel("Read by")), nil, p.by)
	p.box = container.NewBorder(container.NewVBox(head, p.told), nil, nil, nil, wheeled(container.NewVScroll(besideBar(p.list))))
	p.dialog = dialog.NewCustom("Checklist and readings", "Close", p.box, e.win)
	size := e.win.Canvas().Size()
	p.dialog.Resize(fyne.NewSize(min(900, size.Width-40), size.Height-40))
	e.show(p.dialog)
	e.proof = p
	e.s.Checklist(func(_ *components.Document, all []checklist.Result) { p.know(all) })
}

// know takes the checklist that was worked out.
func (p *proof) know(all []checklist.Result) {
	p.all = all
	names, first := p.stages()
	p.phases.SetOptions(names)
	p.phases.SetSelected(first)
}

func (p *proof) fill() {
	p.list.RemoveAll()
	p.steps = map[string]*proofStep{}
	var before checklist.Result
	for _, r := range p.all {
		if r.Phase.Title != p.phases.Selected || p.left.Checked && r.Reading != nil {
			continue
		}
		again := r.ID == before.ID && r.Do == before.Do && r.Points == before.Points && r.Caution == before.Caution
		if before.ID != "" && !again {
			p.list.Add(widget.NewSeparator())
		}
		p.list.Add(p.step(r, again))
		before = r
	}
	p.count()
	p.list.Refresh()
}

// step is one item: what to do and where, what is expected, the reading, and what
// that comes to. What is done again at another place is told once.
func (p *proof) step(r checklist.Result, again bool) fyne.CanvasObject {
	para := func(text string, quiet bool) *widget.Label {
		l := widget.NewLabel(p.e.s.Say(text))
		l.Wrapping = fyne.TextWrapWord
		if quiet {
			l.SizeName = theme.SizeNameCaptionText
		}
		return l
	}
	name := r.Key()
	if r.Name != "" {
		name += "  " + r.Name
	}
	title := para(name, false)
	title.TextStyle.Bold = true
	st := &proofStep{item: r.Item, verdict: para("", false)}
	p.steps[r.Key()] = st
	st.answer = p.answer(r)
	expects := "Expected: " + r.Expect.String()
	if r.Expect.HasFigure {
		expects += fmt.Sprintf("   (by the drawing %s %s)", components.Num(rounded(r.Expect.Figure)), r.Expect.Unit)
	}
	box := container.NewVBox()
	if !again {
		box.Add(para(r.Do, false))
		box.Add(para(meterWord(r.Meter)+": "+r.Points, true))
		if r.Caution != "" {
			c := para("Caution: "+r.Caution, false)
			c.Importance = widget.WarningImportance
			box.Add(c)
		}
	}
	box.Add(container.NewBorder(nil, nil, container.New(&wide{290}, title), container.New(&wide{200}, st.answer), para(expects, false)))
	if len(r.Expect.Working) > 0 {
		box.Add(para(strings.Join(r.Expect.Working, "\n"), true))
	}
	box.Add(st.verdict)
	st.judge(r, p.e.s.Say)
	return box
}

// meterWord is what is read with, in words.
func meterWord(meter string) string {
	switch meter {
	case "eye":
		return "Look at"
	case "vac":
		return "AC volts"
	case "vdc":
		return "DC volts"
	case "mvdc":
		return "DC millivolts"
	case "clamp aac":
		return "Clamp, AC amperes"
	case "clamp adc":
		return "Clamp, DC amperes"
	case "ir thermometer":
		return "Infrared thermometer"
	case "gfci tester":
		return "Ground-fault tester"
	}
	return strings.ToUpper(meter[:min(1, len(meter))]) + meter[min(1, len(meter)):]
}

// rounded keeps four digits of a predicted figure.
func rounded(v float64) float64 {
	var w float64
	_, _ = fmt.Sscanf(fmt.Sprintf("%.4g", v), "%g", &w)
	return w
}

// answer is where the reading is told.
func (p *proof) answer(r checklist.Result) fyne.CanvasObject {
	was := ""
	if r.Reading != nil {
		was = r.Reading.Value
	}
	item := r.Item
	if item.Expect.Kind == checklist.Check {
		sel := newPickList([]string{notRead, "yes", "no"})
		sel.Selected = notRead
		if was != "" {
			sel.Selected = was
		}
		sel.OnChanged = func(text string) {
			if text == notRead {
				text = ""
			}
			p.read(item, text)
		}
		return sel
	}
	e := newEntry(func(text string) { p.read(item, text) })
	e.SetPlaceHolder(notRead)
	e.show(was)
	unit := item.Expect.Unit
	return container.NewBorder(nil, nil, nil, widget.NewLabel(unit), e)
}

const notRead = "not read"

// read keeps a reading and shows what it comes to.
func (p *proof) read(item checklist.Item, text string) {
	st := p.steps[item.Key()]
	if err := p.e.s.Read(item, text, strings.TrimSpace(p.by.Text)); err != nil {
		st.verdict.Importance = widget.DangerImportance
		st.verdict.SetText(err.Error())
		st.verdict.Show()
		return
	}
	p.follow()
}

// follow brings the verdicts up to date with the document.
func (p *proof) follow() {
	items := make([]checklist.Item, len(p.all))
	for i, r := range p.all {
		items[i] = r.Item
	}
	p.all = checklist.Results(items, p.e.s.Doc())
	for _, r := range p.all {
		if st := p.steps[r.Key()]; st != nil {
			st.judge(r, p.e.s.Say)
		}
	}
	p.count()
	p.list.Refresh() // a verdict takes room
}

// judge shows what a reading comes to, and what a wrong one means.
func (st *proofStep) judge(r checklist.Result, say func(string) string) {
	text, ink := "", widget.MediumImportance
	if r.Reading != nil {
		j := r.Judgment
		lines := []string{strings.ToUpper(j.Verdict.String()[:1]) + j.Verdict.String()[1:] + ": " + j.Says}
		if j.Means != "" {
			lines = append(lines, "What it means: "+j.Means)
		}
		if r.Baseline != nil && r.Baseline.Date != r.Reading.Date {
			lines = append(lines, checklist.Against(r.Reading, r.Baseline))
		}
		text = strings.Join(lines, "\n")
		switch j.Verdict {
		case checklist.Pass:
			ink = widget.SuccessImportance
		case checklist.Warn:
			ink = widget.WarningImportance
		case checklist.Fail, checklist.Unread:
			ink = widget.DangerImportance
		}
	}
	st.verdict.Importance = ink
	st.verdict.SetText(say(text))
	shown(st.verdict, text != "")
}

// count tells how far the person has come, and where to stop.
func (p *proof) count() {
	if len(p.all) == 0 {
		return
	}
	text := checklist.Counts(p.all)
	p.told.Importance = widget.MediumImportance
	if phase, stopped := checklist.Stop(p.all); stopped {
		text += fmt.Sprintf(". A reading of %q failed: put it right before anything of a later stage is done", phase.Title)
		p.told.Importance = widget.DangerImportance
	}
	p.told.SetText(p.e.s.Say(text))
	resettle(p.box) // it may take another line
}
