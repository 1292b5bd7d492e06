//go:build unix

package session

import (
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
)

// fullDir names the directory in which the test's own child plays a full disk.
const fullDir = "RIGLINE_TEST_FULL_DISK"

// A process that may write no more than a kilobyte into a file stands for a full
// disk: the write stops in the middle. The copy and the project's file before it
// stay whole, nothing half written is left, and the error comes back.
func TestAFullDiskLeavesWhatIsThereWhole(t *testing.T) {
	if dir := os.Getenv(fullDir); dir != "" {
		writeOnAFullDisk(t, dir)
		return
	}
	dir := t.TempDir()
	cmd := exec.Command(os.Args[0], "-test.run=^TestAFullDiskLeavesWhatIsThereWhole$", "-test.v")
	cmd.Env = append(os.Environ(), fullDir+"="+dir)
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, string(out))
	require.Contains(t, string(out), "the disk is full", "the child came so far")

	j, err := NewJournal(filepath.Join(dir, "unsaved"))
	require.NoError(t, err)
	lost, err := j.Lost(func(int) bool { return false })
	require.NoError(t, err)
	require.Len(t, lost, 1)
	doc, err := lost[0].Read()
	require.NoError(t, err)
	assert.Len(t, doc.Parts(), 1, "the copy of before the disk was full")
	doc, _, err = projects.Load(filepath.Join(dir, "van.yaml"))
	require.NoError(t, err)
	assert.Len(t, doc.Parts(), 1)
	for _, where := range []string{dir, filepath.Join(dir, "unsaved")} {
		files, err := os.ReadDir(where)
		require.NoError(t, err)
		for _, f := range files {
			assert.Contains(t, []string{".yaml", ".unsaved", ""}, filepath.Ext(f.Name()), "%s is left behind", f.Name())
		}
	}
}

func writeOnAFullDisk(t *testing.T, dir string) {
	b := newBench(t)
	b.place("battery", 200, 300)
	file := filepath.Join(dir, "van.yaml")
	require.NoError(t, b.Save(file))
	j, err := NewJournal(filepath.Join(dir, "unsaved"))
	require.NoError(t, err)
	require.NoError(t, j.Keep(file, b.Doc()))

	signal.Ignore(syscall.SIGXFSZ)
	var was syscall.Rlimit
	require.NoError(t, syscall.Getrlimit(syscall.RLIMIT_FSIZE, &was))
	full := was
	full.Cur = 1024
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &full))
	for i := range 30 {
		b.place("panel", 300, float64(300+100*i))
	}
	errJournal, errSave := j.Keep(file, b.Doc()), b.Save(file)
	require.NoError(t, syscall.Setrlimit(syscall.RLIMIT_FSIZE, &was))
	require.Error(t, errJournal)
	require.Error(t, errSave)
	assert.True(t, b.Dirty(), "what is not saved stays unsaved")
	t.Log("the disk is full:", errJournal, errSave)
}

// Where the first directory takes nothing, the copy goes to the next and is found
// there; back in the first it is taken away from the next.
func TestTheCopyGoesToTheNextDirectory(t *testing.T) {
	dir := t.TempDir()
	first, next := filepath.Join(dir, "first"), filepath.Join(dir, "next")
	j, err := NewJournal(first, next)
	require.NoError(t, err)
	require.NoError(t, os.Remove(first))
	require.NoError(t, j.Keep("/rigs/van.yaml", components.NewDocument("one")))
	other := &Journal{dirs: []string{first, next}, pid: j.pid + 1}
	lost, err := other.Lost(func(int) bool { return false })
	require.NoError(t, err)
	require.Len(t, lost, 1)
	doc, err := lost[0].Read()
	require.NoError(t, err)
	assert.Equal(t, "one", doc.Title)

	require.NoError(t, os.Mkdir(first, 0o700))
	require.NoError(t, j.Keep("/rigs/van.yaml", components.NewDocument("two")))
	files, err := os.ReadDir(next)
	require.NoError(t, err)
	assert.Empty(t, files)
	require.NoError(t, os.RemoveAll(first))
	require.NoError(t, os.RemoveAll(next))
	assert.Error(t, j.Keep("/rigs/van.yaml", components.NewDocument("three")))
}
