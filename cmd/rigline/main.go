// Command rigline opens the editor: rigline [FILE]. It takes every command of
// rigcheck too.
package main

import (
	"os"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"

	"rigline/canvas"
	"rigline/rules/checks"
)

func main() {
	file := ""
	if len(os.Args) > 1 {
		file = os.Args[1]
	}
	a := app.NewWithID("rigline")
	e := canvas.New(a, fyne.Do, checks.All)
	e.Start(file)
	e.Window().ShowAndRun()
}
