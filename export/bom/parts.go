package bom

import (
	"fmt"
	"strings"

	"rigline/components"
)

// goesWithHolder is said of a fuse that comes out.
const goesWithHolder = "with its holder, where that does not stay"

// notBought are kinds that stand on the drawing and in no shop: the site's outlet
// and the frame itself.
func notBought(k *components.Kind) bool { return k == &components.Shore || k == &components.Chassis }

// chemistry names a battery's chemistry as its label does.
func chemistry(p components.Part) string {
	switch word := known(p.Spec["chemistry"]); word {
	case "lfp", "agm":
		return strings.ToUpper(word)
	default:
		return word
	}
}

// part lists a part, and what is bought with it: the holder and the spare of a
// fuse, the breakers of a panel.
func (l *list) part(p components.Part) {
	if p.Kind == &components.Chassis && sectionOf(p.Status, Fittings) == Fittings {
		l.about(p)
	}
	if notBought(p.Kind) {
		return
	}
	bought := Equipment
	if p.Kind.Role == components.Protects {
		bought = Protection
	}
	row := pieces(sectionOf(p.Status, bought), 1, p.Kind.Title, p.Kind.Rating(p.Spec), p.ID)
	row.Note = join(", ", p.Buy.Supplier, p.Buy.PartNo)
	switch p.Kind {
	case &components.Battery:
		row.Rating = fmt.Sprintf("%s, %s V, %s Ah", chemistry(p), known(p.Spec["nominal_v"]), known(p.Spec["capacity_ah"]))
		row.many(p, "block")
	case &components.SolarArray:
		row.Description = "Solar module"
		row.Rating = fmt.Sprintf("Voc %s V, Isc %s A, Vmp %s V, Imp %s A", known(p.Spec["voc_v"]), known(p.Spec["isc_a"]), known(p.Spec["vmp_v"]), known(p.Spec["imp_a"]))
		row.many(p, "module")
		if n := p.Figure("parallel"); n.Known() && n.Value > 1 && p.Status != components.Existing && !p.Gone() {
			l.add(branches(p))
		}
	case &components.Fuse:
		row.Rating = fuseRating(p, row.Rating)
	case &components.ACBreaker:
		row.Rating = known(p.Spec["rating_a"]) + " A, " + Poles(p.Figure("hots").Value, p.Spec["opens_neutral"]) + Residual(p.Spec["gfci"], p.Spec["trip_ma"])
	case &components.ACLoad, &components.DCLoad:
		if p.Name != "" {
			row.Description += ": " + p.Name
		}
	case &components.BondKind:
		row.Description, row.Rating = "Bonding jumper", bonds(p)
		row.Note = join(", ", row.Note, "a bar, a stud or a link, where the runs that meet in it are not one cable")
	}
	// A person's own words and price are for the part as it is drawn.
	if p.Buy.Price > 0 && row.Known {
		row.Price = p.Buy.Price / row.Quantity
	}
	if p.Buy.Description != "" {
		row.Description = p.Buy.Description
		row.Quantity, row.Known, row.Price = 1, true, p.Buy.Price
	}
	if row.Section == Out && p.Kind == &components.Fuse && row.Note == "" {
		row.Note = goesWithHolder
	}
	l.add(row)
	if !row.Section.Bought() {
		return
	}
	if p.Kind == &components.Fuse {
		l.holder(p, row)
	}
	l.about(p)
	l.inside(p)
}

// branches are what joins the strings of an array.
func branches(p components.Part) Row {
	row := pieces(Lugs, 1, "PV branch connectors, a pair, or a combiner box", fmt.Sprintf("for %v strings", p.Figure("parallel").Value), p.ID)
	row.Note = "of the make of the modules' own connectors (common practice, no source)"
	return row
}

// fuseRating tells the forms of blade and strip fuses apart, which fit different holders and
// stand under one word on the sheet.
func fuseRating(p components.Part, usual string) string {
	form := map[string]string{"blade-atc": "regular blade", "blade-mini": "mini blade", "blade-maxi": "maxi blade", "strip-sf51": "SF51 strip, 51 mm", "strip-sf30": "SF30 strip, 30 mm"}[p.Word("family")]
	if form == "" {
		return usual
	}
	return known(p.Spec["rating_a"]) + " A " + form
}

