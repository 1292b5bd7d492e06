package schedule

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/cards"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/projects"
)

func read(t *testing.T, text string) *components.Document {
	t.Helper()
	doc, _, err := projects.Read("rig.yaml", []byte(text))
	require.NoError(t, err)
	return doc
}

// tablesOf are all lists of this package.
func tablesOf(doc *components.Document) []lists.Table {
	rig := solved.Of(doc)
	return []lists.Table{RunsTable(rig), DevicesTable(rig), PanelsTable(rig), TorqueTable(rig), SettingsTable(rig, cards.Of(doc)), LabelsTable(rig), RemovalTable(rig), IsolationTable(rig), PhotosTable(rig), OutOfOrderTable(rig)}
}

// A bank, a fuse and a lamp, in two runs whose figures are worked out below.
const lamp = `format: rigline/1
title: Lamp
parts:
  - {id: BAT1, kind: battery, at: [100, 100], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100, charge_a: 50}}
  - {id: F1, kind: fuse, at: [200, 100], spec: {family: blade-atc, rating_a: 15}}
  - {id: DL1, kind: dc-load, name: Lamp, at: [400, 100], spec: {a: 10}}
  - {id: OLD1, kind: charger, name: Old converter, at: [600, 100], status: remove, spec: {charge_a: 55, dc_v: 12.8}}
runs:
  - {id: W1, from: BAT1.pos, to: F1.line, size: 10 AWG, cable: primary-105, length_ft: 0.5, color: red, from_torque_nm: 10}
  - {id: W2, from: F1.load, to: DL1.in, cores: ["+"], size: 12 AWG, cable: primary-105, length_ft: 10, color: red}
  - {id: W3, from: BAT1.neg, to: DL1.in, cores: ["-"], size: unknown, cable: primary-105, length_ft: 10}
  - {id: W4, from: OLD1.dc, to: BAT1.pos, cores: ["+"], size: 8 AWG, cable: primary-105, length_ft: 6, status: existing}
`

func TestRunsWorkedByHand(t *testing.T) {
	all := Runs(solved.Of(read(t, lamp)))
	require.Len(t, all, 4)
	w1, w2, w3 := all[0], all[1], all[2]

	assert.Equal(t, "10 N·m (89 in-lb)", w1.Torques[0], "10 N·m is 88.5 in-lb")
	assert.Equal(t, MakersLabel, w1.Torques[1])
	assert.Equal(t, "Tinned copper lug, 5/16 in stud", w1.Ends[0])
	assert.Equal(t, []string{"no device from BAT1"}, w1.Protection)
	assert.Equal(t, []string{"F1, 15 A"}, w2.Protection)

	// 12 AWG of 105 °C in free air is 45 A (33 CFR 183.425 Table 5).
	assert.Equal(t, 45.0, w2.Ampacity.Table)
	require.True(t, w2.Ampacity.Known)

	// 10 A at 12.8 V is 128 W; at half charge the bank rests a little above that, so
	// a little less flows. 12 AWG stranded is 1.98 Ω per 1000 ft at 75 °C.
	require.Len(t, w2.Amps, 1)
	amps := w2.Amps[0].Amps
	assert.InDelta(t, 9.9, amps, 0.3)
	assert.InDelta(t, amps*10*1.98/1000, w2.Drop.Volts, 1e-3)
	assert.InDelta(t, 100*w2.Drop.Volts/12.8, w2.Drop.Percent, 1e-6)

	assert.Equal(t, NotKnown, w3.Size)
	assert.False(t, w3.Drop.Known, "a run of unknown size has no drop, and not none")
	assert.False(t, w3.Ampacity.Known)
	assert.Contains(t, w3.Ampacity.Missing, "the size of W3 is not known")
}

func TestRemovalSaysWhatHangsOn(t *testing.T) {
	all := Removals(solved.Of(read(t, lamp)))
	require.Len(t, all, 1)
	assert.Equal(t, "Charger, 55 A, 12.8 V DC", all[0].What)
	assert.Contains(t, strings.Join(all[0].Do, "\n"), "disconnect W4 at OLD1.dc; it stays at BAT1.pos: land it anew or cap and label its end")
}

func TestTorqueToldSpeaksForTheTerminal(t *testing.T) {
	for _, x := range Torques(solved.Of(read(t, lamp))) {
		if x.Terminal == "BAT1.pos" {
			assert.Equal(t, "10 N·m (89 in-lb)", x.Torque)
			assert.Equal(t, []components.ID{"W1", "W4"}, x.Runs)
			return
		}
	}
	t.Fatal("the battery's post is not on the list")
}

// settingsOf are the settings of a rig by device and what.
func settingsOf(doc *components.Document) map[string]Setting {
	all := map[string]Setting{}
	for _, s := range Settings(solved.Of(doc), cards.Of(doc)) {
		all[string(s.Device)+" "+s.What] = s
	}
	return all
}

