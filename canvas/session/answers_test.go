package session

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// A set of answers draws a sheet that reads back, with nothing on top of
// anything, and with no danger drawn into it: what is unknown is named, and what
// is wired is wired right.
func TestFirstSheets(t *testing.T) {
	supplies := append([]string{""}, components.Services...)
	inverters := []string{"", components.Inverter.ID, components.InverterCharger.ID}
	n := 0
	for i, supply := range supplies {
		for j, inverter := range inverters {
			for k := range 2 {
				if (i+j+k)%3 == 0 { // a part of the combinations says enough
					continue
				}
				if n++; testing.Short() && n%4 != 0 {
					continue
				}
				a := Answers{Supply: supply, Inverter: inverter, Generator: (i+j+k)%2 == 1, Chemistry: "lfp", BankV: 12.8 * float64(1+k), Solar: k == 1, Alternator: (i+k)%2 == 0, ACCircuits: 1 + i%3, Outlets: 1 + j, DCCircuits: 2 * k}
				t.Run(fmt.Sprintf("%s/%s/%d", supply, inverter, k), func(t *testing.T) {
					doc, err := FirstSheet(a, checks.All)
					require.NoError(t, err)
					data := projects.Write(doc)
					_, _, err = projects.Read("first.yaml", data)
					require.NoError(t, err)
					report, err := rules.Check(context.Background(), doc, checks.All)
					require.NoError(t, err)
					for _, f := range report.Findings {
						assert.NotEqual(t, rules.Danger, f.Level, "%s at %s: %s", f.Rule.ID, f.At, f.Message)
					}
				})
			}
		}
	}
	assert.Equal(t, 28, n)
}

// What is told is sized: with the inverter's power, the bank and the main loads
// known, no danger and no violation is left, and every lead of the bank, the
// inverter and the circuits has its size.
func TestAFirstSheetIsSizedByItsAnswers(t *testing.T) {
	for _, a := range []Answers{
		{Supply: "30a-120", Inverter: components.InverterCharger.ID, InverterVA: 3000, Chemistry: "lfp", BankV: 12.8, BankAh: 400, Solar: true, Main: Appliances[:2], Outlets: 2, DCCircuits: 4},
		{Supply: "30a-120", Protector: true, Inverter: components.InverterCharger.ID, Whole: InPhase, InverterVA: 3000, Chemistry: "lfp", BankV: 12.8, BankAh: 400, Main: Appliances[:2], Outlets: 2, DCCircuits: 3},
		{Supply: "30a-120", Inverter: components.InverterCharger.ID, Whole: InPhase, InverterVA: 3000, Chemistry: "lfp", BankV: 12.8, BankAh: 400, Main: Appliances[:4], Outlets: 2, DCCircuits: 3},
		{Supply: "50a-120/240", Protector: true, Inverter: components.InverterCharger.ID, Whole: InPhase, InverterVA: 3000, Chemistry: "lfp", BankV: 12.8, BankAh: 600, Main: Appliances[:4], Outlets: 2, DCCircuits: 3},
		{Supply: "50a-120/240", Inverter: components.InverterCharger.ID, Whole: Split, InverterVA: 5000, Chemistry: "lfp", BankV: 51.2, BankAh: 300, Main: Appliances[:2], Outlets: 2, DCCircuits: 3},
		{Supply: "50a-120/240", Generator: true, Inverter: components.InverterCharger.ID, InverterVA: 5000, Chemistry: "lfp", BankV: 51.2, BankAh: 300, Main: Appliances, Outlets: 3, DCCircuits: 2},
		{Supply: "20a-120", Inverter: components.Inverter.ID, InverterVA: 2000, Chemistry: "lfp", BankV: 25.6, BankAh: 200, Alternator: true, Main: Appliances[3:4], Outlets: 1, DCCircuits: 4, Exists: "ac"},
		{Supply: "16a-230", Inverter: components.InverterCharger.ID, InverterVA: 2000, Chemistry: "lfp", BankV: 12.8, BankAh: 200, Main: Appliances[2:4], Outlets: 2, DCCircuits: 4},
		{Supply: "16a-230", Chemistry: "lfp", BankV: 12.8, BankAh: 100, Main: Appliances[3:4], Outlets: 1, DCCircuits: 4},
		{Supply: "16a-230", Inverter: components.Inverter.ID, InverterVA: 1000, Chemistry: "lfp", BankV: 12.8, BankAh: 100, ACCircuits: 1, Outlets: 1, DCCircuits: 2},
	} {
		doc, err := FirstSheet(a, checks.All)
		require.NoError(t, err)
		apart(t, doc.Title, scene.Draw(doc, scene.Options{Frame: true}))
		seenWhole(t, doc.Title, doc)
		report, err := rules.Check(context.Background(), doc, checks.All)
		require.NoError(t, err)
		for _, f := range report.Findings {
			assert.Less(t, f.Level, rules.Violation, "%s %s at %s: %s", a.Supply, f.Rule.ID, f.At, f.Message)
		}
		sized := 0
		for _, r := range doc.Runs() {
			if size, ok := r.Size(components.Pos); ok {
				sized++
				assert.Equal(t, a.Supply == "16a-230", size.Metric(), "%s %s: %s", a.Supply, r.ID, size)
			}
		}
		for _, r := range doc.Runs() {
			if p, _ := doc.Part(r.From.Part); p.Kind == &components.Charger {
				continue // what it gives is not known
			}
			if cores := doc.CoresOf(r); a.Supply != "16a-230" && r.Status != components.Existing && len(cores) == 1 && cores[0].To == components.G {
				_, ok := r.Size(components.G)
				assert.True(t, ok, "%s %s from %s to %s", a.Supply, r.ID, r.From, r.To)
			}
		}
		fresh := 0
		for _, r := range doc.Runs() {
			if r.Status != components.Existing {
				fresh++
				continue
			}
			assert.False(t, r.Spec["size"].Known() || r.Spec["cable"].Known(), "%s is there already: its size is read off", r.ID)
		}
		assert.Greater(t, sized, fresh*6/10, "%s: %d of %d new runs are sized", a.Supply, sized, fresh)
		if a.Exists == "ac" {
			inlet, _ := doc.Part("INL1")
			assert.Equal(t, components.Existing, inlet.Status)
			bat, _ := doc.Part("BAT1")
			assert.NotEqual(t, components.Existing, bat.Status)
		}
	}
}

