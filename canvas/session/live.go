package session

import (
	"fmt"
	"math"
	"slices"
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
	On     map[components.ID]scene.LiveRun   // every part and run
	Lines  []string                          // what feeds what, and where neutral meets ground
	By     map[components.ID]components.ID   // the source that feeds a run or part
	Order  []components.ID                   // the sources that feed anything, in tag order
	With   map[components.ID][]components.ID // the others on the net of one of these
	Lost   map[components.ID]float64         // voltage lost from the source to a run's far end, in per cent
	Tags   []Tag                             // words at places on the sheet
	Fault  Fault                             // what has gone wrong, the zero Fault for nothing
	Failed string                            // why there are no figures, "" where there are
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

// liveNamed tells of a document in one of its states, as its report has it solved; nil
// where it has none of that name. A check that failed gave no report: it is solved then.
func liveNamed(doc *components.Document, report *rules.Report, name string, fault Fault) *Live {
	states := doc.Operating()
	i := slices.IndexFunc(states, func(st components.State) bool { return st.Name == name })
	if i < 0 {
		return nil
	}
	return liveIn(doc, name, fault, func() *rules.Pass {
		if report != nil {
			return report.Solved()[i]
		}
		c := circuit.Build(doc, states[i])
		return rules.Over(c, solve.Solve(c))
	})
}

// liveIn tells of a state that is settled and solved.
func liveIn(doc *components.Document, name string, fault Fault, solved func() *rules.Pass) (live *Live) {
	live = &Live{Doc: doc, State: name, Fault: fault, On: map[components.ID]scene.LiveRun{},
		By: map[components.ID]components.ID{}, With: map[components.ID][]components.ID{}, Lost: map[components.ID]float64{}}
	defer func() {
		if r := recover(); r != nil {
			live.Failed = fmt.Sprintf("the solver failed: %v", r)
		}
	}()
	p := solved()
	c, sol := p.Circuit, p.Solution()
	var after *solve.Outcome
	if fault.What != NoMishap {
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
