package projects

import (
	"cmp"
	"fmt"
	"io"
	"os"
	"slices"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// Load reads the project file at a path.
func Load(path string) (*components.Document, *Index, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, nil, fmt.Errorf("read project: %w", err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, MaxBytes+1))
	if err != nil {
		return nil, nil, fmt.Errorf("read project: %w", err)
	}
	return Read(path, data)
}

// Read turns the bytes of a project file into a document and an index of where
// everything stands. The name is what faults call the file. Where the file has
// faults the error is Problems, all of them in the order of the file, and there
// is no document.
func Read(name string, data []byte) (*components.Document, *Index, error) {
	r := &reader{
		file:  name,
		index: &Index{at: map[string]Position{}},
		doc:   components.NewDocument(""),
		lines: map[components.ID]int{},
		sound: map[components.ID]bool{},
	}
	if root, ok := r.parse(data); ok && r.refuse(root, 0) {
		r.project(root.Content[0])
		r.doc.Comments = r.comments(root)
	}
	if len(r.problems) > 0 {
		return nil, nil, r.sorted()
	}
	return r.doc, r.index, nil
}

// reader is one reading of one file.
type reader struct {
	file     string
	problems Problems
	index    *Index
	doc      *components.Document
	lines    map[components.ID]int  // where a tag was first told
	sound    map[components.ID]bool // parts that were read without a fault
	tags     []string               // of the parts, for nearPart
	dropped  int                    // faults beyond maxProblems
}

// problem reports a fault at a place.
func (r *reader) problem(line, col int, format string, args ...any) {
	if len(r.problems) >= maxProblems {
		r.dropped++
		return
	}
	r.problems = append(r.problems, Problem{r.file, line, col, fmt.Sprintf(format, args...)})
}

// fault reports a fault at a node.
func (r *reader) fault(n *yaml.Node, format string, args ...any) {
	r.problem(n.Line, n.Column, format, args...)
}

func (r *reader) sorted() Problems {
	slices.SortStableFunc(r.problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	if r.dropped > 0 {
		last := r.problems[len(r.problems)-1]
		last.What = fmt.Sprintf("and %d faults more: put these right first", r.dropped)
		if r.dropped == 1 {
			last.What = "and 1 fault more: put these right first"
		}
		r.problems = append(r.problems, last)
	}
	return r.problems
}
