package bom

import (
	"fmt"

	"rigline/components"
)

// hole is a stud that a lug goes over, in inches and by its metric neighbour.
type hole struct{ inch, metric string }

var (
	noHole    = hole{}
	m6        = hole{"1/4 in", "M6"}
	m8        = hole{"5/16 in", "M8"}
	m10       = hole{"3/8 in", "M10"}
	notSure   = hole{"stud not known", "stud not known"}
	studsNote = "usual stud, common practice, no source: measure yours before buying"
)

// lugs lists what goes on the ends of a run's cores: a lug where the end lands on
// a stud, a terminal where it goes into a DC device's clamp or block. Conductors
// that go bare under a breaker's or a bar's screw take nothing.
func (l *list) lugs(r components.Run, cores []components.Core, cable components.Construction, sets float64) {
	for i, at := range []components.PortRef{r.From, r.To} {
		p, ok := l.doc.Part(at.Part)
		if !ok {
			continue
		}
		for _, c := range cores {
			pole := c.From
			if i == 1 {
				pole = c.To
			}
			if row, ok := l.end(r, p, at.Port, c, pole, cable); ok {
				row.Quantity = sets
				l.add(row)
			}
		}
	}
}

// end is what one end of a core takes; ok is false where it takes nothing.
func (l *list) end(r components.Run, p components.Part, port string, c components.Core, pole components.Pole, cable components.Construction) (Row, bool) {
	h := studAt(p, port, pole)
	made := size(r, c.Role())
	if h == noHole {
		if !pole.DC() || cable.Table != components.FreeAirDC {
			return Row{}, false
		}
		return pieces(Lugs, 1, "Ferrule or crimp terminal, as the device takes", made, r.ID), true
	}
	on, note := h.inch+" stud", studsNote
	if l.metric() {
		on = h.metric + " stud"
	}
	if h == notSure {
		on, note = h.inch, "measure the stud before buying"
	}
	row := pieces(Lugs, 1, "Tinned copper lug with adhesive heat shrink", fmt.Sprintf("%s, %s", made, on), r.ID)
	row.Note = note
	return row, true
}

// studAt is the usual stud at a port: noHole where conductors go into a clamp,
// notSure where there is a stud and no usual one. All of it is common practice
// from memory, with no source: the device's own drawing decides.
func studAt(p components.Part, port string, pole components.Pole) hole {
	rating := p.Figure("rating_a")
	switch p.Kind {
	case &components.Battery:
		return m8
	case &components.DCSwitch, &components.Shunt:
		return m10
	case &components.Busbar:
		switch {
		case !rating.Known():
			return notSure
		case rating.Value <= 150:
			return m6
		case rating.Value <= 250:
			return m8
		}
		return m10
	case &components.Inverter, &components.InverterCharger, &components.Charger:
		switch {
		case port == "dc":
			return m8
		case port == "case":
			return notSure
		}
	case &components.Chassis, &components.BondKind, &components.Alternator, &components.DCBreaker:
		return notSure
	case &components.DCPanel:
		if port == "feed" {
			return notSure
		}
	case &components.Fuse:
		return fuseStud(p.Word("family"), rating)
	}
	return noHole
}

// fuseStud is the stud of a fuse's holder by the fuse's form. ISO 8820-5 fixes
// those of the strip fuses: M8 for SF51, M5 for SF30 (from memory).
func fuseStud(family string, rating components.Figure) hole {
	switch family {
	case "class-t":
		switch {
		case !rating.Known() || rating.Value <= 100:
			return notSure
		case rating.Value <= 200:
			return m8
		}
		return m10
	case "terminal-block", "anl", "strip-sf51":
		return m8
	case "strip-sf30":
		return hole{"#10", "M5"}
	case "class-j-dc", "nh-gg-dc", "":
		return notSure
	}
	return noHole
}
