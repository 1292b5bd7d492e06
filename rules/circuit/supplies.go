package circuit

import (
	"slices"
	"strings"

	"rigline/components"
)

// SuppliesAt are the sources of AC that a port's hots lead to, however switches and
// breakers on the way stand, in tag order; another transfer switch may stand between.
func SuppliesAt(doc *components.Document, at components.PortRef) []components.ID {
	seen := map[components.PortRef]bool{}
	var found []components.ID
	var walk func(ref components.PortRef)
	walk = func(ref components.PortRef) {
		if seen[ref] {
			return
		}
		seen[ref] = true
		for _, r := range doc.RunsAt(ref) {
			far := r.To
			if r.To == ref {
				far = r.From
			}
			p, ok := doc.Part(far.Part)
			if r.Gone() || !ok || p.Gone() || seen[far] || !slices.ContainsFunc(doc.CoresOf(r), func(c components.Core) bool { return c.From.Hot() }) {
				continue
			}
			seen[far] = true
			switch p.Kind {
			case &components.Shore, &components.Generator:
				found = append(found, p.ID)
				continue
			case &components.Inverter, &components.InverterCharger:
				if far.Port == "ac-out" {
					found = append(found, p.ID)
				}
				continue
			}
			for _, j := range p.Kind.Joins(p.Spec) {
				switch {
				case !j.APole.Hot() || !j.BPole.Hot():
				case j.APort == far.Port:
					walk(p.Ref(j.BPort))
				case j.BPort == far.Port:
					walk(p.Ref(j.APort))
				}
			}
		}
	}
	walk(at)
	slices.SortFunc(found, components.CompareIDs)
	return slices.Compact(found)
}

// InputOf tells a transfer switch's position in words: its input, and what supplies
// that.
func InputOf(doc *components.Document, transfer components.ID, at Position) string {
	text := "its input " + string(at)
	var tags []string
	for _, id := range SuppliesAt(doc, components.PortRef{Part: transfer, Port: string(at)}) {
		tags = append(tags, string(id))
	}
	if len(tags) > 0 {
		text += " (" + strings.Join(tags, ", ") + ")"
	}
	return text
}
