package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/tables"
)

// LoadWithinAmpacity holds the current of every DC conductor to what it carries.
var LoadWithinAmpacity = &rules.Rule{
	ID:    "conductor.load-within-ampacity",
	Title: "A DC conductor carries more than it may",
	Must:  "The largest continuous current of a DC conductor, positive or negative, is not above its ampacity where it lies, nor above that of its size in the temperature column of its terminals.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.425(b), Table 5", Says: "free-air ampacity (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.14(C)", Says: "not above the column of the terminals", Seen: rules.Published},
		{Source: "75 °C where the terminals of DC devices are not marked: 110.14(C) itself says 60 °C up to 100 A, and is not law for low voltage in a vehicle (article 551 excludes it)", Seen: rules.Practice},
	},
	Level: rules.Danger, OnePerPlace: true, Stateless: true,
	Check: func(p *rules.Pass) { eachLoaded(p, causeLoad) },
}

// EngineDerating holds conductors in an engine space to what they carry there.
var EngineDerating = &rules.Rule{
	ID:    "conductor.engine-space-derating",
	Title: "A conductor carries too much for an engine space",
	Must:  "A conductor in or through an engine space carries no more than its ampacity at 50 °C.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.425(c), Table 5 note 1", Says: "50 °C: 0.85 for 105 °C insulation (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "33 CFR 183", Clause: "Table 5 note 1", Says: "the factors of the other insulations, 0.58 for 60 °C to 1.00 for 200 °C; they agree with the thermal formula (a marine rule, not law in a vehicle)", Seen: rules.Memory},
	},
	Level: rules.Violation, OnePerPlace: true, Stateless: true,
	Check: func(p *rules.Pass) { eachLoaded(p, causeEngine) },
}

// AmbientCorrection holds conductors in hot air to what they carry there.
var AmbientCorrection = &rules.Rule{
	ID:    "conductor.ambient-correction",
	Title: "A conductor carries too much for the air around it",
	Must:  "A conductor in air above 30 °C, as in a roof cavity or a battery bay, carries no more than its ampacity times √((Tc − Ta)/(Tc − 30)).",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "310.15(B)(2)(a)", Says: "rows that agree with the thermal formula of the 30 °C tables", Seen: rules.Published},
	},
	Level: rules.Violation, OnePerPlace: true, Stateless: true,
	Check: func(p *rules.Pass) { eachLoaded(p, causeAmbient) },
}

