package checklist

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/projects"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

func read(t *testing.T, text string) *components.Document {
	t.Helper()
	doc, _, err := projects.Read("rig.yaml", []byte(text))
	require.NoError(t, err)
	return doc
}

// A bank, a fuse and a lamp: no AC, so none of its items.
const lamp = `format: rigline/1
title: Lamp
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: blade-atc, rating_a: 15}}
  - {id: DL1, kind: dc-load, name: Lamp, at: [400, 100], spec: {a: 10}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 10 AWG, cable: primary-105, length_ft: 0.5, from_torque_nm: 10}
  - {id: W2, from: F1.load, to: DL1.in, cores: ["+"], size: 12 AWG, cable: primary-105, length_ft: 10}
  - {id: W3, from: BAT1.neg, to: DL1.in, cores: ["-"], size: 12 AWG, cable: primary-105, length_ft: 10.5}
`

func TestOnlyWhatApplies(t *testing.T) {
	var ids []string
	for _, i := range Items(solved.Of(read(t, lamp))) {
		if len(ids) == 0 || ids[len(ids)-1] != i.ID {
			ids = append(ids, i.ID)
		}
	}
	// No shore, inverter, generator, solar, alternator, shunt, step-down, parallel
	// battery or metal case; a fuse, a bank and a load.
	assert.Equal(t, []string{"B01", "B03", "B04", "B05", "B06", "B07", "B08", "B09", "B17", "B18", "D02", "D05", "D08", "L03", "L05", "R01", "R02", "R03", "R04"}, ids)
	assert.Empty(t, Items(solved.Of(components.NewDocument("nothing")))[3:], "an empty sheet is asked to be off, to be looked over and to be brought up to date")
}

func TestExpectedByHand(t *testing.T) {
	all := Items(solved.Of(read(t, lamp)))
	d05, ok := Find(all, "D05/DL1")
	require.True(t, ok)
	// 128 W at 13.2 V and a little less is 9.7 A; 12 AWG stranded is 1.98 Ω and 10 AWG
	// 1.24 Ω per 1000 ft at 75 °C: (20.5 × 1.98 + 0.5 × 1.24) / 1000 = 41.2 mΩ, 0.40 V.
	assert.InDelta(t, 0.40, d05.Expect.Figure, 0.02)
	assert.Equal(t, "at most 0.55 V", d05.Expect.String(), "1.3 × 0.41 + 0.02 V, in the hundredths that a meter shows")

	torque, ok := Find(all, "B04/BAT1.pos")
	require.True(t, ok)
	assert.Equal(t, "9 to 11 N·m", torque.Expect.String())
	label, ok := Find(all, "B04/BAT1.neg")
	require.True(t, ok)
	assert.Equal(t, Record, label.Expect.Kind)
	assert.Contains(t, label.Expect.Missing, "by the maker's label")

	// A size that nobody knows leaves nothing to expect; never a drop of nought.
	doc, err := read(t, lamp).Apply(components.Set{On: "W2", Key: "size", Value: components.Unknown})
	require.NoError(t, err)
	d05, _ = Find(Items(solved.Of(doc)), "D05/DL1")
	assert.Equal(t, Record, d05.Expect.Kind)
	assert.Contains(t, d05.Expect.Missing, "W2")
}

