package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// AmpacityCovers holds every AC conductor to the device ahead of it.
var AmpacityCovers = &rules.Rule{
	ID:    "conductor.ampacity-covers-overcurrent",
	Title: "An AC conductor is smaller than its breaker allows",
	Must:  "The usable ampacity of a line conductor, after heat, bundling and terminals, is not below the overcurrent device ahead of it; the next standard rating above is accepted up to 800 A, but not on a circuit of several receptacles.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.4, 240.4(B), 240.6(A), 110.14(C), 310.16", Says: "conductors protected at their ampacity", Seen: rules.Published},
		{Source: "IEC 60364-4-43", Clause: "433.1", Says: "in a 230 V caravan: the device is not above the conductor's current, with no rounding up", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2023", Clause: "310.15(B), 310.15(C)(1)", Says: "the ampacity is reduced for heat and for conductors together before the breaker is held to it (conductor.heat-and-bundling holds the load)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "310.10(G)", Says: "conductors may be laid in parallel from 1/0 AWG on: smaller ones count as one", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "334.80", Says: "nonmetallic-sheathed cable: the 60 °C column", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.15(A), 240.21; 551.31(A)", Says: "protected where it receives its supply", Seen: rules.Memory},
	},
	Level: rules.Danger, OnePerPlace: true,
	Check: func(p *rules.Pass) {
		askConditions(p, false)
		eachFedRun(p, false, coversAC)
	},
}

// WithinAmpacity holds every DC positive conductor to the device ahead of it.
var WithinAmpacity = &rules.Rule{
	ID:    "overcurrent.rating-within-ampacity",
	Title: "A fuse is larger than a conductor behind it",
	Must:  "A fuse or breaker protects the smallest conductor between itself and the next device, seen from every source that can feed it; so are the negatives on the way back from where its positive ends, each by its share where two ways lead back, and the run that joins two batteries in series.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.425 Table 5, 183.455(c)", Says: "free-air ampacity; up to 150 % below 50 V nominal (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.4(B), 240.6", Says: "ampacity, or the next standard size", Seen: rules.Published},
		{Source: "33 CFR 183", Clause: "183.455(a)", Says: "protected at each end that can be fed (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "common practice, no source", Says: "a return carries what its feed carries, and no fuse of its own watches it", Seen: rules.Practice},
	},
	Level: rules.Danger, OnePerPlace: true,
	Check: func(p *rules.Pass) {
		askConditions(p, true)
		eachFedRun(p, true, withinDC)
		eachFedRun(p, true, returnWithinDC)
		returnWays(p)
		jointsWithin(p)
	},
}

// SmallWireCap holds breakers to the caps of small conductors.
var SmallWireCap = &rules.Rule{
	ID:    "conductor.small-wire-cap",
	Title: "A breaker is above the cap for a small conductor",
	Must:  "Copper 18, 16, 14, 12 and 10 AWG stand behind not more than 7, 10, 15, 20 and 30 A, and nothing thinner behind any breaker; aluminum and copper-clad 12 and 10 AWG behind not more than 15 and 25 A, whatever the ampacity column says.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.4(D)", Says: "14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A; 18 and 16 AWG 7 and 10 A under conditions of their own", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.4(G), 440.22, 440.32", Says: "an air conditioner's or motor's circuit may stand behind what its plate allows, where the conductor carries 125 % of it", Seen: rules.Memory},
	},
	Set:   components.USVehicle,
	Level: rules.Danger, OnePerPlace: true,
	Check: func(p *rules.Pass) { eachFedRun(p, false, smallWire) },
}

// fed is a run with one of its hot cores and what stands ahead of it.
type fed struct {
	Run   components.Run
	Pole  components.Pole
	Feed  circuit.Feed
	Joint []circuit.Feed // further batteries that feed the same end, each behind its own device

	Carries tables.Ampacity // what the core may carry
	Err     error           // why that is not known
	Over    overload        // how far a DC core is smaller than what protects it
}

