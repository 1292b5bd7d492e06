package session

import (
	"context"
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
	if now.Known() && !slices.ContainsFunc(values, now.Equal) {
		values = append([]components.Value{now}, values...)
	}
	var last *rules.Report
	for _, v := range values {
		next, err := doc.Apply(components.Set{On: on, Key: key, Value: v})
		if err != nil { // out of the field's range
			continue
		}
		c := Candidate{Value: v, Now: v.Equal(now), Figures: checks.FiguresOf(next, on)}
		report, err := checkAll(context.Background(), last, next, book)
		if err != nil {
			continue
		}
		last = report
		for _, f := range report.Findings {
			if f.Accepted == nil && speaksOf(f, on) {
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

// Facts works a run's or a device's figures out behind the session.
func (s *Session) Facts(on components.ID, done func(text string)) {
	doc := s.Doc()
	go func() {
		f := checks.FiguresOf(doc, on)
		s.post(func() {
			text := f.String()
			if f.Usable == 0 && f.Why != "" {
				text = join(text, f.Why)
			}
			if f.Ahead != "" {
				text = join(text, "behind "+f.Ahead)
			}
			done(text)
		})
	}()
}