// many counts the blocks of a bank or the modules of an array, and says how they
// stand together where there are several.
func (r *Row) many(p components.Part, word string) {
	series, parallel := p.Figure("series"), p.Figure("parallel")
	if !series.Known() || !parallel.Known() {
		r.Known, r.Quantity = false, 0
		r.Rating += ", number of " + word + "s not known"
		return
	}
	r.Quantity = series.Value * parallel.Value
	if r.Quantity > 1 {
		r.Rating += fmt.Sprintf(", %g in series, %g in parallel", series.Value, parallel.Value)
	}
}

func bonds(p components.Part) string {
	switch components.Pole(p.Word("a_pole")) {
	case components.N:
		return "neutral to ground"
	case components.G:
		return "ground to ground"
	}
	return "negative to ground"
}

// holder lists what a fuse sits in, and a spare. One spare of each rating and
// family goes with the rig (common practice, no source).
func (l *list) holder(p components.Part, fuse Row) {
	l.add(pieces(Protection, 1, holderOf(p), "for "+fuse.Rating, p.ID))
	l.spare(fuse.Description, fuse.Rating, fuse.Price, p.ID)
}

func holderOf(p components.Part) string {
	if p.Word("family") == "terminal-block" {
		return "Stud block for a terminal fuse"
	}
	return "Fuse holder"
}

// stringFuses lists the fuses on the strings of a battery or an array whose symbol
// stands for several: one on every string, in a holder, and a spare.
func (l *list) stringFuses(p components.Part) {
	a, n := p.Figure("string_fuse_a"), p.Figure("parallel")
	if !a.Known() {
		return
	}
	rating, note := fmt.Sprintf("%g A, family not told", a.Value), "on every positive post; current-limiting where the bank is lithium"
	if p.Kind == &components.SolarArray {
		rating, note = fmt.Sprintf("%g A gPV", a.Value), "on the positive of every string, in the combiner"
	}
	for _, what := range []string{"Fuse on each string", "Fuse holder"} {
		row := pieces(Protection, n.Value, what, rating, p.ID)
		if what == "Fuse holder" {
			row.Rating = "for " + rating
		}
		if row.Note = note; !n.Known() {
			row.Known, row.Quantity = false, 0
		}
		l.add(row)
	}
	l.spare("Fuse on each string", rating, 0, p.ID)
}

// spare lists one spare, for however many fuses that are alike.
func (l *list) spare(what, rating string, price float64, id components.ID) {
	row := pieces(Spares, 1, what, rating, id)
	row.Price, row.Note = price, "one spare of each rating and family"
	key := rowKey{row.Section, row.Description, row.Rating, row.Unit, row.Note, row.Price, row.Known}
	if old, ok := l.rows[key]; ok {
		old.For = append(old.For, id)
		return
	}
	l.add(row)
}

// inside lists the breakers and fuses of a panel, and the fuses of strings.
func (l *list) inside(p components.Part) {
	switch p.Kind {
	case &components.Battery, &components.SolarArray:
		l.stringFuses(p)
	case &components.Panel:
		l.breakers(p)
	case &components.DCPanel:
		for _, c := range p.Spec["circuits"].Rows() {
			rating := "not known"
			if c["fuse_a"].Known() {
				rating = c["fuse_a"].String() + " A"
			}
			l.add(pieces(Protection, 1, "Panel fuse", rating, p.ID))
			l.spare("Panel fuse", rating, 0, p.ID)
		}
	}
}

// breakers lists a panel's main breaker and those of its circuits.
func (l *list) breakers(p components.Part) {
	legs := p.Figure("legs")
	if main := p.Figure("main_a"); main.Known() {
		poles := "poles not known"
		if legs.Known() {
			poles = Poles(legs.Value, p.Spec["main_opens_neutral"])
		}
		l.add(pieces(Protection, 1, "Panel breaker, main", fmt.Sprintf("%g A, %s%s", main.Value, poles, Residual(components.Value{}, p.Spec["main_trip_ma"])), p.ID))
	}
	for _, c := range p.Spec["circuits"].Rows() {
		what, hots := "Panel breaker", 1.0
		if c["gfci"].Truth() && !c["trip_ma"].Known() {
			what = "Panel breaker, ground-fault protected"
		}
		if c["leg"].Str() == "both" {
			hots = 2
		}
		rating := "rating not known"
		if c["breaker_a"].Known() {
			rating = c["breaker_a"].String() + " A"
		}
		l.add(pieces(Protection, 1, what, rating+", "+Poles(hots, c["opens_neutral"])+Residual(components.Value{}, c["trip_ma"]), p.ID))
	}
}
