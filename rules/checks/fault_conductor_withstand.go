package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// Withstand asks that a conductor outlives a short at its beginning.
var Withstand = &rules.Rule{
	ID:    "fault.conductor-withstand",
	Title: "A conductor is spoilt before its device opens",
	Must:  "The highest prospective current at the beginning of a DC conductor flows no longer than its insulation bears: its device opens within that time on its family's time-current curve.",
	Basis: []rules.Basis{
		{Source: "ICEA P-32-382", Says: "t = 0.0297 log10((T2+234)/(T1+234)) (A/I)², copper, A in circular mils", Seen: rules.Published},
		{Source: "ICEA P-32-382", Says: "aluminum: 0.0125 and 228 in place of 0.0297 and 234", Seen: rules.Memory},
		{Source: "ISO 8820, UL 248 time points", Says: "opening times up to six times the rating; beyond, the same I²t", Seen: rules.Memory},
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(E)(4)", Says: "a lead of up to 18 in that ends at its own device is left out (park trailers; article 551 excludes low voltage)", Seen: rules.Published},
	},
	Level: rules.Danger, OnePerPlace: true, Stateless: true,
	Check: conductorWithstand,
}

func conductorWithstand(p *rules.Pass) {
	feeds := p.Feeds()
	near := map[[2]circuit.Term]float64{} // the current of a short, by where it is
	for i, l := range p.Circuit.Links {
		if l.Run == "" || l.Core.From != components.Pos || l.Core.To != components.Pos {
			continue
		}
		for _, f := range feeds[i] {
			if !f.Source.Stores || !f.HasDevice() || f.Unknown {
				continue // overcurrent.battery-unfused and -rating-within-ampacity speak
			}
			at := [2]circuit.Term{f.Enters, f.Source.Return}
			amps, known := near[at]
			if !known {
				short, _ := p.Faults().HighestFault(f.Enters, f.Source.Return)
				amps = short.Amps
				near[at] = amps
			}
			if why, missing := p.Assumed(f.Source.Part); missing {
				p.Unchecked(string(f.Source.Part), fmt.Sprintf("%s: how long a conductor bears a short from it cannot be worked out; read the label of %s", why, f.Source.Part))
				continue
			}
			r, _ := p.Doc.Run(l.Run)
			withstands(p, &fed{Run: r, Pole: components.Pos, Feed: f, Joint: joint(feeds[i], f)}, amps)
		}
	}
}

func withstands(p *rules.Pass, f *fed, amps float64) {
	size, ok := f.Run.Size(components.Pos)
	if !ok || amps <= 0 {
		return // the ampacity rule asks for the size
	}
	for _, o := range f.Joint {
		if o.Unknown {
			return
		}
	}
	stands := bears(f.Run, size, amps)
	opens, weak, working := clearing(p, f.Feed, f.Joint, amps)
	if opens <= stands {
		return
	}
	if a, err := runAmpacity(p, f.Run, components.Pos); err == nil {
		if _, tap := tapDevice(p, f, a.Usable); tap && shortCable(p, f.Run) {
			return
		}
	}
	bearing := fmt.Sprintf("%s (%s) bears %s A for %s s (%d to %d °C)", f.Run.ID, size, numText(math.Round(amps)), numText(stands), warmC, spoiltC)
	part, _ := p.Doc.Part(f.Feed.Device.Part)
	find := rules.Finding{
		At: string(f.Run.ID), Also: []string{f.Feed.Device.Address()},
		Message: fmt.Sprintf("A short on %s draws %s A; it bears that for %s s, and %s may take %s s to open", f.Run.ID, numText(math.Round(amps)), numText(stands), f.Feed.Device, numText(opens)),
		Working: []string{bearing, working()}, RestsOn: assumedLengths(p),
	}
	switch {
	case weak && part.Kind == &components.DCBreaker && !math.IsInf(opens, 1):
		find.Level = rules.Advice
		find.Message = fmt.Sprintf("A short on %s draws %s A; it bears that for %s s, and no curve promises that %s opens sooner: ask its maker for the curve", f.Run.ID, numText(math.Round(amps)), numText(stands), f.Feed.Device)
	case weak:
		p.Unchecked(f.Feed.Device.Address(), fmt.Sprintf("the opening time of %s at %.3g times its rating is not in the tables, and %s bears that for %s s: ask its maker for the time-current curve", f.Feed.Device, amps/f.Feed.LimitA, f.Run.ID, numText(stands)), string(f.Run.ID))
		return
	}
	enough, _ := sizeFor(p, f.Run, components.Pos, f.Feed.LimitA) // so that the repair also suits the ampacity
	for _, s := range sizesLike(p.Doc, f.Run, components.Pos) {
		if !s.Less(enough) && bears(f.Run, s, amps) >= opens {
			find.Fixes = append(find.Fixes, replaceBy(p.Doc, f.Run, s))
			break
		}
	}
	if a, err := runAmpacity(p, f.Run, components.Pos); err == nil && len(f.Joint) == 0 {
		if fix, ok := lowerRating(p.Doc, *f.Feed.Device, a.Usable); ok && a.Usable < f.Feed.LimitA {
			find.Fixes = append(find.Fixes, fix)
		}
	}
	p.Report(find)
}
