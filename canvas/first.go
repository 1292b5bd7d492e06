package canvas

import (
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/theme"
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
	short   string   // what it is called where it stays open
	answers []answer // the first is taken where nothing is chosen
}

// notYet is the answer of one who does not know yet: something usual is drawn in
// its place, and the sheet says so.
const notYet = "not known yet"

// questions is every question, in the order of the form. A set that is nil stands
// for an answer that tells nothing: the figure stays unknown.
var questions = []question{
	{"Site supply", "site supply", []answer{
		{"30 A, 120 V", func(a *session.Answers) { a.Supply = "30a-120" }},
		{"50 A, 120/240 V, two legs", func(a *session.Answers) { a.Supply = "50a-120/240" }},
		{"20 A, 120 V", func(a *session.Answers) { a.Supply = "20a-120" }},
		{"15 A, 120 V", func(a *session.Answers) { a.Supply = "15a-120" }},
		{"16 A, 230 V (a caravan, IEC 60364-7-721)", func(a *session.Answers) { a.Supply = "16a-230" }},
		{"none", func(a *session.Answers) { a.Supply = "" }},
		{notYet, func(a *session.Answers) { a.Supply = "30a-120" }},
	}},
	{"Supply protector", "supply protector", yesNo(func(a *session.Answers, yes bool) { a.Protector = yes }, false)},
	{"Generator", "generator", yesNo(func(a *session.Answers, yes bool) { a.Generator = yes }, false)},
	{"Inverter", "inverter", []answer{
		{"inverter/charger", func(a *session.Answers) { a.Inverter = components.InverterCharger.ID }},
		{"inverter alone", func(a *session.Answers) { a.Inverter = components.Inverter.ID }},
		{"none", func(a *session.Answers) { a.Inverter = "" }},
		{notYet, func(a *session.Answers) { a.Inverter = components.InverterCharger.ID }},
	}},
	{"Its power", "inverter power", figures("VA", func(a *session.Answers, v float64) { a.InverterVA = v }, 3000, 1000, 2000, 4000, 5000)},
	{"It feeds", "what the inverter feeds", []answer{
		{"a panel of its own, for the outlets", func(a *session.Answers) { a.Whole = "" }},
		{"everything", func(a *session.Answers) { a.Whole = session.InPhase }},
		{"everything, 240 V off grid too", func(a *session.Answers) { a.Whole = session.Split }},
		{notYet, func(a *session.Answers) { a.Whole = "" }},
	}},
	{"Battery chemistry", "battery chemistry", []answer{
		{"lithium iron phosphate", func(a *session.Answers) { a.Chemistry = "lfp" }},
		{"AGM", func(a *session.Answers) { a.Chemistry = "agm" }},
		{"gel", func(a *session.Answers) { a.Chemistry = "gel" }},
		{"flooded lead", func(a *session.Answers) { a.Chemistry = "flooded" }},
		{notYet, func(*session.Answers) {}},
	}},
	{"Bank voltage", "bank voltage", []answer{
		{"12 V", func(a *session.Answers) { a.BankV = 12 }},
		{"24 V", func(a *session.Answers) { a.BankV = 24 }},
		{"48 V", func(a *session.Answers) { a.BankV = 48 }},
		{notYet, func(a *session.Answers) { a.BankV = 12 }},
	}},
	{"Capacity of the bank", "bank capacity", figures("Ah", func(a *session.Answers, v float64) { a.BankAh = v }, 400, 100, 200, 300, 600)},
	{"Solar array", "solar array", yesNo(func(a *session.Answers, yes bool) { a.Solar = yes }, true)},
	{"Charging while driving", "charging while driving", yesNo(func(a *session.Answers, yes bool) { a.Alternator = yes }, false)},
	{"Other AC circuits", "other AC circuits", counts(0, 8, 1, func(a *session.Answers, n int) { a.ACCircuits = n })},
	{"Outlet circuits on the inverter", "outlet circuits", counts(1, 6, 2, func(a *session.Answers, n int) { a.Outlets = n })},
	{"DC circuits", "DC circuits", counts(0, 12, 4, func(a *session.Answers, n int) { a.DCCircuits = n })},
	{"What is there already", "what is there already", []answer{
		{"nothing", func(a *session.Answers) { a.Exists = "" }},
		{"the AC side", func(a *session.Answers) { a.Exists = "ac" }},
		{"the DC side", func(a *session.Answers) { a.Exists = "dc" }},
		{"all of it", func(a *session.Answers) { a.Exists = "all" }},
		{notYet, func(*session.Answers) {}},
	}},
}

