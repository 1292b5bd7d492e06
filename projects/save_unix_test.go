//go:build unix

package projects

import (
	"bufio"
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The test program runs itself as a child that saves, told what to do by these.
const (
	saveForever = "RIGLINE_TEST_SAVE_FOREVER" // the path to save at, on and on
	saveLimited = "RIGLINE_TEST_SAVE_LIMITED" // the path to save at, on a disk with room for saveRoom bytes
	saveRoom    = "RIGLINE_TEST_SAVE_ROOM"
)

func TestMain(m *testing.M) {
	switch {
	case os.Getenv(saveForever) != "":
		saveOnAndOn(os.Getenv(saveForever))
	case os.Getenv(saveLimited) != "":
		os.Exit(saveWithin(os.Getenv(saveLimited)))
	}
	os.Exit(m.Run())
}

// manyFuses makes a file of some 60 kB; longFile is one of 280 kB, which
// is not read and so spends its time in being written.
const manyFuses = 400

var longFile = bytes.Repeat([]byte("# a long file\n"), 20_000)

func saveOnAndOn(path string) {
	for i := 0; ; i++ {
		var err error
		if i%4 == 0 {
			err = Save(path, Blank("van-12v"))
		} else {
			err = replace(path, longFile)
		}
		if err != nil {
			fmt.Println(err)
			os.Exit(2)
		}
		if i == 0 {
			fmt.Println("saving")
		}
	}
}

func saveWithin(path string) int {
	room, err := strconv.ParseUint(os.Getenv(saveRoom), 10, 64)
	if err != nil {
		panic(err)
	}
	signal.Ignore(syscall.SIGXFSZ)
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: room, Max: room}); err != nil {
		panic(err)
	}
	if err := Save(path, large(&testing.T{}, manyFuses)); err != nil {
		fmt.Println(err)
		return 1
	}
	return 0
}

func child(t *testing.T, env ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), env...)
	return cmd
}

// A child that saves without end is killed again and again; each time the file
// is one of the two that it writes, whole.
func TestSaveSurvivesBeingKilled(t *testing.T) {
	kills := 200
	if testing.Short() {
		kills = 20
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "rig.yaml")
	whole := map[string]bool{
		string(Write(Blank("van-12v"))): true,
		string(longFile):                true,
	}
	require.NoError(t, Save(path, Blank("van-12v")))
	for range kills {
		cmd := child(t, saveForever+"="+path)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		first, err := bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		require.Equal(t, "saving\n", first)
		time.Sleep(time.Duration(rand.IntN(20_000)) * time.Microsecond)
		require.NoError(t, cmd.Process.Kill())
		require.Error(t, cmd.Wait())
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		require.True(t, whole[string(data)], "a file of %d bytes that nobody wrote", len(data))
	}
	// That some kills struck in the middle is seen by what they left beside.
	left := names(t, dir)
	assert.Greater(t, len(left), 1, "no kill struck during a save: the test proves nothing")
	long := time.Now().Add(-2 * abandoned)
	for _, name := range left {
		require.NoError(t, os.Chtimes(filepath.Join(dir, name), long, long))
	}
	require.NoError(t, Save(path, Blank("van-12v")))
	assert.Equal(t, []string{"rig.yaml"}, names(t, dir))
	t.Logf("%d of %d kills left a file beside", len(left)-1, kills)
}

// On a disk with too little room the save fails and the old file stays.
func TestSaveOnAFullDisk(t *testing.T) {
	size := len(Write(large(t, manyFuses)))
	for _, room := range []int{0, 1, 4096, size - 1, size} {
		dir := t.TempDir()
		path := filepath.Join(dir, "rig.yaml")
		require.NoError(t, os.WriteFile(path, []byte("old"), 0o644))
		out, err := child(t, saveLimited+"="+path, saveRoom+"="+strconv.Itoa(room)).Output()
		data, readErr := os.ReadFile(path)
		require.NoError(t, readErr)
		assert.Equal(t, []string{"rig.yaml"}, names(t, dir))
		if room == size {
			require.NoError(t, err, "%s", out)
			assert.Len(t, data, size)
			continue
		}
		require.Error(t, err)
		assert.True(t, strings.HasPrefix(string(out), "save "+path+": write "), "%s", out)
		assert.Contains(t, string(out), "file too large")
		assert.Equal(t, "old", string(data), "with room for %d bytes", room)
	}
}
