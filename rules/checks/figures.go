package checks

import (
	"fmt"
	"math"
	"math/cmplx"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// Figures are what a person weighs when a size or a rating is chosen: what a run or
// a device may carry, what it carries at most, in which state, and, of a run, how
// much voltage its own conductors lose there. What is not known says why.
type Figures struct {
	Usable  float64 // A, 0 where it is not known
	Why     string  // why it is not
	Working []string
	AllOnA  float64 // what a DC core is asked for, for hours, with everything on; 0 where it is not
	Open    bool    // more is asked for by parts that have not told what they draw or give
	Amps    float64 // the largest current of a hot, positive or negative core
	State   string  // in which it flows, "" where nothing is solved
	LostV   float64 // there, over the run's own conductors, out and back
	LostPct float64 // of the source's voltage
	Ahead   string  // what protects it, the loosest
	FaultA  float64 // of a device: the highest prospective current in it, 0 where it is not known

	aheadA float64
	port   string // of the one circuit that is meant, "" for the whole part
}

// FiguresOf gathers a run's or a device's figures from every operating state of a
// document that was checked.
func FiguresOf(report *rules.Report, id components.ID) Figures { return FiguresAt(report, id, "") }

// FiguresAt does so for one circuit of a panel or fuse block, by its port.
func FiguresAt(report *rules.Report, id components.ID, port string) Figures {
	f := Figures{port: port}
	run, isRun := report.Doc.Run(id)
	for i, p := range report.Solved() {
		if isRun {
			f.ampacity(p, run)
		}
		if i == 0 { // the state that the rules count it in
			f.demand(p, id, isRun)
		}
		f.current(p, id, isRun)
		if !isRun {
			f.fault(p, id)
		}
	}
	if isRun && f.Usable == 0 && f.Why == "" {
		f.Why = "no state in which it is fed"
	}
	return f
}

func (f *Figures) ampacity(p *rules.Pass, run components.Run) {
	for _, core := range p.Doc.CoresOf(run) {
		if core.From == components.G {
			continue
		}
		a, err := runAmpacity(p, run, core.From)
		if err != nil {
			f.Why = err.Error()
			continue
		}
		if f.Usable == 0 || a.Usable < f.Usable {
			f.Usable, f.Working = a.Usable, a.Working
		}
	}
	feeds := p.Feeds()
	for i := range p.Circuit.LinksOf(run.ID) {
		for _, feed := range feeds[i] {
			if f.Ahead == "" || feed.LimitA > f.aheadA { // in whichever state it is
				f.aheadA = feed.LimitA
				f.Ahead = feed.String()
			}
		}
	}
}

// owns tells whether a link is of the run or the device.
func (f *Figures) owns(l circuit.Link, id components.ID, isRun bool) bool {
	if isRun {
		return l.Run == id
	}
	return l.Run == "" && l.Part == id && !l.Bond && f.means(l)
}

func (f *Figures) demand(p *rules.Pass, id components.ID, isRun bool) {
	d := p.Demand()
	for i, l := range p.Circuit.Links {
		if f.owns(l, id, isRun) && p.Circuit.Terms[l.A].Pole.DC() && i < len(d.Amps) {
			f.AllOnA = math.Max(f.AllOnA, d.Amps[i])
			f.Open = f.Open || openDemand(p, i)
		}
	}
}

func (f *Figures) current(p *rules.Pass, id components.ID, isRun bool) {
	most, out, back, volts := 0.0, 0.0, 0.0, 0.0
	solved := false
	for i, l := range p.Circuit.Links {
		if !f.owns(l, id, isRun) || isRun && l.Core.Role() == components.G || !isRun && p.Circuit.Terms[l.A].Pole == components.G {
			continue
		}
		a, ok := p.Solution().Amps(i)
		if !ok {
			continue
		}
		solved = true
		most = math.Max(most, a)
		if v, ok := p.Solution().Between(l.A, l.B); ok && isRun {
			if l.Core.From.Hot() || l.Core.From == components.Pos {
				out = math.Max(out, cmplx.Abs(v))
			} else {
				back = math.Max(back, cmplx.Abs(v))
			}
		}
		if feeds := p.Circuit.Feeds(l.A); len(feeds) > 0 {
			volts = math.Max(volts, feeds[0].Volts)
		}
	}
	if !solved || f.State != "" && most <= f.Amps {
		return
	}
	f.Amps, f.State, f.LostV = most, p.State.Name, out+back
	if volts > 0 {
		f.LostPct = 100 * f.LostV / volts
	}
}

// fault is the highest current that a device may have to break: across its load
// side, from its live conductor to its return.
func (f *Figures) fault(p *rules.Pass, id components.ID) {
	for _, l := range p.Circuit.Links {
		if l.Run != "" || l.Part != id || !f.means(l) {
			continue
		}
		feeds := p.Circuit.Feeds(l.A)
		if len(feeds) == 0 {
			continue
		}
		if x, ok := p.Faults().HighestFault(l.A, feeds[0].Return); ok {
			f.FaultA = math.Max(f.FaultA, x.Amps)
		}
	}
}

// means tells whether a contact of the part is the one that is meant.
func (f *Figures) means(l circuit.Link) bool {
	return f.port == "" || l.Join.APort == f.port || l.Join.BPort == f.port
}

// String tells the figures in a line.
func (f Figures) String() string {
	text := ""
	add := func(format string, args ...any) {
		if text != "" {
			text += "; "
		}
		text += fmt.Sprintf(format, args...)
	}
	if f.Usable > 0 {
		add("may carry %.0f A", f.Usable)
	}
	switch amps := numText(math.Round(f.AllOnA*10) / 10); {
	case f.Open && f.AllOnA > 0.05:
		add("with everything on, %s A for hours, and more that is not told", amps)
	case f.Open:
		add("with everything on, a current that is not told")
	case f.AllOnA > 0.05:
		add("with everything on, %s A for hours", amps)
	}
	if f.State != "" && f.Amps > 0.05 {
		add("in the state %s, %s A", f.State, numText(math.Round(f.Amps*10)/10))
		if f.LostPct > 0 {
			text += fmt.Sprintf(" and %.2f V (%.1f %%) lost", f.LostV, f.LostPct)
		}
	}
	if f.FaultA > 0 {
		add("may have to break %s A", numText(math.Round(f.FaultA)))
	}
	return text
}

// Ratings are the ratings that a device is made in, in A: its family's, or the
// standard ones.
func Ratings(p components.Part) []float64 {
	if f, ok := tables.FuseFamily(p.Word("family")); ok {
		return f.Ratings
	}
	fuse := p.Kind == &components.Fuse
	const most = 400
	var all []float64
	for r, ok := tables.StandardAtLeast(0.001, fuse); ok && r <= most; r, ok = tables.StandardAtLeast(r+0.001, fuse) {
		all = append(all, r)
	}
	return all
}

// CircuitRatings are the ratings that a circuit of a panel or fuse block is made in,
// in A: standard breakers up to the panel's largest, or blade fuses.
func CircuitRatings(p components.Part) []float64 {
	if p.Kind == &components.DCPanel {
		f, _ := tables.FuseFamily("blade-atc")
		return f.Ratings
	}
	const most = 100 // branch breakers of such panels end there (common practice, no source)
	var all []float64
	for r, ok := tables.StandardAtLeast(0.001, false); ok && r <= most; r, ok = tables.StandardAtLeast(r+0.001, false) {
		all = append(all, r)
	}
	return all
}

// SizeFor is the smallest size in which a run's construction may stand behind a
// device of so many amperes, its cores alike.
func SizeFor(doc *components.Document, run components.ID, amps float64) (units.Size, bool) {
	r, ok := doc.Run(run)
	if !ok {
		return units.Size{}, false
	}
	states := doc.Operating()
	if len(states) == 0 {
		states = []components.State{{SoC: 0.5}}
	}
	laid := circuit.Lay(doc)
	var largest units.Size
	found := false
	for _, st := range states {
		p := &rules.Pass{Doc: doc, State: st, Circuit: laid.In(st)}
		for _, core := range doc.CoresOf(r) {
			if core.From == components.G && len(doc.CoresOf(r)) > 1 {
				continue
			}
			size, ok := sizeFor(p, r, core.From, amps)
			if !ok {
				return units.Size{}, false
			}
			if !found || size.MM2() > largest.MM2() {
				largest, found = size, true
			}
		}
	}
	return largest, found
}
