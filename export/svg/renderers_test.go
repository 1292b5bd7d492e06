package svg

import (
	"fmt"
	"image"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/hostile"
	"rigline/export/scene"
	"rigline/projects"
)

// program finds one of several; where CI is set a missing one fails the test.
func program(t *testing.T, names ...string) string {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is not installed", names[0])
	}
	t.Skipf("NOT RUN: %s is not installed", names[0])
	return ""
}

func save(t *testing.T, dir, name string, doc *components.Document, o scene.Options) string {
	t.Helper()
	path := filepath.Join(dir, name+".svg")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, Write(f, scene.Draw(doc, o)))
	require.NoError(t, f.Close())
	return path
}

// Every drawing is valid against the part of SVG 1.1 that drawings are written in,
// whatever words stand in it (xmllint of libxml2).
func TestValidAgainstTheDTD(t *testing.T) {
	lint := program(t, "xmllint")
	dir := t.TempDir()
	files := []string{save(t, dir, "hostile", hostile.Document(), scene.Options{Frame: true}), save(t, dir, "nasty", nasty(t), scene.Options{Frame: true})}
	for _, s := range projects.Samples() {
		files = append(files, save(t, dir, s.Name, s.Document(), scene.Options{Frame: true}), save(t, dir, s.Name+"-bare", s.Document(), scene.Options{}))
	}
	out, err := exec.Command(lint, append([]string{"--noout", "--dtdvalid", "testdata/svg11-subset.dtd"}, files...)...).CombinedOutput()
	assert.NoError(t, err, "%.2000s", out)
}

// Two renderers that share no code paint the same picture: no tile of 24 pixels
// differs by more than a thin line's worth of grey, and the whole hardly at all
// (rsvg-convert of librsvg against Chromium).
func TestTwoRenderersAgree(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes its time")
	}
	rsvg, browser := program(t, "rsvg-convert"), program(t, "chromium", "chromium-browser", "google-chrome")
	const tile, most, mean = 24, 0.08, 0.005
	for _, s := range projects.Samples()[:3] {
		dir := t.TempDir()
		file := save(t, dir, s.Name, s.Document(), scene.Options{Frame: true})
		one, two := filepath.Join(dir, "one.png"), filepath.Join(dir, "two.png")
		require.NoError(t, exec.Command(rsvg, "--dpi-x", "96", "--dpi-y", "96", "-b", "white", "-o", one, file).Run())
		a := grey(t, one)
		size := fmt.Sprintf("--window-size=%d,%d", a.w, a.h)
		out, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=1", "--default-background-color=FFFFFFFF",
			"--user-data-dir="+filepath.Join(dir, "profile"), size, "--screenshot="+two, "file://"+file).CombinedOutput()
		require.NoError(t, err, "%.2000s", out)
		b := grey(t, two)
		require.InDelta(t, a.w, b.w, 1, s.Name)
		require.InDelta(t, a.h, b.h, 1, s.Name)
		worst, sum, n := 0.0, 0.0, 0
		for y := 0; y+tile <= min(a.h, b.h); y += tile {
			for x := 0; x+tile <= min(a.w, b.w); x += tile {
				d := math.Abs(a.mean(x, y, tile) - b.mean(x, y, tile))
				worst, sum, n = math.Max(worst, d), sum+d, n+1
			}
		}
		t.Logf("%s: %d × %d, worst tile %.3f, mean %.4f", s.Name, a.w, a.h, worst, sum/float64(n))
		assert.Less(t, worst, most, s.Name)
		assert.Less(t, sum/float64(n), mean, s.Name)
		assert.Less(t, a.mean(0, 0, min(a.w, a.h)), 0.999, "something is drawn")
	}
}

// picture is an image in grey, 0 black to 1 white.
type picture struct {
	w, h int
	dots []float64
}

func grey(t *testing.T, path string) picture {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	img, _, err := image.Decode(f)
	require.NoError(t, err)
	b := img.Bounds()
	p := picture{b.Dx(), b.Dy(), make([]float64, b.Dx()*b.Dy())}
	for y := range p.h {
		for x := range p.w {
			r, g, bl, _ := img.At(b.Min.X+x, b.Min.Y+y).RGBA()
			p.dots[y*p.w+x] = (0.299*float64(r) + 0.587*float64(g) + 0.114*float64(bl)) / 65535
		}
	}
	return p
}

func (p picture) mean(x, y, side int) float64 {
	sum := 0.0
	for j := y; j < y+side; j++ {
		for i := x; i < x+side; i++ {
			sum += p.dots[j*p.w+i]
		}
	}
	return sum / float64(side*side)
}
