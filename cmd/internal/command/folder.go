package command

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// stamp is the file that marks a folder as a hand-off. It lists the files that
// export wrote, so that the next export knows which are its own.
const stamp = ".handoff"

// writeFolder writes the files into a new folder beside the old one and puts it
// in its place, so that a failed export leaves the old folder as it was. It
// replaces only what export itself has written.
func writeFolder(dir string, sheets []sheet) error {
	if err := replaceFolder(filepath.Clean(dir), sheets); err != nil {
		return fmt.Errorf("export to %s: %w", dir, err)
	}
	return nil
}

func replaceFolder(dir string, sheets []sheet) error {
	if err := mayReplace(dir); err != nil {
		return err
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return err
	}
	temp, err := os.MkdirTemp(parent, "."+filepath.Base(dir)+"-")
	if err != nil {
		return fmt.Errorf("no folder can be made in %s: %w", parent, reason(err))
	}
	defer os.RemoveAll(temp)
	for _, s := range append(slices.Clone(sheets), stampOf(sheets)) {
		if err := writeFile(filepath.Join(temp, s.name), s.data); err != nil {
			return err
		}
	}
	if err := os.Chmod(temp, 0o755); err != nil {
		return err
	}
	if !exists(dir) {
		return os.Rename(temp, dir)
	}
	old := temp + "-old"
	if err := os.Rename(dir, old); err != nil {
		return err
	}
	if err := os.Rename(temp, dir); err != nil {
		return errors.Join(err, os.Rename(old, dir))
	}
	return os.RemoveAll(old)
}

// reason leaves out the name of a temporary file, which tells a person nothing.
func reason(err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return at.Err
	}
	return err
}

func stampOf(sheets []sheet) sheet {
	names := make([]string, len(sheets))
	for i, s := range sheets {
		names[i] = s.name
	}
	return sheet{stamp, []byte(strings.Join(names, "\n") + "\n")}
}

// mayReplace refuses a place that holds anything that export did not write.
func mayReplace(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case len(entries) == 0:
		return nil
	}
	list, err := os.ReadFile(filepath.Join(dir, stamp))
	if err != nil {
		return errors.New("it is there and is no hand-off of ours: want a new folder, or one that export has written")
	}
	ours := append(strings.Split(string(list), "\n"), stamp)
	var others []string
	for _, e := range entries {
		if !slices.Contains(ours, e.Name()) {
			others = append(others, e.Name())
		}
	}
	if len(others) > 0 {
		return fmt.Errorf("it holds %s, which export did not write and would lose: move it elsewhere, or want another folder", strings.Join(others, ", "))
	}
	return nil
}

func writeFile(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}
