package main

import (
	"fmt"
	"os"
	"time"
)

// edits times each sort of edit n times: how long the window's goroutine is at it,
// and how long until the screen shows it, and shows it with its findings.
func (f *frames) edits(n int, profile string) {
	fmt.Println("Milliseconds (median, 95 %): the edit itself; until the screen shows it; until it shows it with its findings.")
	fmt.Printf("%8s  %-20s %-14s %-14s %s\n", "parts", "edit", "itself", "screen", "findings")
	for _, size := range f.sizes {
		doc, err := rig(size)
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
		f.do(func() { f.meter.Load(doc, 0) })
		f.settle(2 * time.Minute)
		measured(profile)
		profile = ""
		for _, sort := range []struct {
			name        string
			ready, edit func(step int)
		}{
			{"a part is moved", func(step int) { f.do(func() { f.meter.Press() }); f.do(func() { f.meter.Drag(step) }) }, func(int) { f.meter.Release() }},
			{"a length is told", func(int) { f.do(f.meter.PickRun) }, f.meter.Lengthen},
			{"taken back", nil, func(int) { f.meter.Undo() }},
		} {
			var works, screens, findings []time.Duration
			for i := range n {
				if sort.ready != nil {
					sort.ready(i)
				}
				f.settle(10 * time.Second)
				work, screen, found := f.edit(func() { sort.edit(i) })
				works, screens, findings = append(works, work), append(screens, screen), append(findings, found)
			}
			fmt.Printf("%8d  %-20s %5.1f %5.1f    %5.1f %5.1f    %5.1f %5.1f\n", len(doc.Parts()), sort.name,
				at(works, 0.5), at(works, 0.95), at(screens, 0.5), at(screens, 0.95), at(findings, 0.5), at(findings, 0.95))
		}
	}
}
