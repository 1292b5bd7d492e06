// Package rulestest holds rules to rigs that a person can open in the editor. A
// file RULE.yaml says beside each part or run what is wrong there:
//
//	# want RULE "regular expression of the message"
//
// and RULE.fixed.yaml is the same rig put right. It is for tests alone.
package rulestest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// T is what the runner needs of a test.
type T interface {
	Helper()
	Errorf(format string, args ...any)
}

// File holds the book to one file: every danger and violation that it wants and
// no other; no repair of any finding leaves it standing or brings a new danger;
// and, where the file is named after a rule, the file beside it that ends in
// .fixed.yaml is silent about that rule and has no danger that the first has not.
// It gives the rules that the file wants.
func File(t T, path string, book []*rules.Rule) (covered []string) {
	t.Helper()
	doc, err := read(path)
	if err != nil {
		t.Errorf("%v", err)
		return nil
	}
	wants, err := Wants(path)
	if err != nil {
		t.Errorf("%v", err)
		return nil
	}
	report, err := rules.Check(context.Background(), doc, book)
	if err != nil {
		t.Errorf("%s: %v", path, err)
		return nil
	}
	for _, w := range wants {
		covered = append(covered, w.Rule)
	}
	findings(t, path, report, wants)
	Repairs(t, path, doc, report, book)
	if rule := strings.TrimSuffix(filepath.Base(path), ".yaml"); find(book, rule) != nil {
		Fixed(t, strings.TrimSuffix(path, ".yaml")+".fixed.yaml", rule, report, book)
	}
	return covered
}

func find(book []*rules.Rule, id string) *rules.Rule {
	for _, r := range book {
		if r.ID == id {
			return r
		}
	}
	return nil
}

func read(path string) (*components.Document, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	doc, _, err := projects.Read(path, data)
	return doc, err
}

// Want is one expectation: a rule that speaks at a part or run, and its words.
type Want struct {
	Line int
	At   string
	Rule string
	Says *regexp.Regexp
}

var (
	tag    = regexp.MustCompile(`id:\s*"?([^",}\s]+)`)
	wanted = regexp.MustCompile(`#.*\bwant (\S+) "([^"]*)"`)
	mark   = regexp.MustCompile(`#.*\bwant\b`)
	each   = regexp.MustCompile(`\bwant (\S+) "([^"]*)"`)
)

// Wants reads the expectations of a file. One that is misspelt, or that stands
// beside no tag, is an error: it would expect nothing.
func Wants(path string) ([]Want, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	var wants []Want
	for i, line := range strings.Split(string(data), "\n") {
		if !mark.MatchString(line) {
			continue
		}
		id := tag.FindStringSubmatch(line)
		if id == nil || !wanted.MatchString(line) {
			return nil, fmt.Errorf(`%s:%d: want # want RULE "regexp" beside an id, got %s`, path, i+1, strings.TrimSpace(line))
		}
		_, comment, _ := strings.Cut(line, "#")
		for _, m := range each.FindAllStringSubmatch(comment, -1) {
			says, err := regexp.Compile(m[2])
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", path, i+1, err)
			}
			wants = append(wants, Want{i + 1, id[1], m[1], says})
		}
	}
	return wants, nil
}

// findings holds a report to its expectations.
func findings(t T, path string, report *rules.Report, wants []Want) {
	t.Helper()
	left := append([]Want{}, wants...)
next:
	for _, f := range report.All() {
		for i, w := range left {
			if w.Rule == f.Rule.ID && standsAt(f, w.At) && w.Says.MatchString(f.Message) {
				left = append(left[:i], left[i+1:]...)
				continue next
			}
		}
		if f.Level > rules.Advice {
			t.Errorf("%s: not wanted: %s %s at %s: %s", path, f.Level, f.Rule.ID, f.At, f.Message)
		}
	}
	for _, w := range left {
		t.Errorf("%s:%d: missing: %s at %s %q", path, w.Line, w.Rule, w.At, w.Says)
	}
}

// standsAt tells whether a finding stands at a part or run: "BAT1.pos" is at BAT1.
func standsAt(f rules.Finding, id string) bool {
	return f.At == id || strings.HasPrefix(f.At, id+".")
}

// Repairs applies each repair of each danger and violation to the rig alone: the
// finding must be gone and no danger come that was not there.
func Repairs(t T, path string, doc *components.Document, before *rules.Report, book []*rules.Rule) {
	t.Helper()
	had := standing(before)
	for _, f := range before.All() {
		if f.Level == rules.Advice {
			continue
		}
		for _, x := range f.Fixes {
			next, err := doc.Apply(x.Edits...)
			if err != nil {
				t.Errorf("%s: %s at %s: %q does not fit: %v", path, f.Rule.ID, f.At, x.Title, err)
				continue
			}
			after, err := rules.Check(context.Background(), next, book)
			if err != nil {
				t.Errorf("%s: %v", path, err)
				continue
			}
			for _, g := range after.All() {
				switch {
				case g.Rule == f.Rule && g.At == f.At && g.Level >= f.Level:
					t.Errorf("%s: %s: %q leaves standing: %s", path, f.Rule.ID, x.Title, g.Message)
				case g.Level == rules.Danger && !had[key(g)]:
					t.Errorf("%s: %s: %q brings a new danger: %s at %s: %s", path, f.Rule.ID, x.Title, g.Rule.ID, g.At, g.Message)
				}
			}
			for _, g := range after.Unchecked {
				if g.Rule == f.Rule && g.At == f.At {
					t.Errorf("%s: %s: %q only hides it: %s", path, f.Rule.ID, x.Title, g.Message)
				}
			}
		}
	}
}

// key tells one finding from another, and how bad it is.
func key(f rules.Finding) string { return fmt.Sprint(f.Rule.ID, " ", f.At, " ", f.Level) }

func standing(r *rules.Report) map[string]bool {
	all := map[string]bool{}
	for _, f := range r.All() {
		all[key(f)] = true
	}
	return all
}

// Fixed holds a rig that was put right to the rule: it is silent, it could look,
// and no rule tells a danger that was not there before.
func Fixed(t T, path, rule string, before *rules.Report, book []*rules.Rule) {
	t.Helper()
	doc, err := read(path)
	if err != nil {
		t.Errorf("%v", err)
		return
	}
	report, err := rules.Check(context.Background(), doc, book)
	if err != nil {
		t.Errorf("%s: %v", path, err)
		return
	}
	had := standing(before)
	for _, f := range report.All() {
		if f.Rule.ID == rule || f.Level == rules.Danger && !had[key(f)] {
			t.Errorf("%s: put right, and still: %s %s at %s: %s", path, f.Level, f.Rule.ID, f.At, f.Message)
		}
	}
	for _, f := range report.Unchecked {
		if f.Rule.ID == rule {
			t.Errorf("%s: put right, and not checked: %s at %s: %s", path, f.Rule.ID, f.At, f.Message)
		}
	}
}

// Files are the rigs of a folder, without those that were put right.
func Files(dir string) ([]string, error) {
	all, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
	if err != nil {
		return nil, err
	}
	var files []string
	for _, f := range all {
		if !strings.HasSuffix(f, ".fixed.yaml") {
			files = append(files, f)
		}
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("%s holds no rig", dir)
	}
	return files, nil
}