// What nobody knows yet stands on the sheet as such.
func TestWhatIsNotKnownIsSaid(t *testing.T) {
	doc, err := FirstSheet(Answers{Supply: "30a-120", Inverter: components.InverterCharger.ID, BankV: 12, ACCircuits: 1, Outlets: 1, NotKnown: []string{"inverter power", "battery chemistry"}}, checks.All)
	require.NoError(t, err)
	require.Len(t, doc.Notes, 1)
	assert.Contains(t, doc.Notes[0].Text, "inverter power, battery chemistry")
	inv, _ := doc.Part("INV1")
	assert.True(t, inv.Spec["continuous_va"].IsUnknown())
	bat, _ := doc.Part("BAT1")
	assert.True(t, bat.Spec["chemistry"].IsUnknown())
}

// What is there already was built by somebody else: its cables and devices are read
// off, not chosen, and so no rule is satisfied by a figure that nobody has seen.
func TestWhatIsThereAlreadyIsReadOff(t *testing.T) {
	for _, exists := range []string{"ac", "dc", "all"} {
		a := Answers{Supply: "30a-120", Protector: true, ChargerA: 55, Chemistry: "lfp", BankV: 12.8, BankAh: 200, Main: Appliances[:1], DCMain: DCAppliances[:3], Outlets: 1, Exists: exists}
		doc, err := FirstSheet(a, checks.All)
		require.NoError(t, err)
		there := 0
		for _, r := range doc.Runs() {
			if r.Status == components.Existing {
				there++
				for _, key := range []string{"size", "cable", "length_ft"} {
					assert.False(t, r.Spec[key].Known(), "%s: %s of %s", exists, key, r.ID)
				}
			}
		}
		for _, p := range doc.Parts() {
			if p.Status != components.Existing {
				continue
			}
			there++
			if p.Kind == &components.Fuse {
				assert.False(t, p.Spec["rating_a"].Known() || p.Spec["family"].Known(), "%s: %s", exists, p.ID)
			}
			for _, key := range []string{"breaker_a", "fuse_a"} {
				for _, row := range p.Spec["circuits"].Rows() {
					assert.False(t, row[key].Known(), "%s: %s of %s", exists, key, p.ID)
				}
			}
		}
		assert.NotZero(t, there)
		report, err := rules.Check(context.Background(), doc, checks.All)
		require.NoError(t, err)
		for _, f := range report.Findings {
			if f.Rule.ID == "overcurrent.interrupting-rating" {
				continue // with lengths and the fuse ahead unknown it takes the worst short
			}
			assert.Less(t, f.Level, rules.Violation, "%s: %s at %s: %s", exists, f.Rule.ID, f.At, f.Message)
		}
		assert.NotZero(t, report.Counts().Unchecked)
	}
}
