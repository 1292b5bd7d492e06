package projects

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whatever the bytes, Read gives a document or says what is wrong and where; and
// what is read, written and read again is the same.
func FuzzRead(f *testing.F) {
	for _, s := range shelves() {
		f.Add(s.Data)
	}
	hand, err := filepath.Glob("testdata/*.yaml")
	require.NoError(f, err)
	for _, file := range append(hand, brokenFiles(f)...) {
		data, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		doc, index, err := Read("fuzz.yaml", data)
		if err != nil {
			var problems Problems
			if !errors.As(err, &problems) || len(problems) == 0 || doc != nil || index != nil {
				t.Fatalf("%T %v with document %v", err, err, doc)
			}
			for _, p := range problems {
				if p.Line < 1 || p.Col < 1 || p.What == "" {
					t.Fatalf("a fault without its place: %v", p)
				}
			}
			return
		}
		first := Write(doc)
		doc, _, err = Read("written.yaml", first)
		if err != nil {
			t.Fatalf("what was written does not read: %v\n%s", err, first)
		}
		if second := Write(doc); string(second) != string(first) {
			t.Fatalf("written twice:\n%s\n----\n%s", first, second)
		}
	})
}
