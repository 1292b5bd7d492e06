package projects

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"rigline/components"
)

// Samples are whole rigs to learn from; beside each in samples/broken is the same
// rig with a fault or two in its wiring. Starts are drawings to begin with.
//
//go:embed samples starts
var embedded embed.FS

// Sample is a project file that comes with the program.
type Sample struct {
	Name  string // of the file, without its ending; "broken/NAME" for a broken twin
	Title string // of the project
	About string // what the file says of itself in the comment that it begins with
	Data  []byte
}

// Samples are the sound rigs, by name.
func Samples() []Sample { return shelf("samples", "") }

// BrokenSamples are the rigs with faults in their wiring, by name. They are
// projects that read well.
func BrokenSamples() []Sample { return shelf("samples/broken", "broken/") }

// Starts are the drawings that a new project may begin with, by name.
func Starts() []Sample { return shelf("starts", "") }

// FindSample finds a sample of any shelf by its name.
func FindSample(name string) (Sample, bool) {
	for _, s := range slices.Concat(Samples(), BrokenSamples(), Starts()) {
		if s.Name == name {
			return s, true
		}
	}
	return Sample{}, false
}

// Blank is a new project: "empty", or one of the other Starts. It is nil where
// there is no such start.
func Blank(kind string) *components.Document {
	for _, s := range Starts() {
		if s.Name == kind {
			return s.Document()
		}
	}
	return nil
}

// Document reads the sample. One that does not read is a mistake in the program.
func (s Sample) Document() *components.Document {
	doc, _, err := Read(s.Name+".yaml", s.Data)
	if err != nil {
		panic(fmt.Sprintf("sample: %v", err))
	}
	return doc
}

func shelf(dir, prefix string) []Sample {
	entries, err := fs.ReadDir(embedded, dir)
	if err != nil {
		return nil // no sample of this sort has been drawn
	}
	var samples []Sample
	for _, e := range entries {
		name, isYAML := strings.CutSuffix(e.Name(), ".yaml")
		if e.IsDir() || !isYAML {
			continue
		}
		data, err := fs.ReadFile(embedded, path.Join(dir, e.Name()))
		if err != nil {
			panic(fmt.Sprintf("sample: %v", err)) // embedded bytes cannot fail to read
		}
		samples = append(samples, Sample{Name: prefix + name, Title: titleOf(data), About: aboutOf(data), Data: data})
	}
	return samples
}

// titleOf reads the title alone, so that listing the samples stays quick.
func titleOf(data []byte) string {
	for line := range strings.SplitSeq(string(data), "\n") {
		if title, ok := strings.CutPrefix(line, "title:"); ok {
			title, _, _ = strings.Cut(title, " #")
			return strings.Trim(strings.TrimSpace(title), `"'`)
		}
	}
	return ""
}

func aboutOf(data []byte) string {
	var about []string
	for line := range strings.SplitSeq(string(data), "\n") {
		text, isComment := strings.CutPrefix(line, "#")
		if !isComment {
			break
		}
		about = append(about, strings.TrimSpace(text))
	}
	return strings.Join(about, " ")
}
