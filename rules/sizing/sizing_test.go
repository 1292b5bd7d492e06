package sizing_test

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/components/units"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
	"rigline/rules/sizing"
)

func sample(t *testing.T, name string) *components.Document {
	t.Helper()
	for _, s := range projects.Samples() {
		if s.Name == name {
			return s.Document()
		}
	}
	t.Fatalf("no sample %s", name)
	return nil
}

func worst(t *testing.T, doc *components.Document) rules.Counts {
	t.Helper()
	r, err := rules.Check(context.Background(), doc, checks.All)
	require.NoError(t, err)
	return r.Counts()
}

// A whole rig with its sizes taken away gets sizes that keep every rule, and no
// smaller one would.
func TestSizeAWholeRig(t *testing.T) {
	doc := sample(t, "camper-van")
	for _, r := range doc.Runs() {
		if r.Status == components.Existing || r.Gone() {
			continue
		}
		var err error
		doc, err = doc.Apply(components.Set{On: r.ID, Key: "size", Value: components.Unknown})
		require.NoError(t, err)
	}
	found, sized, err := sizing.Size(context.Background(), doc, checks.All)
	require.NoError(t, err)
	require.NotEmpty(t, found)
	c := worst(t, sized)
	assert.Zero(t, c.Danger, "dangers")
	assert.Zero(t, c.Violation, "violations")
	decided := 0
	for _, x := range found {
		assert.NotEmpty(t, x.To, x.On)
		if x.Decided != nil {
			decided++
			assert.NotEmpty(t, x.Says)
		}
	}
	assert.Positive(t, decided)
	again, same, err := sizing.Size(context.Background(), sized, checks.All)
	require.NoError(t, err)
	assert.Same(t, sized, same, "a sized rig stays as it is")
	for _, x := range again {
		assert.False(t, x.Changed(), "%s from %s to %s", x.On, x.From, x.To)
	}
}

// One run of 30 A wants 10 AWG (NEC 240.4(D)(7): 12 AWG copper at most 20 A,
// 10 AWG 30 A).
func TestSizeOneRun(t *testing.T) {
	doc := sample(t, "kitchen-trailer")
	before, err := doc.Apply(components.Set{On: "W2", Key: "size", Value: components.Str("14 AWG")})
	require.NoError(t, err)
	found, _, err := sizing.Size(context.Background(), before, checks.All, "W2")
	require.NoError(t, err)
	require.Len(t, found, 1)
	assert.Equal(t, "14 AWG", found[0].From)
	assert.Equal(t, "10 AWG", found[0].To)
	require.NotNil(t, found[0].Decided)
	assert.Equal(t, components.Set{On: "W2", Key: "size", Value: components.Str("10 AWG")}, found[0].Edit())
}

// A device is sized in the ratings that its family is made in.
func TestSizeADevice(t *testing.T) {
	doc, err := sample(t, "kitchen-trailer").Apply(components.Set{On: "F4", Key: "rating_a", Value: components.Num(30)})
	require.NoError(t, err)
	found, _, err := sizing.Size(context.Background(), doc, checks.All, "F4")
	require.NoError(t, err)
	require.Len(t, found, 1)
	assert.Equal(t, "300 A", found[0].To)
	require.NotNil(t, found[0].Decided)
	assert.Equal(t, "overcurrent.rating-above-continuous", found[0].Decided.ID)
}

func TestSizeOfWhatHasNone(t *testing.T) {
	_, _, err := sizing.Size(context.Background(), sample(t, "kitchen-trailer"), checks.All, "LD1")
	assert.ErrorContains(t, err, "LD1 is no run and no device")
}

// While the current of a load is not known, nothing is decided for what feeds it by
// no rule speaking against the smallest made.
func TestWhatIsNotKnownDecidesNothing(t *testing.T) {
	doc := sample(t, "camper-van")
	var load components.Part
	for _, p := range doc.Parts() {
		if p.Kind == &components.DCLoad && p.Figure("a").Known() {
			load = p
			break
		}
	}
	require.NotEmpty(t, load.ID)
	runs := doc.RunsOf(load.ID)
	require.NotEmpty(t, runs)
	was, _ := runs[0].Size("")
	doc, err := doc.Apply(components.Set{On: load.ID, Key: "a", Value: components.Unknown})
	require.NoError(t, err)
	found, same, err := sizing.Size(context.Background(), doc, checks.All, runs[0].ID)
	require.NoError(t, err)
	if found[0].Decided == nil {
		assert.Equal(t, was.String(), found[0].To, "as drawn")
		assert.NotEmpty(t, found[0].Waiting)
		assert.Same(t, doc, same)
	}
	bare, err := doc.Apply(components.Set{On: runs[0].ID, Key: "size", Value: components.Unknown})
	require.NoError(t, err)
	found, _, err = sizing.Size(context.Background(), bare, checks.All, runs[0].ID)
	require.NoError(t, err)
	assert.True(t, found[0].To == "" || found[0].Decided != nil, "%+v", found[0])
}

