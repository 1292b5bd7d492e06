package cards

import "strings"

// grouped are batteries by what is said of them, so that six alike stand in one line.
type grouped []alike

type alike struct {
	tags              []string
	verb, says, after string
}

func (g *grouped) add(tag, verb, says, after string) {
	for i := range *g {
		if o := &(*g)[i]; o.verb == verb && o.says == says && o.after == after {
			o.tags = append(o.tags, tag)
			return
		}
	}
	*g = append(*g, alike{[]string{tag}, verb, says, after})
}

// String says them: "BAT1, BAT2 8 A each, BAT3 7 A".
func (g grouped) String() string {
	var all []string
	for _, o := range g {
		all = append(all, o.String())
	}
	return strings.Join(all, ", ")
}

func (o alike) String() string {
	each := ""
	if len(o.tags) > 1 {
		each = " each"
	}
	return strings.Join(o.tags, ", ") + o.verb + o.says + each + o.after
}