// The expected readings are the engine's own figures, worked out here another way:
// straight from the solver, state by state.
func TestFiguresAreTheEngines(t *testing.T) {
	compared := map[string]int{}
	for _, sample := range projects.Samples() {
		doc := sample.Document()
		var ac, dc, inverters []components.ID
		for _, p := range doc.Parts() {
			switch p.Kind {
			case &components.ACLoad, &components.Charger:
				ac = append(ac, p.ID)
			case &components.DCLoad:
				dc = append(dc, p.ID)
			case &components.Inverter, &components.InverterCharger:
				inverters = append(inverters, p.ID)
			}
		}
		run := func(off ...[]components.ID) *solve.Solution {
			st := components.State{SoC: 0.5}
			for _, o := range off {
				st.Off = append(st.Off, o...)
			}
			return solve.Solve(circuit.Build(doc, st))
		}
		for _, i := range Items(solved.Of(doc)) {
			if !i.Expect.HasFigure {
				continue
			}
			place := components.ID(i.Place)
			var want float64
			switch i.ID {
			case "D02":
				s := run(ac, dc, inverters)
				a, _ := s.Circuit.At(place, "pos", components.Pos)
				b, _ := s.Circuit.At(place, "neg", components.Neg)
				v, ok := s.Between(a, b)
				require.True(t, ok)
				want = real(v)
			case "D04":
				// What passes the shunt with this load alone, less what passes without any.
				but := slices.DeleteFunc(slices.Clone(dc), func(id components.ID) bool { return id == place })
				want = throughShunts(t, run(ac, but, inverters)) - throughShunts(t, run(ac, dc, inverters))
				assert.InDelta(t, want, i.Expect.Figure, 0.02*want+0.02, "%s %s", sample.Name, i.Key())
				compared[i.ID]++
				continue
			case "I08":
				want = run(ac, dc).Flows[place].DCAmps
			default:
				continue
			}
			assert.InDelta(t, want, i.Expect.Figure, 1e-9, "%s %s", sample.Name, i.Key())
			compared[i.ID]++
		}
	}
	assert.Len(t, compared, 3, compared)
}

// throughShunts is the current that the monitors of a rig show.
func throughShunts(t *testing.T, s *solve.Solution) float64 {
	sum := 0.0
	for i, l := range s.Circuit.Links {
		if p, ok := s.Circuit.Doc.Part(l.Part); ok && p.Kind == &components.Shunt {
			a, ok := s.Amps(i)
			require.True(t, ok)
			sum += a
		}
	}
	return sum
}

func TestJudge(t *testing.T) {
	band := Item{ID: "X", Wrong: "a joint", Expect: Expect{Kind: Band, Lo: 10, Hi: 20, WarnLo: 8, WarnHi: 22, Unit: "V"}}
	most := Item{ID: "X", Wrong: "a joint", Expect: atMost(5, 5, 6, "A")}
	check := Item{ID: "X", Wrong: "a joint", Expect: Expect{Kind: Check}}
	record := Item{ID: "X", Wrong: "a joint", Expect: unknown("V", "not told")}
	for _, c := range []struct {
		item  Item
		text  string
		want  Verdict
		means string
	}{
		{band, "10", Pass, ""}, {band, "20 V", Pass, ""}, {band, "9.99", Warn, "a joint"}, {band, "22", Warn, "a joint"}, {band, "22.01", Fail, "a joint"}, {band, "-15", Fail, "a joint"},
		{most, "5", Pass, ""}, {most, "5.5", Warn, "a joint"}, {most, "6.1 A", Fail, "a joint"}, {most, "-3", Pass, ""},
		{check, "yes", Pass, ""}, {check, "No", Fail, "a joint"},
		{most, "-5.5", Warn, "a joint"}, {most, "-7", Fail, "a joint"}, // the probes the other way round
		{Item{ID: "X", Meter: "battery monitor", Wrong: "a joint", Expect: band.Expect}, "-15", Pass, ""}, {Item{ID: "X", Meter: "battery monitor", Wrong: "a joint", Expect: band.Expect}, "-5", Fail, "a joint"},
		{record, "12.1", Kept, ""}, {band, "", Unread, ""},
	} {
		got, err := Judge(c.item, c.text)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.want, got.Verdict, "%+v %q", c.item.Expect, c.text)
		assert.Equal(t, c.means, got.Means, c.text)
	}
	for _, c := range []struct {
		item       Item
		text, want string
	}{
		{band, "about 12", "want a number in V"}, {band, "12 A", "want it in V"}, {band, "yes", "want a number"}, {check, "12", "want yes or no"},
		{band, "NaN", "want a number"}, {band, "1e999", "want a number"}, {band, "0x10", "want a number"},
	} {
		_, err := Judge(c.item, c.text)
		assert.ErrorContains(t, err, c.want, c.text)
	}
}

