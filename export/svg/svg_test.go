package svg

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/sfnt"

	"rigline/assets"
	"rigline/components"
	"rigline/export/hostile"
	"rigline/export/scene"
	"rigline/projects"
)

// nasty is a rig whose texts try to leave the drawing.
func nasty(t *testing.T) *components.Document {
	k, ok := components.FindKind("chassis")
	require.True(t, ok)
	doc, err := components.NewDocument(`</svg><script>alert("x")</script>`).Apply(
		components.AddPart{Part: components.Part{ID: "CH1", Kind: k, Name: `" onload="x <b>&` + "\x00\x1b", At: components.Point{X: 200, Y: 200}}},
		components.SetNotes{Notes: []components.Note{{Form: "note", At: components.Point{X: 100, Y: 100}, Text: `]]></style><img src=x>`}}})
	require.NoError(t, err)
	return doc
}

func written(t *testing.T, doc *components.Document) string {
	var b bytes.Buffer
	require.NoError(t, Write(&b, scene.Draw(doc, scene.Options{Frame: true})))
	return b.String()
}

// elements reads the file as XML and counts its elements.
func elements(t *testing.T, file string) map[string]int {
	count := map[string]int{}
	d := xml.NewDecoder(strings.NewReader(file))
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return count
		}
		require.NoError(t, err)
		if e, ok := tok.(xml.StartElement); ok {
			count[e.Name.Local]++
			for _, a := range e.Attr {
				assert.False(t, strings.HasPrefix(strings.ToLower(a.Name.Local), "on"), "%s has %s", e.Name.Local, a.Name.Local)
			}
		}
	}
}

func TestTextsCannotLeaveTheDrawing(t *testing.T) {
	count := elements(t, written(t, nasty(t)))
	assert.Zero(t, count["script"])
	assert.Zero(t, count["img"])
	assert.Equal(t, 1, count["svg"])
	assert.NotContains(t, written(t, nasty(t)), "<!--")
}

func TestEveryPartAndRunIsANamedGroup(t *testing.T) {
	for _, s := range append(projects.Samples(), projects.Starts()...) {
		doc := s.Document()
		file := written(t, doc)
		elements(t, file)
		for _, p := range doc.Parts() {
			assert.Contains(t, file, "<title>"+string(p.ID)+" ", s.Name)
		}
		for _, r := range doc.Runs() {
			assert.Contains(t, file, "<title>"+string(r.ID)+",", s.Name)
		}
	}
}

func TestSameSheetSameBytes(t *testing.T) {
	for _, s := range append(projects.Samples(), projects.Starts()...) {
		assert.Equal(t, written(t, s.Document()), written(t, s.Document()), s.Name)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestFullDisk(t *testing.T) {
	err := Write(full{}, scene.Draw(nasty(t), scene.Options{}))
	assert.EqualError(t, err, "write drawing: no space left on device")
}

// The packed letters are a font with the outlines of what was asked, and widths
// as before.
func TestSubset(t *testing.T) {
	runes := []rune("Aé·")
	packed, err := subset(assets.FontBold, runes)
	require.NoError(t, err)
	assert.Less(t, len(packed), len(assets.FontBold)/5)
	ttf := unpack(t, packed)
	small, err := sfnt.Parse(ttf)
	require.NoError(t, err)
	whole, err := sfnt.Parse(assets.FontBold)
	require.NoError(t, err)
	var b sfnt.Buffer
	for _, r := range append(runes, 'B') {
		want, err := whole.GlyphIndex(&b, r)
		require.NoError(t, err)
		got, err := small.GlyphIndex(&b, r)
		require.NoError(t, err)
		if r == 'B' {
			assert.Zero(t, got)
			continue
		}
		require.Equal(t, want, got)
		all, err := whole.LoadGlyph(&b, want, 64<<6, nil)
		require.NoError(t, err)
		before := append(sfnt.Segments(nil), all...)
		kept, err := small.LoadGlyph(&b, got, 64<<6, nil)
		require.NoError(t, err)
		assert.Equal(t, before, append(sfnt.Segments(nil), kept...), string(r))
	}
}

// what SVG 1.1 allows on the elements that are used, as far as it is used.
var allowed = map[string]string{
	"svg":      "width height viewBox xmlns xlink version baseProfile role",
	"title":    "",
	"defs":     "",
	"style":    "type",
	"g":        "class font-family stroke-linecap stroke-linejoin fill",
	"rect":     "x y width height fill",
	"polyline": "points stroke stroke-width stroke-dasharray stroke-opacity",
	"polygon":  "points stroke stroke-width stroke-dasharray stroke-opacity fill fill-opacity",
	"circle":   "cx cy r stroke stroke-width stroke-dasharray stroke-opacity fill fill-opacity",
	"path":     "d stroke stroke-width stroke-dasharray stroke-opacity",
	"text":     "x y fill fill-opacity font-size text-anchor font-weight transform",
}

// Every drawing is made of a few elements of SVG 1.1 with attributes that it has.
func TestElementsAndAttributes(t *testing.T) {
	docs := []*components.Document{hostile.Document()}
	for _, s := range projects.Samples() {
		docs = append(docs, s.Document())
	}
	for _, doc := range docs {
		live := map[components.ID]scene.LiveRun{}
		for i, r := range doc.Runs() {
			live[r.ID] = scene.LiveRun{Dead: i%3 == 0, Figure: "12 A"}
		}
		marks := []scene.Mark{{Address: string(doc.Parts()[0].ID), Level: scene.DangerMark, Number: 1, Text: "x"}, {Address: string(doc.Parts()[1].ID), Letters: "N-G"}}
		for _, o := range []scene.Options{{Frame: true}, {Frame: true, Marks: marks, List: true}, {Live: live, Marks: marks}} {
			var b bytes.Buffer
			require.NoError(t, Write(&b, scene.Draw(doc, o)))
			d := xml.NewDecoder(&b)
			for {
				tok, err := d.Token()
				if errors.Is(err, io.EOF) {
					break
				}
				require.NoError(t, err)
				e, ok := tok.(xml.StartElement)
				if !ok {
					continue
				}
				attributes, known := allowed[e.Name.Local]
				require.True(t, known, e.Name.Local)
				for _, a := range e.Attr {
					assert.Contains(t, strings.Fields(attributes), a.Name.Local, e.Name.Local)
				}
			}
		}
	}
}

// A name that is read from the right is kept apart from what stands beside it.
func TestWordsFromTheRightStayApart(t *testing.T) {
	file := written(t, hostile.FromRight())
	elements(t, file)
	apart := regexp.MustCompile("\u2067[^\u2069<>]*\u2069")
	assert.NotEmpty(t, apart.FindAllString(file, -1))
	assert.NotRegexp(t, "[\u0590-\u06ff]", apart.ReplaceAllString(file, ""))
}
