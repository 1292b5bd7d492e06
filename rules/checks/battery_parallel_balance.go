package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// ParallelBalance asks that parallel strings share their current.
var ParallelBalance = &rules.Rule{
	ID:    "battery.parallel-balance",
	Title: "Parallel strings do not share evenly",
	Must:  "The string that gives most gives no more than 1.1 times the mean of its bank, 1.2 for lead-acid, for its capacity; and none gives or takes more than its own limit, whatever the bank stands together.",
	Basis: []rules.Basis{
		{Source: "Kirchhoff's laws", Says: "each string's current by the resistance of its own way", Seen: rules.Published},
		{Source: "1.1 for lithium, 1.2 for lead-acid", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: func(p *rules.Pass) { eachBank(p, parallelBalance) },
}

// The most that one string may give over the mean.
const (
	lithiumUneven = 1.10
	leadUneven    = 1.20
)

func parallelBalance(p *rules.Pass, all bank) {
	b, ok := all.house()
	if !ok || len(b.Parts) < 2 {
		return
	}
	ah := 0.0
	for _, q := range b.Parts {
		if !q.Figure("capacity_ah").Known() || q.Word("chemistry") != b.Parts[0].Word("chemistry") {
			return // battery.string-uniformity speaks, or overcurrent.interrupting-rating asks
		}
		ah += q.Figure("capacity_ah").Value * stringsOf(q)
	}
	amps := b.gives(p, p.Demand().Drawing)
	sum := total(amps)
	if sum < flows {
		return
	}
	if run := b.assumed(p); run != "" {
		p.Unchecked(run, fmt.Sprintf("the length or size of %s is not known, so how %s share is not: measure along the cable", run, b.name()))
		return
	}
	ownCharge(p, b)
	hardest, ratio := 0, 0.0
	for i, q := range b.Parts {
		fair := sum * q.Figure("capacity_ah").Value * stringsOf(q) / ah
		if r := amps[i] / fair; r > ratio {
			hardest, ratio = i, r
		}
	}
	ownDischarge(p, b, amps, hardest)
	q := b.Parts[hardest]
	most := leadUneven
	if lithium(q) {
		most = lithiumUneven
	}
	limit := q.Figure("discharge_a")
	over := limit.Known() && amps[hardest] > limit.Value*stringsOf(q)*1.001
	if ratio <= most*1.0001 && !over {
		return
	}
	f := rules.Finding{At: string(q.ID), Level: rules.Advice, Working: []string{fmt.Sprintf("mean for its capacity = %s A; %s A / %s A = %.2f; %.2f is the limit", numText(amps[hardest]/ratio), numText(amps[hardest]), numText(amps[hardest]/ratio), ratio, most)}}
	for i, o := range b.Parts {
		f.Working = append(f.Working, fmt.Sprintf("%s gives %s A of %s A", o.ID, numText(amps[i]), numText(sum)))
		if o.ID != q.ID {
			f.Also = append(f.Also, string(o.ID))
		}
	}
	f.Message = fmt.Sprintf("%s gives %s A where its share is %s A: its way to the bars is shorter or thicker than the others'", q.ID, numText(amps[hardest]), numText(amps[hardest]/ratio))
	if over {
		if sum > limit.Value*stringsOf(q)*float64(len(b.Parts)) {
			return // battery.bms-discharge-limit speaks: even shares would not help
		}
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("%s gives %s A and may give %s A: its way to the bars is shorter or thicker than the others'", q.ID, numText(amps[hardest]), numText(limit.Value*stringsOf(q)))
	}
	if fix, ok := equalLeads(p, b); ok {
		f.Fixes = []rules.Fix{fix}
	}
	p.Report(f)
}

// ownDischarge finds a weaker battery beside stronger ones that gives more than it may,
// while another gives most, of which the caller speaks.
func ownDischarge(p *rules.Pass, b bank, amps []float64, hardest int) {
	sum, may := total(amps), 0.0
	for _, q := range b.Parts {
		may += q.Figure("discharge_a").Value * stringsOf(q)
	}
	for i, q := range b.Parts {
		own := q.Figure("discharge_a")
		if most := own.Value * stringsOf(q); own.Known() && amps[i] > most*1.001 && i != hardest && sum <= may {
			p.Report(rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("%s gives %s A and may give %s A: the others may give more, and their strength does not spare it", q.ID, numText(amps[i]), numText(most)),
				Working: []string{fmt.Sprintf("shared as the strings' resistances share %s A: %s A > %s A", numText(sum), numText(amps[i]), numText(most))},
			})
		}
	}
}

// ownCharge holds each battery of a bank to its own charging limit: the charge divides
// by the resistances of the strings, not by what they stand.
func ownCharge(p *rules.Pass, b bank) {
	taken, may := b.gives(p, p.Demand().Charging), 0.0
	for _, q := range b.Parts {
		may += q.Figure("charge_a").Value * stringsOf(q)
	}
	for i, q := range b.Parts {
		own, amps := q.Figure("charge_a"), math.Abs(taken[i])
		most := own.Value * stringsOf(q)
		if !own.Known() || amps <= most*1.001 || math.Abs(total(taken)) > may*1.001 {
			continue // charger.total-current-limit speaks of the sum
		}
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s takes %s A of the charge of its bank and accepts %s A: the others accept more, and that does not spare it", q.ID, numText(amps), numText(most)),
			Working: []string{fmt.Sprintf("all charge sources on, shared as the strings' resistances share it: %s A > %s × %s A", numText(amps), numText(stringsOf(q)), numText(own.Value))},
		})
	}
}

