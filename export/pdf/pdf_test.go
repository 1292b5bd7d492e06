package pdf

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"

	"rigline/components"
	"rigline/export/cards"
	"rigline/export/folio"
	"rigline/export/hostile"
	"rigline/export/lists"
	"rigline/export/report"
	"rigline/export/scene"
	"rigline/export/solved"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// tool finds a program that a test needs. Without it the test is skipped, but not
// where every test must run.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is not installed", name)
		}
		t.Skipf("SKIPPED: %s is not installed, so the PDF is not read back", name)
	}
	return path
}

func bookOf(t testing.TB, doc *components.Document) []byte {
	b := New(lists.About{Title: doc.Title, Revision: doc.Rig.Revision, Date: doc.Rig.Date, Rules: doc.Basis})
	b.Sheet(scene.Draw(doc, scene.Options{Frame: true}), "Sheet")
	var out bytes.Buffer
	require.NoError(t, b.Write(&out))
	return out.Bytes()
}

// read gives what a PDF reader makes of a file.
func read(t *testing.T, file []byte, program string, args ...string) string {
	path := filepath.Join(t.TempDir(), "book.pdf")
	require.NoError(t, os.WriteFile(path, file, 0o644))
	cmd := exec.Command(tool(t, program), append(args, path)...)
	if program == "pdftotext" {
		cmd.Args = append(cmd.Args, "-")
	}
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	return string(out)
}

func TestEveryTagIsText(t *testing.T) {
	for _, s := range projects.Samples() {
		doc := s.Document()
		text := read(t, bookOf(t, doc), "pdftotext", "-layout")
		for _, p := range doc.Parts() {
			assert.Contains(t, text, string(p.ID), s.Name)
		}
		for _, r := range doc.Runs() {
			assert.Contains(t, text, string(r.ID), s.Name)
		}
	}
}

func TestLettersAreEmbedded(t *testing.T) {
	fonts := read(t, bookOf(t, projects.Samples()[0].Document()), "pdffonts")
	assert.Regexp(t, `TrueType.*yes +(yes|no) +yes`, fonts)
	assert.NotRegexp(t, `Type 3|Helvetica`, fonts)
}

func TestSameProjectSameBytes(t *testing.T) {
	for _, s := range projects.Samples() {
		assert.Equal(t, bookOf(t, s.Document()), bookOf(t, s.Document()), s.Name)
	}
}

func TestDateIsTheProjects(t *testing.T) {
	doc := projects.Samples()[0].Document()
	assert.Contains(t, read(t, bookOf(t, doc), "pdfinfo", "-rawdates"), "D:20261125000000")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestFullDisk(t *testing.T) {
	assert.EqualError(t, New(lists.About{}).Write(full{}), "write PDF: no space left on device")
}

// foreign is a rig whose owner writes in several scripts, with a sign in a name.
func foreign(t *testing.T) *components.Document {
	doc := projects.Samples()[0].Document()
	names := []string{"خزان الماء", "بطارية 2", "מצבר ראשי", "🔋 house bank", "⚡ inlet", "电池", "насос", "αντλία", "پمپ آب", "ปั๊มน้ำ", "मुख्य", "전기 설비", "リチウム電池", "மின்", "ব্যাটারি", "បន្ទប់", "\u1019\u102e"}
	var edits []components.Edit
	for i, p := range doc.Parts() {
		if i < len(names) {
			edits = append(edits, components.Describe{ID: p.ID, Name: names[i], Status: p.Status, Note: p.Note, Buy: p.Buy})
		}
	}
	doc, err := doc.Apply(edits...)
	require.NoError(t, err)
	return doc
}

// A name in Arabic is printed in joined shapes from its end and still found; a sign
// without a letter is called by its name, a letter of a script without letters here by
// its number; what is drawn as outlines is found too; no empty box stands for anything;
// all letters are embedded.
func TestEveryScriptIsReadOrNamed(t *testing.T) {
	file := bookOf(t, foreign(t))
	text := norm.NFKC.String(read(t, file, "pdftotext", "-layout"))
	for _, want := range []string{"خزان الماء", "بطارية", "מצבר ראשי", "[battery] house bank", "⚡ inlet", "电池", "насос", "αντλία", "پمپ آب", "ปั๊มน้ำ", "मुख्य", "전기 설비", "リチウム電池", "மின்", "ব্যাটারি", "បន្ទប់", "[U+1019][U+102E]"} {
		assert.Contains(t, text, norm.NFKC.String(want))
	}
	assert.NotContains(t, text, "□")
	for i, l := range strings.Split(strings.TrimSpace(read(t, file, "pdffonts")), "\n") {
		if i >= 2 { // below the head of the list
			assert.Regexp(t, `TrueType.*yes +(yes|no) +yes`, l)
		}
	}
}

// Hostile words break no page: the file opens, every tag is there, nothing in it
// acts.
func TestWordsStayWords(t *testing.T) {
	doc := hostile.Document()
	r, err := rules.Check(context.Background(), doc, checks.All)
	require.NoError(t, err)
	about := lists.About{Title: doc.Title, Revision: doc.Rig.Revision, Date: doc.Rig.Date, Rules: doc.Basis, Cautions: []string{"Mains voltage kills."}}
	b := New(about)
	b.Folio(folio.Of(folio.Input{Doc: doc, Report: r, Findings: report.Of(r, "rig.yaml", nil), Rig: solved.Of(doc), Cards: cards.Of(doc), About: about}), false)
	var out bytes.Buffer
	require.NoError(t, b.Write(&out))
	assert.NotContains(t, out.String(), "/JavaScript")
	assert.NotContains(t, out.String(), "/URI")
	text := read(t, out.Bytes(), "pdftotext", "-layout")
	for _, p := range doc.Parts() {
		assert.Contains(t, text, string(p.ID))
	}
	pages := 0
	for _, page := range strings.Split(strings.TrimRight(text, "\f"), "\f") {
		pages++
		assert.Contains(t, page, fmt.Sprintf("page %d of ", pages))
		assert.Contains(t, page, "Mains voltage kills", "page %d", pages)
		assert.Contains(t, page, "us-rv", "page %d", pages)
	}
	assert.Greater(t, pages, 10)
}

// A row that is taller than a page goes on overleaf, to its last line.
func TestATallRowGoesOn(t *testing.T) {
	var words []string
	for i := range 900 {
		words = append(words, fmt.Sprintf("word%03d", i))
	}
	table := lists.Table{Title: "Tall", Head: []string{"Tag", "Text"}}
	table.Add("W1", strings.Join(words, "\n"))
	b := New(lists.About{Title: "Tall"})
	b.Folio(&folio.Folio{Chapters: []folio.Chapter{{Name: "tall", Title: "Tall", Tables: []lists.Table{table}}}}, false)
	var out bytes.Buffer
	require.NoError(t, b.Write(&out))
	text := read(t, out.Bytes(), "pdftotext")
	for _, w := range words {
		assert.Contains(t, text, w)
	}
}
