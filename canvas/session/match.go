package session

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
)

// Way is one way in which a run may join two ports.
type Way struct {
	Cores []components.Core // nil: the poles that both ports have
	Label string
	First []components.Edit // what has to be told of a part before the run fits
	Says  string            // that, in words
	doc   *components.Document

	From, To components.PortRef // where it ends in place of the ports that were asked for; empty for those
}

// ends are the ports that a run by this way joins, where two were asked for.
func (w Way) ends(from, to components.PortRef) (components.PortRef, components.PortRef) {
	if w.From.Part == "" {
		return from, to
	}
	return w.From, w.To
}

// Ways are the ways in which a run may join two ports, the usual one first. Where
// there is none, why tells the reason in a person's words.
func Ways(doc *components.Document, from, to components.PortRef) (ways []Way, why string) {
	if ways = branched(doc, from, to); len(ways) > 0 {
		return ways, ""
	}
	if ways = chosen(doc, from, to); len(ways) > 0 {
		return ways, ""
	}
	ways, why = straightWays(doc, from, to)
	if len(ways) == 0 {
		if way, ok := adopted(doc, from, to); ok {
			return []Way{way}, ""
		}
	}
	return ways, why
}

// adopted is the way in which a bar, a bond or a junction that nothing ends at yet
// takes the conductor that is brought to it.
func adopted(doc *components.Document, from, to components.PortRef) (Way, bool) {
	for _, at := range []struct{ free, other components.PortRef }{{to, from}, {from, to}} {
		p, _, ok := doc.Port(at.free)
		_, other, has := doc.Port(at.other)
		if !ok || !has || at.free.Part == at.other.Part || len(doc.RunsOf(p.ID)) > 0 {
			continue
		}
		for _, e := range adoptions(p, other) {
			next, err := doc.Apply(e)
			if err != nil {
				continue
			}
			if ways, _ := straightWays(next, from, to); len(ways) > 0 {
				return ways[0].after(p.ID, e, next), true
			}
		}
	}
	return Way{}, false
}

// chosen are the ways in which a bar of which no pole is told, and at which nothing
// ends yet, takes a conductor of a port that has several: one that no run brings there
// already, so that the second bar of two is the negative one.
func chosen(doc *components.Document, from, to components.PortRef) (ways []Way) {
	for _, at := range []struct{ free, other components.PortRef }{{to, from}, {from, to}} {
		p, _, ok := doc.Port(at.free)
		_, other, has := doc.Port(at.other)
		if !ok || !has || p.Kind != &components.Busbar || p.Spec["pole"].Known() || len(other.Poles) < 2 || len(doc.RunsOf(p.ID)) > 0 {
			continue
		}
		brought := map[components.Pole]bool{}
		for _, r := range doc.RunsAt(at.other) {
			for _, c := range doc.CoresOf(r) {
				if r.From == at.other {
					brought[c.From] = true
				} else {
					brought[c.To] = true
				}
			}
		}
		for _, e := range adoptions(p, other) {
			pole := components.Pole(e.Value.String())
			if brought[pole] {
				continue
			}
			if next, err := doc.Apply(e); err == nil {
				if straight, _ := straightWays(next, from, to); len(straight) > 0 {
					way := straight[0].after(p.ID, e, next)
					way.Label = fmt.Sprintf("%s: %s is for %s", pole, p.ID, sideWords(string(pole)))
					ways = append(ways, way)
				}
			}
		}
	}
	return ways
}

// after is a way that fits once something has been told of a part.
func (w Way) after(id components.ID, e components.Set, told *components.Document) Way {
	w.First, w.doc = []components.Edit{e}, told
	w.Says = fmt.Sprintf("%s is for %s now", id, sideWords(e.Value.String()))
	return w
}

// adoptions are what can be told of a free part so that it takes a port's
// conductors.
func adoptions(p components.Part, other components.Port) []components.Set {
	key := ""
	switch p.Kind {
	case &components.Busbar:
		key = "pole"
	case &components.BondKind:
		key = "a_pole"
	case &components.Splice:
		words := make([]string, len(other.Poles))
		for i, q := range other.Poles {
			words[i] = string(q)
		}
		return []components.Set{{On: p.ID, Key: "poles", Value: components.Words(words...)}}
	default:
		return nil
	}
	f, ok := p.Kind.Field(key)
	if !ok {
		return nil
	}
	var all []components.Set
	for _, c := range f.Choices {
		all = append(all, components.Set{On: p.ID, Key: key, Value: components.Str(c)})
	}
	return all
}

func sideWords(pole string) string {
	switch pole {
	case "+":
		return "the positive side"
	case "-":
		return "the negative side"
	case "N":
		return "neutral"
	case "G":
		return "ground"
	}
	return pole
}