func TestSettingsFollowTheDrawing(t *testing.T) {
	text := strings.ReplaceAll(lamp, "status: remove, ", "")
	text = strings.Replace(text, "runs:\n", "runs:\n  - {id: W5, from: OLD1.dc, to: BAT1.neg, cores: [\"-\"], size: 8 AWG, cable: primary-105, length_ft: 6}\n", 1)
	all := settingsOf(read(t, text))
	assert.Equal(t, "14.4 V", all["OLD1 absorption voltage"].Value)
	assert.Equal(t, "50 A", all["OLD1 charge current"].Value, "55 A of output, but the bank takes 50")
	assert.Equal(t, "off", all["OLD1 equalization"].Value)

	all = settingsOf(read(t, strings.Replace(text, "chemistry: lfp", "chemistry: unknown", 1)))
	assert.Equal(t, NotKnown, all["OLD1 absorption voltage"].Value)
	assert.Contains(t, all["OLD1 absorption voltage"].Why, "the chemistry or the voltage of BAT1 is not known")

	// Two batteries in series, one by one: the figures are of both.
	text = strings.Replace(text, "  - {id: F1,", "  - {id: BAT2, kind: battery, at: [100, 200], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}\n  - {id: F1,", 1)
	text = strings.Replace(text, "from: OLD1.dc, to: BAT1.neg", "from: OLD1.dc, to: BAT2.neg", 1)
	text = strings.Replace(text, "from: BAT1.neg, to: DL1.in", "from: BAT2.neg, to: DL1.in", 1)
	text = strings.Replace(text, "runs:\n", "runs:\n  - {id: W6, from: BAT1.neg, to: BAT2.pos, cores: [\"->+\"], size: 8 AWG, cable: primary-105, length_ft: 1}\n", 1)
	all = settingsOf(read(t, text))
	assert.Equal(t, "28.8 V", all["OLD1 absorption voltage"].Value, all["OLD1 absorption voltage"].Why)

	// Where the charger's negative is that of the upper block they do not follow.
	lower := strings.Replace(text, "from: OLD1.dc, to: BAT2.neg", "from: OLD1.dc, to: BAT1.neg", 1)
	all = settingsOf(read(t, lower))
	assert.Equal(t, NotKnown, all["OLD1 absorption voltage"].Value, all["OLD1 absorption voltage"].Why)
}

// Every figure of a schedule is a number or says that it is not known, and every
// list is the same each time.
func TestListsOfSamples(t *testing.T) {
	for _, s := range append(append(projects.Samples(), projects.Starts()...), projects.BrokenSamples()...) {
		again := tablesOf(s.Document())
		for i, table := range tablesOf(s.Document()) {
			var a, b bytes.Buffer
			require.NoError(t, lists.CSV(&a, table, lists.About{Title: s.Name}))
			require.NoError(t, lists.CSV(&b, again[i], lists.About{Title: s.Name}))
			require.Equal(t, a.String(), b.String(), table.Name)
			records, err := csv.NewReader(&a).ReadAll()
			require.NoError(t, err)
			assert.GreaterOrEqual(t, len(records), len(table.Rows)+1)
			for _, row := range table.Rows {
				for k, cell := range row {
					if !strings.HasPrefix(table.Head[k], "A, ") {
						continue
					}
					v, err := strconv.ParseFloat(cell, 64)
					assert.True(t, cell == NotKnown || err == nil && !math.IsNaN(v), "%s %s: %q", table.Name, table.Head[k], cell)
				}
			}
		}
	}
}

// The drop of a return alone is a part of its own circuit's voltage, whatever else its
// negative is joined to.
func TestDropOfAReturn(t *testing.T) {
	i := slices.IndexFunc(projects.Samples(), func(s projects.Sample) bool { return s.Name == "camper-van" })
	want := map[components.ID]float64{"W19": 25.6, "W20": 25.6, "W24": 25.6, "W33": 12, "W36": 12} // the house bank's, the engine battery's
	for _, r := range Runs(solved.Of(projects.Samples()[i].Document())) {
		if volts, ok := want[r.ID]; ok {
			require.Positive(t, r.Drop.Percent, r.ID)
			assert.InDelta(t, 100*r.Drop.Volts/volts, r.Drop.Percent, 0.01, r.ID)
		}
	}
}

// A fuse is told to protect what it is small enough for; a thinner end to a smaller
// fuse stands apart. What a source's own breaker carries is told by state.
func TestDevicesTellWhatTheyProtect(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "clinic-trailer" {
			continue
		}
		found := map[string]Device{}
		for _, d := range Devices(solved.Of(s.Document())) {
			found[d.Address] = d
		}
		// 250 A before 1/0 AWG of 285 A, and one foot of 8 AWG, 80 A, to a fuse of 35 A.
		assert.Equal(t, "W18 W19 W20; not W24 (80 A, to F2)", found["F1"].protects())
		assert.Equal(t, "W25", found["F2"].protects())
		for _, a := range found["GEN1"].Carries {
			if assert.True(t, a.Known); a.State == "Generator" {
				assert.InDelta(t, 21.6, a.Amps, 0.1, "its more loaded hot")
			} else {
				assert.Zero(t, a.Amps, a.State)
			}
		}
		return
	}
	t.Fatal("no such sample")
}

// No run of a sound rig is scheduled above what it may carry for hours, and what that
// is stands within its table and its terminals.
func TestNoRunIsScheduledAboveItsAmpacity(t *testing.T) {
	compared, atTerminals := 0, 0
	for _, s := range projects.Samples() {
		for _, r := range Runs(solved.Of(s.Document())) {
			a := r.Ampacity
			if !a.Known {
				continue
			}
			assert.LessOrEqual(t, a.Usable, a.Corrected+1e-9, "%s %s", s.Name, r.ID)
			if strings.Contains(strings.Join(a.Working, " "), "terminals of 75 °C") {
				atTerminals++
			}
			for _, amps := range r.Amps {
				if amps.Known && !strings.Contains(amps.State, "adapter") { // where the site's breaker gives less than all asks
					compared++
					assert.LessOrEqual(t, amps.Amps, a.Usable*1.001, "%s %s in %s", s.Name, r.ID, amps.State)
				}
			}
		}
	}
	assert.Greater(t, compared, 300)
	assert.Positive(t, atTerminals, "DC devices that do not tell their terminals")
}
