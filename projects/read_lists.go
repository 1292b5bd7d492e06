package projects

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

var (
	stateKeys    = []string{"name", "shore", "generator", "sun", "engine", "soc", "off", "on", "bypass"}
	revisionKeys = []string{"letter", "date", "what", "by"}
	noteKeys     = []string{"form", "at", "to", "text"}
	acceptedKeys = []string{"rule", "on", "reason", "by", "level"}
	readingKeys  = []string{"item", "value", "unit", "date", "by", "note", "baseline"}
	noteForms    = []string{"note", "cloud", "arrow"}
	onOff        = []string{"on", "off"}
	shores       = slices.Concat([]string{"off"}, components.Services, components.Adapters)
)

// numbered opens the n-th entry of a list without tags.
func (r *reader) numbered(n *yaml.Node, what, list string, i int) scope {
	s := scope{r, fmt.Sprintf("%s %d: ", what, i+1), fmt.Sprintf("%s.%d", list, i+1)}
	r.index.put(s.address, n.Line, n.Column)
	return s
}

func (r *reader) states(nodes []*yaml.Node) []components.State {
	var states []components.State
	names := map[string]int{}
	for i, n := range nodes {
		s := r.numbered(n, "state", "states", i)
		found := s.entries(n, "it", stateKeys, nil)
		if found == nil {
			continue
		}
		st := components.State{SoC: 0.5}
		if e, ok := found["name"]; ok {
			st.Name = s.text(e.value, "name")
		}
		if line, taken := names[st.Name]; taken && st.Name != "" {
			s.fault(found["name"].value, "name %q is taken: it stands at line %d already", clip(st.Name), line)
		}
		names[st.Name] = n.Line
		if strings.TrimSpace(st.Name) == "" {
			s.missing(n, "name", "a name, as in Off grid")
		}
		if e, ok := found["shore"]; ok {
			if st.Shore = s.word(e.value, "shore", shores); st.Shore == "off" {
				st.Shore = ""
			}
		}
		if e, ok := found["generator"]; ok {
			st.Generator = s.word(e.value, "generator", onOff) == "on"
		}
		if e, ok := found["engine"]; ok {
			st.Engine = s.word(e.value, "engine", onOff) == "on"
		}
		if e, ok := found["sun"]; ok {
			st.Sun, _ = s.number(e.value, "sun", 0, 1)
		}
		if e, ok := found["soc"]; ok {
			st.SoC, _ = s.number(e.value, "soc", 0, 1)
		}
		if e, ok := found["off"]; ok {
			st.Off = s.partTags(e.value, "off")
		}
		if e, ok := found["on"]; ok {
			if st.On = s.partTags(e.value, "on"); len(e.value.Content) == 0 {
				s.fault(e.value, "on is empty: name the loads that are on, or those that are not under off")
			}
		}
		if e, ok := found["bypass"]; ok {
			st.Bypass = s.truth(e.value, "bypass")
		}
		states = append(states, st)
	}
	return states
}

// tags reads a list of parts.
func (s scope) partTags(n *yaml.Node, key string) []components.ID {
	var ids []components.ID
	seen := map[components.ID]bool{}
	for _, c := range s.list(n, key, maxWords) {
		id := components.ID(c.Value)
		_, there := s.doc.Part(id)
		_, told := s.sound[id]
		switch {
		case c.Kind != yaml.ScalarNode || empty(c):
			s.fault(c, "%s holds %s: want the tag of a part", key, shown(c))
		case !there && !told:
			s.fault(c, "%s: there is no part %q%s", key, clip(c.Value), s.nearPart(c.Value))
		case seen[id]:
			s.fault(c, "%s holds %s twice", key, id)
		default:
			ids = append(ids, id)
			seen[id] = true
		}
	}
	return ids
}

func (r *reader) revisions(nodes []*yaml.Node) []components.Revision {
	var all []components.Revision
	for i, n := range nodes {
		s := r.numbered(n, "revision", "revisions", i)
		found := s.entries(n, "it", revisionKeys, nil)
		if found == nil {
			continue
		}
		text := func(key string) string {
			if e, ok := found[key]; ok {
				return s.text(e.value, key)
			}
			return ""
		}
		x := components.Revision{Letter: text("letter"), Date: text("date"), What: text("what"), By: text("by")}
		if strings.TrimSpace(x.Letter) == "" {
			s.missing(n, "letter", "the letter or number of the revision, as in A")
			continue
		}
		all = append(all, x)
	}
	return all
}

