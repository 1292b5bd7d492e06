package canvas

import (
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
)

// answer is one of the choices of a question: its words and what it sets.
type answer struct {
	words string
	set   func(*session.Answers)
}

// question is one of the few that a first sheet is drawn from.
type question struct {
	ask     string
	answers []answer // the first is taken where nothing is chosen
}

// questions is every question, in the order of the form.
var questions = []question{
	{"Site supply", []answer{
		{"30 A, 120 V", func(a *session.Answers) { a.Supply = "30a-120" }},
		{"50 A, 120/240 V", func(a *session.Answers) { a.Supply = "50a-120/240" }},
		{"20 A, 120 V", func(a *session.Answers) { a.Supply = "20a-120" }},
		{"15 A, 120 V", func(a *session.Answers) { a.Supply = "15a-120" }},
		{"16 A, 230 V (a caravan, IEC 60364-7-721)", func(a *session.Answers) { a.Supply = "16a-230" }},
		{"none", func(a *session.Answers) { a.Supply = "" }},
	}},
	{"Generator", yesNo(func(a *session.Answers, yes bool) { a.Generator = yes }, false)},
	{"Inverter", []answer{
		{"inverter/charger", func(a *session.Answers) { a.Inverter = components.InverterCharger.ID }},
		{"inverter alone", func(a *session.Answers) { a.Inverter = components.Inverter.ID }},
		{"none", func(a *session.Answers) { a.Inverter = "" }},
	}},
	{"Battery chemistry", []answer{
		{"lithium iron phosphate", func(a *session.Answers) { a.Chemistry = "lfp" }},
		{"AGM", func(a *session.Answers) { a.Chemistry = "agm" }},
		{"gel", func(a *session.Answers) { a.Chemistry = "gel" }},
		{"flooded lead", func(a *session.Answers) { a.Chemistry = "flooded" }},
	}},
	{"Bank voltage", []answer{
		{"12 V", func(a *session.Answers) { a.BankV = 12 }},
		{"24 V", func(a *session.Answers) { a.BankV = 24 }},
		{"48 V", func(a *session.Answers) { a.BankV = 48 }},
	}},
	{"Solar array", yesNo(func(a *session.Answers, yes bool) { a.Solar = yes }, true)},
	{"Charging while driving", yesNo(func(a *session.Answers, yes bool) { a.Alternator = yes }, false)},
	{"AC circuits on site power", counts(0, 8, 2, func(a *session.Answers, n int) { a.ACCircuits = n })},
	{"Outlet circuits on the inverter", counts(1, 6, 2, func(a *session.Answers, n int) { a.Outlets = n })},
	{"DC circuits", counts(0, 12, 4, func(a *session.Answers, n int) { a.DCCircuits = n })},
}

func yesNo(set func(*session.Answers, bool), first bool) []answer {
	yes := answer{"yes", func(a *session.Answers) { set(a, true) }}
	no := answer{"no", func(a *session.Answers) { set(a, false) }}
	if first {
		return []answer{yes, no}
	}
	return []answer{no, yes}
}

// counts offers the usual number first, then the others from low to high.
func counts(low, high, usual int, set func(*session.Answers, int)) []answer {
	all := []answer{{strconv.Itoa(usual), func(a *session.Answers) { set(a, usual) }}}
	for n := low; n <= high; n++ {
		if n != usual {
			all = append(all, answer{strconv.Itoa(n), func(a *session.Answers) { set(a, n) }})
		}
	}
	return all
}

// bankVolts is the nominal voltage of a bank of a class: 3.2 V a cell of lithium
// iron phosphate, 2 V a cell of lead.
func bankVolts(chemistry string, class float64) float64 {
	if chemistry == "lfp" {
		return class / 12 * 12.8
	}
	return class
}

// askQuestions draws a first sheet from a few answers.
func (e *Editor) askQuestions() {
	chosen := make([]int, len(questions))
	var items []*widget.FormItem
	for i, q := range questions {
		var words []string
		for _, a := range q.answers {
			words = append(words, a.words)
		}
		sel := widget.NewSelect(words, nil)
		sel.SetSelectedIndex(0)
		sel.OnChanged = func(string) { chosen[i] = max(0, sel.SelectedIndex()) }
		items = append(items, widget.NewFormItem(q.ask, sel))
	}
	d := dialog.NewForm("What is in the rig?", "Draw it", "Cancel", items, func(ok bool) {
		if ok {
			e.drawFirst(chosen)
		}
	}, e.win)
	d.Resize(fyne.NewSize(460, 480))
	e.show(d)
}

func (e *Editor) drawFirst(chosen []int) {
	var a session.Answers
	for i, q := range questions {
		q.answers[chosen[i]].set(&a)
	}
	a.BankV = bankVolts(a.Chemistry, a.BankV)
	doc, err := session.FirstSheet(a)
	if err != nil {
		e.fail(err)
		return
	}
	e.s.Start(doc)
	e.s.Tell(session.Plain, "A first sheet. Tell the figures of what you have; what nobody told stays unknown")
}
