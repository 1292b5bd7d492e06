package html

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/cards"
	"rigline/export/folio"
	"rigline/export/hostile"
	"rigline/export/lists"
	"rigline/export/report"
	"rigline/export/solved"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

func folioOf(t testing.TB, doc *components.Document) *folio.Folio {
	r, err := rules.Check(context.Background(), doc, checks.All)
	require.NoError(t, err)
	return folio.Of(folio.Input{Doc: doc, Report: r, Findings: report.Of(r, "rig.yaml", nil), Rig: solved.Of(doc), Cards: cards.Of(doc),
		About: lists.About{Title: doc.Title, Revision: doc.Rig.Revision, Date: doc.Rig.Date, Rules: doc.Basis, Cautions: []string{"Mains voltage kills."}}})
}

func written(t testing.TB, doc *components.Document) string {
	var b bytes.Buffer
	require.NoError(t, Write(&b, folioOf(t, doc)))
	return b.String()
}

func TestPageHoldsEverything(t *testing.T) {
	doc := projects.Samples()[0].Document()
	page := written(t, doc)
	for _, p := range doc.Parts() {
		assert.Contains(t, page, "<title>"+string(p.ID)+" ")
	}
	for _, r := range doc.Runs() {
		assert.Contains(t, page, `<td data-of="tag">`+string(r.ID)+"</td>")
	}
	for _, st := range doc.Operating() {
		assert.Contains(t, page, "State: "+st.Name)
	}
	assert.Contains(t, page, "Mains voltage kills.")
	assert.Equal(t, page, written(t, doc))
}

var (
	tag     = regexp.MustCompile(`<[a-zA-Z/!][^>]*>`)
	handler = regexp.MustCompile(`(?i)\son[a-z]+\s*=`)
	quoted  = regexp.MustCompile(`"[^"]*"`)
)

// No word of a project becomes an element, an attribute, a style or an address.
func TestWordsStayWords(t *testing.T) {
	page := written(t, hostile.Document())
	known := map[string]bool{}
	for _, e := range strings.Fields("!DOCTYPE a body circle div footer g h1 h2 h3 head header html input label li main meta nav p path polygon polyline rect section span strong style svg table tbody td text th thead title tr ul") {
		known[e] = true
	}
	for _, e := range tag.FindAllString(page, -1) {
		name := strings.TrimPrefix(strings.Fields(strings.Trim(e, "<>"))[0], "/")
		assert.True(t, known[strings.TrimSuffix(name, "/")], e)
		assert.False(t, handler.MatchString(quoted.ReplaceAllString(e, "")), e)
		assert.NotContains(t, strings.ToLower(e), "javascript:")
	}
	assert.NotContains(t, page, "\u202e")
	assert.NotContains(t, page, "ZgotmplZ")
	assert.NotContains(t, strings.ToLower(page), "<script")
}

