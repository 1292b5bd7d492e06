package canvas

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// plainWords are the choices of the catalogue in the words of the trade, by the
// word that stands in the file. One that means different things in two fields is
// listed under the field's key, as "inverts L1".
var plainWords = map[string]string{
	"lfp": "lithium iron phosphate", "agm": "AGM lead", "gel": "gel lead", "flooded": "flooded lead",
	"class-t": "class T", "class-j-dc": "class J, rated for DC", "terminal-block": "on a battery terminal", "anl": "ANL",
	"strip-sf51": "strip, SF51", "strip-sf30": "strip, SF30", "blade-atc": "blade, usual size", "blade-mini": "blade, mini",
	"blade-maxi": "blade, maxi", "glass-3ag": "glass tube, 3AG", "pv-gpv-10x38": "array fuse gPV, 10 × 38 mm", "nh-gg-dc": "NH gG, rated for DC",
	"breaker-molded-dc": "molded case, DC", "breaker-surface-thermal": "surface mount, thermal", "breaker-din-polarised": "DIN rail, polarised",
	"+": "positive (+)", "-": "negative (−)", "G": "ground (G)", "N": "neutral (N)", "L": "line (L)",
	"leg L1": "leg 1", "leg L2": "leg 2", "leg both": "both legs, 240 V",
	"legs one": "one winding", "legs opposite": "two legs, 240 V between them", "legs same-phase": "two legs in phase, 0 V between them",
	"inverts L1": "one leg", "inverts both-split": "two legs, 240 V between them", "inverts both-in-phase": "two legs in phase, 0 V between them",
	"passes L1": "one leg", "passes both": "both legs",
	"prefers a": "input a", "prefers b": "input b",
	"ul-458": "UL 458, vehicles and boats", "ul-1741": "UL 1741, buildings", "other": "another standard",
	"sense_lead fused": "fused", "sense_lead unfused": "not fused",
	"copper-clad": "copper-clad aluminum",
	"us-rv":       "North American vehicle", "iec-caravan": "230 V caravan",
	"us": "gauge and feet", "metric": "mm² and metres",
}

// plainWord is one choice of a field as a person reads it; what has no words of
// its own is read as it stands.
func plainWord(key, choice string) string {
	if w, ok := plainWords[key+" "+choice]; ok {
		return w
	}
	if w, ok := plainWords[choice]; ok {
		return w
	}
	if c, ok := components.FindConstruction(choice); ok && key == "cable" {
		return c.Title
	}
	if amps := components.ServiceAmps(choice); amps > 0 {
		volts := fmt.Sprintf("%g V", components.ServiceVolts(choice))
		if components.ThreeWire(choice) {
			_, after, _ := strings.Cut(choice, "-")
			volts = after + " V, two legs"
		}
		if slices.Contains(components.Adapters, choice) {
			volts = "an adapter on both legs"
		}
		return fmt.Sprintf("%g A, %s", amps, volts)
	}
	if strings.Trim(choice, "abcdefghijklmnopqrstuvwxyz-") == "" && len(choice) > 1 {
		return strings.ReplaceAll(choice, "-", " ")
	}
	return choice
}

// bareChoice is the choice that a person's word stands for.
func bareChoice(key string, choices []string, word string) string {
	for _, c := range choices {
		if plainWord(key, c) == word {
			return c
		}
	}
	return word
}

// plainSaying is what a finding says, with the keys of the file in the words of
// the details, in quotes as they stand there: a title is seldom a noun.
func plainSaying(doc *components.Document, f rules.Finding) string {
	says := f.Message
	for _, a := range f.Addresses() {
		id, _, _ := strings.Cut(a, ".")
		fields := components.RunFields
		if p, ok := doc.Part(components.ID(id)); ok {
			fields = p.Kind.Fields
		}
		for _, d := range fields {
			if strings.Contains(d.Key, "_") && strings.Contains(says, d.Key) {
				says = wordsFor(says, d.Key, "“"+d.Title+"”")
			} else if rest, ok := strings.CutPrefix(says, d.Key+" of "); ok {
				says = "“" + d.Title + "” of " + rest
			}
		}
	}
	return tagList.ReplaceAllStringFunc(says, inARow)
}

// tagList is a list of four tags or more, which is long to read.
var tagList = regexp.MustCompile(`\b[A-Z]+\d+(, [A-Z]+\d+){3,}`)

// inARow tells three tags or more of a list that follow each other as the first to the
// last: W1, W2, W3, W5 is W1 to W3, W5.
func inARow(list string) string {
	follows := func(a, b string) bool {
		prefix := strings.TrimRight(a, "0123456789")
		n, err := strconv.Atoi(a[len(prefix):])
		return err == nil && b == prefix+strconv.Itoa(n+1)
	}
	tags := strings.Split(list, ", ")
	var said []string
	for i := 0; i < len(tags); {
		j := i
		for j+1 < len(tags) && follows(tags[j], tags[j+1]) {
			j++
		}
		if j-i >= 2 {
			said = append(said, tags[i]+" to "+tags[j])
			i = j + 1
		} else {
			said = append(said, tags[i])
			i++
		}
	}
	return strings.Join(said, ", ")
}

// saying is what a finding says in the words of the rig's rule set.
func (e *Editor) saying(f rules.Finding) string { return e.s.Say(plainSaying(e.s.Doc(), f)) }

// spoken is a field with what is read of it in the words of the rig's rule set.
func (e *Editor) spoken(f *components.Field) *components.Field {
	said := *f
	said.Title, said.Help, said.DefaultFrom = e.s.Say(f.Title), e.s.Say(f.Help), e.s.Say(f.DefaultFrom)
	return &said
}

// said puts the choices of a row into the words of the rig's rule set; what is chosen is
// kept as the file has it.
func (e *Editor) said(r *row) *row {
	sel, ok := r.control.(*pickList)
	if !ok {
		return r
	}
	var bare []string // beside the options, as they were
	take, show := sel.OnChanged, r.show
	sel.OnChanged = func(text string) {
		if i := slices.Index(sel.Options, text); i >= 0 && len(bare) == len(sel.Options) {
			text = bare[i]
		}
		take(text)
	}
	r.show = func() {
		if bare != nil {
			sel.Options, bare = bare, nil
		}
		show()
		all := make([]string, len(sel.Options))
		for i, o := range sel.Options {
			all[i] = e.s.Say(o)
		}
		if !slices.Equal(all, sel.Options) {
			at := sel.SelectedIndex()
			bare, sel.Options = sel.Options, all
			if at >= 0 {
				sel.Selected = all[at]
			}
			sel.Refresh()
		}
	}
	r.show()
	return r
}

// capital begins a sentence with a capital, where it begins with a letter.
func capital(text string) string {
	if text == "" || text[0] < 'a' || text[0] > 'z' {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// wordsFor puts words in the place of a key wherever it stands alone: one key may end
// as another does.
func wordsFor(text, key, words string) string {
	letter := func(i int) bool {
		return i >= 0 && i < len(text) && (text[i] == '_' || text[i] >= 'a' && text[i] <= 'z' || text[i] >= '0' && text[i] <= '9')
	}
	var out strings.Builder
	from := 0
	for {
		i := strings.Index(text[from:], key)
		if i < 0 {
			break
		}
		i += from
		out.WriteString(text[from:i])
		if letter(i-1) || letter(i+len(key)) {
			out.WriteString(key)
		} else {
			out.WriteString(words)
		}
		from = i + len(key)
	}
	return out.String() + text[from:]
}
