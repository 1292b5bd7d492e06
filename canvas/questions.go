package canvas

import (
	"strconv"

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
	short   string // what it is called where it stays open
	usual   int    // the answer that stands there before one is chosen
	answers []answer
	asks    func(session.Answers) bool // whether it means anything after the answers before it; nil: always
}

// notYet is the answer of one who does not know yet: something usual is drawn in
// its place, and the sheet says so.
const notYet = "not known yet"

// The questions that the main loads stand behind in the form.
const (
	asksOutlets = "Outlet circuits"
	asksDC      = "Other DC circuits"
)

// questions is every question, in the order of the form, from the supply to the
// loads. A set that is nil stands for an answer that tells nothing: the figure stays
// unknown.
var questions = []question{
	{"Site supply", "site supply", 0, []answer{
		{"30 A, 120 V", func(a *session.Answers) { a.Supply = "30a-120" }},
		{"50 A, 120/240 V, two legs", func(a *session.Answers) { a.Supply = "50a-120/240" }},
		{"20 A, 120 V", func(a *session.Answers) { a.Supply = "20a-120" }},
		{"15 A, 120 V", func(a *session.Answers) { a.Supply = "15a-120" }},
		{"16 A, 230 V (a caravan, IEC 60364-7-721)", func(a *session.Answers) { a.Supply = "16a-230" }},
		{"none", func(a *session.Answers) { a.Supply = "" }},
		{notYet, func(a *session.Answers) { a.Supply = "30a-120" }},
	}, nil},
	{"Surge or supply protector", "supply protector", 1, yesNo(func(a *session.Answers, yes bool) { a.Protector = yes }), hasSite},
	{"Generator", "generator", 1, yesNo(func(a *session.Answers, yes bool) { a.Generator = yes }), nil},
	{"Inverter", "inverter", 0, []answer{
		{"inverter/charger", func(a *session.Answers) { a.Inverter = components.InverterCharger.ID }},
		{"inverter alone", func(a *session.Answers) { a.Inverter = components.Inverter.ID }},
		{"none", func(a *session.Answers) { a.Inverter = "" }},
		{notYet, func(a *session.Answers) { a.Inverter = components.InverterCharger.ID }},
	}, nil},
	{"Power of the inverter", "inverter power", 2, figures("VA", func(a *session.Answers, v float64) { a.InverterVA = v }, 1000, 2000, 3000, 4000, 5000), hasInverter},
	{"The inverter feeds", "what the inverter feeds", 0, []answer{
		{"a panel of its own, for the outlets", func(a *session.Answers) { a.Whole = "" }},
		{"everything", func(a *session.Answers) { a.Whole = session.InPhase }},
		{"everything, 240 V off grid too", func(a *session.Answers) { a.Whole = session.Split }},
		{notYet, func(a *session.Answers) { a.Whole = "" }},
	}, func(a session.Answers) bool {
		return a.Inverter == components.InverterCharger.ID && (hasSite(a) || a.Generator)
	}},
	{"Converter or charger", "charger", 4, append([]answer{{"none", func(a *session.Answers) { a.NoCharger = true }}},
		figures("A", func(a *session.Answers, v float64) { a.ChargerA = v }, 25, 35, 45, 55, 75, 100)...), func(a session.Answers) bool {
		return a.Inverter != components.InverterCharger.ID && (hasSite(a) || a.Generator)
	}},
	{asksOutlets, "outlet circuits", 2, counts(0, 6, 2, func(a *session.Answers, n int) { a.Outlets = n }), hasAC},
	{"Other AC circuits", "other AC circuits", 0, counts(0, 8, 0, func(a *session.Answers, n int) { a.ACCircuits = n }), hasAC},
	{"Battery chemistry", "battery chemistry", 0, []answer{
		{"lithium iron phosphate", func(a *session.Answers) { a.Chemistry = "lfp" }},
		{"AGM", func(a *session.Answers) { a.Chemistry = "agm" }},
		{"gel", func(a *session.Answers) { a.Chemistry = "gel" }},
		{"flooded lead", func(a *session.Answers) { a.Chemistry = "flooded" }},
		{notYet, func(*session.Answers) {}},
	}, nil},
	{"Bank voltage", "bank voltage", 0, []answer{
		{"12 V", func(a *session.Answers) { a.BankV = 12 }},
		{"24 V", func(a *session.Answers) { a.BankV = 24 }},
		{"48 V", func(a *session.Answers) { a.BankV = 48 }},
		{notYet, func(a *session.Answers) { a.BankV = 12 }},
	}, nil},
	{"Capacity of the bank", "bank capacity", 3, figures("Ah", func(a *session.Answers, v float64) { a.BankAh = v }, 100, 200, 300, 400, 600), nil},
	{"Solar array", "solar array", 0, yesNo(func(a *session.Answers, yes bool) { a.Solar = yes }), nil},
	{"Charging while driving", "charging while driving", 1, yesNo(func(a *session.Answers, yes bool) { a.Alternator = yes }), nil},
	{asksDC, "DC circuits", 0, counts(0, 12, 0, func(a *session.Answers, n int) { a.DCCircuits = n }), nil},
	{"What is there already", "what is there already", 0, []answer{
		{"nothing", func(a *session.Answers) { a.Exists = "" }},
		{"the AC side", func(a *session.Answers) { a.Exists = "ac" }},
		{"the DC side", func(a *session.Answers) { a.Exists = "dc" }},
		{"all of it", func(a *session.Answers) { a.Exists = "all" }},
		{notYet, func(*session.Answers) {}},
	}, nil},
}

