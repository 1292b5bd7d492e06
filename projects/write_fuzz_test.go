package projects

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// hostile are texts and tags that YAML would gladly take for something else.
var hostile = []string{
	"", " ", "yes", "No", "on", "off", "y", "N", "null", "~", "unknown", "true", "12", "1_000", "0x1F", "0o7", "1e3", ".5", "-1", "+1", ".nan", ".inf",
	"2026-11-25", "12:30:45", "2026-11-25T10:00:00Z", "<<", "=", "-", "--", "---", "...", "- a", "a: b", "a:", ":a", "a #b", "#", "# a", "? a", "! a", "&a", "*a",
	"|", ">", "@a", "`a", "%a", "[a]", "{a}", "a]", "a}", "a,b", "a, b", "'", "\"", "\\", "\\n", "a\nb", "a\n\nb\n", "\na", " a\nb", "a \nb", "a\n b", "a\r\nb", "a\tb", "\t",
	"caf\u00e9", "\u0085", "\u2028", "\u2029", "\ufeff", "\u00a0", "\U0001F50B", "a\u0000b", "\x7f", "\ufffe", "\U000E0001", "\xff", "a\xc3", "a  b", "a ", "24 ft trailer", "2/0 AWG", "50a-120/240", strings.Repeat("long ", 100),
	"# want rule \"text\"", "title", "parts", "end of file", "Low\n# not a comment\nlast",
}

// Every text of a document comes back as it was, whatever is in it; bytes that
// are no UTF-8 come back as U+FFFD.
func FuzzTexts(f *testing.F) {
	for _, s := range hostile {
		f.Add(s, "BAT1")
		f.Add("text", s)
	}
	f.Fuzz(func(t *testing.T, text, tag string) {
		if len(text) > 2000 {
			return
		}
		doc := documentOf(t, text, components.ID(tag))
		if doc == nil {
			return
		}
		data := Write(doc)
		got, _, err := Read("rig.yaml", data)
		require.NoError(t, err, "%s", data)
		want := strings.ToValidUTF8(text, "\uFFFD")
		assert.Equal(t, want, got.Title)
		assert.Equal(t, want, got.Rig.About)
		p, ok := got.Part(components.ID(tag))
		require.True(t, ok, "%s", data)
		assert.Equal(t, want, p.Name)
		assert.Equal(t, want, p.Note)
		assert.Equal(t, components.Purchase{Description: want, Supplier: want, PartNo: want}, p.Buy)
		row := p.Spec["circuits"].Rows()[0]
		assert.Equal(t, want, row["label"].Str())
		assert.False(t, row["label"].IsUnknown())
		require.Len(t, got.Runs(), 1)
		assert.Equal(t, components.ID(tag), got.Runs()[0].From.Part)
		assert.Equal(t, want, got.Notes[0].Text)
		assert.Equal(t, components.Revision{Letter: "A" + want, Date: want, What: want, By: want}, got.Revisions[0])
		assert.Equal(t, "so: "+want, got.Accepted[0].Reason)
		assert.Equal(t, components.Reading{Item: "D02 " + want, Value: "13.2", Unit: want, Date: want, By: want, Note: want}, got.Readings[0])
		assert.Equal(t, string(data), string(Write(got)))
	})
}

// documentOf makes a rig that has the text wherever a text may stand, and a part
// of the tag; nil where the model refuses the tag.
func documentOf(t *testing.T, text string, tag components.ID) *components.Document {
	t.Helper()
	doc := components.NewDocument(text)
	doc.Rig.About = text
	doc.Comments = map[string]components.Comment{
		"title": {Above: text, Beside: text}, "parts": {Above: text, Beside: text}, "notes": {Beside: text}, "runs": {Above: text},
		string(tag): {Above: text, Beside: text}, "W1": {Above: text}, endOfFile: {Above: text},
	}
	row := components.Spec{"leg": components.Str("L1"), "breaker_a": components.Num(20)}
	if text != "" {
		row = row.With("label", components.Str(text))
	}
	doc, err := doc.Apply(
		components.AddPart{Part: components.Part{ID: tag, Kind: &components.Panel, Name: text, Note: text,
			Spec: components.Spec{"bus_a": components.Num(50), "circuits": components.Table(row)},
			Buy:  components.Purchase{Description: text, Supplier: text, PartNo: text}}},
		components.AddPart{Part: components.Part{ID: "INL1", Kind: &components.Inlet, Spec: components.Spec{"rating_a": components.Num(50)}}},
		components.AddRun{Run: components.Run{ID: "W1", From: components.PortRef{Part: tag, Port: "main"}, To: components.PortRef{Part: "INL1", Port: "rig"}, Note: text}},
		components.SetRevisions{Revisions: []components.Revision{{Letter: "A" + text, Date: text, What: text, By: text}}},
		components.SetNotes{Notes: []components.Note{{Form: "note", Text: text}}},
		components.Accept{Acceptance: components.Acceptance{Rule: "a.b", On: []string{string(tag)}, Reason: "so: " + text}},
		components.Record{Reading: components.Reading{Item: "D02 " + text, Value: "13.2", Unit: text, Date: text, By: text, Note: text}},
	)
	if err != nil {
		return nil
	}
	return doc
}
