package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/components/units"
	"rigline/projects"
)

// desk is a screen with the sheet at 100 %: a place on it is a pixel away from
// where it is in the file, by a shift that a placed part tells.
type desk struct {
	*screen
	file string
	by   components.Point
}

// doc saves the rig and reads its file.
func (d *desk) doc() *components.Document {
	d.t.Helper()
	d.do("key", "ctrl+s")
	time.Sleep(300 * time.Millisecond)
	doc, _, err := projects.Load(d.file)
	require.NoError(d.t, err)
	return doc
}

// place takes a kind out of the shelf by its name and puts it down at a pixel.
func (d *desk) place(name string, x, y int) {
	d.do("mousemove", "100", "111", "click", "1") // the search box
	d.do("key", "ctrl+a")
	d.do("type", "--delay", "30", name)
	d.do("key", "Return")
	d.at(x, y, "click", "1")
}

func (d *desk) at(x, y int, then ...string) {
	d.do(append([]string{"mousemove", fmt.Sprint(x), fmt.Sprint(y)}, then...)...)
}

// drag presses at a pixel and lets go at another.
func (d *desk) drag(x0, y0, x1, y1 int) {
	d.at(x0, y0)
	d.do("mousedown", "1")
	d.at((x0+x1)/2, (y0+y1)/2)
	d.at(x1, y1)
	d.do("mouseup", "1")
}

// measure tells the shift of the sheet on the screen from where parts were put and
// where they came to lie, each to the nearest crossing of the grid.
func (d *desk) measure(doc *components.Document, put map[components.ID]components.Point) {
	d.t.Helper()
	var x, y int
	for id, at := range put {
		p := mustPart(d.t, doc, id)
		x, y = x+at.X-p.At.X, y+at.Y-p.At.Y
	}
	d.by = components.Point{X: x / len(put), Y: y / len(put)}
	d.t.Logf("the sheet is shifted by %v", d.by)
}

// shot keeps a picture of the screen where a test failed.
func (d *desk) shot() {
	if dir := os.Getenv("RIGLINE_SHOTS"); d.t.Failed() && dir != "" {
		cmd := exec.Command("import", "-window", "root", filepath.Join(dir, d.t.Name()+".png"))
		cmd.Env = append(os.Environ(), "DISPLAY="+d.display)
		_ = cmd.Run()
	}
}

// pixel is where a port is on the screen.
func (d *desk) pixel(doc *components.Document, ref string) (x, y int) {
	d.t.Helper()
	at, err := components.ParsePortRef(ref)
	require.NoError(d.t, err)
	part, port, ok := doc.Port(at)
	require.True(d.t, ok, ref)
	p := part.At.Add(port.At).Add(d.by)
	return p.X, p.Y
}

func (d *desk) connect(doc *components.Document, from, to string) {
	x0, y0 := d.pixel(doc, from)
	x1, y1 := d.pixel(doc, to)
	d.drag(x0, y0, x1, y1)
}

// alarmed tells whether the line under the sheet is loud.
func (d *desk) alarmed() bool {
	d.t.Helper()
	cmd := exec.Command("import", "-window", "root", "-crop", "1x1+900+787", "-depth", "8", "txt:-")
	cmd.Env = append(os.Environ(), "DISPLAY="+d.display)
	out, err := cmd.Output()
	require.NoError(d.t, err)
	i := strings.LastIndex(string(out), "#") // the first heads the list
	require.GreaterOrEqual(d.t, len(out), i+7, string(out))
	var r, g, b int
	_, err = fmt.Sscanf(string(out)[i+1:i+7], "%02X%02X%02X", &r, &g, &b)
	require.NoError(d.t, err, string(out))
	return r > g+20 && r > b+20
}

func (d *desk) becomes(alarmed bool, when string) {
	d.t.Helper()
	for range 40 {
		if d.alarmed() == alarmed {
			return
		}
		time.Sleep(150 * time.Millisecond)
	}
	d.t.Fatalf("%s: the line under the sheet is loud %v, want %v", when, !alarmed, alarmed)
}

