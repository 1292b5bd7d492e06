// Command framerate opens the window on rigs of growing size, drives it as a hand
// would, and prints how many pictures it draws in a second and how long the person
// waits. It needs a screen; one without a graphics card is
//
//	LIBGL_ALWAYS_SOFTWARE=1 xvfb-run -s "-screen 0 1280x800x24" go run ./cmd/framerate
package main

import (
	"flag"
	"fmt"
	"os"
	"runtime/pprof"
	"slices"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"

	"rigline/canvas"
	"rigline/rules"
	"rigline/rules/checks"
)

func main() {
	rules.Roomy()
	begun := time.Now()
	seconds := flag.Float64("seconds", 2, "how long each motion is measured")
	parts := flag.Int("parts", 0, "measure a rig of this size alone")
	edits := flag.Int("edits", 0, "time so many edits of each sort and nothing else")
	hand := flag.Int("hand", 0, "count for so many seconds what a hand at the window brings, and nothing else")
	profile := flag.String("profile", "", "write where the processor's time goes into this file")
	flag.Parse()
	app.SetMetadata(canvas.Metadata("rigline-framerate"))
	a := app.NewWithID("rigline-framerate")
	e := canvas.New(a, fyne.Do, checks.All)
	e.AwaitFindings()
	w := e.Window()
	w.Resize(fyne.NewSize(1280, 800))
	f := &frames{meter: e.Meter(), shown: make(chan picture, 1024), length: time.Duration(*seconds * float64(time.Second)), sizes: []int{60, 300, 1000, 5000}}
	f.meter.OnPaint(f.painted)
	if *parts > 0 {
		f.sizes = []int{*parts}
	}
	defer pprof.StopCPUProfile()
	fyne.NewAnimation(time.Hour, func(float32) { f.tick() }).Start()
	go func() {
		<-f.shown
		fmt.Printf("usable window after %d ms\n\n", time.Since(begun).Milliseconds())
		switch {
		case *edits > 0:
			f.edits(*edits, *profile)
		case *hand > 0:
			f.hand(*hand)
		default:
			measured(*profile)
			f.all()
		}
		fyne.Do(a.Quit)
	}()
	w.ShowAndRun()
}

// measured writes where the processor's time goes from now on, where a file is named.
func measured(profile string) {
	if profile == "" {
		return
	}
	out, err := os.Create(profile)
	if err == nil {
		err = pprof.StartCPUProfile(out)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	}
}

// frames counts the pictures of one window.
type frames struct {
	meter  canvas.Meter
	shown  chan picture
	length time.Duration
	sizes  []int
	step   func()    // moves the pointer, nil for nothing
	moved  time.Time // when it did last
	last   picture   // painted, and not on the screen yet
	due    bool
}

// picture is one that the screen has.
type picture struct {
	at      time.Time
	moved   time.Time     // when the pointer did, before it
	took    time.Duration // to draw the sheet in it
	checked bool          // the findings in it are of the document in it
}

// painted is called while a picture is drawn. The screen has it when the window's
// goroutine comes to anything else: to what is posted, or to the next tick, whichever
// is first.
func (f *frames) painted(took time.Duration) {
	f.last, f.due = picture{moved: f.moved, took: took, checked: f.meter.Checked()}, true
	fyne.Do(f.swapped)
}

// tick comes sixty times a second, after the pointer's own events have been taken and
// before the picture of them is drawn.
func (f *frames) tick() {
	f.swapped()
	if f.step != nil {
		f.moved = time.Now()
		f.step()
	}
}

func (f *frames) swapped() {
	if !f.due {
		return
	}
	f.due, f.last.at = false, time.Now()
	select {
	case f.shown <- f.last:
	default:
	}
}

