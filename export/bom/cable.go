package bom

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
)

// Waste is what is added to the length of cable to buy, for routing and for ends
// that are cut off (common practice, no source).
const Waste = 0.10

const metresPerFoot = 0.3048

// reelKey is what lengths must share to come off one reel. Lengths that are not
// known are kept apart, so that a sum is never short without saying so.
type reelKey struct {
	section                  Section
	construction, make_, hue string
	unknown                  bool
}

// reel is the length of one cable.
type reel struct {
	feet float64
	tags []components.ID
}

// run lists the cable of a run, core by core where they are separate, and the
// lugs at its ends.
func (l *list) run(r components.Run) {
	cable, told := r.Cable()
	what := cable.Title
	if !told {
		what = "cable, construction not known"
	}
	section := sectionOf(r.Status, Cable)
	cores := l.doc.CoresOf(r)
	sets := r.Figure("sets")
	n := 1.0
	if sets.Known() {
		n = sets.Value
	}
	switch {
	case cable.ID == "cord-shore", IsLead(l.doc, r):
		l.cord(r, section, what, makeUp(r, cores))
		return
	case cable.Multi:
		l.wind(r, sets, reelKey{section: section, construction: what, make_: makeUp(r, cores), hue: r.Spec["color"].Str()}, n)
	default:
		for _, c := range cores {
			l.wind(r, sets, reelKey{section: section, construction: what, make_: size(r, c.Role()), hue: hue(l.doc, r, c, len(cores))}, n)
		}
	}
	if section == Cable {
		l.lugs(r, n)
		l.fittings(r, cores, cable, n)
		l.conduit(r, cable)
	}
	l.landsIn(r, cores, cable)
}

// cord lists a lead or a listed cord set, which is bought as it is made.
func (l *list) cord(r components.Run, s Section, what, made string) {
	length := "length not known"
	if f := r.Figure("length_ft"); f.Known() {
		length = l.length(f.Value)
	}
	row := pieces(s, 1, what, made+", "+length, r.ID)
	if IsLead(l.doc, r) {
		row.Note = "made up, with its plug and connector"
	}
	l.add(row)
}

func (l *list) metric() bool { return l.doc.Units == "metric" }

// length prints a length in the project's unit.
func (l *list) length(feet float64) string {
	if l.metric() {
		return fmt.Sprintf("%.1f m", feet*metresPerFoot)
	}
	return fmt.Sprintf("%g ft", math.Round(feet*10)/10)
}

func (l *list) wind(r components.Run, sets components.Figure, key reelKey, n float64) {
	feet := r.Figure("length_ft")
	key.unknown = !feet.Known() || !sets.Known()
	c := l.reels[key]
	if c == nil {
		c = &reel{}
		l.reels[key] = c
	}
	c.tags = append(c.tags, r.ID)
	if !key.unknown {
		c.feet += feet.Value * n
	}
}

// windUp turns the reels into rows: the sum with its waste, rounded up to whole
// feet or metres, since that is how it is sold.
func (l *list) windUp() {
	for key, c := range l.reels {
		row := Row{Section: key.section, Known: !key.unknown, Unit: "ft", Description: key.construction, Rating: key.make_, For: c.tags, Note: key.hue}
		length := c.feet
		if key.section == Cable {
			length *= 1 + Waste
		}
		if l.metric() {
			row.Unit = "m"
			length *= metresPerFoot
		}
		const hair = 1e-6 // 11.000000000000002 ft is 11 ft
		row.Quantity = math.Ceil(length - hair)
		row.Net = c.feet
		if l.metric() {
			row.Net *= metresPerFoot
		}
		row.Net = math.Round(row.Net*1000) / 1000
		if key.section == Cable && !key.unknown {
			row.Sold = l.sold(key.construction, row.Quantity)
		}
		if key.unknown {
			row.Quantity, row.Net, row.Note = 0, 0, join("; ", key.hue, "length not known: measure")
		}
		l.add(row)
	}
}

// coils are the lengths that sheathed building cable is sold in, in feet (common
// practice, no source); other cable is cut to length by the foot.
var coils = []float64{25, 50, 100, 250}

// sold tells how a length of a construction is bought.
func (l *list) sold(construction string, length float64) string {
	nm, _ := components.FindConstruction("nm-b")
	if construction != nm.Title || l.metric() {
		return "cut to length, in one piece where it can be"
	}
	for _, c := range coils {
		if length <= c {
			return fmt.Sprintf("one coil of %g ft", c)
		}
	}
	last := coils[len(coils)-1]
	return fmt.Sprintf("%g coils of %g ft", math.Ceil(length/last), last)
}

// size is the size of a core, or that it is not known.
func size(r components.Run, p components.Pole) string {
	s, ok := r.Size(p)
	if !ok {
		return "size not known"
	}
	return s.String()
}

// makeUp is what is in a jacket: "10 AWG, 3 cores" or "6 AWG, 3 cores and 8 AWG
// ground".
func makeUp(r components.Run, cores []components.Core) string {
	main, ground := size(r, components.L), size(r, components.G)
	n, apart := 0, false
	for _, c := range cores {
		if c.Role() == components.G && ground != main {
			apart = true
			continue
		}
		n++
	}
	text := fmt.Sprintf("%s, %d cores", main, n)
	if n == 1 {
		text = main + ", 1 core"
	}
	if apart {
		text += " and " + ground + " ground"
	}
	return text
}

// Colours are the colours of a run's conductors, each once, in the order of its
// cores.
func Colours(doc *components.Document, r components.Run) []string {
	var all []string
	cores := doc.CoresOf(r)
	for _, c := range cores {
		if h := hue(doc, r, c, len(cores)); !slices.Contains(all, h) {
			all = append(all, h)
		}
	}
	return all
}

// hue is the colour of a single conductor: as told where the run has one core,
// else by its pole. In a caravan line, neutral and protective conductor are brown,
// blue, green and yellow (IEC 60445, HD 308, from memory); else white and green are of
// NEC 200.6 and 250.119; the rest is common practice, no source.
func hue(doc *components.Document, r components.Run, c components.Core, cores int) string {
	if told := r.Spec["color"].Str(); told != "" && cores == 1 {
		return told
	}
	role := c.Role()
	if doc.Basis == components.Caravan && !role.DC() {
		return caravanHues[role]
	}
	switch role {
	case components.L2, components.Pos:
		return "red"
	case components.N:
		return "white"
	case components.G:
		return "green"
	}
	return "black"
}

var caravanHues = map[components.Pole]string{components.L: "brown", components.L1: "brown", components.L2: "black", components.N: "blue", components.G: "green and yellow"}