// From an empty window a person draws a shore supply, an inlet, an
// inverter/charger, a panel, a bank and its bars, connects them, tells a size,
// meets the danger of a bank without a fuse, repairs it, saves, and writes the
// hand-off.
func TestFromNothingToAHandOff(t *testing.T) {
	needs(t, "import") // ImageMagick's
	d := &desk{screen: open(t, "")}
	t.Cleanup(d.shot)
	d.file = filepath.Join(d.dir, "rig.yaml")
	d.do("key", "ctrl+1")
	d.until("the first part saved", func() bool { _, err := os.Stat(d.file); return err == nil }, func() {
		d.place("site supply", 300, 250)
		d.do("key", "ctrl+s")
		d.do("key", "Return") // rig.yaml in the program's folder
	})
	d.do("key", "ctrl+1")
	d.place("shore inlet", 420, 250)
	d.place("inverter/charger", 560, 270)
	d.place("panel", 740, 250)
	d.place("battery", 300, 560)
	d.place("bus bar", 560, 480)
	d.place("bus bar", 560, 640)
	doc := d.doc()
	require.Len(t, doc.Parts(), 7)
	d.measure(doc, map[components.ID]components.Point{"INL1": {X: 420, Y: 250}, "INV1": {X: 560, Y: 270}, "PNL1": {X: 740, Y: 250}, "BAT1": {X: 300, Y: 560}, "BUS1": {X: 560, Y: 480}, "BUS2": {X: 560, Y: 640}})
	// The second bar, still selected, is for the negative side.
	d.at(1178, 412, "click", "1")
	for range 2 { // from the default: +, -
		d.do("key", "Down")
	}
	d.do("key", "Return")
	doc = d.doc()
	require.Equal(t, "-", mustPart(t, doc, "BUS2").Spec["pole"].Str())
	for i, run := range [][2]string{{"SH1.out", "INL1.site"}, {"INL1.rig", "INV1.ac-in"}, {"INV1.ac-out", "PNL1.main"}, {"BAT1.neg", "BUS2.bar"}, {"INV1.dc", "BUS1.bar"}, {"INV1.dc", "BUS2.bar"}, {"BAT1.pos", "BUS1.bar"}} {
		d.connect(doc, run[0], run[1])
		d.until(run[0]+" joined to "+run[1], func() bool { doc, _, err := projects.Load(d.file); return err == nil && len(doc.Runs()) == i+1 }, func() {
			time.Sleep(300 * time.Millisecond)
			d.do("key", "space") // the first of the ways, where there are several
			d.do("key", "ctrl+s")
		})
	}
	doc = d.doc()
	require.Len(t, doc.Runs(), 7)
	d.becomes(true, "a bank without a fuse")
	// The last run is selected: its size, and its length.
	sizes := units.AWGSizes()
	n := slices.IndexFunc(sizes, func(s units.Size) bool { return s.String() == "2/0 AWG" })
	d.at(1178, 291, "click", "1")
	for range n + 1 { // from "not told", the first
		d.do("key", "Down")
	}
	d.do("key", "Return")
	d.at(420, 700, "click", "1") // empty paper
	doc = d.doc()
	w7, ok := doc.Run("W7")
	require.True(t, ok)
	assert.Equal(t, "2/0 AWG", w7.Spec["size"].Str())
	// The worst finding first: the bank without a fuse. Its repair fits one.
	for range 12 {
		d.do("key", "F8")
		d.do("key", "F9")
		doc = d.doc()
		if slices.ContainsFunc(doc.Parts(), func(p components.Part) bool { return p.Kind == &components.Fuse }) {
			break
		}
	}
	f1 := mustPart(t, doc, "F1")
	assert.Equal(t, "class-t", f1.Spec["family"].Str())
	var joined []string
	for _, r := range doc.RunsOf("F1") {
		joined = append(joined, r.Other(f1.Ref("line")).String(), r.Other(f1.Ref("load")).String())
	}
	assert.Contains(t, joined, "BAT1.pos")
	assert.Contains(t, joined, "BUS1.bar")
	want, err := os.ReadFile(filepath.Join("testdata", "story.yaml"))
	require.NoError(t, err)
	have, err := os.ReadFile(d.file)
	require.NoError(t, err)
	assert.Equal(t, string(want), string(have))
	// The hand-off, into the rig's own folder.
	out := filepath.Join(d.dir, "rig-hand-off")
	d.until("the hand-off written", func() bool { _, err := os.Stat(filepath.Join(out, "bom.csv")); return err == nil }, func() {
		d.do("key", "ctrl+e")
		time.Sleep(time.Second)
		d.at(1001, 662, "click", "1")
		time.Sleep(2 * time.Second)
	})
	entries, err := os.ReadDir(out)
	require.NoError(t, err)
	assert.Greater(t, len(entries), 3)
	svg, err := os.ReadFile(filepath.Join(out, "rig.svg"))
	require.NoError(t, err)
	assert.Contains(t, string(svg), "INV1")
}