// ways are the runs of a battery's own way, from its two posts outward until they
// meet another battery's.
func (b bank) ways(p *rules.Pass) [][]components.Run {
	all := make([][]components.Run, len(b.Parts))
	for i, q := range b.Parts {
		for _, port := range []string{"pos", "neg"} {
			at := q.Ref(port)
			for range p.Doc.Parts() {
				runs := p.Doc.RunsAt(at)
				if at.Part == q.ID && len(runs) != 1 || at.Part != q.ID && len(runs) == 0 {
					break
				}
				r := runs[0]
				all[i] = append(all[i], r)
				far, _ := p.Doc.Part(r.Other(at).Part)
				if far.Kind.Role != components.Protects && far.Kind.Role != components.Switches {
					break
				}
				next := ""
				for _, name := range far.PortNames() {
					if far.Ref(name) != r.Other(at) {
						next = name
					}
				}
				if at = far.Ref(next); next == "" || len(p.Doc.RunsAt(at)) != 1 {
					break
				}
			}
		}
	}
	return all
}

// assumed names a run of a battery's own way whose figures are missing.
func (b bank) assumed(p *rules.Pass) string {
	for _, way := range b.ways(p) {
		for _, r := range way {
			if _, ok := p.Assumed(r.ID); ok {
				return string(r.ID)
			}
		}
	}
	return ""
}

// equalLeads makes every battery's own way as long and as thick as the longest and
// thickest, run for run, where all have as many runs.
func equalLeads(p *rules.Pass, b bank) (rules.Fix, bool) {
	ways := b.ways(p)
	var edits []components.Edit
	for k := range ways[0] {
		longest, thickest := 0.0, ways[0][k]
		for _, way := range ways {
			if len(way) != len(ways[0]) {
				return rules.Fix{}, false
			}
			longest = math.Max(longest, way[k].Figure("length_ft").Value)
			s, okS := way[k].Size(components.Pos)
			t, okT := thickest.Size(components.Pos)
			if okS && okT && s.Cmil() > t.Cmil() {
				thickest = way[k]
			}
		}
		for _, way := range ways {
			if way[k].Figure("length_ft").Value != longest {
				edits = append(edits, set(way[k].ID, "length_ft", components.Num(longest)))
			}
			if way[k].Told("size").Str() != thickest.Told("size").Str() {
				edits = append(edits, set(way[k].ID, "size", thickest.Told("size")))
			}
		}
	}
	return rules.Fix{Title: fmt.Sprintf("Make the leads of %s equally long and thick", b.name()), Edits: edits}, len(edits) > 0
}
