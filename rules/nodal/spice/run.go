package spice

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// limit is the time that one deck may take.
const limit = time.Minute

// Available finds ngspice. Where it is missing a test is left out loudly, and
// fails where CI is set.
func Available(t testing.TB) string {
	t.Helper()
	path, err := exec.LookPath("ngspice")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("ngspice is missing: the comparison must run here (Debian package ngspice)")
		}
		t.Log("NOT COMPARED: ngspice is missing (Debian package ngspice)")
		t.SkipNow()
	}
	return path
}

// Answer is what ngspice found: voltages by the node that stands for a node, and
// currents by branch. References, dead nodes and shorts are not in it.
type Answer struct {
	V map[int]complex128
	I map[int]complex128
	// Seconds is ngspice's own figure for its analysis, without the reading of
	// the deck.
	Seconds float64
}

// Run gives a deck to ngspice, the program that Available found.
func Run(t testing.TB, program, deck string) Answer {
	t.Helper()
	raw := filepath.Join(t.TempDir(), "out.raw")
	said, err := batch(t, program, deck, ".options numdgt=12 reltol=1e-9\n.control\nset filetype=ascii\nrun\nrusage time\nwrite "+raw+" all\nquit\n.endc\n")
	f, openErr := os.Open(raw)
	if openErr != nil {
		t.Fatalf("ngspice gave no answer: %v\n%s", err, said)
	}
	defer f.Close()
	a, err := parse(f)
	if err != nil {
		t.Fatalf("ngspice's answer: %v\n%s", err, said)
	}
	a.Seconds = seconds(said)
	return a
}

// Seconds is ngspice's own figure for the analysis of a deck, its answer thrown
// away; 0 where it gave none within a minute.
func Seconds(t testing.TB, program, deck string) float64 {
	t.Helper()
	said, _ := batch(t, program, deck, ".control\nrun\nrusage all\nquit\n.endc\n")
	return seconds(said)
}

// batch runs a deck with more lines before its end and gives what ngspice said.
func batch(t testing.TB, program, deck, more string) (said string, err error) {
	t.Helper()
	body, ok := strings.CutSuffix(deck, ".end\n")
	if !ok {
		t.Fatal("a deck ends with .end")
	}
	in := filepath.Join(t.TempDir(), "deck.cir")
	if err := os.WriteFile(in, []byte(body+more+".end\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), limit)
	defer stop()
	out, err := exec.CommandContext(ctx, program, "-b", in).CombinedOutput()
	return string(out), err
}

var analysis = regexp.MustCompile(`(?i)total analysis time[^0-9]*([0-9.e+-]+)`)

func seconds(said string) float64 {
	m := analysis.FindStringSubmatch(said)
	if m == nil {
		return 0
	}
	s, _ := strconv.ParseFloat(m[1], 64)
	return s
}

var (
	nodeName  = regexp.MustCompile(`^(?:v\()?n(\d+)\)?$`)
	meterName = regexp.MustCompile(`^(?:i\()?v(\d+)(?:\)|#branch)$`)
)

// parse reads an ASCII raw file of one point: real numbers, or pairs with a
// comma.
func parse(in io.Reader) (Answer, error) {
	a := Answer{V: map[int]complex128{}, I: map[int]complex128{}}
	var names []string
	section, values := "", 0
	s := bufio.NewScanner(in)
	s.Buffer(make([]byte, 1<<20), 1<<26)
	for s.Scan() {
		line := strings.TrimSpace(s.Text())
		fields := strings.Fields(line)
		switch {
		case strings.HasPrefix(line, "Variables:"):
			section = "names"
		case strings.HasPrefix(line, "Values:"):
			section = "values"
		case section == "names" && len(fields) >= 3:
			names = append(names, strings.ToLower(fields[1]))
		case section == "values" && len(fields) > 0 && values < len(names):
			z, err := number(fields[len(fields)-1])
			if err != nil {
				return a, fmt.Errorf("%s: %w", names[values], err)
			}
			a.put(names[values], z)
			values++
		}
	}
	if err := s.Err(); err != nil {
		return a, err
	}
	if values == 0 || values < len(names) {
		return a, fmt.Errorf("%d values for %d names", values, len(names))
	}
	return a, nil
}

func number(text string) (complex128, error) {
	re, im, isPair := strings.Cut(text, ",")
	x, err := strconv.ParseFloat(re, 64)
	if err != nil || !isPair {
		return complex(x, 0), err
	}
	y, err := strconv.ParseFloat(im, 64)
	return complex(x, y), err
}

func (a *Answer) put(name string, z complex128) {
	if m := nodeName.FindStringSubmatch(name); m != nil {
		n, _ := strconv.Atoi(m[1]) // digits, as matched
		a.V[n] = z
	} else if m := meterName.FindStringSubmatch(name); m != nil {
		n, _ := strconv.Atoi(m[1])
		a.I[n] = z
	}
}
