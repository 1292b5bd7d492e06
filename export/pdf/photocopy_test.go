package pdf

import (
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/export/photocopy"
	"rigline/export/scene"
)

// A photocopy of the sheet tells every conductor's role (pdftoppm of poppler).
func TestPhotocopyTellsTheRoles(t *testing.T) {
	poppler := tool(t, "pdftoppm")
	doc := photocopy.Document(t)
	s := scene.Draw(doc, scene.Options{Frame: true})
	path := filepath.Join(t.TempDir(), "sheet")
	require.NoError(t, os.WriteFile(path+".pdf", bookOf(t, doc), 0o644))
	out, err := exec.Command(poppler, "-r", strconv.Itoa(photocopy.DPI), "-png", "-singlefile", "-f", "1", path+".pdf", path).CombinedOutput()
	require.NoError(t, err, "%s", out)
	photocopy.CheckFile(t, path+".png", s)
}
