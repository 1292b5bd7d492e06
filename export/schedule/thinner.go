package schedule

import (
	"fmt"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/export/solved"
	"rigline/rules/checks"
)

// thinner parts the DC runs behind a device into those that it protects and those that
// carry less than its rating: short ends to a smaller fuse of their own, or what no
// device protects. The rules tell which of these may be.
func thinner(rig *solved.Rig, d Device, behind []components.ID) (protected []components.ID, thin []string) {
	rating, err := strconv.ParseFloat(d.Rating, 64)
	if err != nil {
		return behind, nil
	}
	for _, id := range behind {
		r, _ := rig.Doc.Run(id)
		cores := rig.Doc.CoresOf(r)
		if len(cores) == 0 || !cores[0].From.DC() {
			protected = append(protected, id)
			continue
		}
		a := ampacity(rig, r, cores, checks.Ampacity)
		if !a.Known || a.Usable >= rating {
			protected = append(protected, id)
			continue
		}
		text := fmt.Sprintf("%s (%s A)", id, num(a.Usable))
		for _, end := range []components.PortRef{r.To, r.From} {
			if p, ok := rig.Doc.Part(end.Part); ok && p.Kind.Role == components.Protects && string(p.ID) != d.Address {
				text = fmt.Sprintf("%s (%s A, to %s)", id, num(a.Usable), p.ID)
				break
			}
		}
		thin = append(thin, text)
	}
	return protected, thin
}

// protects is the runs that a device protects, and those behind it that it does not.
func (d Device) protects() string {
	text := ids(d.Feeds)
	if len(d.Thinner) == 0 {
		return text
	}
	return strings.TrimPrefix(text+"; not ", "; ") + strings.Join(d.Thinner, ", ")
}
