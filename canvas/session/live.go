package session

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/export/scene"
	"rigline/export/terms"
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
	alive, peaks := sol.Alive(), sol.Peaks()
	for _, p := range doc.Parts() {
		live.On[p.ID] = scene.LiveRun{Dead: !alive[p.ID]}
	}
	for _, r := range doc.Runs() {
		run := scene.LiveRun{Dead: !alive[r.ID]}
		if peak, ok := peaks[r.ID]; ok && alive[r.ID] {
			run.Figure = figure(peak)
		}
		live.On[r.ID] = run
	}
	live.Lines = append(story(c), energies(c, sol)...)
	live.shade(c, sol)
	live.bonds(c)
	if after != nil {
		live.follows(after)
	}
	say := terms.Of(doc)
	live.Lines = say.All(live.Lines)
	for i := range live.Tags {
		live.Tags[i].Text = say.Say(live.Tags[i].Text)
	}
	return live
}

func figure(p solve.Peak) string {
	text := amps(p.Amps)
	if p.Volts > 0 {
		text += fmt.Sprintf(" · %.4g V", math.Round(p.Volts*10)/10)
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
	return append(lines, c.Stands()...)
}