// straightWays are the ways between two ports as they are.
func straightWays(doc *components.Document, from, to components.PortRef) (ways []Way, why string) {
	_, a, okA := doc.Port(from)
	_, b, okB := doc.Port(to)
	if !okA || !okB {
		return nil, "there is no such port"
	}
	if from == to {
		return nil, "a run needs two different ports"
	}
	var shared []components.Core
	hots := false
	for _, p := range components.Poles {
		if a.Has(p) && b.Has(p) {
			shared = append(shared, components.Core{From: p, To: p})
			hots = hots || p.Hot()
		}
	}
	if !hots {
		for _, leg := range []components.Pole{components.L1, components.L2} {
			var core components.Core
			switch {
			case a.Has(components.L) && b.Has(leg):
				core = components.Core{From: components.L, To: leg}
			case a.Has(leg) && b.Has(components.L):
				core = components.Core{From: leg, To: components.L}
			default:
				continue
			}
			cores := append([]components.Core{core}, shared...)
			ways = append(ways, Way{Cores: cores, Label: coresText(cores)})
		}
	}
	if len(shared) > 0 {
		ways = append(ways, Way{Label: coresText(shared)})
	}
	if len(ways) == 0 {
		return nil, fmt.Sprintf("%s has %s, %s has %s: no conductor in common", from, polesText(a), to, polesText(b))
	}
	return ways, ""
}

func coresText(cores []components.Core) string {
	words := make([]string, len(cores))
	for i, c := range cores {
		words[i] = c.String()
		if c.From != c.To {
			words[i] = string(c.From) + " to " + string(c.To)
		}
	}
	return strings.Join(words, ", ")
}

func polesText(p components.Port) string {
	words := make([]string, len(p.Poles))
	for i, q := range p.Poles {
		words[i] = string(q)
	}
	return strings.Join(words, " ")
}

// Question is a choice that a gesture left to the person.
type Question struct {
	Text    string
	Why     string // it is asked at all
	Choices []Choice
}

// Choice is one answer.
type Choice struct {
	Label string
	take  func()
}

// Question is the open question, nil where there is none.
func (s *Session) Question() *Question { return s.question }

// Answer takes one of the question's choices; a negative one takes none.
func (s *Session) Answer(i int) {
	q := s.question
	s.question = nil
	if q != nil && i >= 0 && i < len(q.Choices) {
		q.Choices[i].take()
	}
	s.changed(PreviewChanged)
}

// Connect draws a run between two ports. Where they can be joined in more than
// one way it leaves the person a question.
func (s *Session) Connect(from, to components.PortRef) {
	ways, why := Ways(s.Doc(), from, to)
	switch len(ways) {
	case 0:
		s.Tell(Wrong, "No run from %s to %s: %s", from, to, why)
	case 1:
		s.connect(from, to, ways[0])
	default:
		_, a, _ := s.Doc().Port(from)
		_, b, _ := s.Doc().Port(to)
		q := &Question{
			Text: fmt.Sprintf("Which conductors join %s and %s?", from, to),
			Why:  fmt.Sprintf("%s has %s, %s has %s. Where that is not what is there, draw no run and tell the right figures of %s or %s first.", from, polesText(a), to, polesText(b), from.Part, to.Part),
		}
		if ways[0].First != nil {
			q.Why = "A bar is of one side, and nothing tells yet of which this one is."
		}
		for _, w := range ways {
			q.Choices = append(q.Choices, Choice{w.Label, func() { s.connect(from, to, w) }})
		}
		s.question = q
		s.changed(PreviewChanged)
	}
}

func (s *Session) connect(from, to components.PortRef, way Way) {
	from, to = way.ends(from, to)
	run := components.Run{ID: s.Doc().FreeID("W"), From: from, To: to, Cores: way.Cores}
	add := components.AddRun{Run: run}
	if s.Do(add.String(), append(slices.Clone(way.First), add)...) != nil {
		return
	}
	s.Select(run.ID)
	if way.Says != "" {
		s.Tell(Plain, "%s. Tell size and length of %s in the details", way.Says, run.ID)
		return
	}
	if twins := s.twins(run); len(twins) > 0 {
		s.Tell(Plain, "%s lies beside %s between the same ports", run.ID, twins[0])
		return
	}
	s.Tell(Plain, "%s: tell its size, construction and length in the details", run.ID)
}

// twins are the other runs between the same two ports with a conductor in common.
func (s *Session) twins(run components.Run) []components.ID {
	var ids []components.ID
	mine := s.Doc().CoresOf(run)
	for _, r := range s.Doc().RunsAt(run.From) {
		if r.ID == run.ID || r.Other(run.From) != run.To {
			continue
		}
		if slices.ContainsFunc(s.Doc().CoresOf(r), func(c components.Core) bool {
			return slices.ContainsFunc(mine, func(m components.Core) bool { return m.Role() == c.Role() })
		}) {
			ids = append(ids, r.ID)
		}
	}
	return ids
}