func (r *reader) notes(nodes []*yaml.Node) []components.Note {
	var notes []components.Note
	for i, n := range nodes {
		s := r.numbered(n, "note", "notes", i)
		found := s.entries(n, "it", noteKeys, nil)
		if found == nil {
			continue
		}
		note := components.Note{Form: "note"}
		if e, ok := found["form"]; ok {
			note.Form = s.word(e.value, "form", noteForms)
		}
		if e, ok := found["at"]; ok {
			note.At, _ = s.point(e.value, "at", false)
		} else {
			s.missing(n, "at", "a place on the sheet, as in [120, 480]")
		}
		if e, ok := found["to"]; ok {
			note.To, _ = s.point(e.value, "to", false)
		}
		if e, ok := found["text"]; ok {
			note.Text = s.text(e.value, "text")
		}
		notes = append(notes, note)
	}
	return notes
}

// acceptedLevels are how bad a finding may have been when it was accepted.
var acceptedLevels = []string{"danger", "violation", "advice"}

func (r *reader) accepted(nodes []*yaml.Node) []components.Acceptance {
	var all []components.Acceptance
	lines := map[string]int{}
	for i, n := range nodes {
		s := r.numbered(n, "acceptance", "accepted", i)
		found := s.entries(n, "it", acceptedKeys, nil)
		if found == nil {
			continue
		}
		var a components.Acceptance
		text := func(key string) string {
			if e, ok := found[key]; ok {
				return s.text(e.value, key)
			}
			return ""
		}
		a.Rule, a.Reason, a.By = text("rule"), text("reason"), text("by")
		if strings.TrimSpace(a.Rule) == "" {
			s.missing(n, "rule", "the rule of the finding, as in conductor.ampacity")
		}
		if strings.TrimSpace(a.Reason) == "" {
			s.missing(n, "reason", "why the finding is accepted")
		}
		if e, ok := found["level"]; ok {
			a.Level = s.word(e.value, "level", acceptedLevels)
		}
		if e, ok := found["on"]; ok {
			for _, c := range s.list(e.value, "on", maxWords) {
				if c.Kind != yaml.ScalarNode || empty(c) {
					s.fault(c, "on holds %s: want a tag or another address of the finding", shown(c))
					continue
				}
				a.On = append(a.On, s.text(c, "on"))
			}
		}
		key := a.Rule + "\x00" + strings.Join(a.On, "\x00")
		if line, taken := lines[key]; taken {
			s.fault(n, "the same finding is accepted twice: it stands at line %d already", line)
		}
		lines[key] = n.Line
		all = append(all, a)
	}
	return all
}

func (r *reader) readings(nodes []*yaml.Node) []components.Reading {
	var all []components.Reading
	lines := map[string]int{}
	for i, n := range nodes {
		s := r.numbered(n, "reading", "readings", i)
		found := s.entries(n, "it", readingKeys, nil)
		if found == nil {
			continue
		}
		text := func(key string) string {
			if e, ok := found[key]; ok {
				return s.text(e.value, key)
			}
			return ""
		}
		x := components.Reading{Item: text("item"), Value: text("value"), Unit: text("unit"), Date: text("date"), By: text("by"), Note: text("note")}
		if e, ok := found["baseline"]; ok {
			x.Baseline = s.truth(e.value, "baseline")
		}
		switch {
		case strings.TrimSpace(x.Item) == "":
			s.missing(n, "item", "the item of the checklist, as in D02")
			continue
		case x.Value == "":
			s.missing(n, "value", "a number as in 13.2, or yes or no")
			continue
		}
		if err := x.Check(); err != nil {
			s.fault(found["value"].value, "%v", err)
			continue
		}
		key := fmt.Sprintf("%s\x00%s", x.Item, x.Date)
		if x.Baseline {
			key = x.Item + "\x00baseline\x00"
		}
		if line, taken := lines[key]; taken {
			s.fault(n, "%s is read twice on one day: it stands at line %d already", clip(x.Item), line)
		}
		lines[key] = n.Line
		all = append(all, x)
	}
	return all
}