func TestAgainstBaseline(t *testing.T) {
	was, now := components.Reading{Value: "0.20"}, components.Reading{Value: "0.30"}
	assert.Equal(t, "baseline 0.20, +50 %", Against(&now, &was))
	assert.Empty(t, Against(&was, &was))
	assert.Empty(t, Against(&components.Reading{Value: "yes"}, &was))
}

// Every item that any rig of ours calls for has a place, an expectation that can be
// met, and a meaning; the same rig gives the same list.
func TestItemsOfEveryRig(t *testing.T) {
	docs := everyRig(t)
	docs["in series"] = read(t, inSeries)
	two, err := os.ReadFile("../../testdata/topologies/t14.yaml") // its converter on the inverter/charger's bank
	require.NoError(t, err)
	docs["two chargers"] = read(t, strings.Replace(string(two), "from: F21.load, to: BUS5.bar", "from: F21.load, to: BUS2.bar", 1))
	seen := map[string]bool{}
	for name, doc := range docs {
		all := Items(solved.Of(doc))
		keys := map[string]bool{}
		for _, i := range all {
			assert.False(t, keys[i.Key()], "%s: %s twice", name, i.Key())
			keys[i.Key()], seen[i.ID] = true, true
			assert.NotEmpty(t, i.Wrong, i.Key())
			assert.NotEmpty(t, i.Basis, i.Key())
			e := i.Expect
			if e.Kind != Band {
				continue
			}
			assert.False(t, math.IsNaN(e.Lo) || math.IsNaN(e.Hi) || math.IsNaN(e.Figure), "%s %s: %+v", name, i.Key(), e)
			assert.LessOrEqual(t, e.Lo, e.Hi, "%s %s", name, i.Key())
			assert.LessOrEqual(t, e.WarnLo, e.Lo, "%s %s", name, i.Key())
			assert.GreaterOrEqual(t, e.WarnHi, e.Hi, "%s %s", name, i.Key())
		}
		var a, b bytes.Buffer
		require.NoError(t, lists.CSV(&a, Table(Results(all, doc)), lists.About{}))
		require.NoError(t, lists.CSV(&b, Table(Results(Items(solved.Of(doc)), doc)), lists.About{}))
		require.Equal(t, a.String(), b.String(), name)
	}
	for _, e := range data().Items {
		assert.True(t, seen[e.ID], "no rig of ours calls for %s", e.ID)
	}
}

func TestReadingsOnTheList(t *testing.T) {
	doc, err := read(t, lamp).Apply(
		components.Record{Reading: components.Reading{Item: "D05/DL1", Value: "0.41", Unit: "V", Date: "2026-11-26", Baseline: true}},
		components.Record{Reading: components.Reading{Item: "D05/DL1", Value: "0.95", Unit: "V", Date: "2027-05-01", By: "=cmd()"}},
		components.Record{Reading: components.Reading{Item: "B09", Value: "2", Unit: "V"}},
		components.Record{Reading: components.Reading{Item: "Z99", Value: "2"}},
	)
	require.NoError(t, err)
	items := Items(solved.Of(doc))
	results := Results(items, doc)
	for _, r := range results {
		switch r.Key() {
		case "D05/DL1":
			assert.Equal(t, Fail, r.Judgment.Verdict)
			assert.Equal(t, "0.41", r.Baseline.Value)
			assert.Contains(t, r.answer(), "baseline 0.41, +132 %")
		case "B09":
			assert.Equal(t, Unread, r.Judgment.Verdict, "2 V is no resistance")
		}
	}
	phase, stopped := Stop(results)
	assert.True(t, stopped)
	assert.Equal(t, "before_shore", phase.ID)
	assert.Equal(t, []components.Reading{{Item: "Z99", Value: "2"}}, Stale(items, doc))
	var b bytes.Buffer
	require.NoError(t, lists.CSV(&b, Table(results), lists.About{}))
	assert.Contains(t, b.String(), "'=cmd()")
}

