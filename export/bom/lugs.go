package bom

import "rigline/components"

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

// ofModules is what joins a cable to the leads of solar modules.
const ofModules = "PV connector, of the make of the modules' own"

// End is what goes on one end of one core of a run.
type End struct {
	Pole components.Pole
	What string // "Tinned copper lug", "" where the bare conductor goes under a screw
	Size string // of the core
	On   string // "3/8 in stud", "" where there is none
	Note string
}

// String is the end as a schedule prints it.
func (e End) String() string {
	switch {
	case e.What == "":
		return "bare under the screw"
	case e.On != "":
		return e.What + ", " + e.On
	}
	return e.What
}

// EndsOf are the terminations of a run's cores at both its ends, in the order of
// the cores: a lug where the end lands on a stud, a terminal where it goes into a
// DC device's clamp or block, and on the fine strands of a 230 V cable or of PV wire, a connector on
// the leads of solar modules. Other
// conductors go bare under a breaker's or a bar's screw and take nothing.
func EndsOf(doc *components.Document, r components.Run) (from, to []End) {
	cable, _ := r.Cable()
	for i, at := range []components.PortRef{r.From, r.To} {
		p, ok := doc.Part(at.Part)
		if !ok {
			continue
		}
		for _, c := range doc.CoresOf(r) {
			if i == 0 {
				from = append(from, endOf(doc, r, p, at.Port, c, c.From, cable))
			} else {
				to = append(to, endOf(doc, r, p, at.Port, c, c.To, cable))
			}
		}
	}
	return from, to
}

func endOf(doc *components.Document, r components.Run, p components.Part, port string, c components.Core, pole components.Pole, cable components.Construction) End {
	if IsLead(doc, r) {
		return End{Pole: pole, Size: size(r, c.Role()), What: ofLead}
	}
	if p.Kind == &components.SolarArray {
		return End{Pole: pole, Size: size(r, c.Role()), What: ofModules, Note: "one end of a pair: the module has the other (NEC 690.33, from memory: both of one make)"}
	}
	h := studAt(p, port, pole)
	e := End{Pole: pole, Size: size(r, c.Role())}
	if h == noHole {
		if pole.DC() && (cable.Table == components.FreeAirDC || cable.ID == "pv-90") || cable.Table == components.Metric230 {
			e.What = "Ferrule or crimp terminal, as the device takes"
		}
		return e
	}
	e.What, e.On, e.Note = "Tinned copper lug", h.inch+" stud", studsNote
	if doc.Units == "metric" {
		e.On = h.metric + " stud"
	}
	if h == notSure {
		e.On, e.Note = h.inch, "measure the stud before buying"
	}
	return e
}

// lugs lists what goes on the ends of a run's cores, with heat shrink over the barrel
// of each lug and the jacket.
func (l *list) lugs(r components.Run, sets float64) {
	from, to := EndsOf(l.doc, r)
	for _, e := range append(from, to...) {
		l.end(r.ID, e, sets)
	}
	for i, at := range []components.PortRef{r.From, r.To} {
		p, _ := l.doc.Part(at.Part)
		if p.Kind != &components.Battery && p.Kind != &components.Alternator {
			continue
		}
		for _, e := range [][]End{from, to}[i] {
			colour := "red"
			if e.Pole == components.Neg {
				colour = "black"
			}
			l.add(pieces(Shrink, sets, "Terminal boot, "+colour, fitting(e.Size), r.ID))
		}
	}
}

// end lists what goes on one end of a core.
func (l *list) end(run components.ID, e End, sets float64) {
	if e.What == "" {
		return
	}
	rating := e.Size
	if e.On != "" {
		rating += ", " + e.On
	}
	row := pieces(Lugs, sets, e.What, rating, run)
	row.Note = e.Note
	l.add(row)
	if e.On == "" {
		return
	}
	shrink := pieces(Shrink, sets, "Adhesive-lined heat shrink, one length a lug", fitting(e.Size), run)
	shrink.Note = "about 2 in each (common practice, no source)"
	if l.metric() {
		shrink.Note = "about 50 mm each (common practice, no source)"
	}
	l.add(shrink)
}

// Ends lists what goes on some ends of a run's cores.
func Ends(doc *components.Document, r components.Run, ends []End) []Row {
	l := &list{doc: doc, rows: map[rowKey]*Row{}, reels: map[reelKey]*reel{}}
	sets := 1.0
	if n := r.Figure("sets"); n.Known() {
		sets = n.Value
	}
	for _, e := range ends {
		l.end(r.ID, e, sets)
	}
	return l.sorted()
}

// studAt is the usual stud at a port: noHole where conductors go into a clamp,
// notSure where there is a stud and no usual one. All of it is common practice
// from memory, with no source: the device's own drawing decides.
func studAt(p components.Part, port string, pole components.Pole) hole {
	rating := p.Figure("rating_a")
	switch p.Kind {
	case &components.Battery:
		return m8
	case &components.DCSwitch:
		if clamped(rating) {
			return noHole
		}
		return m10
	case &components.Shunt:
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
	case &components.DCBreaker:
		if clamped(rating) {
			return noHole
		}
		return notSure
	case &components.Chassis, &components.BondKind, &components.Alternator:
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

// clamped tells whether a DC switch or breaker takes its conductors in clamps: the small
// ones, a roof array's isolator among them.
func clamped(rating components.Figure) bool { return rating.Known() && rating.Value <= 63 }

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
