package session

import (
	"context"
	"fmt"
	"slices"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/checks"
)

// Candidate is one value that a figure may be given, and what comes of it.
type Candidate struct {
	Value   components.Value
	Figures checks.Figures
	Against []rules.Finding // what the rules say against it, worst first
	Now     bool            // it is the present value
}

// Fits tells whether no rule says more than advice against the value.
func (c Candidate) Fits() bool { return len(c.Against) == 0 || c.Against[0].Level < rules.Violation }

// Choosable tells whether a figure is one that is chosen from a row of standard
// values: the size of a run, the rating of a fuse or a breaker.
func Choosable(doc *components.Document, on components.ID, key string) bool {
	if _, ok := doc.Run(on); ok {
		return key == "size"
	}
	p, ok := doc.Part(on)
	return ok && key == "rating_a" && p.Kind.Role == components.Protects
}

// Cell is one figure of a part's table, as the breaker of a panel's circuit.
type Cell struct {
	On   components.ID
	Rows string // the key of the table
	Row  int
	Key  string
}

// ChoosableCell tells whether a figure of a circuit is chosen from a row of
// standard values.
func ChoosableCell(key string) bool { return key == "breaker_a" || key == "fuse_a" }

// Edit tells the cell a value, nil where the table has no such row.
func (c Cell) Edit(doc *components.Document, v components.Value) components.Edit {
	p, ok := doc.Part(c.On)
	if !ok || c.Row >= len(p.Spec[c.Rows].Rows()) {
		return nil
	}
	rows := slices.Clone(p.Spec[c.Rows].Rows())
	rows[c.Row] = rows[c.Row].With(c.Key, v)
	return components.Set{On: c.On, Key: c.Rows, Value: components.Table(rows...)}
}

// ChooseCell is Choose for a figure of a circuit.
func (s *Session) ChooseCell(c Cell, done func(all []Candidate, anyway []rules.Finding)) {
	doc, book := s.Doc(), s.book
	go func() {
		all, anyway := weighCell(doc, book, c)
		s.post(func() { done(all, anyway) })
	}()
}

func weighCell(doc *components.Document, book []*rules.Rule, c Cell) (all []Candidate, anyway []rules.Finding) {
	p, ok := doc.Part(c.On)
	if !ok || c.Row >= len(p.Spec[c.Rows].Rows()) {
		return nil, nil
	}
	port := fmt.Sprintf("c%d", c.Row+1)
	mine := map[string]bool{string(c.On): true, string(p.Ref(port).String()): true}
	for _, r := range doc.RunsAt(p.Ref(port)) {
		mine[string(r.ID)] = true
	}
	about := func(f rules.Finding) bool {
		return slices.ContainsFunc(f.Addresses(), func(a string) bool { return mine[a] || mine[ownerOf(a)] && ownerOf(a) != string(c.On) })
	}
	var values []components.Value
	for _, r := range checks.CircuitRatings(p) {
		values = append(values, components.Num(r))
	}
	return weighAll(doc, book, p.Spec[c.Rows].Rows()[c.Row][c.Key], values, about,
		func(v components.Value) components.Edit { return c.Edit(doc, v) },
		func(of *rules.Report) checks.Figures { return checks.FiguresAt(of, c.On, port) })
}

// Choose checks every standard value of a figure behind the session, as if it were
// given, and brings what came of each. What the rules say whatever the value is
// left out of the candidates and told apart.
func (s *Session) Choose(on components.ID, key string, done func(all []Candidate, anyway []rules.Finding)) {
	doc, book := s.Doc(), s.book
	go func() {
		all, anyway := weigh(doc, book, on, key)
		s.post(func() { done(all, anyway) })
	}()
}

func weigh(doc *components.Document, book []*rules.Rule, on components.ID, key string) (all []Candidate, anyway []rules.Finding) {
	var now components.Value
	var values []components.Value
	if r, ok := doc.Run(on); ok {
		now = r.Spec[key]
		sizes := units.AWGSizes()
		if doc.Units == "metric" {
			sizes = units.MetricSizes()
		}
		for _, size := range sizes {
			values = append(values, components.Str(size.String()))
		}
	} else if p, ok := doc.Part(on); ok {
		now = p.Spec[key]
		for _, r := range checks.Ratings(p) {
			values = append(values, components.Num(r))
		}
	}
	return weighAll(doc, book, now, values,
		func(f rules.Finding) bool { return speaksOf(f, on) },
		func(v components.Value) components.Edit { return components.Set{On: on, Key: key, Value: v} },
		func(of *rules.Report) checks.Figures { return checks.FiguresOf(of, on) })
}

// weighAll checks a document with each of the values and keeps what is said about
// what is meant.
func weighAll(doc *components.Document, book []*rules.Rule, now components.Value, values []components.Value, about func(rules.Finding) bool,
	edit func(components.Value) components.Edit, figures func(*rules.Report) checks.Figures) (all []Candidate, anyway []rules.Finding) {
	if now.Known() && !slices.ContainsFunc(values, now.Equal) {
		values = append([]components.Value{now}, values...)
	}
	var last *rules.Report
	for _, v := range values {
		next, err := doc.Apply(edit(v))
		if err != nil { // out of the field's range
			continue
		}
		report, err := checkAll(context.Background(), last, next, book)
		if err != nil {
			continue
		}
		last = report
		c := Candidate{Value: v, Now: v.Equal(now), Figures: figures(report)}
		for _, f := range report.Findings {
			if f.Accepted == nil && about(f) {
				c.Against = append(c.Against, f)
			}
		}
		all = append(all, c)
	}
	return setApart(all)
}

func speaksOf(f rules.Finding, id components.ID) bool {
	return slices.ContainsFunc(f.Addresses(), func(a string) bool { return ownerOf(a) == string(id) })
}

// setApart takes out of the candidates what the rules say against every one of
// them in the same words.
func setApart(all []Candidate) ([]Candidate, []rules.Finding) {
	count := map[string]int{}
	word := func(f rules.Finding) string { return f.Rule.ID + f.At + f.Message }
	for _, c := range all {
		seen := map[string]bool{}
		for _, f := range c.Against {
			if !seen[word(f)] {
				seen[word(f)] = true
				count[word(f)]++
			}
		}
	}
	var anyway []rules.Finding
	for i := range all {
		var own []rules.Finding
		for _, f := range all[i].Against {
			if count[word(f)] < len(all) || len(all) == 1 {
				own = append(own, f)
			} else if i == 0 {
				anyway = append(anyway, f)
			}
		}
		all[i].Against = own
	}
	return all, anyway
}

// Facts works a run's or a device's figures out behind the session, once the present
// document is checked.
func (s *Session) Facts(on components.ID, done func(text string)) {
	if s.facts == nil {
		s.facts = map[components.ID]func(string){}
	}
	s.facts[on] = done
	s.tellFacts()
}

// tellFacts works out what was asked for, where the check is done.
func (s *Session) tellFacts() {
	report, current := s.Report()
	if !current {
		return
	}
	asked := s.facts
	s.facts = nil
	for on, done := range asked {
		go func() {
			text := factsOf(checks.FiguresOf(report, on))
			s.post(func() { done(text) })
		}()
	}
}

// factsOf tells figures in a line, with what stands ahead of a run.
func factsOf(f checks.Figures) string {
	text := f.String()
	if f.Usable == 0 && f.Why != "" {
		text = join(text, f.Why)
	}
	if f.Ahead != "" {
		text = join(text, "behind "+f.Ahead)
	}
	return text
}