// Every figure that the list asks for is worked out, and nothing else is.
func TestFiguresOfTheList(t *testing.T) {
	asked := map[string]bool{}
	for _, e := range data().Items {
		if e.Figure != "" {
			asked[e.Figure] = true
			assert.Contains(t, figures, e.Figure, e.ID)
		}
	}
	for word := range figures {
		assert.True(t, asked[word], "nothing asks for %s", word)
	}
}

// A text speaks of what the drawing has, and of nothing else.
func TestTextsSpeakOfTheDrawing(t *testing.T) {
	all := Items(solved.Of(read(t, lamp)))
	off, ok := Find(all, "B01")
	require.True(t, ok)
	assert.Equal(t, "Open the battery disconnect. The order of isolation tells them in turn.", off.Do)
	assert.Equal(t, "every source: battery disconnect", off.Points)
	drop, _ := Find(all, "D05/DL1")
	assert.Equal(t, "With every DC load on, read the bank and the load at the same time and subtract.", drop.Do)
	for _, sample := range projects.Samples() {
		doc := sample.Document()
		b := newBench(solved.Of(doc))
		for _, i := range Items(b.rig) {
			says := i.Do + i.Points + i.Caution
			assert.NotContains(t, says, "[", "%s %s", sample.Name, i.ID)
			if !b.has("generator") && i.ID != "D08" {
				assert.NotContains(t, says, "generator starter", "%s %s", sample.Name, i.ID)
			}
		}
	}
}

// A monitor counts the bank: strings in parallel are one, and nobody empties the
// battery that starts the engine.
func TestCapacityIsOfTheBank(t *testing.T) {
	for name, want := range map[string]map[string]float64{
		"library-bus": {"L12/BAT1": 200}, // two strings of 100 Ah
		"camper-van":  {"L12/BAT1": 200}, // and BAT2 starts the engine
	} {
		got := map[string]float64{}
		for _, i := range Items(solved.Of(sampleNamed(t, name))) {
			if i.ID == "L12" {
				got[i.Key()] = i.Expect.Figure
			}
			assert.NotEqual(t, "D02/BAT2", map[bool]string{true: i.Key()}[name == "camper-van"])
		}
		assert.Equal(t, want, got, name)
	}
}

// What a circuit is to be found as is said, not only that it is as drawn; and no
// charger may give more than it is set to.
func TestExpectedIsSaid(t *testing.T) {
	all := Items(solved.Of(sampleNamed(t, "camper-van")))
	for key, want := range map[string]string{"I05/CB1": "yes: dead", "I05/PNL1.c1": "yes: alive", "S11/CB1": "yes: alive", "S14/INV1": "32 to 42 A"} { // 40 A less 20 %, and 5 % more
		i, ok := Find(all, key)
		require.True(t, ok, key)
		assert.Equal(t, want, i.Expect.String(), key)
	}
}

func sampleNamed(t *testing.T, name string) *components.Document {
	t.Helper()
	for _, s := range projects.Samples() {
		if s.Name == name {
			return s.Document()
		}
	}
	t.Fatal("no sample " + name)
	return nil
}

// A neutral between opposite legs carries no more than the larger of them: a reading
// of their sum, which legs in phase give, must not pass, even where the site's breaker
// would bear it.
func TestLegsInPhaseAreSeenAtTheNeutral(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "clinic-trailer" {
			continue
		}
		items := Items(solved.Of(s.Document()))
		for _, key := range []string{"L10", "G05"} {
			item, ok := Find(items, key)
			require.True(t, ok, key)
			// Both legs carry 20 to 22 A with everything on.
			assert.InDelta(t, 24.5, item.Expect.Hi, 1, key)
			for reading, want := range map[string]Verdict{"20": Pass, "42": Fail} {
				got, err := Judge(item, reading)
				require.NoError(t, err)
				assert.Equal(t, want, got.Verdict, "%s reads %s A", key, reading)
			}
		}
		return
	}
	t.Fatal("no such sample")
}

