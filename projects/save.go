package projects

import (
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"rigline/components"
)

// Save writes a document's project file in place of the one at the path. The file
// is at any moment the old one or the new one, whole: the new bytes go to a file
// beside it, are on the disk before that takes the old one's name, and are read
// back as a check before anything is written. Permissions stay as they are.
// Where Save fails, the old file is untouched.
func Save(path string, doc *components.Document) error {
	if err := save(path, doc); err != nil {
		return fmt.Errorf("save %s: %w", path, err)
	}
	return nil
}

func save(path string, doc *components.Document) error {
	data := Write(doc)
	if _, _, err := Read(filepath.Base(path), data); err != nil {
		return fmt.Errorf("the project would not read back, so nothing was written: %w", err)
	}
	return replace(path, data)
}

// replace puts bytes in the place of a file.
func replace(path string, data []byte) error {
	// A link stays a link: what it points at is replaced.
	if target, err := filepath.EvalSymlinks(path); err == nil {
		path = target
	}
	mode := fs.FileMode(0o644)
	fresh := true
	switch old, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case !old.Mode().IsRegular():
		return fmt.Errorf("%s is not an ordinary file: save under another name", path)
	case old.Mode()&0o200 == 0:
		return fmt.Errorf("%s is read-only: save under another name, or make it writable", path)
	default:
		mode, fresh = old.Mode().Perm(), false
	}
	sweep(path)
	beside, err := writeBeside(path, data, mode, fresh)
	if err != nil {
		return err
	}
	if err := os.Rename(beside, path); err != nil {
		os.Remove(beside)
		return err
	}
	return syncDir(filepath.Dir(path))
}

// writeBeside puts the bytes on the disk under a name of its own in the same
// directory, and leaves nothing there if it fails.
func writeBeside(path string, data []byte, mode fs.FileMode, fresh bool) (string, error) {
	name := filepath.Join(filepath.Dir(path), fmt.Sprintf("%s%08x%s", besidePrefix(path), rand.Uint32(), besideSuffix))
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return "", err
	}
	err = fill(f, data, mode, fresh)
	if err = errors.Join(err, f.Close()); err != nil {
		os.Remove(name)
		return "", err
	}
	return name, nil
}

func fill(f *os.File, data []byte, mode fs.FileMode, fresh bool) error {
	if !fresh { // the process's mask does not apply to a file that was there
		if err := f.Chmod(mode); err != nil && runtime.GOOS != "windows" {
			return err
		}
	}
	if _, err := f.Write(data); err != nil {
		return err
	}
	return f.Sync()
}

// besideSuffix ends the names of files that are being written.
const besideSuffix = ".saving"

// besidePrefix begins the names of the files that are being written for a path.
// It is short whatever the path's own length.
func besidePrefix(path string) string {
	return fmt.Sprintf(".rigline-%08x-", crc32.ChecksumIEEE([]byte(filepath.Base(path))))
}

// abandoned is the age at which a file being written is taken for a left-over:
// no save takes that long, and one of another window may be at work.
const abandoned = time.Minute

// sweep removes what a save that was killed left beside the path. It is a
// courtesy: what cannot be removed stays.
func sweep(path string) {
	dir, prefix := filepath.Dir(path), besidePrefix(path)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		random, ours := strings.CutPrefix(e.Name(), prefix)
		random, whole := strings.CutSuffix(random, besideSuffix)
		if !ours || !whole || len(random) != 8 {
			continue
		}
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > abandoned {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}

// syncDir puts the new name on the disk. Some systems have no such call; there
// the rename alone must do.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) {
		return err
	}
	return nil
}
