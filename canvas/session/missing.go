package session

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// Lack is a figure that nobody has told and that checks ask for.
type Lack struct {
	On     components.ID
	Field  *components.Field // nil: the check's words name no figure, so it is looked for at the part
	Rows   *components.Field // of a figure of a circuit: the table
	Row    int
	Says   string      // what the worst check says: why, and how to find it out
	Level  rules.Level // the worst that the answer could uncover
	Checks int         // that wait for it
}

// Same tells whether two are about the same figure.
func (l Lack) Same(m Lack) bool { return l.compare(m) == 0 }

// compare puts the figures in the order in which a person finds them out: what
// stands on the parts, and then run by run what the tape and the jacket tell.
func (l Lack) compare(m Lack) int {
	isRun := func(l Lack) int {
		if l.Field != nil && l.Rows == nil {
			if _, ok := components.RunField(l.Field.Key); ok && strings.HasPrefix(string(l.On), "W") {
				return 1
			}
		}
		return 0
	}
	return cmp.Or(cmp.Compare(isRun(l), isRun(m)), components.CompareIDs(l.On, m.On), cmp.Compare(l.place(), m.place()), cmp.Compare(l.words(), m.words()))
}

// place orders the figures of one part: its own, its circuits', and what is only
// told in words.
func (l Lack) place() int {
	switch {
	case l.Field == nil:
		return 1 << 20
	case l.Rows != nil:
		return 1<<10 + l.Row
	}
	return 0
}

func (l Lack) words() string {
	if l.Field == nil {
		return l.Says
	}
	return l.Field.Key
}

// Sizes tells whether it is the size of a run or the rating of a device, which the
// rules can choose.
func (l Lack) Sizes() bool {
	return l.Field != nil && l.Rows == nil && (l.Field.Key == "size" || l.Field.Key == "rating_a")
}

// ValueOf is the value of a figure as the rig stands, and whether it has its place
// in the rig still.
func (s *Session) ValueOf(l Lack) (v components.Value, ok bool) {
	if l.Field == nil {
		return v, false
	}
	if r, ok := s.Doc().Run(l.On); ok {
		return r.Spec[l.Field.Key], true
	}
	p, ok := s.Doc().Part(l.On)
	switch {
	case !ok:
		return v, false
	case l.Rows == nil:
		return p.Spec[l.Field.Key], true
	}
	rows := p.Spec[l.Rows.Key].Rows()
	if l.Row >= len(rows) {
		return v, false
	}
	return rows[l.Row][l.Field.Key], true
}

// Lacks are the figures that the checks of the present report ask for, each once.
func (s *Session) Lacks() []Lack {
	report, current := s.Report()
	if !current {
		return nil
	}
	var all []Lack
	for _, f := range report.Unchecked {
		for _, l := range s.lacksOf(f) {
			l.Says, l.Level, l.Checks = f.Message, f.Level, 1
			i := slices.IndexFunc(all, l.Same)
			if i < 0 {
				all = append(all, l)
				continue
			}
			all[i].Checks++
			if f.Level > all[i].Level {
				all[i].Level, all[i].Says = f.Level, f.Message
			}
		}
	}
	slices.SortStableFunc(all, Lack.compare)
	return all
}

// Asked is the first figure that a check lacks, by what it says: a part or run and
// the key of its figure. The key is "" where the words name none; then the part is
// the one that the check stands at.
func (s *Session) Asked(f rules.Finding) (id components.ID, key string) {
	l := s.lacksOf(f)[0]
	if l.Field == nil || l.Rows != nil {
		return l.On, ""
	}
	return l.On, l.Field.Key
}

// lacksOf are the figures that a check lacks, by what it says: of every part and run
// that it names, those that it names and nobody has told. There is always one; it
// has no field where the words name none.
func (s *Session) lacksOf(f rules.Finding) []Lack {
	head, _, _ := strings.Cut(f.Message, ": ") // behind it stands how to find out
	asks := head
	for _, stop := range []string{" is not ", " are not ", " is unknown", " is known"} {
		asks, _, _ = strings.Cut(asks, stop)
	}
	here, _ := s.Owner(f.At)
	for _, words := range []string{asks, head, f.Message} {
		for _, exact := range []bool{true, false} {
			for _, ids := range [][]components.ID{s.owners(words), {here}} {
				var all []Lack
				for _, id := range ids {
					all = append(all, s.untold(id, f.At, words, exact)...)
				}
				if len(all) > 0 {
					return all
				}
			}
		}
	}
	return []Lack{{On: here, Says: f.Message}}
}