// eachFedRun calls judge for each run that carries hot (or positive) cores, with
// the loosest protection ahead of it from each source.
func eachFedRun(p *rules.Pass, dc bool, judge func(*rules.Pass, *fed)) {
	all := rules.Once(p, fedRuns(dc), func() []fed {
		list := circuit.WhileSet(p.Circuit, fedRuns(dc), func() []fedCore { return listFed(p, dc) })
		all := make([]fed, len(list))
		for i := range list {
			f, of := &all[i], &list[i]
			f.Run, _ = p.Doc.Run(of.run)
			f.Pole, f.Feed, f.Joint = of.pole, of.feed, of.joint
			if i > 0 && all[i-1].Run.ID == f.Run.ID && all[i-1].Pole == f.Pole {
				f.Carries, f.Err = all[i-1].Carries, all[i-1].Err
			} else {
				f.Carries, f.Err = runAmpacity(p, f.Run, f.Pole)
			}
			if dc {
				f.Over = overloadOf(p, f)
			}
		}
		return all
	})
	for i := range all {
		judge(p, &all[i])
	}
}

type fedRuns bool

// fedCore is the same with no more of a run than its tag.
type fedCore struct {
	run   components.ID
	pole  components.Pole
	feed  circuit.Feed
	joint []circuit.Feed
}

func listFed(p *rules.Pass, dc bool) []fedCore {
	all := make([]fedCore, 0, len(p.Doc.Runs()))
	first := 0 // of the same run
	for i, feeds := range p.Feeds() {
		l := &p.Circuit.Links[i]
		if len(feeds) == 0 || l.Run == "" || l.Core.From.DC() != dc {
			continue
		}
		if !l.Core.From.Hot() && l.Core.From != components.Pos {
			continue
		}
		if len(all) > 0 && all[len(all)-1].run != l.Run {
			first = len(all)
		}
		for _, f := range feeds {
			if !slices.ContainsFunc(all[first:], func(o fedCore) bool { return o.feed.Source.Part == f.Source.Part && o.feed.LimitA == f.LimitA }) {
				all = append(all, fedCore{l.Run, l.Core.From, f, joint(feeds, f)})
			}
		}
	}
	return all
}

// joint are the other batteries that push into the same end of a run, or the converters
// that share an output with the one that does, each behind a device that none before it
// has: their devices' ratings add up.
func joint(feeds []circuit.Feed, f circuit.Feed) []circuit.Feed {
	together := func(o *circuit.Source) bool {
		return f.Source.Stores && o.Stores || f.Source.Shares && o.Shares
	}
	if !together(f.Source) || !f.HasDevice() {
		return nil
	}
	var seen []string
	var all []circuit.Feed
	for _, o := range feeds {
		if !together(o.Source) || !o.HasDevice() || o.Enters != f.Enters || o.Device == f.Device {
			continue
		}
		if seen == nil {
			seen = []string{f.Device.Address()}
		}
		if at := o.Device.Address(); !slices.Contains(seen, at) {
			seen = append(seen, at)
			all = append(all, o)
		}
	}
	return all
}

// at is where a finding about a run stands: the run, with its device.
func (f *fed) also() []string {
	if f.Feed.HasDevice() {
		return []string{f.Feed.Device.Address()}
	}
	return []string{string(f.Feed.Source.Part)}
}

// limit is what the protection ahead lets through, in A; known is false where a
// rating is missing or nothing bounds it.
func (f *fed) limit() (amps float64, known bool) {
	if f.Feed.Unknown {
		return 0, false
	}
	limit := f.Feed.LimitA
	for _, o := range f.Joint {
		if o.Unknown {
			return 0, false
		}
		limit += o.LimitA
	}
	if common := f.Feed.Last; common.RatingA.Known() && f.throughOne(*common) {
		limit = math.Min(limit, common.RatingA.Value)
	}
	return limit, !math.IsInf(limit, 1)
}

