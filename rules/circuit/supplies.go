package circuit

import (
	"slices"
	"strings"

	"rigline/components"
)

// SuppliesAt are the sources of AC that a port's hots lead to, however switches and
// breakers on the way stand, in tag order; another transfer switch may stand between.
func SuppliesAt(doc *components.Document, at components.PortRef) []components.ID {
	seen := map[components.PortRef]bool{at: true}
	var found []components.ID
	queue := []components.PortRef{at}
	see := func(ref components.PortRef) {
		if !seen[ref] {
			seen[ref] = true
			queue = append(queue, ref)
		}
	}
	for len(queue) > 0 {
		ref := queue[0]
		queue = queue[1:]
		for _, r := range doc.RunsAt(ref) {
			far := r.To
			if r.To == ref {
				far = r.From
			}
			p, ok := doc.Part(far.Part)
			if r.Gone() || !ok || p.Gone() || !slices.ContainsFunc(doc.CoresOf(r), func(c components.Core) bool { return c.From.Hot() }) {
				continue
			}
			switch p.Kind {
			case &components.Shore, &components.Generator:
				found = append(found, p.ID)
			case &components.Inverter, &components.InverterCharger:
				if far.Port == "ac-out" {
					found = append(found, p.ID)
				}
			default:
				see(far)
			}
		}
		p, ok := doc.Part(ref.Part)
		if !ok || ref.Part == at.Part { // it is asked of a port, not of the part
			continue
		}
		for _, j := range p.Kind.Joins(p.Spec) {
			switch {
			case !j.APole.Hot() || !j.BPole.Hot():
			case j.APort == ref.Port:
				see(p.Ref(j.BPort))
			case j.BPort == ref.Port:
				see(p.Ref(j.APort))
			}
		}
	}
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
