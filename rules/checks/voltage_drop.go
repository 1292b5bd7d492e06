package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
	"rigline/rules/tables"
)

// The drops that ABYC E-11 allows, as a share of the nominal voltage.
const (
	criticalShare = 0.03
	generalShare  = 0.10
)

// CriticalDrop holds main feeders, charge paths and critical loads to 3 %.
var CriticalDrop = &rules.Rule{
	ID:    "voltage-drop.critical-3-percent",
	Title: "A critical DC path loses more than 3 %",
	Must:  "Main feeders, charge paths, inverters, electronics and safety loads lose at most 3 % of the nominal voltage out and back, at the largest current and with warm conductors.",
	Basis: []rules.Basis{
		{Source: "ABYC E-11", Says: "3 % for critical circuits (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "resistance at the project's conductor temperature, joints left out", Seen: rules.Practice},
	},
	Level: rules.Advice,
	Check: func(p *rules.Pass) {
		eachDrop(p, true)
		arrayDrop(p)
	},
}

// GeneralDrop holds all other DC loads to 10 %.
var GeneralDrop = &rules.Rule{
	ID:    "voltage-drop.general-10-percent",
	Title: "A DC load loses more than 10 %",
	Must:  "Lamps and other loads that are not critical lose at most 10 % of the nominal voltage out and back, at the largest current and with warm conductors.",
	Basis: []rules.Basis{
		{Source: "ABYC E-11", Says: "10 % for circuits that are not critical (a marine rule, not law in a vehicle)", Seen: rules.Published},
		{Source: "resistance at the project's conductor temperature, joints left out", Seen: rules.Practice},
	},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) { eachDrop(p, false) },
}

// user is a DC port with what its path may lose; charges tells that current comes
// out of it.
type user struct {
	port              string
	critical, charges bool
}

// usersOf are a part's DC ports that a drop counts at.
func usersOf(q components.Part) []user {
	switch q.Kind {
	case &components.InverterCharger:
		return []user{{"dc", true, false}, {"dc", true, true}}
	case &components.Inverter:
		return []user{{"dc", true, false}}
	case &components.Charger:
		return []user{{"dc", true, true}}
	case &components.SolarController:
		return []user{{"battery", true, true}}
	case &components.DCCharger: // it takes what comes and raises it
		return []user{{"in", false, false}, {"out", true, true}}
	case &components.Alternator:
		return []user{{"out", true, true}}
	case &components.DCConverter, &components.DCPanel:
		port := "in"
		if q.Kind == &components.DCPanel {
			port = "feed"
		}
		return []user{{port, true, false}}
	case &components.DCLoad:
		return []user{{"in", q.Is("critical"), false}}
	}
	return nil
}

func eachDrop(p *rules.Pass, critical bool) {
	if !p.First() {
		return
	}
	d := p.Demand()
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		var worst *rules.Finding
		most := 0.0
		for _, u := range usersOf(q) {
			if u.critical != critical {
				continue
			}
			if f, share := dropAt(p, d, q, u); f != nil && share > most {
				worst, most = f, share
			}
		}
		if worst != nil {
			p.Report(*worst)
		}
	}
}

// dropAt is the finding at a port that loses too much, with the share that it loses.
func dropAt(p *rules.Pass, d solve.Demand, q components.Part, u user) (*rules.Finding, float64) {
	pos, okP := p.Circuit.At(q.ID, u.port, components.Pos)
	neg, okN := p.Circuit.At(q.ID, u.port, components.Neg)
	if !okP || !okN {
		return nil, 0
	}
	way, sign := d.DCOnly, 1.0 // an inverter's few minutes at full power are no matter of lamps
	switch {
	case u.charges:
		way, sign = d.Charging, -1
	case q.Kind == &components.Inverter, q.Kind == &components.InverterCharger, q.Kind == &components.DCLoad && u.critical:
		way = d.Drawing
	}
	here, ok := way.Between(pos, neg)
	if !ok {
		return nil, 0
	}
	drop, from, found := math.Inf(-1), circuit.Source{}, false
	for _, s := range p.Circuit.Feeds(pos) {
		if src, _ := p.Doc.Part(s.Part); !s.Stores && src.Kind != &components.DCConverter || s.Part == q.ID {
			continue
		}
		if there, ok := way.Between(s.Hot, s.Return); ok && sign*(there-here) > drop {
			drop, from, found = sign*(there-here), s, true
		}
	}
	if !found {
		return nil, 0
	}
	limit := generalShare
	if u.critical {
		limit = criticalShare
	}
	nominal := components.VoltClass(from.Volts)
	share := drop / nominal
	if share <= limit*1.0005 {
		return nil, 0
	}
	path := pathRuns(p, way, pos, from.Hot, neg, from.Return)
	ends := fmt.Sprintf("from %s to %s", from.Part, q.ID)
	if u.charges {
		ends = fmt.Sprintf("from %s to %s", q.ID, from.Part)
	}
	f := rules.Finding{
		At:      string(q.ID),
		Message: fmt.Sprintf("%s V, %.1f %% of %s V, are lost %s; %.0f %% is the limit", numText(math.Round(1000*drop)/1000), 100*share, numText(nominal), ends, 100*limit),
	}
	for _, s := range path {
		f.Also = append(f.Also, string(s.run.ID))
		f.Working = append(f.Working, fmt.Sprintf("%s (%s, %s ft): %s A, %s V", s.run.ID, s.run.Told("size"), numText(s.run.Figure("length_ft").Value), numText(s.amps), numText(s.volts)))
	}
	f.Working = append(f.Working, fmt.Sprintf("sum out and back at %s °C = %s V > %.0f %% × %s V = %s V", numText(p.Doc.ConductorTempC), numText(drop), 100*limit, numText(nominal), numText(limit*nominal)))
	if fix, ok := thicker(path, drop-limit*nominal); ok {
		f.Fixes = []rules.Fix{fix}
	}
	return &f, share
}