// However small a load is, neither nothing nor a monitor turned round passes.
func TestASmallLoadMustBeSeen(t *testing.T) {
	for amps, passes := range map[float64][3]bool{0.05: {false, true, false}, 0.1: {false, true, false}, 0.5: {false, true, false}, 3: {false, true, false}, 40: {false, true, false}} {
		e := loadAmps(amps).metered()
		item := Item{ID: "D04", Expect: e}
		for i, reading := range []float64{0, amps, -amps} {
			got, err := Judge(item, strconv.FormatFloat(reading, 'f', -1, 64))
			require.NoError(t, err)
			assert.Equal(t, passes[i], got.Verdict == Pass, "%v A of %v A, %s", reading, amps, e)
			if !passes[i] {
				assert.Equal(t, Fail, got.Verdict, "%v A of %v A, %s", reading, amps, e)
			}
		}
	}
}

// Two banks, of lithium with the monitor and of lead with the house's loads and the old
// converter: what is read at one is not asked of the other.
func TestTwoBanksAreNotOne(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("../../testdata/topologies", "t14.yaml"))
	require.NoError(t, err)
	items := Items(solved.Of(read(t, string(data))))
	var found []string
	for _, i := range items {
		switch i.ID {
		case "D04", "L04", "L12", "S15":
			found = append(found, i.Key())
		}
	}
	// No load passes the shunt, the lead bank is no string of the inverter's, nothing
	// counts it, and the converter charges it alone.
	assert.Equal(t, []string{"L04/BAT1", "L04/BAT2", "L04/BAT3", "L12/BAT1"}, found)
}

// A lead bank is read at its usable depth, not emptied.
func TestLeadIsNotEmptiedForATest(t *testing.T) {
	doc := read(t, strings.Replace(lamp, "chemistry: lfp, nominal_v: 12.8", "chemistry: agm, nominal_v: 12", 1))
	edits := []components.Edit{components.AddPart{Part: components.Part{ID: "SHT1", Kind: &components.Shunt, Spec: components.Spec{"rating_a": components.Num(100)}}}}
	w3, _ := doc.Run("W3")
	back := w3.Rerouted()
	back.From = components.PortRef{Part: "SHT1", Port: "system"}
	edits = append(edits, back, components.AddRun{Run: components.Run{ID: "W4", From: components.PortRef{Part: "BAT1", Port: "neg"}, To: components.PortRef{Part: "SHT1", Port: "battery"}, Spec: components.Spec{"size": components.Str("12 AWG"), "length_ft": components.Num(1), "cable": components.Str("primary-105")}}})
	doc, err := doc.Apply(edits...)
	require.NoError(t, err)
	item, ok := Find(Items(solved.Of(doc)), "L12/BAT1")
	require.True(t, ok)
	assert.Contains(t, item.Do, "until the monitor shows 50 Ah out")
	assert.Equal(t, "at least 48 Ah", item.Expect.String(), "95 % of 50 Ah")
}

// An engine with an alternator is a source like the others: it is stopped before a cover
// is opened.
func TestTheEngineIsASource(t *testing.T) {
	for _, s := range projects.Samples() {
		doc := s.Document()
		item, ok := Find(Items(solved.Of(doc)), "B01")
		require.True(t, ok, s.Name)
		turns := slices.ContainsFunc(doc.Parts(), func(p components.Part) bool { return p.Kind == &components.Alternator && !p.Gone() })
		assert.Equal(t, turns, strings.Contains(item.Do, "Stop the engine and keep the key."), s.Name)
		assert.Equal(t, turns, strings.Contains(item.Points, "engine"), s.Name)
	}
}

