package command

import (
	"bytes"
	"strings"
)

// cautioned is a project file with the cautions as comments at its head, each once:
// what is read back and exported anew has them already.
func cautioned(project []byte, cautions []string) []byte {
	stands := map[string]bool{}
	for line := range strings.Lines(string(project)) {
		if !strings.HasPrefix(line, "#") {
			break
		}
		stands[strings.TrimSpace(strings.TrimPrefix(line, "#"))] = true
	}
	var b bytes.Buffer
	for _, c := range cautions {
		if !stands[c] {
			b.WriteString("# " + c + "\n")
		}
	}
	b.Write(project)
	return b.Bytes()
}