func (f *frames) all() {
	fmt.Println("Frames/s; milliseconds from the pointer's event being taken, which it is sixty times a second, to the screen (median, 95 %); of these, drawing the sheet itself (median).")
	fmt.Printf("%8s %8s  %-26s %-26s %-26s %s\n", "parts", "view", "pan", "zoom", "drag a part", "edit to screen, with its findings")
	for _, n := range f.sizes {
		doc, err := rig(n)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
		for _, zoom := range []float64{1, 0} {
			view := "100 %"
			if zoom == 0 {
				view = "whole"
			}
			f.do(func() { f.meter.Load(doc, zoom) })
			f.settle(2 * time.Minute)
			pan := f.motion(f.meter.Pan)
			f.do(func() { f.meter.Load(doc, zoom) })
			f.settle(2 * time.Minute)
			wheel := f.motion(f.meter.Zoom)
			f.do(func() { f.meter.Load(doc, zoom) })
			f.settle(2 * time.Minute)
			f.do(func() { f.meter.Press() })
			drag := f.motion(f.meter.Drag)
			_, picture, findings := f.edit(f.meter.Release)
			fmt.Printf("%8d %8s  %-26s %-26s %-26s %d ms, %d ms\n", len(doc.Parts()), view, pan, wheel, drag, picture.Milliseconds(), findings.Milliseconds())
		}
	}
}

// hand counts the pictures of each second while somebody moves the pointer.
func (f *frames) hand(seconds int) {
	doc, err := rig(f.sizes[0])
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	}
	f.do(func() { f.meter.Load(doc, 1) })
	f.settle(2 * time.Minute)
	fmt.Println("now")
	for range seconds {
		n := 0
		for end := time.After(time.Second); end != nil; {
			select {
			case <-f.shown:
				n++
			case <-end:
				end = nil
			}
		}
		fmt.Println(n)
	}
}

// do runs something on the window's goroutine and waits for it.
func (f *frames) do(g func()) { fyne.DoAndWait(g) }

func (f *frames) ask(g func() bool) (yes bool) {
	f.do(func() { yes = g() })
	return yes
}

// settle waits until the document is drawn whole, and a little for the rules; on a
// very large rig they go on behind the motion.
func (f *frames) settle(most time.Duration) {
	for end := time.Now().Add(most); time.Now().Before(end) && !f.ask(f.meter.Drawn); time.Sleep(20 * time.Millisecond) {
	}
	for end := time.Now().Add(3 * time.Second); time.Now().Before(end) && !f.ask(f.meter.Settled); time.Sleep(20 * time.Millisecond) {
	}
	time.Sleep(300 * time.Millisecond)
	f.drain()
}

func (f *frames) drain() {
	for {
		select {
		case <-f.shown:
		default:
			return
		}
	}
}

// motion steps before each picture, where the window takes the pointer's own events,
// and tells how many pictures there were in a second.
func (f *frames) motion(step func(int)) string {
	var waits, ours []time.Duration
	f.do(func() {
		f.due = false
		i := 0
		f.step = func() { step(i); i++ }
	})
	begun := time.Now()
	for time.Since(begun) < f.length {
		select {
		case p := <-f.shown:
			waits, ours = append(waits, p.at.Sub(p.moved)), append(ours, p.took)
		case <-time.After(f.length):
		}
	}
	took := time.Since(begun).Seconds()
	f.do(func() { f.step = nil })
	f.drain()
	return fmt.Sprintf("%5.1f/s %5.1f %5.1f %5.1f", float64(len(waits))/took, at(waits, 0.5), at(waits, 0.95), at(ours, 0.5))
}

// at is a quantile in milliseconds.
func at(all []time.Duration, q float64) float64 {
	if len(all) == 0 {
		return 0
	}
	slices.Sort(all)
	return float64(all[int(q*float64(len(all)-1))].Microseconds()) / 1000
}

// edit does something to the document: how long the window's goroutine is at it, how
// long until the screen shows it, and until it shows the findings of the new document.
func (f *frames) edit(edit func()) (work, first, findings time.Duration) {
	f.drain()
	at := time.Now()
	f.do(func() {
		begun := time.Now()
		edit()
		work = time.Since(begun)
		f.due = false // a picture from before
	})
	for late := time.After(20 * time.Second); ; {
		select {
		case p := <-f.shown:
			if first == 0 {
				first = p.at.Sub(at)
			}
			if p.checked {
				return work, first, p.at.Sub(at)
			}
		case <-late:
			return work, first, time.Since(at)
		}
	}
}