// BundleDerating holds bundled conductors to what they carry together.
var BundleDerating = &rules.Rule{
	ID:    "conductor.bundle-derating",
	Title: "A conductor carries too much for its bundle",
	Must:  "Three or more loaded DC conductors together carry 0.70 of their ampacity, four to six 0.60, seven to twenty-four 0.50, more 0.40: the rule from 50 V nominal, practice below for conductors loaded above half.",
	Basis: []rules.Basis{
		{Source: "33 CFR 183", Clause: "183.435(b), Table 5 note 2", Says: "factors from 50 V nominal (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "the same factors below 50 V", Seen: rules.Practice},
	},
	Level: rules.Violation, OnePerPlace: true, Stateless: true,
	Check: func(p *rules.Pass) { eachLoaded(p, causeBundle) },
}

// cause is what takes a conductor below its load.
type cause int

const (
	causeNone cause = iota
	causeLoad
	causeEngine
	causeAmbient
	causeBundle
)

// eachLoaded judges every run with DC cores by the largest continuous current
// that the rig can ask of it, and reports what belongs to one cause.
func eachLoaded(p *rules.Pass, of cause) {
	if !p.First() {
		return
	}
	if crossedLead(p) {
		return // conductor.crossed-poles speaks: the current is that of a short
	}
	if of == causeLoad {
		unknownDemand(p)
	}
	for _, w := range rules.Once(p, loadedKey{}, func() []loaded { return allLoaded(p) }) {
		w.judge(p, of)
	}
}

type loadedKey struct{}

// allLoaded are the runs with DC cores in which anything flows.
func allLoaded(p *rules.Pass) []loaded {
	d := p.Demand()
	worst := map[components.ID]loaded{}
	var order []components.ID
	for i, l := range p.Circuit.Links {
		if l.Run == "" || !l.Core.Role().DC() {
			continue
		}
		w, ok := worst[l.Run]
		if !ok {
			order = append(order, l.Run)
		}
		if a := d.Amps[i]; a > w.Amps || !ok {
			worst[l.Run] = loaded{Pole: l.Core.Role(), Amps: a}
		}
	}
	var all []loaded
	for _, id := range order {
		w := worst[id]
		if w.Amps < flows {
			continue
		}
		w.Run, _ = p.Doc.Run(id)
		if w.carries, w.err = carries(p, w.Run, w.Pole); w.err == nil {
			w.cause, w.level = w.why(p, w.carries)
		}
		all = append(all, w)
	}
	return all
}

// loaded is a run with its largest continuous current, in A.
type loaded struct {
	Run  components.Run
	Pole components.Pole
	Amps float64

	carries tables.Ampacity
	err     error // why that is not known
	cause   cause // what takes it below its load
	level   rules.Level
}

func (w loaded) judge(p *rules.Pass, of cause) {
	r, a, level := w.Run, w.carries, w.level
	if w.err != nil {
		if of == causeLoad {
			p.Unchecked(string(r.ID), w.err.Error())
		}
		return
	}
	if w.cause != of {
		return
	}
	f := rules.Finding{At: string(r.ID), Level: level, RestsOn: a.RestsOn, Working: append([]string{
		fmt.Sprintf("largest continuous current in %s = %s A (inverters at rated power and lowest input voltage, or all charge sources)", r.ID, numText(w.Amps)),
	}, a.Working...)}
	limit := a.Usable
	switch of {
	case causeLoad:
		f.Message = fmt.Sprintf("%s (%s) carries up to %s A for hours and may carry %s A", r.ID, r.Told("size"), numText(w.Amps), numText(limit))
	case causeEngine:
		f.Message = fmt.Sprintf("%s (%s) carries up to %s A; in the engine space it may carry %s A", r.ID, r.Told("size"), numText(w.Amps), numText(limit))
	case causeAmbient:
		f.Message = fmt.Sprintf("%s (%s) carries up to %s A; in air of %s °C it may carry %s A", r.ID, r.Told("size"), numText(w.Amps), numText(p.Doc.AmbientOf(r)), numText(limit))
	case causeBundle:
		if level == rules.Advice {
			limit = a.Corrected * a.WaivedFactor
		}
		f.Message = fmt.Sprintf("%s (%s) carries up to %s A; beside the %s of its bundle it should carry %s A at most", r.ID, r.Told("size"), numText(w.Amps), count(r.Figure("with").Value, "other", "others"), numText(limit))
	}
	f.Fixes = w.larger(p, limit)
	switch of {
	case causeEngine:
		f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Lead %s outside the engine space", r.ID), Edits: clearToldRun(r, "engine_space")})
	case causeBundle:
		if r.Figure("with").Value > 0 {
			f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Lead %s apart from the others", r.ID), Edits: clearToldRun(r, "with")})
		}
	}
	p.Report(f)
}

// why finds the one thing that takes a conductor below its load, and how bad that
// is: its size, the engine space, the air or the bundle.
func (w loaded) why(p *rules.Pass, a tables.Ampacity) (cause, rules.Level) {
	if w.Amps <= a.Usable*1.001 {
		if w.Amps > a.Corrected*a.WaivedFactor*1.001 && w.Amps > a.Usable/2 {
			return causeBundle, rules.Advice
		}
		return causeNone, 0
	}
	level := rules.Violation
	if w.Amps > 1.25*a.Corrected {
		level = rules.Danger
	}
	fits := func(without ...string) bool {
		r := w.Run
		for _, key := range without {
			v := components.Value{}
			if key == "ambient_c" {
				v = components.Num(math.Min(30, p.Doc.AmbientOf(w.Run)))
			}
			r.Spec = r.Spec.With(key, v)
		}
		b, err := carries(p, r, w.Pole)
		return err == nil && w.Amps <= b.Usable*1.001
	}
	switch {
	case w.Run.Is("engine_space") && fits("engine_space"):
		return causeEngine, rules.Violation
	case p.Doc.AmbientOf(w.Run) > 30 && fits("ambient_c"):
		return causeAmbient, rules.Violation
	case w.Run.Figure("with").Value > 0 && fits("with"):
		return causeBundle, rules.Violation
	case fits("engine_space", "ambient_c", "with"):
		if w.Run.Is("engine_space") {
			return causeEngine, rules.Violation
		}
		return causeAmbient, rules.Violation
	}
	return causeLoad, level
}

// carries is the ampacity of a core for a continuous load: where it lies, and not
// above the column of its terminals, 75 °C where they are not marked.
func carries(p *rules.Pass, r components.Run, pole components.Pole) (tables.Ampacity, error) {
	a, err := runAmpacity(p, r, pole)
	if err != nil || r.Figure("terminal_c").Known() {
		return a, err
	}
	size, _ := r.Size(pole)
	return atUnmarked(a, r, size), nil
}

func atUnmarked(a tables.Ampacity, r components.Run, size units.Size) tables.Ampacity {
	cable, _ := r.Cable()
	if cable.Table != components.FreeAirDC {
		return a // building wire goes by its own terminal columns
	}
	if size.Metric() {
		size, _ = nextAWG(size)
	}
	at75, err := tables.FreeAirAmpacity(counted(r, size), tables.UnmarkedDCTerminalC)
	limit := float64(at75) * math.Max(1, r.Figure("sets").Value)
	if err != nil || limit >= a.Usable {
		return a
	}
	a.Usable = limit
	a.Working = append(a.Working[:len(a.Working):len(a.Working)], fmt.Sprintf("terminals of %v °C: not above %s A", tables.UnmarkedDCTerminalC, numText(limit)))
	a.RestsOn = []string{fmt.Sprintf("terminals of %s not told: taken as %v °C", r.ID, tables.UnmarkedDCTerminalC)}
	return a
}

// larger takes the smallest size of the same construction that carries the load
// at the same place. limit is what it carries now.
func (w loaded) larger(p *rules.Pass, limit float64) []rules.Fix {
	for _, s := range sizesLike(p.Doc, w.Run, w.Pole) {
		r := w.Run
		r.Spec = r.Spec.With("size", components.Str(s.String()))
		a, err := carries(p, r, w.Pole)
		if err != nil || a.Usable < w.Amps || a.Corrected*a.WaivedFactor < w.Amps && a.WaivedFactor < 1 {
			continue
		}
		return []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, s), Edits: []components.Edit{set(r.ID, "size", components.Str(s.String()))}}}
	}
	sets := math.Max(1, w.Run.Figure("sets").Value)
	if n := math.Ceil(sets * w.Amps / limit); n <= 8 && w.Run.Figure("with").Value == 0 {
		return []rules.Fix{{Title: fmt.Sprintf("Lay %s such conductors in parallel as %s", numText(n), w.Run.ID), Edits: []components.Edit{set(w.Run.ID, "sets", components.Num(n))}}}
	}
	return nil
}

