package session

import (
	"strings"

	"rigline/components"
	"rigline/rules"
)

// Asked is the figure that a check lacks, by what it says: the first part or run
// that it names with a figure of its that nobody has told. The key is "" where the
// words name none; then the part is the one that the check stands at.
func (s *Session) Asked(f rules.Finding) (id components.ID, key string) {
	words := strings.FieldsFunc(f.Message, func(r rune) bool { return strings.ContainsRune(" ,;:()", r) })
	for _, w := range append(words, f.At) {
		owner, ok := s.Owner(strings.TrimSuffix(w, "."))
		if !ok {
			continue
		}
		if key := s.askedOf(owner, f.Message); key != "" {
			return owner, key
		}
	}
	id, _ = s.Owner(f.At)
	return id, ""
}

// askedOf is the untold figure of a part or run that words ask for, by its key or
// its title: the one that is named first.
func (s *Session) askedOf(id components.ID, words string) string {
	fields, spec := components.RunFields, components.Spec(nil)
	if p, ok := s.Doc().Part(id); ok {
		fields, spec = p.Kind.Fields, p.Spec
	} else if r, ok := s.Doc().Run(id); ok {
		spec = r.Spec
	}
	words, _, _ = strings.Cut(strings.ToLower(words), ": ") // behind it stands how to find out
	best, found := len(words), ""
	for _, f := range fields {
		if v := spec[f.Key]; f.Type == components.Rows || v.Told() && !v.IsUnknown() {
			continue
		}
		title := strings.ToLower(f.Title)
		first, _, _ := strings.Cut(title, " ")
		for _, name := range []string{f.Key, title, strings.Trim(first, ",")} {
			if at := wordIn(words, name); at >= 0 && at < best {
				best, found = at, f.Key
			}
		}
	}
	return found
}

// wordIn is where a whole word, or words, stand in a text; -1 for nowhere.
func wordIn(text, word string) int {
	letter := func(i int) bool {
		return i >= 0 && i < len(text) && (text[i] == '_' || text[i] >= 'a' && text[i] <= 'z' || text[i] >= '0' && text[i] <= '9')
	}
	for from := 0; word != ""; {
		i := strings.Index(text[from:], word)
		if i < 0 {
			break
		}
		i += from
		if !letter(i-1) && !letter(i+len(word)) {
			return i
		}
		from = i + 1
	}
	return -1
}