// A size beyond the tables is never chosen for the silence of the rules there.
func TestNoSizeBeyondTheTables(t *testing.T) {
	found, _, err := sizing.Size(context.Background(), sample(t, "kitchen-trailer"), checks.All)
	require.NoError(t, err)
	for _, c := range found {
		for _, w := range c.Waiting {
			assert.NotContains(t, w, "outside", c.On)
		}
	}
}

// The leads of parallel strings come out alike, in whatever sizes they were drawn:
// unlike ones do not share (battery.parallel-balance).
func TestLeadsOfStringsAreSizedTogether(t *testing.T) {
	doc := sample(t, "library-bus")
	var leads []components.ID
	for _, bat := range doc.Parts() {
		if bat.Kind != &components.Battery || bat.Word("role") == "starting" {
			continue
		}
		for _, r := range doc.RunsAt(bat.Ref("pos")) {
			leads = append(leads, r.ID)
		}
	}
	require.Len(t, leads, 2)
	for _, drawn := range [][2]components.Value{{components.Unknown, components.Str("4/0 AWG")}, {components.Str("4/0 AWG"), components.Str("6 AWG")}, {components.Str("6 AWG"), components.Str("8 AWG")}} {
		rig, err := doc.Apply(components.Set{On: leads[0], Key: "size", Value: drawn[0]}, components.Set{On: leads[1], Key: "size", Value: drawn[1]})
		require.NoError(t, err)
		found, sized, err := sizing.Size(context.Background(), rig, checks.All, leads...)
		require.NoError(t, err)
		require.Len(t, found, 2)
		assert.Equal(t, found[0].To, found[1].To)
		assert.NotEqual(t, found[0].From, found[1].From, "each from what was drawn")
		for i, id := range leads {
			r, _ := sized.Run(id)
			size, ok := r.Size("")
			require.True(t, ok)
			assert.Equal(t, found[i].To, size.String())
		}
		r, err := rules.Check(context.Background(), sized, checks.All)
		require.NoError(t, err)
		for _, f := range r.All() {
			assert.NotEqual(t, "battery.parallel-balance", f.Rule.ID, f.Message)
		}
	}
}

// A rig of which the power of the inverter and every size and rating of its DC side is
// not told gets no size that is smaller than the one that it needs with all of it told.
func TestNothingIsSizedForAPartOfItsCurrent(t *testing.T) {
	for _, name := range []string{"kitchen-trailer", "camper-van"} {
		doc := sample(t, name)
		var forget, bare []components.Edit
		var asked []components.ID
		for _, p := range doc.Parts() {
			if p.Kind == &components.InverterCharger || p.Kind == &components.Inverter {
				forget = append(forget, components.Set{On: p.ID, Key: "continuous_va", Value: components.Unknown})
			}
			if p.Kind == &components.Fuse && !p.Gone() {
				bare, asked = append(bare, components.Set{On: p.ID, Key: "rating_a", Value: components.Unknown}), append(asked, p.ID)
			}
		}
		require.NotEmpty(t, forget, name)
		for _, r := range doc.Runs() {
			if c := doc.CoresOf(r); !r.Gone() && len(c) > 0 && c[0].From.DC() {
				bare, asked = append(bare, components.Set{On: r.ID, Key: "size", Value: components.Unknown}), append(asked, r.ID)
			}
		}
		whole, err := doc.Apply(bare...)
		require.NoError(t, err)
		needed, _, err := sizing.Size(context.Background(), whole, checks.All, asked...)
		require.NoError(t, err)
		less, err := whole.Apply(forget...)
		require.NoError(t, err)
		found, _, err := sizing.Size(context.Background(), less, checks.All, asked...)
		require.NoError(t, err)
		waiting, decided := 0, 0
		for i, c := range found {
			if c.Undecided {
				waiting++
				assert.NotEmpty(t, c.Waiting, "%s: %s", name, c.On)
				continue
			}
			if strings.HasPrefix(c.Decided.ID, "bonding.") {
				assert.Contains(t, strings.Join(c.Waiting, "\n"), "cannot be held to it", "%s: %s", name, c.On)
				continue // a bond carries nothing; it follows the largest conductor, which is not sized
			}
			decided++
			assert.False(t, smaller(t, c, needed[i]), "%s: %s is sized %s by %v (%s) and needs %s", name, c.On, c.To, c.Decided.ID, c.Waiting, needed[i].To)
		}
		assert.Positive(t, waiting, name)
		assert.Positive(t, decided, name)
	}
}

