package bom

import (
	"fmt"
	"math"

	"rigline/components"
)

// support is how far apart a cable is held, in feet, how many more clamps stand at its
// ends, and where that is from.
type support struct {
	apart, ends float64
	note        string
}

// supportOf is how a cable is held: single and boat cable every 18 in, sheathed and
// multi-core cable every 4.5 ft and near each box; all of a caravan's, outside rigid
// conduit, every 0.25 m, as where it lies level.
func supportOf(doc *components.Document, cable components.Construction) support {
	metric := doc.Units == "metric"
	in := func(us, si string) string {
		if metric {
			return si
		}
		return us
	}
	switch {
	case doc.Basis == components.Caravan:
		return support{0.25 / metresPerFoot, 0, "one each 0.25 m where it lies level, 0.4 m where it climbs (IEC 60364-7-721 721.522, from memory), none in rigid conduit; counted as level; bundles share them"}
	case cable.Table == components.FreeAirDC:
		return support{1.5, 0, "one each " + in("18 in", "0.45 m") + " (marine practice, from memory); bundles share them"}
	}
	return support{4.5, 2, "one each " + in("4.5 ft", "1.4 m") + " and one within " + in("12 in", "0.3 m") + " of each end (NEC 334.30, from memory); bundles share them"}
}

// fitting is the rating of a thing that fits a size.
func fitting(size string) string {
	if size == "size not known" {
		return size
	}
	return "for " + size
}

// fittings lists what holds a run and what it enters boxes through. Bundles share
// their clamps, so the count is on the high side. Holes are not on the drawing.
func (l *list) fittings(r components.Run, cores []components.Core, cable components.Construction, sets float64) {
	size, feet := size(r, components.L), r.Figure("length_ft")
	if cable.Multi {
		size = makeUp(r, cores)
	}
	held := supportOf(l.doc, cable)
	clamps := pieces(Fittings, 0, "Cushioned clamp", fitting(size), r.ID)
	clamps.Note = held.note
	if feet.Known() {
		clamps.Quantity = (math.Floor(feet.Value/held.apart+1e-9) + held.ends) * sets
	} else {
		clamps.Known = false
		clamps.Note = "length not known: " + held.note
	}
	if clamps.Quantity > 0 || !clamps.Known {
		l.add(clamps)
	}
	if cable.Multi && cable.Table != components.FreeAirDC {
		for _, at := range []components.PortRef{r.From, r.To} {
			if p, ok := l.doc.Part(at.Part); ok && boxed(p.Kind) {
				l.add(pieces(Fittings, sets, "Box connector with strain relief", fitting(size), r.ID))
			}
		}
	}
}

// about lists what goes over a bar that is alive, and what makes a stud of the frame.
func (l *list) about(p components.Part) {
	switch {
	case p.Kind == &components.Busbar && p.Word("pole") != string(components.Neg):
		row := pieces(Fittings, 1, "Insulating cover of a bus bar", p.Kind.Rating(p.Spec), p.ID)
		row.Note = "some bars come with theirs"
		l.add(row)
	case p.Kind == &components.Chassis:
		row := pieces(Fittings, 1, "Bolt with nut and star washers for a chassis stud", "to fit its lugs", p.ID)
		row.Note = "through bare metal (common practice, no source)"
		l.add(row)
	}
}

// landsIn lists what a cable that stays enters a new box through.
func (l *list) landsIn(r components.Run, cores []components.Core, cable components.Construction) {
	if !cable.Multi || cable.Table == components.FreeAirDC || r.Status != components.Existing {
		return
	}
	for _, at := range []components.PortRef{r.From, r.To} {
		if p, ok := l.doc.Part(at.Part); ok && boxed(p.Kind) && sectionOf(p.Status, Fittings) == Fittings {
			l.add(pieces(Fittings, 1, "Box connector with strain relief", fitting(makeUp(r, cores)), r.ID))
		}
	}
}