// Nothing is asked of what the rig has not: no reading at the pins of the inlet that the
// running set is plugged into, no transfer switch and no panel where none is drawn.
func TestNothingIsAskedOfWhatIsNotThere(t *testing.T) {
	for path, want := range map[string]struct {
		pins, transfer, panel bool
	}{
		"topologies/t03.yaml":        {pins: true, transfer: true, panel: true},
		"topologies/t09.yaml":        {panel: true},
		"rigs/set-on-a-cord.yaml":    {panel: true},
		"rigs/relay-van.yaml":        {},
		"rigs/survey-truck.yaml":     {},
		"topologies/t01.yaml":        {transfer: true, panel: true},
		"rigs/series-camper.yaml":    {},
		"rigs/buffered-trailer.yaml": {panel: true},
	} {
		data, err := os.ReadFile(filepath.Join("../../testdata", path))
		require.NoError(t, err)
		items := Items(solved.Of(read(t, string(data))))
		blades, asked := Find(items, "I01")
		assert.Equal(t, asked && strings.Contains(path, "t03"), strings.Contains(blades.Do, "at the pedestal, generator stopped, inverter on"), path)
		if around, ok := Find(items, "S08"); ok {
			assert.Equal(t, strings.Contains(path, "t03") || strings.Contains(path, "buffered"), strings.Contains(around.Points, "hot, hot"), path)
		}
		_, pins := Find(items, "G06")
		assert.Equal(t, want.pins, pins, path)
		for _, i := range items {
			text := strings.Join([]string{i.Points, i.Do}, " ")
			if !want.transfer {
				assert.NotContains(t, text, "transfer switch", "%s: %s", path, i.ID)
			}
			if !want.panel {
				assert.NotRegexp(t, `main panel|sub-panel|at the panel|panel door`, text, "%s: %s", path, i.ID)
			}
		}
	}
}

// The bank is charged into through the resistor that the drawing has, not one of another size.
func TestPreChargeIsTheDrawings(t *testing.T) {
	doc := sampleNamed(t, "library-bus")
	d01, ok := Find(Items(solved.Of(doc)), "D01/INV1")
	require.True(t, ok)
	assert.Contains(t, d01.Do, "the resistor of SW1, 25 ohm")
	without, err := doc.Apply(components.Set{On: "SW1", Key: "precharge_ohm"})
	require.NoError(t, err)
	d01, ok = Find(Items(solved.Of(without)), "D01/INV1")
	require.True(t, ok)
	assert.Contains(t, d01.Do, "about 50 ohm")
}

// No motor is named that a rig may lack.
func TestGeneratorStartsTheLargestMotor(t *testing.T) {
	g08, ok := Find(Items(solved.Of(sampleNamed(t, "workshop-bus"))), "G08")
	require.True(t, ok)
	assert.Contains(t, g08.Do, "the largest motor")
	assert.NotContains(t, g08.Do, "air conditioner")
}

// No text of a rig's list speaks of an inverter, a generator or the sun where the rig has
// none.
func TestNoTextSpeaksOfWhatTheRigLacks(t *testing.T) {
	for name, doc := range everyRig(t) {
		has := map[string]bool{}
		for _, p := range doc.Parts() {
			if !p.Gone() {
				has[p.Kind.ID] = true
			}
		}
		lacks := map[string]bool{
			"inverter":    !has["inverter"] && !has["inverter-charger"],
			"input limit": !has["inverter-charger"],
			"generator":   !has["generator"],
			"solar":       !has["solar-array"],
		}
		for _, i := range Items(solved.Of(doc)) {
			text := strings.ToLower(strings.Join([]string{i.Points, i.Do, i.Wrong, i.Caution}, " "))
			for word, lacking := range lacks {
				assert.False(t, lacking && strings.Contains(text, word), "%s has no %s: %s: %s", name, word, i.ID, text)
			}
		}
	}
}