// owners are the parts and runs that words name.
func (s *Session) owners(words string) []components.ID {
	var ids []components.ID
	for _, w := range strings.FieldsFunc(words, func(r rune) bool { return strings.ContainsRune(" ,;:()'’", r) }) {
		if id, ok := s.Owner(strings.TrimSuffix(w, ".")); ok && !slices.Contains(ids, id) {
			ids = append(ids, id)
		}
	}
	return ids
}

// untold are the figures of a part or run that words ask for and nobody has told:
// by their key or title where that is to be exact, or by the first word of a title.
func (s *Session) untold(id components.ID, at, words string, exact bool) []Lack {
	words = strings.ToLower(words)
	if r, ok := s.Doc().Run(id); ok {
		return namedIn(words, exact, components.RunFields, r.Spec, func(f *components.Field) Lack { return Lack{On: id, Field: f} })
	}
	p, ok := s.Doc().Part(id)
	if !ok {
		return nil
	}
	if rows, i, ok := circuitOf(p, at, words); ok {
		all := namedIn(words, exact, rows.Row, p.Spec[rows.Key].Rows()[i], func(f *components.Field) Lack { return Lack{On: id, Field: f, Rows: rows, Row: i} })
		if len(all) > 0 {
			return all
		}
	}
	return namedIn(words, exact, p.Kind.Fields, p.Spec, func(f *components.Field) Lack { return Lack{On: id, Field: f} })
}

// circuitOf is the circuit of a part that an address, or words, name.
func circuitOf(p components.Part, at, words string) (rows *components.Field, i int, ok bool) {
	number, found := strings.CutPrefix(at, string(p.ID)+".c")
	if !found {
		_, after, has := strings.Cut(words, "circuit ")
		if !has {
			return nil, 0, false
		}
		number, _, _ = strings.Cut(after, " ")
	}
	n, err := strconv.Atoi(strings.Trim(number, ",;."))
	for k := range p.Kind.Fields {
		if f := &p.Kind.Fields[k]; err == nil && f.Type == components.Rows && n >= 1 && n <= len(p.Spec[f.Key].Rows()) {
			return f, n - 1, true
		}
	}
	return nil, 0, false
}

// asideNames are figures that a check asks for without their key or title.
var asideNames = map[string]string{"way_round": "out of order", "breaker_a": "rating", "fuse_a": "rating"}

// leastWord is how long the first word of a title must be to stand for it: "in" and
// "dc" stand in sentences about anything.
const leastWord = 4

// namedIn are the untold ones of some fields that words name. A name that was found
// is taken out of the words, and a longer one goes before a shorter one within it.
func namedIn(words string, exact bool, fields []components.Field, spec components.Spec, lack func(*components.Field) Lack) (all []Lack) {
	type name struct {
		text string
		of   int
	}
	var names []name
	for i, f := range fields {
		title, _, _ := strings.Cut(strings.ToLower(f.Title), ",")
		if !exact {
			if title, _, _ = strings.Cut(title, " "); len(title) < leastWord {
				title = ""
			}
		}
		names = append(names, name{f.Key, i}, name{title, i}, name{asideNames[f.Key], i})
	}
	slices.SortStableFunc(names, func(a, b name) int { return cmp.Compare(len(b.text), len(a.text)) })
	found := map[int]bool{}
	for _, n := range names {
		at := wordIn(words, n.text)
		v := spec[fields[n.of].Key]
		if at < 0 || fields[n.of].Type == components.Rows || v.Told() && !v.IsUnknown() {
			continue
		}
		found[n.of] = true
		words = words[:at] + "·" + words[at+len(n.text):]
	}
	for i := range fields {
		if found[i] {
			all = append(all, lack(&fields[i]))
		}
	}
	return all
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
