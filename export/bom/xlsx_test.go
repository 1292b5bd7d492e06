package bom_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"rigline/components"
	"rigline/export/bom"
	"rigline/projects"
)

func workbook(t *testing.T, doc *components.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, bom.WriteXLSX(&b, doc, "Mains voltage kills."))
	return b.Bytes()
}

// full gives every row as many cells as the CSV has: a reader leaves out empty
// ones at the end.
func full(rows [][]string, width int) [][]string {
	for i := range rows {
		for len(rows[i]) < width {
			rows[i] = append(rows[i], "")
		}
	}
	return rows
}

func csvRows(t *testing.T, doc *components.Document) [][]string {
	t.Helper()
	records, err := csv.NewReader(strings.NewReader(written(t, doc))).ReadAll()
	require.NoError(t, err)
	return records
}

func TestWorkbookHasTheRowsOfTheCSV(t *testing.T) {
	docs := []*components.Document{read(t, counted), read(t, shack), read(t, roof)}
	for _, s := range projects.Samples() {
		docs = append(docs, s.Document())
	}
	for _, doc := range docs {
		f, err := excelize.OpenReader(bytes.NewReader(workbook(t, doc)))
		require.NoError(t, err)
		rows, err := f.GetRows("Bill of materials")
		require.NoError(t, err)
		want := csvRows(t, doc)
		assert.Equal(t, want, full(rows, len(want[0])), doc.Title)
		require.NoError(t, f.Close())
	}
}

func TestWorkbookIsTheSameEachTime(t *testing.T) {
	doc := projects.Samples()[0].Document()
	first := workbook(t, doc)
	for range 20 {
		require.True(t, bytes.Equal(first, workbook(t, doc)))
	}
	z, err := zip.NewReader(bytes.NewReader(first), int64(len(first)))
	require.NoError(t, err)
	for _, f := range z.File {
		assert.True(t, f.Modified.IsZero() || f.Modified.Year() < 1981, "%s: %v", f.Name, f.Modified)
	}
}

// No cell of a workbook is a formula, whatever a person wrote.
func TestWorkbookHoldsNoFormula(t *testing.T) {
	z, err := zip.NewReader(bytes.NewReader(workbook(t, read(t, counted))), int64(len(workbook(t, read(t, counted)))))
	require.NoError(t, err)
	for _, f := range z.File {
		r, err := f.Open()
		require.NoError(t, err)
		var b bytes.Buffer
		_, err = b.ReadFrom(r)
		require.NoError(t, err)
		assert.NotContains(t, b.String(), "<f>", f.Name)
		assert.NotContains(t, b.String(), "<f ", f.Name)
	}
}

// A spreadsheet program reads the same rows out of the workbook as stand in the
// CSV. It is looked for by the name soffice; without it this test does not run, and
// says so, or fails where every test must run.
func TestSpreadsheetReadsTheSameRows(t *testing.T) {
	program, err := exec.LookPath("soffice")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("soffice is not installed (apt-get install libreoffice-calc)")
		}
		t.Skip("NOT RUN: no soffice on the path, so no spreadsheet program has read the workbook (apt-get install libreoffice-calc)")
	}
	if testing.Short() {
		t.Skip("NOT RUN: a spreadsheet program takes seconds to start")
	}
	dir := t.TempDir()
	doc := read(t, counted)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "bom.xlsx"), workbook(t, doc), 0o600))
	cmd := exec.Command(program, "-env:UserInstallation=file://"+filepath.Join(dir, "profile"), "--headless", "--convert-to", "csv:Text - txt - csv (StarCalc):44,34,76", "--outdir", dir, filepath.Join(dir, "bom.xlsx"))
	cmd.Env = append(os.Environ(), "HOME="+dir)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	data, err := os.ReadFile(filepath.Join(dir, "bom.csv"))
	require.NoError(t, err, string(out))
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = -1
	got, err := r.ReadAll()
	require.NoError(t, err)
	want := csvRows(t, doc)
	assert.Equal(t, want, full(got, len(want[0])))
}
