package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/projects"
)

// screen is an X server of the test's own with the program on it.
type screen struct {
	t       *testing.T
	display string
	window  string
	dir     string    // the program's folder
	app     *exec.Cmd // the program
	bin     string
	home    string
}

// needs skips a test where a tool is missing, and fails it where CI is set: there
// every tool has to be.
func needs(t *testing.T, tools ...string) {
	t.Helper()
	for _, tool := range tools {
		if _, err := exec.LookPath(tool); err == nil {
			continue
		}
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is not installed", tool)
		}
		t.Skipf("SKIPPED: %s is not installed, so the window is not tried on a screen", tool)
	}
}

// open starts the program on a file, or with none in an empty folder. It needs Xvfb and xdotool.
func open(t *testing.T, file string) *screen {
	t.Helper()
	needs(t, "Xvfb", "xdotool")
	bin := filepath.Join(t.TempDir(), "rigline")
	out, err := exec.Command("go", "build", "-o", bin, ".").CombinedOutput()
	require.NoError(t, err, string(out))
	read, write, err := os.Pipe()
	require.NoError(t, err)
	// Without -noreset the server starts over when its last window is killed, and
	// the next one may come while it does.
	x := exec.Command("Xvfb", "-noreset", "-displayfd", "3", "-screen", "0", "1280x800x24")
	x.ExtraFiles = []*os.File{write}
	require.NoError(t, x.Start())
	t.Cleanup(func() { x.Process.Kill(); x.Wait() })
	write.Close()
	number := make([]byte, 16)
	n, err := read.Read(number)
	require.NoError(t, err)
	s := &screen{t: t, display: ":" + strings.TrimSpace(string(number[:n]))}

	home := t.TempDir()
	prefs := filepath.Join(home, ".config", "fyne", "rigline")
	require.NoError(t, os.MkdirAll(prefs, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(prefs, "preferences.json"), []byte(`{"cautions-seen":true}`), 0o644))
	var args []string
	dir := home
	if file != "" {
		args, dir = []string{file}, filepath.Dir(file)
	}
	s.dir, s.bin, s.home = dir, bin, home
	s.start(args...)
	return s
}

// start starts the program and waits for its window.
func (s *screen) start(args ...string) {
	t := s.t
	t.Helper()
	app := exec.Command(s.bin, args...)
	app.Dir = s.dir
	var said bytes.Buffer
	app.Stderr = &said
	app.Env = append(os.Environ(), "DISPLAY="+s.display, "LIBGL_ALWAYS_SOFTWARE=1", "LANG=en_US.UTF-8", "HOME="+s.home, "XDG_CONFIG_HOME=", "XDG_CACHE_HOME=")
	s.app = app
	require.NoError(t, app.Start())
	t.Cleanup(func() {
		app.Process.Kill()
		app.Wait()
		assert.NotContains(t, said.String(), "panic")
	})
	for range 100 {
		if ids := strings.Fields(s.try("search", "--name", "rigline")); len(ids) > 0 {
			s.window = ids[len(ids)-1]
			s.fill()
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatalf("no window came up: %s", said.String())
}

// fill gives the window the whole screen. The program sets its own size once, in
// its own time, so the order is repeated until it holds.
func (s *screen) fill() {
	s.t.Helper()
	held := 0
	for range 60 {
		if strings.Contains(s.try("getwindowgeometry", s.window), "1280x800") {
			held++
			if held == 6 {
				return
			}
		} else {
			held = 0
			s.do("windowmove", s.window, "0", "0", "windowsize", s.window, "1280", "800")
		}
		time.Sleep(500 * time.Millisecond)
	}
	s.t.Fatal("the window does not take the size of its screen")
}

func (s *screen) try(args ...string) string {
	cmd := exec.Command("xdotool", args...)
	cmd.Env = append(os.Environ(), "DISPLAY="+s.display)
	out, _ := cmd.Output()
	return string(out)
}

func (s *screen) do(args ...string) {
	s.t.Helper()
	cmd := exec.Command("xdotool", args...)
	cmd.Env = append(os.Environ(), "DISPLAY="+s.display)
	out, err := cmd.CombinedOutput()
	require.NoError(s.t, err, string(out))
	time.Sleep(250 * time.Millisecond)
}

// Real keys reach the rig wherever the focus is: a title is typed and saved from
// inside its field, taken back from the sheet, and saved again.
func TestSaveAndUndoFromAField(t *testing.T) {
	sample, ok := projects.FindSample("van-12v")
	require.True(t, ok)
	file := filepath.Join(t.TempDir(), "van.yaml")
	require.NoError(t, os.WriteFile(file, sample.Data, 0o644))
	s := open(t, file)
	title := func() string {
		doc, _, err := projects.Load(file)
		require.NoError(t, err)
		return doc.Title
	}
	require.Equal(t, "Van, 12 V", title())

	s.until("saved with the focus in a field", func() bool { return title() == "Grey van" }, func() {
		s.do("mousemove", "1200", "146", "click", "1") // the title, first of the details
		s.do("key", "ctrl+a")
		s.do("type", "--delay", "60", "Grey van")
		s.do("key", "ctrl+s")
	})
	s.until("taken back with the focus in a field", func() bool { return title() == "Van, 12 V" }, func() {
		s.do("key", "ctrl+z")
		s.do("key", "ctrl+s")
	})
	s.do("mousemove", "600", "250", "click", "1") // the sheet
	s.until("done again and saved from the sheet", func() bool { return title() == "Grey van" }, func() {
		s.do("key", "ctrl+y")
		s.do("key", "ctrl+s")
	})
}

// until acts until something is done: on a busy machine the first keys may come
// before the window takes any.
func (s *screen) until(what string, done func() bool, act func()) {
	s.t.Helper()
	for range 12 {
		act()
		for range 30 {
			if done() {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	}
	s.t.Fatalf("never %s (window %s)", what, s.window)
}
