package command

import (
	"bytes"
	"strings"
)

const checkedBy = "Checked by the rule set "

// cautioned is a project file with the cautions and the edition of its rules as comments
// at its head, each once: what is read back and exported anew has them already, and of
// the editions it keeps the one that it was checked by last.
func cautioned(project []byte, rules string, cautions []string) []byte {
	stands := map[string]bool{}
	var kept bytes.Buffer
	head := true
	for line := range strings.Lines(string(project)) {
		head = head && strings.HasPrefix(line, "#")
		says := strings.TrimSpace(strings.TrimPrefix(line, "#"))
		if head && strings.HasPrefix(says, checkedBy) && says != checkedBy+rules {
			continue
		}
		stands[says] = stands[says] || head
		kept.WriteString(line)
	}
	project = kept.Bytes()
	var b bytes.Buffer
	if cautions = append(cautions[:len(cautions):len(cautions)], checkedBy+rules); rules == "" {
		cautions = cautions[:len(cautions)-1]
	}
	for _, c := range cautions {
		if !stands[c] {
			b.WriteString("# " + c + "\n")
		}
	}
	b.Write(project)
	return b.Bytes()
}
