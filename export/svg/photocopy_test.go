package svg

import (
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/export/photocopy"
	"rigline/export/scene"
)

// A photocopy of the drawing tells every conductor's role (rsvg-convert of librsvg).
func TestPhotocopyTellsTheRoles(t *testing.T) {
	rsvg := program(t, "rsvg-convert")
	doc, o := photocopy.Document(t), scene.Options{Frame: true}
	s := scene.Draw(doc, o)
	dir := t.TempDir()
	picture := filepath.Join(dir, "sheet.png")
	w, _ := photocopy.Size(s)
	out, err := exec.Command(rsvg, "-w", strconv.Itoa(w), "-b", "white", "-o", picture, save(t, dir, "sheet", doc, o)).CombinedOutput()
	require.NoError(t, err, "%s", out)
	photocopy.CheckFile(t, picture, s)
}