// rating asks for the figure of the protection ahead; it reports what is missing.
func (f *fed) rating(p *rules.Pass) (float64, bool) {
	o := &f.Feed
	if i := slices.IndexFunc(f.Joint, func(o circuit.Feed) bool { return o.Unknown }); !o.Unknown && i >= 0 {
		o = &f.Joint[i]
	}
	if o.Unknown {
		p.Unchecked(o.Device.Address(), fmt.Sprintf("the rating of %s is not known, so %s cannot be checked: read it off the device", o.Device, f.Run.ID), string(f.Run.ID))
		return 0, false
	}
	return f.limit()
}

// throughOne tells whether all that feeds the run's end came through one device.
func (f *fed) throughOne(d circuit.Device) bool {
	for _, o := range f.Joint {
		if o.Last.At() != d.At() {
			return false
		}
	}
	return true
}

// protects says what protects: "F1, 100 A protects", "F1, 100 A and F2, 100 A protect".
func (f *fed) protects() string {
	if len(f.Joint) > 0 {
		return f.text() + " protect"
	}
	return f.text() + " protects"
}

// text names what protects, with every device that feeds the same end.
func (f *fed) text() string {
	text := f.Feed.String()
	for _, o := range f.Joint {
		text += " and " + o.String()
	}
	return text
}

func coversAC(p *rules.Pass, f *fed) {
	if listedSet(p, f.Run) { // a listed cord set is judged by its listing
		return
	}
	if european(p.Doc) && isLead(p, f.Run) {
		return // cord.230v-lead-and-wiring
	}
	limit, ok := f.rating(p)
	if !ok {
		return
	}
	a := &f.Carries
	if tooThin(p, f.Run, f.Pole) {
		return // conductor.small-wire-cap
	}
	if f.Err != nil {
		p.Unchecked(string(f.Run.ID), f.Err.Error())
		return
	}
	if limit <= a.Usable {
		return
	}
	if next, ok := standardAtLeast(a.Usable); ok && !european(p.Doc) && next >= limit && limit <= 800 && !feedsReceptacles(p, f) {
		return
	}
	if markedFor(p, f, limit, a.Usable) {
		return
	}
	if t, ok := p.Circuit.Term(f.Run.From.At(f.Pole)); ok && watchedByMain(p, t, f.Feed, a.Usable) {
		return
	}
	p.Report(rules.Finding{
		At: string(f.Run.ID), Also: f.also(),
		Message: fmt.Sprintf("%s (%s) is good for %s A, but only %s protects it", f.Run.ID, f.Run.Told("size"), numText(a.Usable), f.Feed),
		Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A < %s A", numText(a.Usable), numText(limit))),
		Fixes:   sizeFixes(p, f, a.Usable, limit), RestsOn: a.RestsOn,
	})
}

func withinDC(p *rules.Pass, f *fed) {
	if f.Err != nil && (!f.Feed.Source.Stores || f.Feed.HasDevice()) {
		p.Unchecked(string(f.Run.ID), f.Err.Error())
		return
	}
	if f.Feed.Source.Stores && !f.Feed.HasDevice() {
		return // overcurrent.battery-unfused speaks
	}
	if d, known := lengthToTap(p, f); !known {
		p.Unchecked(string(f.Run.ID), fmt.Sprintf("the length of %s, from its source to %s, is not known: measure along the cable (18 in is the limit of a lead smaller than its protection)", f.Run.ID, d))
		return
	}
	f.rating(p) // asks for it
	limit, level, ok := f.Over.limit, f.Over.level, f.Over.is
	if !ok || level == rules.Danger && gapOf(p, f) != gapDevice {
		return // overcurrent.every-source-end or .two-source-both-ends speaks
	}
	a := &f.Carries
	next, _ := standardAtLeast(a.Usable)
	p.Report(rules.Finding{
		At: string(f.Run.ID), Also: f.also(), Level: level,
		Message: fmt.Sprintf("%s (%s) is good for %s A, but only %s it", f.Run.ID, f.Run.Told("size"), numText(a.Usable), f.protects()),
		Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A < %s A; next standard rating %s A; 150 %% of the table %s A", numText(a.Usable), numText(limit), numText(next), numText(1.5*a.Table))),
		Fixes:   sizeFixes(p, f, a.Usable, limit), RestsOn: a.RestsOn,
	})
}

