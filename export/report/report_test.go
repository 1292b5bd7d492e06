package report_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/report"
	"rigline/projects"
	"rigline/rules"
)

const rig = `format: rigline/1
title: Test
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: class-t, rating_a: 225}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 8 AWG, cable: battery-105, length_ft: 1}
`

var unfused = &rules.Rule{ID: "overcurrent.battery-unfused", Title: "A bank has no fuse", Must: "A fuse at each bank.", Level: rules.Danger,
	Basis: []rules.Basis{{Source: "NFPA 70 (NEC) 2023", Clause: "552.10(E)(4)", Says: "A fuse near the battery.", Seen: rules.Published}}}

var thin = &rules.Rule{ID: "conductor.thin", Title: "Thin", Must: "Thick.", Level: rules.Violation,
	Basis: []rules.Basis{{Source: string(rules.Practice), Seen: rules.Practice}}}

// sample is one finding of each sort on a small rig.
func sample(t *testing.T) report.Document {
	t.Helper()
	doc, index, err := projects.Read("my rig.yaml", []byte(rig))
	require.NoError(t, err)
	r := &rules.Report{Doc: doc,
		Findings: []rules.Finding{
			{Rule: unfused, Level: rules.Danger, At: "BAT1.pos", Also: []string{"W1"}, Message: "No fuse between BAT1.pos and F1",
				Working: []string{"12.8 V / 1.5 mΩ = 8530 A"}, RestsOn: []string{"internal_mohm of BAT1 is a default"}, States: []string{"Off grid", "Shore"},
				Fixes: []rules.Fix{{Title: "Fit a 250 A class T fuse", Edits: []components.Edit{
					components.Set{On: "F1", Key: "rating_a", Value: components.Num(250)},
					components.RemoveRun{ID: "W1"},
				}}}},
			{Rule: thin, Level: rules.Violation, At: "W1", Message: "W1 is named \x1b[31m\nred", States: []string{"Shore"},
				Accepted: &components.Acceptance{Rule: thin.ID, On: []string{"W1"}, Reason: "measured", By: "D"}},
		},
		Unchecked: []rules.Finding{{Rule: thin, Level: rules.Violation, At: "GONE", Message: "no length", Unchecked: true, States: []string{"Shore"}}},
		Stale:     []components.Acceptance{{Rule: "x.y", On: []string{"Z"}}},
	}
	return report.Of(r, "my rig.yaml", index)
}

func TestJSON(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.JSON(&b, sample(t)))
	assert.JSONEq(t, `{"format":"rigcheck/1","file":"my rig.yaml","project":{"title":"Test","revision":"","date":"","rules":"North American vehicle, NEC 2020/2023, 33 CFR 183, ABYC E-11"},"ready":false,"readiness":"1 danger: do not energize",
	 "counts":{"danger":1,"violation":0,"advice":0,"accepted":1,"unchecked":1},
	 "findings":[
	  {"rule":"overcurrent.battery-unfused","severity":"danger","on":["BAT1.pos","W1"],"states":["Off grid","Shore"],
	   "says":"No fuse between BAT1.pos and F1","working":["12.8 V / 1.5 mΩ = 8530 A"],"rests_on":["internal_mohm of BAT1 is a default"],
	   "basis":[{"source":"NFPA 70 (NEC) 2023","clause":"552.10(E)(4)","says":"A fuse near the battery.","seen":"published"}],
	   "fixes":[{"says":"Fit a 250 A class T fuse","edits":[
	     {"do":"set","on":"F1","key":"rating_a","value":250,"says":"Set rating_a of F1 to 250"},
	     {"do":"remove-run","on":"W1","says":"Remove W1"}]}],"line":4,"column":5},
	  {"rule":"conductor.thin","severity":"violation","on":["W1"],"states":["Shore"],"says":"W1 is named \u001b[31m\nred","working":[],"rests_on":[],
	   "basis":[{"source":"common practice, no source","seen":"common practice, no source"}],"fixes":[],
	   "accepted":{"rule":"conductor.thin","on":["W1"],"reason":"measured","by":"D"},"line":7,"column":5}],
	 "unchecked":[{"rule":"conductor.thin","severity":"unchecked","on":["GONE"],"states":["Shore"],"says":"no length","working":[],"rests_on":[],
	   "basis":[{"source":"common practice, no source","seen":"common practice, no source"}],"fixes":[]}],
	 "questions":[{"asks":"no length","at":"GONE","says":"no length","could_uncover":"violation","rules":["conductor.thin"]}],
	 "stale_acceptances":[{"rule":"x.y","on":["Z"],"reason":""}],
	 "caution":"`+report.Caution+`"}`, b.String())
}

// A clean report has lists, not nulls: a program can count on them.
func TestJSONOfNothing(t *testing.T) {
	var b bytes.Buffer
	d := report.Of(&rules.Report{Doc: components.NewDocument("")}, "x", nil)
	require.NoError(t, report.JSON(&b, d))
	assert.NotContains(t, b.String(), "null")
}