// stretch is a run on a path with what it carries and loses.
type stretch struct {
	run         components.Run
	pole        components.Pole
	amps, volts float64
}

// pathRuns are the runs from a port to its source and back, by the shortest way.
func pathRuns(p *rules.Pass, way solve.Case, pos, hot, neg, ret circuit.Term) []stretch {
	var path []stretch
	for _, ends := range [][2]circuit.Term{{hot, pos}, {neg, ret}} {
		for _, link := range shortest(p.Circuit, ends[0], ends[1]) {
			l := p.Circuit.Links[link]
			r, ok := p.Doc.Run(l.Run)
			if !ok {
				continue
			}
			volts, _ := way.Between(l.A, l.B)
			path = append(path, stretch{r, l.Core.From, math.Abs(way.Amps(int(link))), math.Abs(volts)})
		}
	}
	return path
}

// shortest is the way over fewest closed links of one pole between two terminals.
func shortest(c *circuit.Circuit, from, to circuit.Term) []int32 {
	way, _ := c.Walk(func(l *circuit.Link, o circuit.Term) bool { return l.Closed && c.Terms[o].Pole == c.Terms[from].Pole }, from).Way(to)
	return way
}

// thicker enlarges the runs of a path, the one that loses most first, until they
// lose less by so many volts.
func thicker(path []stretch, excess float64) (rules.Fix, bool) {
	sizes := units.AWGSizes()
	now := map[components.ID]units.Size{}
	lost := map[components.ID]float64{}
	for _, s := range path {
		if size, ok := s.run.Size(s.pole); ok && s.volts > 0 && !size.Metric() {
			now[s.run.ID] = size
			lost[s.run.ID] += s.volts
		}
	}
	first := map[components.ID]units.Size{}
	for id, s := range now {
		first[id] = s
	}
	for excess > 0 {
		best := components.ID("")
		for _, s := range path {
			if _, can := larger(sizes, now[s.run.ID]); can && !now[s.run.ID].IsZero() && (best == "" || lost[s.run.ID] > lost[best]) {
				best = s.run.ID
			}
		}
		if best == "" {
			return rules.Fix{}, false
		}
		next, _ := larger(sizes, now[best])
		was, errWas := tables.Resistance(now[best], 1, 75, false)
		is, errIs := tables.Resistance(next, 1, 75, false)
		if errWas != nil || errIs != nil {
			return rules.Fix{}, false
		}
		excess -= lost[best] * (1 - is/was)
		lost[best] *= is / was
		now[best] = next
	}
	fix := rules.Fix{Title: "Replace "}
	seen := map[components.ID]bool{}
	for _, s := range path {
		id := s.run.ID
		if seen[id] || now[id] == first[id] {
			continue
		}
		if seen[id] = true; len(fix.Edits) > 0 {
			fix.Title += ", "
		}
		fix.Title += fmt.Sprintf("%s by %s", id, now[id])
		fix.Edits = append(fix.Edits, set(id, "size", components.Str(now[id].String())))
	}
	return fix, len(fix.Edits) > 0
}

// larger is the next larger stocked size, 4/0 AWG the last.
func larger(sizes []units.Size, s units.Size) (units.Size, bool) {
	const fourOught = 211600
	for _, o := range sizes {
		if s.Less(o) && o != threeAWG && o.Cmil() <= fourOught+1 {
			return o, true
		}
	}
	return s, false
}

// arrayDrop holds the way from an array to its controller, in full sun.
func arrayDrop(p *rules.Pass) {
	if p.State.Sun == 0 || p.Solution().Failure != nil {
		return
	}
	for _, cc := range p.Doc.Parts() {
		in, okP := p.Circuit.At(cc.ID, "pv", components.Pos)
		inNeg, okN := p.Circuit.At(cc.ID, "pv", components.Neg)
		if cc.Kind != &components.SolarController || cc.Gone() || !okP || !okN {
			continue
		}
		here, solved := p.Solution().Between(in, inNeg)
		for _, q := range arraysOn(p, in) {
			out, _ := p.Circuit.At(q.ID, "out", components.Pos)
			outNeg, _ := p.Circuit.At(q.last().ID, "out", components.Neg)
			there, ok := p.Solution().Between(out, outNeg)
			vmp := q.vmp()
			drop := real(there) - real(here)
			if !ok || !solved || vmp == 0 || drop <= criticalShare*vmp {
				continue
			}
			p.Report(rules.Finding{
				At: string(q.ID), Also: []string{string(cc.ID)},
				Message: fmt.Sprintf("%s V, %.1f %% of %s V, are lost from %s to %s in full sun; %.0f %% is the limit", numText(math.Round(1000*drop)/1000), 100*drop/vmp, numText(vmp), q.ID, cc.ID, 100*criticalShare),
				Working: []string{fmt.Sprintf("%s V at the array − %s V at the controller = %s V", numText(real(there)), numText(real(here)), numText(drop))},
			})
		}
	}
}
