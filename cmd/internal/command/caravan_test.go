package command_test

import (
	"bytes"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"rigline/cmd/internal/command"
)

// exported writes the hand-off of a sample and gives its folder.
func exported(t *testing.T, sample string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "out")
	var out, errs bytes.Buffer
	code := command.Main([]string{"export", filepath.Join("../../../projects/samples", sample+".yaml"), "--out", dir}, nil, &out, &errs)
	require.Equal(t, command.Content, code, errs.String())
	return dir
}

var (
	markup   = regexp.MustCompile(`(?s)<style.*?</style>|<[^>]*>`)
	jsonKeys = regexp.MustCompile(`"[a-z_]+":`)
	edits    = regexp.MustCompile(`(?s)"(edits|states)": \[.*?\n *\]`)
)

// readable is what a person reads in a file of a hand-off; false where nobody does.
func readable(t *testing.T, file string) (string, bool) {
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	switch filepath.Ext(file) {
	case ".csv", ".txt":
		return string(data), true
	case ".json":
		return jsonKeys.ReplaceAllString(edits.ReplaceAllString(string(data), ""), ""), true
	case ".svg", ".html":
		return html.UnescapeString(markup.ReplaceAllString(string(data), "\n")), true
	case ".xlsx":
		book, err := excelize.OpenReader(bytes.NewReader(data))
		require.NoError(t, err)
		var b strings.Builder
		for _, sheet := range book.GetSheetList() {
			rows, err := book.GetRows(sheet)
			require.NoError(t, err)
			for _, r := range rows {
				b.WriteString(strings.Join(r, "\n") + "\n")
			}
		}
		return b.String(), true
	case ".pdf":
		path, err := exec.LookPath("pdftotext")
		if err != nil {
			if os.Getenv("CI") != "" {
				t.Fatal("pdftotext is not installed")
			}
			t.Logf("SKIPPED: pdftotext is not installed, so %s is not read", filepath.Base(file))
			return "", false
		}
		text, err := exec.Command(path, file, "-").Output()
		require.NoError(t, err)
		return string(text), true
	}
	return "", false
}

// american are words of a North American vehicle that are wrong in a caravan on 230 V.
var american = regexp.MustCompile(`(?i)\b(hots?|ground(s|ed|ing)?|(main|panel|branch|site's|its|own|each|every|the|a|A) breakers?|AWG|kcmil|NEC|NFPA|UL|pedestals?|GFCIs?|receptacles?|legs?|split[- ]phase|60 Hz|120 V|240 V|120/240|jumpers?|cords?|RV|park|sub-?panels?|panels?|interrupting|shore|310\.16|110\.14|210\.20|80 % of|in-lb|ft-lb|inch(es)?|feet|foot|[0-9.]+ (ft|in|lb|°F))\b|\bN-G\b|\bL N G\b|black, white|white, green`)

// Where such a word may stand nevertheless, and why.
var allowed = []struct {
	says *regexp.Regexp
	why  string
}{
	{regexp.MustCompile(`(?i)[0-9./]+ ?AWG,? the size\s+next\s+below|taken\s+as\s+[0-9/]+ +AWG|\b[0-9/]+\s+AWG\s*=\s*[0-9]+`), "a published table is quoted in the sizes that it lists"},
	{regexp.MustCompile(`(?i)above\s+ground|wet\s+ground|on\s+the\s+ground\s+touching`), "the soil, not a conductor"},
	{regexp.MustCompile(`(?i)hot\s+(plug|spot)`), "warm, not live"},
	{regexp.MustCompile(`\b[a-z-]+\.[a-z0-9][a-z0-9-]+\b`), "the name of a rule"},
}

// In the whole hand-off of a caravan, sound or with faults in it, no word stands that
// belongs to a North American vehicle. Its project file keeps the words of the format.
func TestCaravanSpeaksItsOwnWords(t *testing.T) {
	for _, sample := range []string{"caravan-230", "broken/caravan-230"} {
		files, err := filepath.Glob(filepath.Join(exported(t, sample), "*"))
		require.NoError(t, err)
		read := 0
		for _, f := range files {
			text, ok := readable(t, f)
			if !ok {
				continue
			}
			read++
			for _, a := range allowed {
				text = a.says.ReplaceAllString(text, "…")
			}
			for _, at := range american.FindAllStringIndex(text, 8) {
				assert.Fail(t, filepath.Base(f), "%s: %q in %q", sample, text[at[0]:at[1]], text[max(0, at[0]-60):min(len(text), at[1]+40)])
			}
		}
		assert.Greater(t, read, 15)
	}
}