// conduit lists what single conductors on the mains lie in (NEC 300.3, IEC 60364-5-52
// 521.10, from memory).
func (l *list) conduit(r components.Run, cable components.Construction) {
	if cable.ID != "thhn" && cable.ID != "h07v-k" {
		return
	}
	feet := r.Figure("length_ft")
	row := Row{Section: Fittings, Known: feet.Known(), Unit: "ft", Description: "Conduit, with its ends", Rating: fitting(size(r, components.L)), For: []components.ID{r.ID}, Note: "runs that lie together share it"}
	row.Quantity = math.Ceil(feet.Value*(1+Waste) - 1e-6)
	if l.metric() {
		row.Unit, row.Quantity = "m", math.Ceil(feet.Value*(1+Waste)*metresPerFoot-1e-6)
	}
	if !feet.Known() {
		row.Quantity, row.Note = 0, "length not known: measure"
	}
	l.add(row)
}

// boxed tells whether a cable enters an enclosure there, and not a bare stud.
func boxed(k *components.Kind) bool {
	switch k {
	case &components.Shore, &components.Chassis, &components.BondKind, &components.Busbar:
		return false
	}
	return true
}

// marking lists what is printed and hung: tags at both ends of every run that
// stays, one on each part, and what the drawing cannot count.
func (l *list) marking() {
	tags := Row{Section: Marking, Known: true, Unit: "pc", Description: "Run tag, heat-shrink or wrap-around", Note: "both ends of each run; the words are in labels.csv"}
	parts := Row{Section: Marking, Known: true, Unit: "pc", Description: "Part label", Note: "the words, and the warnings, are in labels.csv"}
	var metal []components.ID
	bank := 0.0
	inverter, precharged := false, false
	for _, r := range l.doc.Runs() {
		if !r.Gone() {
			tags.Quantity += 2
			tags.For = append(tags.For, r.ID)
			if r.Status != components.Existing {
				metal = append(metal, r.ID)
			}
		}
	}
	for _, p := range l.doc.Parts() {
		if p.Gone() || p.Kind == &components.Shore || p.Kind == &components.Splice {
			continue
		}
		parts.Quantity++
		parts.For = append(parts.For, p.ID)
		switch p.Kind {
		case &components.DCSwitch:
			if ohms := p.Figure("precharge_ohm"); ohms.Known() {
				precharged = true
				l.precharge(p, ohms.Value)
			}
		case &components.Battery:
			bank = max(bank, p.Figure("nominal_v").Value*p.Figure("series").Value)
		case &components.Inverter, &components.InverterCharger:
			inverter = true
		}
	}
	if tags.Quantity > 0 {
		l.add(tags)
	}
	if parts.Quantity > 0 {
		l.add(parts)
	}
	if len(metal) > 0 {
		l.add(Row{Section: Fittings, Unit: "pc", Description: "Grommet or bushing", Rating: "to fit the hole", For: metal, Note: "one for each hole in metal or wood that a cable passes: the drawing does not show them, so count them"})
	}
	if inverter && bank >= 36 && !precharged {
		l.add(Row{Section: Equipment, Quantity: 1, Known: true, Unit: "pc", Description: "Pre-charge resistor", Rating: fmt.Sprintf("50 Ω, 25 W, for a bank of %g V", bank), Note: "common practice, no source: charges the inverter's capacitors before the disconnect closes"})
	}
}

// precharge lists the resistor that the drawing has across a disconnect.
func (l *list) precharge(sw components.Part, ohms float64) {
	if sw.Status == components.Existing {
		return
	}
	l.add(Row{Section: Equipment, Quantity: 1, Known: true, Unit: "pc", Description: "Pre-charge resistor, with its button", Rating: fmt.Sprintf("%g Ω, 25 W", ohms), For: []components.ID{sw.ID}, Note: "the ohms are of the drawing, the watts common practice, no source; some disconnects come with theirs"})
}