func smaller(t *testing.T, a, b sizing.Choice) bool {
	t.Helper()
	if a.Key == "size" {
		x, err := units.ParseSize(a.To)
		require.NoError(t, err)
		y, err := units.ParseSize(b.To)
		require.NoError(t, err)
		return x.Less(y)
	}
	var x, y float64
	_, err := fmt.Sscanf(a.To+" "+b.To, "%g A %g A", &x, &y)
	require.NoError(t, err)
	return x < y
}

// The loads of a 30 A trailer ask for a little more than its main gives, and a little less
// where nothing is lost on the way: no shore cable is made as thick as a thumb for that.
func TestNoCableIsMadeThickForABreakerElsewhere(t *testing.T) {
	text, err := os.ReadFile("../../testdata/topologies/t02.yaml")
	require.NoError(t, err)
	doc, _, err := projects.Read("t02", text)
	require.NoError(t, err)
	feed := []components.ID{"W2", "W21", "W26", "W27", "W28"}
	asks := func(doc *components.Document, va float64, size string) (*components.Document, bool) {
		edits := []components.Edit{components.Set{On: "LD1", Key: "va", Value: components.Num(va)}}
		for _, id := range feed {
			edits = append(edits, components.Set{On: id, Key: "size", Value: components.Str(size)}, components.Set{On: id, Key: "length_ft", Value: components.Num(10)})
		}
		next, err := doc.Apply(edits...)
		require.NoError(t, err)
		r, err := rules.Check(context.Background(), next, checks.All)
		require.NoError(t, err)
		return next, slices.ContainsFunc(r.Findings, func(f rules.Finding) bool { return f.Rule == checks.DemandWithinMain })
	}
	for va := 1000.0; va < 4000; va += 25 {
		drawn, more := asks(doc, va, "10 AWG")
		if _, thick := asks(doc, va, "4/0 AWG"); !more || thick {
			continue
		}
		found, _, err := sizing.Size(context.Background(), drawn, checks.All, feed...)
		require.NoError(t, err)
		for _, c := range found {
			assert.NotEqual(t, checks.DemandWithinMain, c.Decided, "%s %s: %s", c.On, c.To, c.Says)
		}
		return
	}
	t.Fatal("no load was found at which what the cables lose decides")
}

// Four strings of 100 Ah with the leads of a usual trailer and a 3 kW inverter: one size
// for every lead of a string, out and back, and one for the two that come to a device.
func TestWhatIsOutAndBackIsOfOneSize(t *testing.T) {
	text, err := os.ReadFile("../../testdata/topologies/t02.yaml")
	require.NoError(t, err)
	doc, _, err := projects.Read("t02", text)
	require.NoError(t, err)
	var bare []components.Edit
	for _, r := range doc.Runs() {
		if c := doc.CoresOf(r); c[0].From.DC() {
			bare = append(bare, components.Set{On: r.ID, Key: "size", Value: components.Unknown})
		}
	}
	doc, err = doc.Apply(bare...)
	require.NoError(t, err)
	found, sized, err := sizing.Size(context.Background(), doc, checks.All)
	require.NoError(t, err)
	to := map[components.ID]string{}
	for _, c := range found {
		to[c.On] = c.To
	}
	for _, id := range []components.ID{"W4", "W5", "W6", "W7", "W8", "W9", "W10", "W11", "W12", "W13", "W14"} {
		assert.Equal(t, to["W3"], to[id], id)
	}
	assert.Equal(t, to["W23"], to["W24"], "to the inverter")
	assert.Equal(t, to["W34"], to["W35"], "to the fuse block")
	assert.Equal(t, to["W33"], to["W34"], "ahead of its fuse as behind it")
	c := worst(t, sized)
	assert.Zero(t, c.Danger+c.Violation)
	short, err := sized.Apply(components.Set{On: "W33", Key: "size", Value: components.Unknown}, components.Set{On: "W33", Key: "length_ft", Value: components.Num(0.1)})
	require.NoError(t, err)
	found, _, err = sizing.Size(context.Background(), short, checks.All, "W33")
	require.NoError(t, err)
	assert.Equal(t, components.ID("W34"), found[0].Beside, "an inch ahead of a fuse: no rule asks for much")
	assert.Equal(t, to["W34"], found[0].To)
}