func TestBrief(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Brief(&b, sample(t)))
	assert.Equal(t, `my rig.yaml:4:5: danger: No fuse between BAT1.pos and F1 (overcurrent.battery-unfused)
my rig.yaml:7:5: accepted violation: W1 is named  [31m red (conductor.thin)
my rig.yaml: unchecked: no length (conductor.thin)
`, b.String())
}

func TestText(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.Text(&b, sample(t)))
	assert.Equal(t, `DANGER  BAT1.pos, W1  (overcurrent.battery-unfused)
  No fuse between BAT1.pos and F1.
      12.8 V / 1.5 mΩ = 8530 A
  rests on  internal_mohm of BAT1 is a default
  states    Off grid, Shore
  repair 1  Fit a 250 A class T fuse
  in        my rig.yaml:4:5
  basis     NFPA 70 (NEC) 2023 552.10(E)(4): A fuse near the battery (published)

ACCEPTED VIOLATION  W1  (conductor.thin)
  W1 is named  [31m red.
  states    Shore
  in        my rig.yaml:7:5
  basis     common practice, no source
  accepted  D: measured

NOT CHECKED, for want of a figure; most worth finding out first
  GONE: no length
      could uncover a violation (conductor.thin)

The acceptance of x.y on Z matches nothing any more: take it out.

my rig.yaml: 1 danger: do not energize.
`+report.Caution+"\n", b.String())
}

// Advice has no article.
func TestWhatAQuestionCouldUncover(t *testing.T) {
	d := sample(t)
	d.Questions[0].Uncovers = rules.Advice.String()
	var b bytes.Buffer
	require.NoError(t, report.Text(&b, d))
	assert.Contains(t, b.String(), "could uncover advice (conductor.thin)")
}

func TestSARIF(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, report.SARIF(&b, sample(t), []*rules.Rule{unfused, thin}))
	var log struct {
		Schema  string `json:"$schema"`
		Version string
		Runs    []struct {
			ColumnKind string
			Tool       struct {
				Driver struct {
					Name  string
					Rules []struct{ ID string }
				}
			}
			Results []struct {
				RuleID, Kind, Level string
				Message             struct{ Text string }
				Locations           []struct {
					PhysicalLocation struct {
						ArtifactLocation struct{ URI string }
						Region           *struct{ StartLine, StartColumn int }
					}
				}
				Suppressions []struct{ Kind, Justification string }
			}
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &log))
	assert.Equal(t, "2.1.0", log.Version)
	require.Len(t, log.Runs, 1)
	run := log.Runs[0]
	assert.Equal(t, "unicodeCodePoints", run.ColumnKind)
	assert.Equal(t, "rigcheck", run.Tool.Driver.Name)
	require.Len(t, run.Results, 3)
	known := map[string]bool{}
	for _, r := range run.Tool.Driver.Rules {
		known[r.ID] = true
	}
	for _, r := range run.Results {
		assert.True(t, known[r.RuleID], r.RuleID)
		assert.NotEmpty(t, r.Message.Text)
		assert.Equal(t, "my%20rig.yaml", r.Locations[0].PhysicalLocation.ArtifactLocation.URI)
		assert.Equal(t, r.Kind == "fail", r.Level != "none", "only what fails has a level")
	}
	first, accepted, open := run.Results[0], run.Results[1], run.Results[2]
	assert.Equal(t, "error", first.Level)
	assert.Equal(t, 4, first.Locations[0].PhysicalLocation.Region.StartLine)
	assert.Equal(t, 5, first.Locations[0].PhysicalLocation.Region.StartColumn)
	assert.Empty(t, first.Suppressions)
	assert.Equal(t, "warning", accepted.Level)
	assert.Equal(t, "measured", accepted.Suppressions[0].Justification)
	assert.Equal(t, "open", open.Kind)
	assert.Nil(t, open.Locations[0].PhysicalLocation.Region)
}

