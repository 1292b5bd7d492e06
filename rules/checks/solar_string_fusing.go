package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/tables"
)

// StringFusing asks for a fuse on each of several parallel strings.
var StringFusing = &rules.Rule{
	ID:    "solar.string-fusing",
	Title: "Parallel solar strings have no fuse of their own, or a wrong one",
	Must:  "Where the other strings can drive more into a shorted one than its modules or conductors stand, each string has a fuse: not below 156 % of the module's short-circuit current, not above the module's largest series fuse.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.9(A) exception, 690.9(B)", Says: "no fuse where the current from all other sources stays within the conductor and the module's series-fuse rating", Seen: rules.Published},
		{Source: "two like strings drive 125 % of Isc into one, less than any module's series-fuse rating", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Check: func(p *rules.Pass) {
		eachController(p, func(cc components.Part, arrays []pvArray) {
			for _, q := range arrays {
				stringFusing(p, cc, q, arrays)
			}
		})
	},
}

func stringFusing(p *rules.Pass, cc components.Part, q pvArray, arrays []pvArray) {
	strings, isc, own := q.strings(), q.isc(), q.Figure("string_fuse_a")
	back, working, missing := backfeed(p, cc, q, arrays)
	if o, _, unknown := q.missing("isc_a"); missing == "" && unknown {
		missing = o.ID
	}
	uncounted, _, unknown := q.missing("parallel")
	switch {
	case unknown:
		p.Unchecked(string(uncounted.ID), fmt.Sprintf("the strings in parallel of %s are not known: count them on the roof", uncounted.ID))
		return
	case strings == 1 && len(arrays) == 1:
		return // nothing to be fed from
	case missing != "":
		if strings > 2 || len(arrays) > 1 {
			p.Unchecked(string(missing), fmt.Sprintf("isc_a of %s is not known, so what its strings drive into a shorted one is not: read the label on the back of a module", missing))
		}
		return
	case q.Told("string_fuse_a").IsUnknown():
		p.Unchecked(string(q.ID), fmt.Sprintf("whether each string of %s has a fuse is not known: look in the combiner, and tell its rating", q.ID))
		return
	case own.Known():
		stringFuseSize(p, q)
		return
	}
	if o, _, unknown := q.missing("max_fuse_a"); unknown {
		if back > brightSun*isc*1.001 {
			p.Unchecked(string(o.ID), fmt.Sprintf("max_fuse_a of %s is not known: read the largest series fuse off the label on the back of a module (the other strings drive %s A into a shorted one)", o.ID, numText(back)))
		}
		return
	}
	most := q.stands()
	if back <= most {
		return
	}
	f := rules.Finding{
		At:      string(q.ID),
		Message: fmt.Sprintf("The other strings drive %s A into a shorted string of %s, whose modules stand a %s A fuse, and the strings have none", numText(back), q.name(), numText(most)),
		Working: []string{working, fmt.Sprintf("%s A > %s A (max_fuse_a)", numText(back), numText(most))},
	}
	if rating, ok := gpv(isc); ok && rating <= most {
		f.Working = append(f.Working, fmt.Sprintf("a string fuse: 156.25 %% × %s A = %s A, and at most %s A", numText(isc), numText(brightForLong*isc), numText(most)))
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a %s A fuse on each string of %s", numText(rating), q.ID), Edits: []components.Edit{set(q.ID, "string_fuse_a", components.Num(rating))}}}
	}
	p.Report(f)
}

// backfeed is what all strings but one drive into that one: those of its own
// array, and those of other arrays whose way to it has no fuse that protects it.
func backfeed(p *rules.Pass, cc components.Part, q pvArray, arrays []pvArray) (amps float64, working string, missing components.ID) {
	fused := fusedAlone(p, cc, q, arrays)
	for _, o := range arrays {
		n := o.strings()
		if o.ID == q.ID {
			n--
		} else if fused {
			continue
		}
		if n == 0 {
			continue
		}
		if unknown, _, missing := o.missing("isc_a", "parallel"); missing {
			return 0, "", unknown.ID
		}
		if working != "" {
			working += " + "
		}
		working += fmt.Sprintf("%v × 1.25 × %s A", n, numText(o.isc()))
		amps += n * brightSun * o.isc()
	}
	return amps, fmt.Sprintf("driven into one string: %s = %s A", working, numText(amps)), ""
}

// fusedAlone tells whether an array that is one string has a fuse of its own on
// the sheet, small enough for its modules.
func fusedAlone(p *rules.Pass, cc components.Part, q pvArray, arrays []pvArray) bool {
	most := q.stands()
	in, ok := p.Circuit.At(cc.ID, "pv", components.Pos)
	if !ok || len(arrays) < 2 || q.strings() != 1 {
		return false
	}
	for i, d := range p.Circuit.Devices() {
		if p.Circuit.Net(p.Circuit.Links[i].A) != p.Circuit.Net(in) || !d.RatingA.Known() || most > 0 && d.RatingA.Value > most {
			continue
		}
		if cut := cutOff(p.Circuit, i, in, arrays); len(cut) == 1 && cut[0].ID == q.ID {
			return true
		}
	}
	return false
}

func stringFuseSize(p *rules.Pass, q pvArray) {
	fuse, isc, most := q.Figure("string_fuse_a").Value, q.isc(), q.stands()
	o, _, unknown := q.missing("max_fuse_a")
	least := brightForLong * isc
	f := rules.Finding{At: string(q.ID), Working: []string{fmt.Sprintf("156.25 %% × %s A = %s A at least; the module's label: %s A at most", numText(isc), numText(least), numText(most))}}
	switch {
	case unknown:
		p.Unchecked(string(o.ID), fmt.Sprintf("max_fuse_a of %s is not known, so the string fuses of %s A cannot be held to it: read the label on the back of a module", o.ID, numText(fuse)))
		return
	case fuse > most:
		f.Message = fmt.Sprintf("The string fuses of %s are %s A; its modules stand %s A at most", q.name(), numText(fuse), numText(most))
	case fuse < least*0.999:
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("The string fuses of %s are %s A; bright sun asks for %s A at least", q.ID, numText(fuse), numText(math.Ceil(least)))
	default:
		return
	}
	if rating, ok := gpv(isc); ok && rating <= most {
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit %s A in the strings of %s", numText(rating), q.ID), Edits: []components.Edit{set(q.ID, "string_fuse_a", components.Num(rating))}}}
	}
	p.Report(f)
}

// gpv is the smallest string fuse for a module's short-circuit current.
func gpv(isc float64) (float64, bool) {
	f, _ := tables.FuseFamily("pv-gpv-10x38")
	return f.AtLeast(brightForLong * isc)
}