func hasSite(a session.Answers) bool     { return a.Supply != "" }
func hasInverter(a session.Answers) bool { return a.Inverter != "" }
func hasAC(a session.Answers) bool       { return hasSite(a) || a.Generator || hasInverter(a) }

// figures offers figures from low to high, then none.
func figures(unit string, set func(*session.Answers, float64), values ...float64) []answer {
	var all []answer
	for _, v := range values {
		all = append(all, answer{components.Num(v).String() + " " + unit, func(a *session.Answers) { set(a, v) }})
	}
	return append(all, answer{notYet, func(*session.Answers) {}})
}

func yesNo(set func(*session.Answers, bool)) []answer {
	return []answer{
		{"yes", func(a *session.Answers) { set(a, true) }},
		{"no", func(a *session.Answers) { set(a, false) }},
		{notYet, func(a *session.Answers) { set(a, false) }},
	}
}

// counts offers numbers from low to high; the usual one is drawn where none is known.
func counts(low, high, usual int, set func(*session.Answers, int)) []answer {
	var all []answer
	for n := low; n <= high; n++ {
		all = append(all, answer{strconv.Itoa(n), func(a *session.Answers) { set(a, n) }})
	}
	return append(all, answer{notYet, func(a *session.Answers) { set(a, usual) }})
}

// answersOf gathers what was chosen, and tells which of the questions were asked: one
// that means nothing after the answers before it says nothing.
func answersOf(chosen []int) (a session.Answers, asked []bool) {
	asked = make([]bool, len(questions))
	for i, q := range questions {
		if asked[i] = q.asks == nil || q.asks(a); !asked[i] {
			continue
		}
		q.answers[chosen[i]].set(&a)
		if q.answers[chosen[i]].words == notYet {
			a.NotKnown = append(a.NotKnown, q.short)
		}
	}
	a.BankV = bankVolts(a.Chemistry, a.BankV)
	return a, asked
}

// bankVolts is the nominal voltage of a bank of a class: 3.2 V a cell of lithium
// iron phosphate, 2 V a cell of lead.
func bankVolts(chemistry string, class float64) float64 {
	if chemistry == "lfp" {
		return class / 12 * 12.8
	}
	return class
}
