package session

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"rigline/components"
	"rigline/export/scene"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// Live is what the rig does in one operating state.
type Live struct {
	Doc    *components.Document
	State  string
	On     map[components.ID]scene.LiveRun // every part and run
	Lines  []string                        // what feeds what, and where neutral meets ground
	By     map[components.ID]components.ID // the source that feeds a run or part
	Order  []components.ID                 // the sources that feed anything, in tag order
	Lost   map[components.ID]float64       // voltage lost from the source to a run's far end, in per cent
	Tags   []Tag                           // words at places on the sheet
	Fault  Fault                           // what has gone wrong, the zero Fault for nothing
	Failed string                          // why there are no figures, "" where there are
}

// Tag is a word at a part or run of the sheet: where neutral and ground meet, or
// what a load gets when something is wrong.
type Tag struct {
	At    string // an address
	Text  string
	Level rules.Level // 0: no cause for alarm
}

// ChooseState shows an operating state by name, or none.
func (s *Session) ChooseState(name string) {
	if s.checks.state == name {
		return
	}
	s.checks.state, s.checks.live, s.checks.fault = name, nil, Fault{}
	s.check()
	s.changed(CheckedChanged)
}

// State is the operating state that is shown, "" for none.
func (s *Session) State() string { return s.checks.state }

// Live is what came back for the chosen state; false where none is chosen or its
// figures are still on the way.
func (s *Session) Live() (*Live, bool) {
	l := s.checks.live
	return l, l != nil && l.State == s.checks.state && l.Fault == s.checks.fault && l.Doc == s.Doc()
}

// liveNamed solves a document in one of its states; nil where it has none of that
// name.
func liveNamed(doc *components.Document, name string, fault Fault) *Live {
	for _, st := range doc.Operating() {
		if st.Name == name {
			return liveIn(doc, st, fault)
		}
	}
	return nil
}

// liveIn settles and solves a document in a state.
func liveIn(doc *components.Document, state components.State, fault Fault) (live *Live) {
	live = &Live{Doc: doc, State: state.Name, Fault: fault, On: map[components.ID]scene.LiveRun{},
		By: map[components.ID]components.ID{}, Lost: map[components.ID]float64{}}
	defer func() {
		if r := recover(); r != nil {
			live.Failed = fmt.Sprintf("the solver failed: %v", r)
		}
	}()
	c := circuit.Build(doc, state)
	var sol *solve.Solution
	var after *solve.Outcome
	if fault.What == NoMishap {
		sol = solve.Solve(c)
	} else {
		var err error
		if after, err = solve.WhatIf(c, fault.change()); err != nil {
			live.Failed = err.Error()
			return live
		}
		sol = after.After
		c = sol.Circuit
	}
	if sol.Failure != nil {
		live.Failed = sol.Failure.Reason
	}
	for _, p := range doc.Parts() {
		live.On[p.ID] = scene.LiveRun{Dead: true}
	}
	for _, r := range doc.Runs() {
		live.On[r.ID] = scene.LiveRun{Dead: true}
	}
	figures := map[components.ID]*figure{}
	for i, l := range c.Links {
		if !l.Closed || !c.Live(l.A) && !carries(sol, i, l) {
			continue
		}
		id := l.Run
		if id == "" {
			id = l.Part
		}
		live.On[id] = scene.LiveRun{}
		if l.Run != "" {
			f := figures[id]
			if f == nil {
				f = &figure{}
				figures[id] = f
			}
			f.add(sol, i)
		}
	}
	for _, src := range c.Sources {
		live.On[src.Part] = scene.LiveRun{}
	}
	for t, term := range c.Terms { // a load lives where its terminal does
		if c.Live(circuit.Term(t)) && (term.Pole.Hot() || term.Pole == components.Pos) {
			live.On[term.Part] = scene.LiveRun{}
		}
	}
	for _, r := range doc.Runs() { // grounds, neutrals and negatives belong to what they run with
		if live.On[r.ID].Dead && returnOnly(doc, r) && !live.On[r.From.Part].Dead && !live.On[r.To.Part].Dead {
			live.On[r.ID] = scene.LiveRun{}
		}
	}
	for _, p := range doc.Parts() { // a bar or a shunt lives with the runs that end at it
		if !live.On[p.ID].Dead {
			continue
		}
		for _, r := range doc.RunsOf(p.ID) {
			if !live.On[r.ID].Dead {
				live.On[p.ID] = scene.LiveRun{}
			}
		}
	}
	for id, f := range figures {
		live.On[id] = scene.LiveRun{Figure: f.String()}
	}
	live.Lines = append(story(c), energies(c, sol)...)
	live.shade(c, sol)
	live.bonds(c)
	if after != nil {
		live.follows(after)
	}
	return live
}

// carries tells whether a return conductor has current in it.
func carries(sol *solve.Solution, i int, l circuit.Link) bool {
	const least = 0.005 // amperes: below half of the last digit shown
	a, ok := sol.Amps(i)
	return ok && l.Run != "" && a > least
}

func returnOnly(doc *components.Document, r components.Run) bool {
	for _, c := range doc.CoresOf(r) {
		if c.From.Hot() || c.From == components.Pos {
			return false
		}
	}
	return true
}

// figure is the largest current of a run's cores and the voltage of its hot.
type figure struct {
	amps  float64
	volts float64
	known bool
}

func (f *figure) add(sol *solve.Solution, link int) {
	c := sol.Circuit
	l := c.Links[link]
	if l.Core.From == components.G {
		return
	}
	if a, ok := sol.Amps(link); ok {
		f.amps, f.known = math.Max(f.amps, a), true
	}
	back := components.N
	if l.Core.From == components.Pos {
		back = components.Neg
	}
	feeds := c.Feeds(l.A)
	if len(feeds) == 0 {
		return
	}
	first := feeds[0].Return
	if v, ok := sol.Between(l.A, first); ok && c.Terms[first].Pole == back {
		f.volts = math.Max(f.volts, cmplx.Abs(v))
	}
}

func (f *figure) String() string {
	if !f.known {
		return ""
	}
	text := amps(f.amps)
	if f.volts > 0 {
		text += fmt.Sprintf(" · %.4g V", math.Round(f.volts*10)/10)
	}
	return text
}

func amps(a float64) string {
	if a >= 10 {
		return fmt.Sprintf("%.0f A", a)
	}
	return fmt.Sprintf("%.1f A", a)
}

// story tells where devices stand, and where neutral and ground meet.
func story(c *circuit.Circuit) []string {
	var lines []string
	for _, isle := range c.Islands() {
		places := make([]string, len(isle.Bonds))
		for i, b := range isle.Bonds {
			places[i] = b.At + " (" + b.Via + ")"
		}
		where := "nowhere"
		if len(places) > 0 {
			where = "at " + strings.Join(places, " and ")
		}
		lines = append(lines, fmt.Sprintf("%s feeds AC; neutral meets ground %s", isle.Source, where))
	}
	for _, p := range c.Doc.Parts() {
		switch at := c.Positions[p.ID]; at {
		case circuit.AtA, circuit.AtB:
			lines = append(lines, fmt.Sprintf("%s stands at %s", p.ID, at))
		case circuit.Passing:
			lines = append(lines, fmt.Sprintf("%s passes its input through", p.ID))
		case circuit.Inverting:
			lines = append(lines, fmt.Sprintf("%s makes AC from the bank", p.ID))
		case circuit.Resting:
			lines = append(lines, fmt.Sprintf("%s rests", p.ID))
		}
	}
	for _, id := range c.Unsettled {
		lines = append(lines, fmt.Sprintf("%s does not settle", id))
	}
	return lines
}