// Every sort of edit says what it does in a word of its own, and nothing of it is
// lost in JSON.
func TestEdits(t *testing.T) {
	spec := components.Spec{"a": components.Num(2), "b": components.Yes(true), "c": components.Words("L1"), "d": components.Unknown,
		"e": components.Table(components.Spec{"leg": components.Str("L1")})}
	at := components.PortRef{Part: "A", Port: "b"}
	for _, row := range []struct {
		edit components.Edit
		want string
	}{
		{components.Set{On: "A", Key: "k"}, `{"do":"set","on":"A","key":"k","value":null,"says":"Clear k of A"}`},
		{components.Set{On: "A", Key: "k", Value: components.Str("x")}, `{"do":"set","on":"A","key":"k","value":"x","says":"Set k of A to x"}`},
		{components.AddPart{Part: components.Part{ID: "F2", Kind: &components.Fuse, Name: "Main", At: components.Point{X: 10, Y: 20}, Turn: 90, Spec: spec}},
			`{"do":"add-part","on":"F2","kind":"fuse","at":[10,20],"turn":90,"name":"Main","status":"new","spec":{"a":2,"b":true,"c":["L1"],"d":"unknown","e":[{"leg":"L1"}]},"says":"Add F2"}`},
		{components.RemovePart{ID: "A"}, `{"do":"remove-part","on":"A","says":"Remove A"}`},
		{components.MovePart{ID: "A", At: components.Point{X: 1, Y: 2}, Turn: 90}, `{"do":"move-part","on":"A","at":[1,2],"turn":90,"says":"Move A"}`},
		{components.RenamePart{ID: "A", To: "B"}, `{"do":"rename-part","on":"A","to":"B","says":"Rename A to B"}`},
		{components.Describe{ID: "A", Name: "n", Status: components.Remove, Note: "x", Buy: components.Purchase{Price: 3}},
			`{"do":"describe","on":"A","name":"n","status":"remove","note":"x","buy":{"description":"","supplier":"","part_no":"","price":3},"says":"Describe A"}`},
		{components.AddRun{Run: components.Run{ID: "W2", From: at, To: at, Cores: []components.Core{{From: "L", To: "L1"}}}},
			`{"do":"add-run","on":"W2","from":"A.b","to":"A.b","cores":["L>L1"],"status":"new","spec":{},"says":"Run W2 from A.b to A.b"}`},
		{components.RemoveRun{ID: "W2"}, `{"do":"remove-run","on":"W2","says":"Remove W2"}`},
		{components.Reroute{ID: "W2", From: at, To: at, Path: []components.Point{{X: 1, Y: 2}}},
			`{"do":"reroute","on":"W2","from":"A.b","to":"A.b","cores":[],"path":[[1,2]],"status":"new","note":"","says":"Reroute W2 from A.b to A.b"}`},
		{components.SetProject{Title: "t", Units: "us"},
			`{"do":"set-project","title":"t","basis":"","units":"us","ambient_c":0,"conductor_temp_c":0,"ampacity":"","rig":{"about":"","drawn_by":"","checked_by":"","revision":"","date":""},"says":"Change the project"}`},
		{components.Accept{Acceptance: components.Acceptance{Rule: "r", On: []string{"A"}, Reason: "why", By: "D"}},
			`{"do":"accept","rule":"r","at":["A"],"reason":"why","by":"D","says":"Accept r"}`},
		{components.Unaccept{Rule: "r", On: []string{"A"}}, `{"do":"unaccept","rule":"r","at":["A"],"says":"Take back the acceptance of r"}`},
		{components.SetNotes{Notes: []components.Note{{Form: "note", Text: "x"}}}, `{"do":"set-notes","notes":[{"form":"note","at":[0,0],"to":[0,0],"text":"x"}],"says":"Change the mark-ups"}`},
		{components.SetStates{States: []components.State{{Name: "Shore", Shore: "30a-120"}}},
			`{"do":"set-states","states":[{"name":"Shore","shore":"30a-120","generator":false,"sun":0,"engine":false,"soc":0,"off":[],"on":[],"bypass":false}],"says":"Change the states"}`},
	} {
		r := &rules.Report{Doc: components.NewDocument(""), Findings: []rules.Finding{{Rule: thin, At: "A", Fixes: []rules.Fix{{Title: "x", Edits: []components.Edit{row.edit}}}}}}
		d := report.Of(r, "f", nil)
		got, err := json.Marshal(d.Findings[0].Fixes[0].Edits[0])
		require.NoError(t, err)
		assert.JSONEq(t, row.want, string(got))
		assert.NotEmpty(t, d.Findings[0].Fixes[0].Edits[0].Do(), strings.TrimSpace(row.edit.String()))
	}
}

func TestProjectInALine(t *testing.T) {
	doc := components.NewDocument("Bus\none")
	assert.Equal(t, "Bus one; revision not given; date not given; rule set North American vehicle, "+report.Editions, report.ProjectOf(doc).String())
}

// Every acceptance is told with its reason, those behind another finding and those that
// match nothing among them, and a word that a spreadsheet would run stays a word.
func TestAcceptedTable(t *testing.T) {
	d := sample(t)
	d.Findings[0].Behind = []report.Finding{{Rule: "a.b", Severity: "advice", On: []string{"F1", "W1"}, Says: "small", Accepted: &report.Accepted{Reason: "=1+1", By: "D"}}}
	table := report.AcceptedTable(d)
	assert.Equal(t, [][]string{
		{"a.b", "advice", "F1, W1", "", "small", "=1+1", "D", "yes"},
		{"conductor.thin", "violation", "W1", "Shore", "W1 is named \x1b[31m\nred", "measured", "D", "yes"},
		{"x.y", "", "Z", "", "", "", "", "no: nothing is found there any more"},
	}, table.Rows)

	var b bytes.Buffer
	require.NoError(t, lists.CSV(&b, table, lists.About{Title: "Test", Revision: "B", Date: "2026-11-25", Rules: "us-rv", Cautions: []string{"Mains voltage kills"}}))
	assert.Contains(t, b.String(), "revision B")
	assert.Contains(t, b.String(), "rule set us-rv")
	assert.Contains(t, b.String(), "Mains voltage kills")
	assert.NotContains(t, b.String(), ",=1+1")
	assert.NotContains(t, b.String(), "\x1b")
}
