package projects

import (
	"fmt"
	"strings"
)

// Problem is one fault of a file: where it stands, what is there and what was
// expected. Line and Col count from 1.
type Problem struct {
	File      string
	Line, Col int
	What      string
}

func (p Problem) String() string {
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Col, p.What)
}

// Problems are all faults of a file, in the order of the file. It is the error
// that Read gives.
type Problems []Problem

// Error gives one line a fault.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}
