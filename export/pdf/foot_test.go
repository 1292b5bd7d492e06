package pdf

import (
	"bytes"
	"context"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/export/cards"
	"rigline/export/folio"
	"rigline/export/lists"
	"rigline/export/report"
	"rigline/export/solved"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// The foot of every page is seen, in black, whatever colours that page and the last one
// were filled with; what keeps the rig from being used stands in it in red.
func TestEveryFootIsSeen(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(`format: rigline/1
title: Lamp
parts:
  - {id: BAT1, kind: battery, name: मुख्य, at: [100, 200], spec: {chemistry: lfp, nominal_v: 12.8, capacity_ah: 100}}
  - {id: DL1, kind: dc-load, name: शक्ति, at: [500, 100], spec: {a: 10}}
runs:
  - {id: W1, from: BAT1.pos, to: DL1.in, cores: ["+"], size: 12 AWG, cable: primary-105, length_ft: 10}
`))
	require.NoError(t, err)
	r, err := rules.Check(context.Background(), doc, checks.All)
	require.NoError(t, err)
	about := lists.About{Title: doc.Title, Revision: "A", Date: "2026-11-25", Rules: doc.Basis, Cautions: []string{"Mains voltage kills."}, Open: "2 dangers: do not energize"}
	b := New(about)
	b.Folio(folio.Of(folio.Input{Doc: doc, Report: r, Findings: report.Of(r, "rig.yaml", nil), Rig: solved.Of(doc), Cards: cards.Of(doc), About: about}), false)
	var out bytes.Buffer
	require.NoError(t, b.Write(&out))
	dir := t.TempDir()
	file := filepath.Join(dir, "book.pdf")
	require.NoError(t, os.WriteFile(file, out.Bytes(), 0o600))
	said, err := exec.Command(tool(t, "pdftoppm"), "-r", "100", "-y", "800", "-H", "30", "-png", file, filepath.Join(dir, "page")).CombinedOutput()
	require.NoError(t, err, string(said))
	pages, err := filepath.Glob(filepath.Join(dir, "page-*.png"))
	require.NoError(t, err)
	require.Len(t, pages, b.pdf.PageCount())
	seen := 0
	for i, page := range pages {
		wide, _, _ := b.pdf.PageSize(i + 1)
		if !b.words[i+1] || wide > 280 { // letter paper: the foot is 8 to 10 mm above its edge
			continue
		}
		seen++
		f, err := os.Open(page)
		require.NoError(t, err)
		img, err := png.Decode(f)
		require.NoError(t, f.Close())
		require.NoError(t, err)
		size := img.Bounds()
		foot := func(from, to int) (black, red int) {
			for y := size.Min.Y; y < size.Max.Y; y++ {
				for x := from; x < to; x++ {
					cr, cg, cb, _ := img.At(x, y).RGBA()
					if cr>>8 < 110 && cg>>8 < 110 && cb>>8 < 110 {
						black++
					} else if cr>>8 > cg>>8+60 && cr>>8 > cb>>8+60 {
						red++
					}
				}
			}
			return black, red
		}
		black, _ := foot(0, size.Max.X/3)
		assert.Greater(t, black, 20, "page %d: title and rule set", i+1)
		black, red := foot(size.Max.X*2/3, size.Max.X)
		assert.Positive(t, black, "page %d: its number", i+1)
		assert.Greater(t, red, 20, "page %d: what is open", i+1)
	}
	assert.GreaterOrEqual(t, seen, 10)
}
