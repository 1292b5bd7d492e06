package lists

import (
	"bytes"
	"encoding/csv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

func TestSafe(t *testing.T) {
	for cell, want := range map[string]string{
		"=1+1": "'=1+1", "+": "'+", "-": "'-", "@x": "'@x", "\t=1": "'\t'=1", "\r=1": "'\r'=1", "\nx": "'\nx",
		"": "", "10 AWG": "10 AWG", "a=1": "a=1", "-12.5": "-12.5", "-12.5 V": "'-12.5 V",
		"  =1": "'  =1", "\u200b=1": "'\u200b=1", "\ufeff=1": "'\ufeff=1", "＝1": "'＝1", "\u202e=1": "'\u202e=1",
		"x;=1": "x;'=1", "x; =1": "x;' =1", "x;y=1": "x;y=1", "x\n=1": "x\n'=1", "x|@y": "x|'@y", "a;b": "a;b",
		"x\t-1": "x\t'-1", "Größe = 3": "Größe = 3",
	} {
		assert.Equal(t, want, Safe(cell), "%q", cell)
		assert.Equal(t, want, Safe(want), "%q: made safe twice", cell)
	}
}

func TestPlain(t *testing.T) {
	for cell, want := range map[string]string{
		"a\x00b": "a b", "a\u202eb": "ab", "\u2066x\u2069": "x", "a\xffb": "a\uFFFDb", "a\nb": "a\nb", "🔋 שלום": "🔋 שלום", "a\u0085b": "a b",
	} {
		assert.Equal(t, want, Plain(cell), "%q", cell)
	}
}

func TestCSVIsHeadRowsAbout(t *testing.T) {
	table := Table{Name: "x", Title: "X", Head: []string{"tag", "A"}}
	table.Add("W1", "12.5")
	var b bytes.Buffer
	require.NoError(t, CSV(&b, table, About{Title: "=cmd", Revision: "B", Rules: "us-rv", Cautions: []string{"Mains voltage kills."}}))
	got, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, [][]string{
		{"tag", "A", "", ""},
		{"W1", "12.5", "", ""},
		{"", "", "", ""},
		{"about", "'=cmd", "revision B", "date not given"},
		{"about", "rule set us-rv", "", ""},
		{"about", "Mains voltage kills.", "", ""},
	}, got)
	assert.Panics(t, func() { table.Add("one cell") })
}

func TestXLSXNumbersAndText(t *testing.T) {
	var b bytes.Buffer
	records := [][]string{{"tag", "A"}, {"W1", "12.50"}, {"007", "=SUM(A1)"}, {"1e5", "-3"}}
	require.NoError(t, XLSX(&b, []Sheet{{Name: "One", Records: records}, {Name: "Two", Records: records}}, About{Title: "x", Date: "2026-11-25"}))
	f, err := excelize.OpenReader(bytes.NewReader(b.Bytes()))
	require.NoError(t, err)
	defer f.Close()
	for _, name := range []string{"One", "Two"} {
		rows, err := f.GetRows(name)
		require.NoError(t, err)
		assert.Equal(t, [][]string{{"tag", "A"}, {"W1", "12.50"}, {"007", "'=SUM(A1)"}, {"1e5", "-3"}}, rows)
		for cell, want := range map[string]excelize.CellType{"B2": excelize.CellTypeUnset, "A3": excelize.CellTypeInlineString, "B3": excelize.CellTypeInlineString, "B4": excelize.CellTypeUnset} {
			kind, err := f.GetCellType(name, cell)
			require.NoError(t, err)
			assert.Equal(t, want, kind, cell)
		}
	}
	props, err := f.GetDocProps()
	require.NoError(t, err)
	assert.Equal(t, "2026-11-25T00:00:00Z", props.Created)
}