// Nothing is fetched: no address but those within the page, and the font is in it.
func TestNothingIsFetched(t *testing.T) {
	page := written(t, projects.Samples()[0].Document())
	for _, m := range regexp.MustCompile(`(?:href|src)="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		assert.True(t, strings.HasPrefix(m[1], "#"), m[1])
	}
	for _, m := range regexp.MustCompile(`url\(([^)]{0,30})`).FindAllStringSubmatch(page, -1) {
		assert.True(t, strings.HasPrefix(m[1], "data:font/woff;base64,"), m[1])
	}
	assert.Contains(t, page, "default-src 'none'", "the page forbids fetching")
}

// In a browser, at the width of a phone and of a desk, nothing makes the page
// itself scroll sideways, the drawing is there, the letters are its own, and the browser
// complains of nothing.
func TestInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes its time")
	}
	browser := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil && browser == "" {
			browser = path
		}
	}
	if browser == "" {
		if os.Getenv("CI") != "" {
			t.Fatal("chromium is not installed")
		}
		t.Skip("SKIPPED: chromium is not installed, so the page is not laid out")
	}
	// The probe looks into the pages from outside, so they need no script.
	const probe = `<!DOCTYPE html><p id="out"></p><script>
const want=[["sample.html",390],["sample.html",1280],["hostile.html",390],["hostile.html",1280]];
for(const [src,width] of want){const f=document.createElement("iframe");f.src=src;f.style="border:0;height:800px;width:"+width+"px";document.body.append(f)}
onload=()=>{const got=[...document.querySelectorAll("iframe")].map((f,i)=>{const d=f.contentDocument,e=d.documentElement;
return {name:want[i].join(" "),client:e.clientWidth,scroll:e.scrollWidth,svg:d.querySelectorAll("section svg").length,scripts:d.querySelectorAll("script").length,font:d.fonts.size,narrow:[...d.querySelectorAll(".list")].filter(l=>l.offsetWidth<l.parentElement.clientWidth-1).length,wide:[...d.querySelectorAll(".list")].filter(l=>l.scrollWidth>l.clientWidth).length}});
document.querySelectorAll("iframe").forEach(f=>f.remove());document.getElementById("out").textContent=JSON.stringify(got)}</script>`
	dir := t.TempDir()
	for name, page := range map[string]string{"sample.html": written(t, projects.Samples()[0].Document()), "hostile.html": written(t, hostile.Document()), "probe.html": probe} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(page), 0o644))
	}
	out, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--allow-file-access-from-files", "--user-data-dir="+filepath.Join(dir, "profile"), "--window-size=1400,900", "--virtual-time-budget=3000", "--dump-dom", "file://"+filepath.Join(dir, "probe.html")).Output()
	require.NoError(t, err)
	m := regexp.MustCompile(`<p id="out">(.*?)</p>`).FindStringSubmatch(string(out))
	require.NotNil(t, m, string(out))
	for _, name := range []string{"sample.html", "hostile.html"} {
		var log bytes.Buffer
		cmd := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--enable-logging=stderr", "--v=0", "--user-data-dir="+filepath.Join(dir, "profile"), "--dump-dom", "file://"+filepath.Join(dir, name))
		cmd.Stderr = &log
		require.NoError(t, cmd.Run())
		assert.NotContains(t, log.String(), "CONSOLE", "the browser has something to say about %s", name)
	}
	var all []struct {
		Name                                             string
		Client, Scroll, SVG, Scripts, Font, Narrow, Wide int
	}
	require.NoError(t, json.Unmarshal([]byte(m[1]), &all))
	require.Len(t, all, 4)
	for _, got := range all {
		assert.Positive(t, got.Client, got.Name)
		assert.LessOrEqual(t, got.Scroll, got.Client, got.Name)
		assert.Greater(t, got.SVG, 2, got.Name)
		assert.Zero(t, got.Scripts, got.Name)
		assert.Equal(t, 2, got.Font, got.Name)
		if got.Name == "sample.html 1280" { // the conductors and the fuses, with a column for each state
			assert.LessOrEqual(t, got.Wide, 2, "%s: what to do if a reading is wrong is past the edge", got.Name)
		}
		assert.Zero(t, got.Narrow, "%s: lists beside something that stands in their way", got.Name)
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestFullDisk(t *testing.T) {
	assert.EqualError(t, Write(full{}, &folio.Folio{}), "write page: no space left on device")
}

// Every word that is read from the right stands between marks that keep it apart,
// in the page and in its drawings, so no figure beside it changes sides.
func TestWordsFromTheRightStayApart(t *testing.T) {
	page := written(t, hostile.FromRight())
	assert.Contains(t, page, "\u2067")
	open := false
	for i, r := range page {
		switch {
		case r == '\u2067':
			assert.False(t, open, "isolated twice")
			open = true
		case r == '\u2069':
			open = false
		case r >= 0x0590 && r <= 0x06ff:
			require.True(t, open, "not apart: %q", page[max(0, i-40):i+4])
		case open:
			assert.NotContains(t, "<>·:;=", string(r))
		}
	}
	assert.False(t, open)
}

// From every part of the page there is a way back to its contents, and none on paper.
func TestEveryPartLeadsBackToTheContents(t *testing.T) {
	text := written(t, projects.Samples()[0].Document())
	assert.Positive(t, strings.Count(text, "<section"))
	assert.Equal(t, strings.Count(text, "<section"), strings.Count(text, `<a class="up" href="#contents">`))
	assert.Equal(t, 1, strings.Count(text, `id="contents"`))
}