// overload is how far a DC core is smaller than what protects it, and how bad that is.
type overload struct {
	limit float64 // of what protects it, in A
	level rules.Level
	is    bool // false where it is not smaller, or where a figure is missing
}

func overloadOf(p *rules.Pass, f *fed) overload {
	if f.Feed.Source.Stores && !f.Feed.HasDevice() || f.Err != nil {
		return overload{}
	}
	limit, known := f.limit()
	if len(f.Joint) == 0 && (!known || limit <= f.Carries.Usable) {
		return overload{}
	}
	a := &f.Carries
	_, tapped := tapDevice(p, f, a.Usable)
	if tapped {
		limit, known = f.alone().limit() // the device at its end bounds what the other strings push through it for long
	}
	if !known || limit <= a.Usable {
		return overload{}
	}
	if tapped && shortCable(p, f.Run) {
		return overload{}
	}
	level, over := overBy(limit, *a, f.Feed.Source.Volts)
	if !over {
		return overload{}
	}
	return overload{limit, level, true}
}

// alone is the same with no other string beside it.
func (f *fed) alone() *fed {
	g := *f
	g.Joint = nil
	return &g
}

// lengthToTap tells whether the length of a lead to its own device is known where
// that decides.
func lengthToTap(p *rules.Pass, f *fed) (d circuit.Device, known bool) {
	if f.Err != nil {
		return d, true
	}
	if _, known := cableFeet(p, f.Run); known {
		return d, true
	}
	d, tapped := tapDevice(p, f, f.Carries.Usable)
	if !tapped {
		return d, true
	}
	limit, ok := f.alone().limit()
	return d, !ok || limit <= f.Carries.Usable
}

// tapDevice finds the device that a lead ends at directly, away from what feeds it, where
// it protects the lead: such a lead may be smaller than what stands ahead, if it is short
// (NEC 552.10(E)(4), 33 CFR 183.455(b)).
func tapDevice(p *rules.Pass, f *fed, usable float64) (circuit.Device, bool) {
	from, end := endsOf(p, f.Run)
	if p.Circuit.Terms[f.Feed.Enters].PortRef != f.Run.From {
		end = from
	}
	t, ok := p.Circuit.Term(end.At(components.Pos))
	if !ok || len(p.Circuit.LinksAt(t)) != 2 {
		return circuit.Device{}, false
	}
	for _, i := range p.Circuit.LinksAt(t) {
		if d, ok := p.Circuit.Device(p.Circuit.Links[i]); ok && d.RatingA.Known() && d.RatingA.Value <= 1.5*usable && (!f.Feed.HasDevice() || d.At() != f.Feed.Device.At()) {
			return d, true
		}
	}
	return circuit.Device{}, false
}

