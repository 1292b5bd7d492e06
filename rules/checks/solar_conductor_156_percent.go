package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// PVConductor holds the conductors between array and controller to the array's
// short-circuit current.
var PVConductor = &rules.Rule{
	ID:    "solar.conductor-156-percent",
	Title: "A conductor of the array is too small",
	Must:  "A conductor between array and controller carries 156 % of the short-circuit current by the table, and 125 % of it after heat and bundling. How hot it is along a run that leaves an array is asked for where 60 °C would be too hot.",
	Basis: []rules.Basis{
		{Source: "a run along a roof in the sun lies in air of 60 °C", Seen: rules.Practice},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.8(A)(1), 690.8(B)(1), (B)(2)", Says: "125 % for bright sun, and 125 % again for a continuous load", Seen: rules.Published},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) {
		eachController(p, func(cc components.Part, arrays []pvArray) {
			for _, r := range arrayRuns(p, cc, arrays) {
				pvConductor(p, r)
			}
		})
	},
}

const (
	brightSun     = 1.25
	brightForLong = 1.25 * 1.25
)

// arrayRun is a run between arrays and their controller, with the arrays whose
// current it carries.
type arrayRun struct {
	Run    components.Run
	Pole   components.Pole
	Arrays []pvArray
}

// arrayRuns finds the runs of a controller's input: the positive ones by what
// they cut off when they are taken out, the negative ones at either end.
func arrayRuns(p *rules.Pass, cc components.Part, arrays []pvArray) []arrayRun {
	c := p.Circuit
	in, ok := c.At(cc.ID, "pv", components.Pos)
	if !ok || len(arrays) == 0 {
		return nil
	}
	var runs []arrayRun
	seen := map[components.ID]bool{}
	add := func(id components.ID, pole components.Pole, carries []pvArray) {
		if r, ok := p.Doc.Run(id); ok && !seen[id] {
			seen[id] = true
			runs = append(runs, arrayRun{r, pole, carries})
		}
	}
	for i, l := range c.Links {
		if l.Run != "" && l.Core.From == components.Pos && c.Net(l.A) == c.Net(in) {
			add(l.Run, components.Pos, carriedOver(c, i, in, arrays))
		}
	}
	for _, q := range arrays {
		for _, o := range q.all() { // with the joints of a string drawn as several symbols
			for _, r := range p.Doc.RunsAt(o.Ref("out")) {
				add(r.ID, components.Neg, []pvArray{q})
			}
		}
	}
	for _, r := range p.Doc.RunsAt(cc.Ref("pv")) {
		add(r.ID, components.Neg, arrays)
	}
	return slices.DeleteFunc(runs, func(r arrayRun) bool { return r.Run.Gone() })
}

// carriedOver are the arrays whose current a link may have to carry: those that it cuts
// off, and all of them where it cuts off none, since one of two conductors side by side
// may have to carry the whole.
func carriedOver(c *circuit.Circuit, link int, from circuit.Term, arrays []pvArray) []pvArray {
	if cut := cutOff(c, link, from, arrays); len(cut) > 0 {
		return cut
	}
	return arrays
}

// cutOff are the arrays that lose a terminal when a link opens.
func cutOff(c *circuit.Circuit, link int, from circuit.Term, arrays []pvArray) []pvArray {
	out := &c.Links[link]
	nets := c.Nets(func(l *circuit.Link) bool { return l.Closed && !l.Bond && l != out })
	var cut []pvArray
	for _, q := range arrays {
		if t, ok := c.At(q.ID, "out", components.Pos); ok && nets[t] != nets[from] {
			cut = append(cut, q)
		}
	}
	return cut
}

// roofC is how hot it gets along a roof in the sun, in °C (common practice, no source).
const roofC = 60

// onTheRoof is a run that leaves an array as it lies in the sun, where it is not told how
// hot it is there: not in the air of the rest of the rig.
func onTheRoof(p *rules.Pass, r arrayRun) (hot arrayRun, of components.ID, untold bool) {
	if _, from := r.Run.Value("ambient_c"); from == components.Given {
		return r, "", false
	}
	for _, q := range r.Arrays {
		for _, o := range q.all() {
			if r.Run.Ends(o.Ref("out")) {
				r.Run.Spec = r.Run.Spec.With("ambient_c", components.Num(max(roofC, p.Doc.AmbientC)))
				return r, o.ID, true
			}
		}
	}
	return r, "", false
}

// askRoof asks for the heat along such a run where it decides.
func askRoof(p *rules.Pass, r arrayRun, after float64) {
	hot, of, untold := onTheRoof(p, r)
	if !untold {
		return
	}
	if a, err := runAmpacity(p, hot.Run, r.Pole); err == nil && a.Corrected < after*0.9999 {
		p.Unchecked(string(r.Run.ID), fmt.Sprintf("ambient_c of %s is not told: at %d °C, as along a roof in the sun, it is good for %s A and %s asks for %s A. Measure at the hottest place on its way", r.Run.ID, roofC, numText(a.Corrected), of, numText(after)), string(of))
	}
}

func pvConductor(p *rules.Pass, r arrayRun) {
	isc, missing, working := shortCircuitAmps(r.Arrays)
	if missing != "" {
		p.Unchecked(string(missing), fmt.Sprintf("isc_a of %s is not known, so its conductors cannot be checked: read the label on the back of a module", missing))
		return
	}
	a, err := runAmpacity(p, r.Run, r.Pole)
	if err != nil {
		p.Unchecked(string(r.Run.ID), err.Error())
		return
	}
	table, after := brightForLong*isc, brightSun*isc
	if a.Table >= table*0.9999 && a.Corrected >= after*0.9999 {
		askRoof(p, r, after)
		return
	}
	f := rules.Finding{
		At:      string(r.Run.ID),
		Message: fmt.Sprintf("%s (%s) is good for %s A by the table and %s A where it lies; the array asks for %s A and %s A", r.Run.ID, r.Run.Told("size"), numText(a.Table), numText(a.Corrected), numText(table), numText(after)),
		Working: append([]string{working, fmt.Sprintf("156.25 %% × %s A = %s A by the table; 125 %% × %s A = %s A where it lies", numText(isc), numText(table), numText(isc), numText(after))}, a.Working...),
		RestsOn: a.RestsOn,
	}
	for _, q := range r.Arrays {
		f.Also = append(f.Also, string(q.ID))
	}
	hot, _, _ := onTheRoof(p, r)
	for _, s := range sizesLike(p.Doc, r.Run, r.Pole) {
		if b, err := ampacityAt(p, hot.Run, r.Pole, s); err == nil && b.Table >= table && b.Corrected >= after {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.Run.ID, s), Edits: []components.Edit{set(r.Run.ID, "size", components.Str(s.String()))}}}
			break
		}
	}
	p.Report(f)
}
