// Command rigline opens the editor: rigline [FILE]. With the name of a command it
// does what rigcheck does.
package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"

	"rigline/canvas"
	"rigline/cmd/internal/command"
	"rigline/rules"
	"rigline/rules/checks"
)

// sparesFullDisk keeps the screen's driver from mapping a cache onto a disk that has
// no room for it: touching such a page ends the program. The driver reads the
// variable when it is loaded.
func sparesFullDisk() {
	const room = 4 << 20
	dir, err := os.UserCacheDir()
	if err != nil {
		return
	}
	f, err := os.CreateTemp(dir, ".rigline-room-")
	if err == nil {
		_, err = f.Write(make([]byte, room))
		f.Close()
		os.Remove(f.Name())
	}
	if err != nil {
		os.Setenv("MESA_SHADER_CACHE_DISABLE", "true")
	}
}

// backupDirs are where copies of unsaved work go: the cache of the person, and where
// that is full, the folder for passing things, on many machines another disk.
func backupDirs() []string {
	var dirs []string
	if dir, err := os.UserCacheDir(); err == nil {
		dirs = append(dirs, filepath.Join(dir, "rigline", "unsaved"))
	}
	return append(dirs, filepath.Join(os.TempDir(), fmt.Sprintf("rigline-unsaved-%d", os.Getuid())))
}

func main() {
	rules.Roomy()
	args := os.Args[1:]
	if len(args) > 1 || len(args) == 1 && (command.Known(args[0]) || strings.HasPrefix(args[0], "-")) {
		os.Exit(command.Main(args, os.Stdin, os.Stdout, os.Stderr))
	}
	file := ""
	if len(args) == 1 {
		file = args[0]
	}
	sparesFullDisk()
	app.SetMetadata(canvas.Metadata("rigline"))
	a := app.NewWithID("rigline")
	e := canvas.New(a, fyne.Do, checks.All)
	e.AwaitFindings()
	e.HandOff = handOff
	e.Closing = endSoon
	go func() {
		asked := make(chan os.Signal, 1)
		signal.Notify(asked, syscall.SIGTERM, os.Interrupt)
		<-asked
		endSoon()
	}()
	e.Start(file)
	e.KeepBackups(backupDirs()...)
	e.Window().ShowAndRun()
}

// endSoon ends the program where it does not end by itself in a while: the toolkit waits
// for the last event of a window that is gone, and now and then none comes.
func endSoon() { time.AfterFunc(5*time.Second, func() { os.Exit(0) }) }

// handOff writes what the export command writes.
func handOff(file, folder string) (string, error) {
	var told, wrong bytes.Buffer
	if command.Main([]string{"export", file, "--out", folder}, nil, &told, &wrong) != command.Content {
		return "", errors.New(strings.TrimSpace(wrong.String()))
	}
	return told.String(), nil
}