// clearToldRun takes a field out of a run.
func clearToldRun(r components.Run, key string) []components.Edit {
	return []components.Edit{set(r.ID, key, components.Value{})}
}

// unknownDemand asks once a part for the figure that the current of its cables
// follows from.
func unknownDemand(p *rules.Pass) {
	missing := p.Demand().Missing
	if len(missing) == 0 {
		return
	}
	for _, q := range p.Doc.Parts() {
		if _, ok := missing[q.ID]; ok && connected(p, q) {
			key := demandKey(q)
			p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known, so what its cables and fuses carry is not: read its label", key, q.ID))
		}
	}
}

// connected tells whether anything feeds a positive terminal of a part.
func connected(p *rules.Pass, q components.Part) bool {
	for _, port := range q.PortNames() {
		if t, ok := p.Circuit.At(q.ID, port, components.Pos); ok && p.Circuit.Live(t) && len(p.Circuit.LinksAt(t)) > 0 {
			return true
		}
	}
	return false
}

// crossedLead tells whether a run joins positive to negative, but for the joint of two
// batteries in series.
func crossedLead(p *rules.Pass) bool {
	for i := range p.Circuit.Links {
		l := &p.Circuit.Links[i]
		if l.Run == "" || !l.Core.From.DC() || !l.Core.To.DC() || l.Core.From == l.Core.To {
			continue
		}
		if _, _, series := seriesAt(p, l.A); !series {
			return true
		}
	}
	return false
}