// figures offers the usual figure first, then the others, then none.
func figures(unit string, set func(*session.Answers, float64), values ...float64) []answer {
	var all []answer
	for _, v := range values {
		all = append(all, answer{components.Num(v).String() + " " + unit, func(a *session.Answers) { set(a, v) }})
	}
	return append(all, answer{notYet, func(*session.Answers) {}})
}

func yesNo(set func(*session.Answers, bool), first bool) []answer {
	yes := answer{"yes", func(a *session.Answers) { set(a, true) }}
	no := answer{"no", func(a *session.Answers) { set(a, false) }}
	open := answer{notYet, func(a *session.Answers) { set(a, false) }}
	if first {
		return []answer{yes, no, open}
	}
	return []answer{no, yes, open}
}

// counts offers the usual number first, then the others from low to high.
func counts(low, high, usual int, set func(*session.Answers, int)) []answer {
	all := []answer{{strconv.Itoa(usual), func(a *session.Answers) { set(a, usual) }}}
	for n := low; n <= high; n++ {
		if n != usual {
			all = append(all, answer{strconv.Itoa(n), func(a *session.Answers) { set(a, n) }})
		}
	}
	return append(all, answer{notYet, func(a *session.Answers) { set(a, usual) }})
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
	form := widget.NewForm()
	for i, q := range questions {
		var words []string
		for _, a := range q.answers {
			words = append(words, a.words)
		}
		sel := widget.NewSelect(words, nil)
		sel.SetSelectedIndex(0)
		sel.OnChanged = func(string) { chosen[i] = max(0, sel.SelectedIndex()) }
		form.Append(q.ask, sel)
	}
	loads := make([]*widget.Check, len(session.Appliances))
	box := container.NewGridWithColumns(2)
	for i, l := range session.Appliances {
		loads[i] = widget.NewCheck(l.Name, nil)
		box.Add(loads[i])
	}
	form.Append("Main loads", box)
	says := newText("What you do not know yet stays open and is said on the sheet.", theme.ColorNamePlaceHolder)
	d := dialog.NewCustomConfirm("What is in the rig?", "Draw it", "Cancel", container.NewBorder(says, nil, nil, nil, container.NewVScroll(besideBar(form))), func(ok bool) {
		if !ok {
			return
		}
		var main []session.Appliance
		for i, c := range loads {
			if c.Checked {
				main = append(main, session.Appliances[i])
			}
		}
		e.drawFirst(chosen, main)
	}, e.win)
	size := e.win.Canvas().Size()
	d.Resize(fyne.NewSize(520, min(660, size.Height-40)))
	e.show(d)
}

// drawFirst draws the sheet behind the window: its sizes are held to every rule.
func (e *Editor) drawFirst(chosen []int, main []session.Appliance) {
	a := session.Answers{Main: main}
	for i, q := range questions {
		q.answers[chosen[i]].set(&a)
		if q.answers[chosen[i]].words == notYet {
			a.NotKnown = append(a.NotKnown, q.short)
		}
	}
	a.BankV = bankVolts(a.Chemistry, a.BankV)
	e.s.Tell(session.Plain, "Drawing …")
	before := e.s.Doc()
	go func() {
		doc, err := e.s.FirstSheet(a)
		e.board.post(func() {
			switch {
			case err != nil:
				e.fail(err)
			case e.s.Doc() != before:
				e.s.Tell(session.Wrong, "The rig has changed meanwhile; nothing was drawn")
			default:
				e.s.Start(doc)
				e.s.Tell(session.Plain, "A first sheet. Measure the lengths, tell the figures of what you have; what nobody told stays unknown")
			}
		})
	}()
}
