package checks

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// LegBalance asks that the loads are spread over both legs.
var LegBalance = &rules.Rule{
	ID:    "panel.leg-balance",
	Title: "One leg carries most of the load",
	Must:  "On split phase the loads are spread so that the legs are about equal. Speaks where they differ by more than a quarter of the heavier one and that one is above 80 % of what feeds it.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.42(D), 210.11(B)", Says: "the load is evenly proportioned; no figure is given", Seen: rules.Memory},
		{Source: "25 % between the legs, and 80 % of the breaker or of the inverter's half", Says: "this program's own line", Seen: rules.Practice},
	},
	Level: rules.Advice,
	Check: legBalance,
}

// This program's own lines: how unequal, and how near its breaker the heavier leg.
const (
	unequal = 0.25
	nearTop = 0.8
)

func legBalance(p *rules.Pass) {
	if p.Solution().Failure != nil {
		return
	}
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Panel || q.Gone() {
			continue
		}
		a, okA := p.Circuit.At(q.ID, "bar", components.L1)
		b, okB := p.Circuit.At(q.ID, "bar", components.L2)
		if okA && okB && p.Circuit.PhaseOf(a, b) == circuit.Opposite {
			holdLegs(p, q)
		}
	}
}

// branchLoad is the current of one circuit of a panel and its leg.
type branchLoad struct {
	row  int
	leg  components.Pole
	amps float64
}

func holdLegs(p *rules.Pass, q components.Part) {
	legs := map[components.Pole]float64{}
	var loads []branchLoad
	limit := math.Inf(1)
	for i, l := range p.Circuit.LinksIn(q.ID) {
		amps, ok := p.Solution().Amps(i)
		switch {
		case !ok || !l.Join.APole.Hot():
		case l.Join.BPort == "bar":
			legs[l.Join.BPole] = amps
			for _, f := range p.Feeds()[i] {
				limit = math.Min(limit, f.LimitA)
			}
			if d, ok := p.Circuit.Device(*l); ok && d.RatingA.Known() {
				limit = math.Min(limit, d.RatingA.Value)
			}
		case l.Join.APort == "bar":
			if n, err := strconv.Atoi(strings.TrimPrefix(l.Join.BPort, "c")); err == nil {
				loads = append(loads, branchLoad{n - 1, l.Join.APole, amps})
			}
		}
	}
	heavy, light := components.L1, components.L2
	if legs[light] > legs[heavy] {
		heavy, light = light, heavy
	}
	gap := legs[heavy] - legs[light]
	if gap <= unequal*legs[heavy]*1.001 || legs[heavy] <= nearTop*limit*1.001 || math.IsInf(limit, 1) {
		return
	}
	p.Report(rules.Finding{
		At:      string(q.ID),
		Message: fmt.Sprintf("With everything on, %s of %s carries %s A and %s %s A: the heavier leg trips while the other has room", heavy, q.ID, numText(legs[heavy]), light, numText(legs[light])),
		Working: []string{fmt.Sprintf("(%s − %s) / %s = %.0f %% > 25 %%", numText(legs[heavy]), numText(legs[light]), numText(legs[heavy]), 100*gap/legs[heavy]), fmt.Sprintf("%s A > 80 %% × %s A", numText(legs[heavy]), numText(limit))},
		Fixes:   evenOut(p, q, loads, heavy, light, gap),
	})
}

// evenOut moves the circuit that brings the legs closest together, not one that
// shares a neutral or a handle.
func evenOut(p *rules.Pass, q components.Part, loads []branchLoad, heavy, light components.Pole, gap float64) []rules.Fix {
	rows := q.Rows("circuits")
	bound := map[int]bool{}
	for _, i := range sharingIn(p, q) {
		bound[i] = true
	}
	best, left := -1, gap
	for _, l := range loads {
		row := rows[l.row]
		next := l.row+1 < len(rows) && rows[l.row+1]["tied"].Truth()
		if l.leg != heavy || row["leg"].Str() == "both" || row["tied"].Truth() || next || bound[l.row] {
			continue
		}
		if after := math.Abs(gap - 2*l.amps); after < left {
			best, left = l.row, after
		}
	}
	if best < 0 {
		return nil
	}
	moved := append([]components.Spec{}, rows...)
	moved[best] = rows[best].With("leg", components.Str(string(light)))
	return []rules.Fix{{Title: fmt.Sprintf("Move %s of %s to %s", circuitName(rows[best], best), q.ID, light), Edits: []components.Edit{set(q.ID, "circuits", components.Table(moved...))}}}
}
