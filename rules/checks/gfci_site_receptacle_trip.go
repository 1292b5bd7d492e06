package checks

import (
	"fmt"
	"math/cmplx"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// SiteGFCITrip tells whether a ground-fault protected site outlet stays closed.
var SiteGFCITrip = &rules.Rule{
	ID:    "gfci.site-receptacle-trip",
	Title: "The site's ground-fault outlet will trip",
	Must:  "Where a ground-fault protected site outlet feeds the vehicle, the standing leakage of its appliances and the neutral current that a second bond sends over ground stay under 4 mA together. A 15 or 20 A outlet is taken as protected unless it is told, and so is one that the rig is taken to by an adapter; there the rule goes by what is told, and asks for nothing.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.71(F), TIA 20-8", Says: "15 and 20 A site outlets are protected; 30 and 50 A ones need not be", Seen: rules.Published},
		{Source: "UL 943", Says: "trips at 4 to 6 mA", Seen: rules.Memory},
		{Source: "UL 101", Says: "an appliance leaks at most 0.5 mA with a plug, 0.75 mA fixed; an inverter/charger's filters may leak more", Seen: rules.Memory},
	},
	Set:   components.USVehicle,
	Level: rules.Violation,
	Check: siteTrip,
}

const (
	tripMA      = 4.0  // the least at which a ground-fault device may open
	applianceMA = 0.75 // the most that a fixed appliance leaks
	converterMA = 3.5  // the most that filters of class I equipment leak (IEC 60950-1, from memory)
	twoBonds    = 2    // on one neutral: the second sends current over ground
)

func siteTrip(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Shore || q.Gone() || p.State.Shore == "" {
			continue
		}
		service := p.Circuit.Service(q)
		askMarked(p, q, "gfci", "whether it trips on what the rig leaks is not: look for a test button at the outlet or its breaker")
		adapter := slices.Contains(components.Adapters, service)
		if adapter && components.ServiceAmps(service) > 20 || !adapter && !q.Is("gfci") {
			continue
		}
		diverted, ok := imbalance(p, q)
		if !ok {
			continue
		}
		told, most := 0.0, 0.0
		var unknown []string
		for _, l := range p.Doc.Parts() {
			limit := applianceMA
			port := usesPort(l)
			switch l.Kind {
			case &components.InverterCharger:
				limit, port = converterMA, "ac-in"
			case &components.Charger:
				limit = converterMA
			case &components.Receptacle:
				continue // what is plugged in is not drawn
			}
			if port == "" || l.Gone() || !fedByPart(p, l, port, q.ID) {
				continue
			}
			if f := l.Figure("leakage_ma"); f.Known() {
				told += f.Value
				continue
			}
			unknown = append(unknown, string(l.ID))
			most += limit
		}
		sum := diverted + told
		also := unknown
		f := rules.Finding{At: string(q.ID)}
		if _, from := q.Value("gfci"); from != components.Given || adapter {
			f.RestsOn = []string{fmt.Sprintf("the site's %s A outlet taken as ground-fault protected (NEC 551.71(F))", numText(components.ServiceAmps(service)))}
		}
		switch {
		case sum >= tripMA:
			f.Message = fmt.Sprintf("The ground-fault outlet at %s sees %s mA that does not come back on its neutral; it opens at 4 to 6 mA", q.ID, numText(sum))
			f.Working = []string{fmt.Sprintf("neutral current over ground %s mA + leakage told %s mA = %s mA ≥ 4 mA", numText(diverted), numText(told), numText(sum))}
			f.Fixes = divertedFixes(p, q)
			p.Report(f)
		case adapter: // a smaller outlet of one day or another: what is not told is not asked for
		case sum+most >= tripMA:
			p.Unchecked(string(q.ID), fmt.Sprintf("leakage_ma of %s is not told; with the most that each may leak the ground-fault outlet would see %s mA and open at 4: measure with a leakage clamp around hot and neutral together", strings.Join(unknown, ", "), numText(sum+most)), also...)
		}
	}
}

// imbalance is the current, in mA, that leaves a site outlet on its hots and does
// not come back on its neutral.
func imbalance(p *rules.Pass, shore components.Part) (float64, bool) {
	if p.Solution().Failure != nil {
		return 0, false
	}
	sum := complex128(0)
	for i, l := range p.Circuit.Links {
		if l.Run == "" || l.Core.From == components.G {
			continue
		}
		from, to := p.Circuit.Terms[l.A], p.Circuit.Terms[l.B]
		if from.Part != shore.ID && to.Part != shore.ID {
			continue
		}
		c, ok := p.Solution().Current(i)
		if !ok {
			return 0, false
		}
		if from.Part == shore.ID {
			sum += c
		} else {
			sum -= c
		}
	}
	return 1000 * cmplx.Abs(sum), true
}

// fedByPart tells whether a source part feeds a port in this state.
func fedByPart(p *rules.Pass, q components.Part, port string, source components.ID) bool {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		if t, ok := p.Circuit.At(q.ID, port, pole); ok {
			for _, s := range p.Circuit.Feeds(t) {
				if s.Part == source {
					return true
				}
			}
		}
	}
	return false
}

// divertedFixes take out the bonds in the vehicle that send neutral current over
// ground.
func divertedFixes(p *rules.Pass, shore components.Part) []rules.Fix {
	for _, isle := range p.Circuit.Islands() {
		if isle.Source == shore.ID && len(isle.Bonds) >= twoBonds {
			return unbondFixes(p, isle)
		}
	}
	return nil
}
