// Package spice is support for tests: it writes a solved network as a deck for
// ngspice, a general-purpose circuit simulator, and reads its answer.
//
// Constant-power loads enter the deck as the impedances that they converged to;
// so the comparison shows that voltages and currents fit each other and the
// network, and the power itself is checked apart.
package spice

import (
	"bufio"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"rigline/rules/nodal"
)

const hertz = 60

// Deck writes a result's network, every branch with an ammeter in it. Nodes that
// ideal shorts join are one node of the deck, since a chain of ideal shorts costs
// ngspice its precision; alias tells which. Currents of shorts follow from
// Kirchhoff's law and are held to it apart.
func Deck(r *nodal.Result, nodes int) (deck string, alias func(int) int) {
	var d strings.Builder
	d.WriteString("* network\n")
	up := make([]int, nodes)
	for i := range up {
		up[i] = i
	}
	alias = func(i int) int {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	for _, e := range r.Elements() {
		if short(e) {
			up[alias(int(e.A))] = alias(int(e.B))
		}
	}
	name := func(n nodal.Node) string {
		if r.Ground(n) {
			return "0"
		}
		return fmt.Sprintf("n%d", alias(int(n)))
	}
	for _, e := range r.Elements() {
		a, b, k := name(e.A), name(e.B), int(e.Branch)
		switch {
		case short(e):
			continue
		case e.Driven:
			fmt.Fprintf(&d, "I%d %s %s AC %.17g %.17g\n", k, a, b, mag(e.I), deg(e.I))
			continue
		}
		from := fmt.Sprintf("m%d", k)
		fmt.Fprintf(&d, "V%d %s %s AC 0\n", k, a, from)
		if e.Source {
			fmt.Fprintf(&d, "VE%d %s e%d AC %.17g %.17g\n", k, from, k, mag(e.EMF), deg(e.EMF))
			from = fmt.Sprintf("e%d", k)
		}
		series(&d, k, from, b, e.Z)
	}
	fmt.Fprintf(&d, ".ac lin 1 %d %d\n.end\n", hertz, hertz)
	return d.String(), alias
}

func short(e nodal.Element) bool { return e.Z == 0 && !e.Source && !e.Driven }

// series writes an impedance: a resistance, and an inductance or a capacitance.
func series(d *strings.Builder, k int, a, b string, z complex128) {
	x := imag(z)
	if math.Abs(x) < 1e-12*math.Abs(real(z)) { // the rounding of a division is no capacitor of a terafarad
		x = 0
	}
	if x == 0 {
		fmt.Fprintf(d, "R%d %s %s %.17g\n", k, a, b, real(z))
		return
	}
	mid := fmt.Sprintf("x%d", k)
	if real(z) == 0 {
		mid = a
	} else {
		fmt.Fprintf(d, "R%d %s %s %.17g\n", k, a, mid, real(z))
	}
	if x > 0 {
		fmt.Fprintf(d, "L%d %s %s %.17g\n", k, mid, b, x/(2*math.Pi*hertz))
		return
	}
	fmt.Fprintf(d, "C%d %s %s %.17g\n", k, mid, b, -1/(2*math.Pi*hertz*x))
}

func mag(z complex128) float64 { return math.Hypot(real(z), imag(z)) }
func deg(z complex128) float64 { return math.Atan2(imag(z), real(z)) * 180 / math.Pi }

// Seconds is ngspice's own figure for the analysis of a deck, its answer thrown
// away; 0 where it gave none within a minute.
func Seconds(t testing.TB, program, deck string) float64 {
	t.Helper()
	in := filepath.Join(t.TempDir(), "deck.cir")
	deck = strings.Replace(deck, ".end\n", ".control\nrun\nrusage all\nquit\n.endc\n.end\n", 1)
	if err := os.WriteFile(in, []byte(deck), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), time.Minute)
	defer stop()
	out, _ := exec.CommandContext(ctx, program, "-b", in).CombinedOutput()
	m := analysis.FindStringSubmatch(string(out))
	if m == nil {
		return 0
	}
	s, _ := strconv.ParseFloat(m[1], 64)
	return s
}

// Answer is what ngspice found: node voltages by number, and branch currents.
type Answer struct {
	V map[int]complex128
	I map[int]complex128
	// Seconds is ngspice's own figure for its analysis.
	Seconds float64
}

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

var analysis = regexp.MustCompile(`(?i)total analysis time[^0-9]*([0-9.]+)`)

// Run gives a deck to ngspice.
func Run(t testing.TB, program, deck string) Answer {
	t.Helper()
	dir := t.TempDir()
	in, raw := filepath.Join(dir, "deck.cir"), filepath.Join(dir, "out.raw")
	deck = strings.Replace(deck, ".end\n", ".options numdgt=12 reltol=1e-9\n.control\nset filetype=ascii\nrun\nrusage time\nwrite "+raw+" all\nquit\n.endc\n.end\n", 1)
	if err := os.WriteFile(in, []byte(deck), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), time.Minute)
	defer stop()
	out, err := exec.CommandContext(ctx, program, "-b", in).CombinedOutput()
	if _, statErr := os.Stat(raw); statErr != nil {
		t.Fatalf("ngspice gave no answer: %v\n%s", err, out)
	}
	a := parse(t, raw)
	if m := analysis.FindStringSubmatch(string(out)); m != nil {
		a.Seconds, _ = strconv.ParseFloat(m[1], 64)
	}
	return a
}

var (
	nodeName  = regexp.MustCompile(`^(?:v\()?n(\d+)\)?$`)
	meterName = regexp.MustCompile(`^(?:i\()?v(\d+)(?:\)|#branch)$`)
)

// parse reads an ASCII raw file of one frequency.
func parse(t testing.TB, path string) Answer {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	a := Answer{V: map[int]complex128{}, I: map[int]complex128{}}
	var names []string
	section := ""
	values := 0
	s := bufio.NewScanner(f)
	s.Buffer(make([]byte, 1<<20), 1<<26)
	for s.Scan() {
		line := strings.TrimSpace(s.Text())
		switch {
		case strings.HasPrefix(line, "Variables:"):
			section = "names"
			continue
		case strings.HasPrefix(line, "Values:"):
			section = "values"
			continue
		}
		fields := strings.Fields(line)
		switch {
		case section == "names" && len(fields) >= 3:
			names = append(names, strings.ToLower(fields[1]))
		case section == "values" && len(fields) > 0:
			text := fields[len(fields)-1]
			re, im, ok := strings.Cut(text, ",")
			if !ok || values >= len(names) {
				continue
			}
			x, _ := strconv.ParseFloat(re, 64)
			y, _ := strconv.ParseFloat(im, 64)
			if m := nodeName.FindStringSubmatch(names[values]); m != nil {
				n, _ := strconv.Atoi(m[1])
				a.V[n] = complex(x, y)
			} else if m := meterName.FindStringSubmatch(names[values]); m != nil {
				n, _ := strconv.Atoi(m[1])
				a.I[n] = complex(x, y)
			}
			values++
		}
	}
	return a
}