func smallWire(p *rules.Pass, f *fed) {
	size, ok := f.Run.Size(f.Pole)
	if !ok || listedSet(p, f.Run) {
		return // the ampacity rule asks for the size
	}
	limit, known := f.rating(p)
	if !known {
		return
	}
	most, capped := smallCap(p, f.Run, size)
	if !capped || limit <= most {
		return
	}
	if f.Err == nil && markedFor(p, f, limit, f.Carries.Usable) {
		return // 240.4(G)
	}
	if t, ok := p.Circuit.Term(f.Run.From.At(f.Pole)); ok && watchedByMain(p, t, f.Feed, most) {
		return
	}
	message := fmt.Sprintf("%s is %s, which allows %s A, but only %s protects it", f.Run.ID, size, numText(most), f.Feed)
	if most == 0 {
		message = fmt.Sprintf("%s is %s, thinner than any conductor that a breaker may protect, and only %s does", f.Run.ID, size, f.Feed)
	}
	p.Report(rules.Finding{
		At: string(f.Run.ID), Also: f.also(),
		Message: message,
		Working: []string{fmt.Sprintf("240.4(D): %s %s, %s A < %s A", size, f.Run.Metal(), numText(most), numText(limit))},
		Fixes:   sizeFixes(p, f, most, limit),
	})
}

// feedsReceptacles tells whether a run belongs to a circuit of several receptacles: those
// that hang on it with no device between. One whose outlets are not counted is several.
func feedsReceptacles(p *rules.Pass, f *fed) bool {
	t, ok := p.Circuit.Term(f.Run.From.At(f.Pole))
	if !ok {
		return false
	}
	n := 0.0
	counted := map[components.ID]bool{}
	for t := range joined(p.Circuit, t, func(l *circuit.Link) bool { return !l.Protects() }) {
		q, _ := p.Doc.Part(p.Circuit.Terms[t].Part)
		if q.Kind != &components.Receptacle || counted[q.ID] {
			continue
		}
		counted[q.ID] = true
		if outlets := q.Figure("outlets"); outlets.Known() {
			n += outlets.Value
		} else {
			n += 2
		}
	}
	return n > 1
}

// sizeFixes are the two ways out: a larger conductor, or a smaller device.
func sizeFixes(p *rules.Pass, f *fed, usable, limit float64) []rules.Fix {
	var fixes []rules.Fix
	if size, ok := sizeFor(p, f.Run, f.Pole, limit); ok {
		fixes = append(fixes, replaceBy(p.Doc, f.Run, size))
	}
	if f.Feed.HasDevice() && len(f.Joint) == 0 {
		if fix, ok := lowerRating(p.Doc, *f.Feed.Device, usable); ok {
			fixes = append(fixes, fix)
		}
	}
	return fixes
}

// ratingAtMost is the largest rating that a device of its sort is made for and that is
// not above a current.
func ratingAtMost(doc *components.Document, d circuit.Device, most float64) (float64, bool) {
	part, _ := doc.Part(d.Part)
	switch {
	case part.Kind == &components.Fuse || part.Kind == &components.DCPanel:
		return fuseAtMost(most)
	case european(doc):
		return iecBreakerAtMost(most)
	}
	return breakerAtMost(most)
}

// lowerRating fits the largest standard device that is not above a limit.
func lowerRating(doc *components.Document, d circuit.Device, most float64) (rules.Fix, bool) {
	rating, ok := ratingAtMost(doc, d, most)
	part, _ := doc.Part(d.Part)
	if !ok {
		return rules.Fix{}, false
	}
	value := components.Num(rating)
	title := fmt.Sprintf("Fit %s A in %s", numText(rating), d)
	switch {
	case d.Place == "":
		return rules.Fix{Title: title, Edits: []components.Edit{set(d.Part, "rating_a", value)}}, true
	case d.Place == "main":
		return rules.Fix{Title: title, Edits: []components.Edit{set(d.Part, "main_a", value)}}, true
	}
	key := "breaker_a"
	if part.Kind == &components.DCPanel {
		key = "fuse_a"
	}
	var n int
	if _, err := fmt.Sscanf(d.Place, "c%d", &n); err != nil {
		return rules.Fix{}, false
	}
	rows := slices.Clone(part.Rows("circuits"))
	rows[n-1] = rows[n-1].With(key, value)
	return rules.Fix{Title: title, Edits: []components.Edit{set(d.Part, "circuits", components.Table(rows...))}}, true
}
