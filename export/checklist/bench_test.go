package checklist

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/cards"
	"rigline/export/lists"
	"rigline/export/schedule"
	"rigline/export/solved"
	"rigline/rules/rulestest"
)

// everyList makes every list of a hand-off that is no drawing and no report.
func everyList(tb testing.TB, doc *components.Document) {
	var b bytes.Buffer
	about := lists.About{Title: doc.Title}
	must := func(err error) {
		if err != nil {
			tb.Fatal(err)
		}
	}
	rig := solved.Of(doc)
	sites := cards.Of(doc)
	results := Results(Items(rig, sites...), doc)
	for _, t := range []lists.Table{schedule.RunsTable(rig), schedule.DevicesTable(rig), schedule.PanelsTable(rig), schedule.TorqueTable(rig), schedule.SettingsTable(rig, sites), schedule.LabelsTable(rig), schedule.RemovalTable(rig),
		Table(results)} {
		must(lists.CSV(&b, t, about))
	}
	must(Text(&b, results))
	must(cards.Text(&b, sites, about))
	must(bom.Write(&b, doc))
	must(bom.WriteXLSX(&b, doc))
}

// BenchmarkEveryList is the whole of the lists, states and cards solved anew.
func BenchmarkEveryList(b *testing.B) {
	for _, n := range []int{60, 1000} {
		doc, err := rulestest.Fleet(n)
		require.NoError(b, err)
		b.Run(fmt.Sprintf("parts=%d", len(doc.Parts())), func(b *testing.B) {
			for b.Loop() {
				everyList(b, doc)
			}
		})
	}
}