func mustPart(t *testing.T, doc *components.Document, id components.ID) components.Part {
	t.Helper()
	p, ok := doc.Part(id)
	require.True(t, ok, id)
	return p
}

// A sample is opened, the battery's fuse is cut out and the lead joined without
// it: the line under the sheet turns loud, and quiet again when that is taken back.
func TestCuttingTheBatteryFuseOut(t *testing.T) {
	needs(t, "import") // ImageMagick's
	sample, ok := projects.FindSample("van-12v")
	require.True(t, ok)
	file := filepath.Join(t.TempDir(), "van.yaml")
	require.NoError(t, os.WriteFile(file, sample.Data, 0o644))
	whole := sample.Document()
	d := &desk{screen: open(t, file), file: file}
	t.Cleanup(d.shot)
	d.until("a part placed to measure by", func() bool {
		doc := d.doc()
		if _, ok := doc.Part("SHT2"); !ok {
			return false
		}
		d.measure(doc, map[components.ID]components.Point{"SHT2": {X: 500, Y: 700}})
		return true
	}, func() {
		d.do("key", "ctrl+1")
		d.place("shunt", 500, 700)
	})
	d.do("key", "ctrl+z")
	d.becomes(false, "as it was")
	f1 := mustPart(t, whole, "F1")
	d.at(f1.At.X+d.by.X, f1.At.Y+d.by.Y, "click", "1")
	d.do("key", "Delete")
	d.connect(whole, "BAT1.pos", "SW1.line")
	d.until("the fuse gone and the lead joined without it", func() bool {
		doc := d.doc() // written when the window gets to it
		_, there := doc.Part("F1")
		return !there && slices.ContainsFunc(doc.RunsOf("BAT1"), func(r components.Run) bool { return r.From.Part == "SW1" || r.To.Part == "SW1" })
	}, func() {})
	d.becomes(true, "the bank without its fuse")
	d.do("key", "ctrl+z")
	d.do("key", "ctrl+z")
	d.becomes(false, "taken back")
	d.until("the file as it was", func() bool { return string(projects.Write(whole)) == string(projects.Write(d.doc())) }, func() {})
}

// A window that is killed in the middle of unsaved work has left a copy, and the
// next window offers it: taken up, the work is there again, still unsaved.
func TestKilledInTheMiddleOfWork(t *testing.T) {
	sample, ok := projects.FindSample("van-12v")
	require.True(t, ok)
	file := filepath.Join(t.TempDir(), "van.yaml")
	require.NoError(t, os.WriteFile(file, sample.Data, 0o644))
	d := &desk{screen: open(t, file), file: file}
	t.Cleanup(d.shot)
	kept := func() []string {
		all, err := filepath.Glob(filepath.Join(d.home, ".cache", "rigline", "unsaved", "*.unsaved"))
		require.NoError(t, err)
		return all
	}
	d.until("a copy kept", func() bool { return len(kept()) > 0 }, func() {
		d.do("mousemove", "600", "250", "click", "1") // the sheet
		d.do("key", "ctrl+a")
		d.do("key", "Right")
		time.Sleep(2500 * time.Millisecond) // the hand rests
	})
	require.NoError(t, d.app.Process.Kill())
	_ = d.app.Wait()
	have, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(sample.Data), string(have), "the file was not touched")
	copies := kept()
	require.Len(t, copies, 1)
	d.start(file)
	// The dialog stands over the sheet; its last button takes the work up again.
	moved := func() bool {
		doc, _, err := projects.Load(file)
		require.NoError(t, err)
		p, ok := doc.Part("BAT1")
		whole, _ := sample.Document().Part("BAT1")
		return ok && p.At.X > whole.At.X
	}
	d.until("the lost work taken up and saved", moved, func() {
		d.do("key", "Tab")
		d.do("key", "Tab")
		d.do("key", "Tab")
		d.do("key", "space")
		time.Sleep(500 * time.Millisecond)
		d.do("key", "ctrl+s")
		time.Sleep(500 * time.Millisecond)
	})
}
