// Package spice is support for tests: it writes a solved network as a deck for
// ngspice, a general-purpose circuit simulator, runs it and reads the answer.
// Nothing but tests imports it.
//
// Power loads enter a deck as the impedances that they converged to. So a
// comparison shows that voltages and currents fit each other and the network;
// that each load draws the power it was asked for is checked in every solution
// (nodal.Result.PowerWorst).
//
// Ideal sources that make a loop with each other have no place in a deck, which
// could not tell how they share.
package spice

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"rigline/rules/nodal"
)

// hertz is the frequency of AC decks. An impedance is a resistance with the
// inductance or the capacitance that it has there.
const hertz = 60

// Deck writes a result's network for an AC analysis at 60 Hz, every branch with
// an ammeter in it. Nodes that ideal shorts join are one node of the deck, since
// a chain of ideal shorts costs ngspice its precision; alias tells which.
// Currents of shorts follow from Kirchhoff's law and are held to it apart.
func Deck(r *nodal.Result, nodes int) (deck string, alias func(int) int) {
	return write(r, nodes, true)
}

// Direct writes a result whose values are all real for a DC operating point,
// else like Deck.
func Direct(r *nodal.Result, nodes int) (deck string, alias func(int) int) {
	return write(r, nodes, false)
}

// writer writes one deck.
type writer struct {
	strings.Builder
	r     *nodal.Result
	alias func(int) int
	ac    bool
}

func write(r *nodal.Result, nodes int, ac bool) (string, func(int) int) {
	all := r.Elements()
	d := &writer{r: r, alias: merged(all, nodes), ac: ac}
	d.WriteString("* network\n")
	for _, e := range all {
		d.element(e)
	}
	if ac {
		fmt.Fprintf(d, ".ac lin 1 %d %d\n", hertz, hertz)
	} else {
		d.WriteString(".op\n")
	}
	d.WriteString(".end\n")
	return d.String(), d.alias
}

func short(e nodal.Element) bool { return e.Z == 0 && !e.Source && !e.Driven }

// merged tells which node stands for those that shorts join.
func merged(all []nodal.Element, nodes int) func(int) int {
	up := make([]int, nodes)
	for i := range up {
		up[i] = i
	}
	find := func(i int) int {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	for _, e := range all {
		if short(e) {
			up[find(int(e.A))] = find(int(e.B))
		}
	}
	return find
}

// name is "0" for what is joined to an island's reference.
func (d *writer) name(n nodal.Node) string {
	k := d.alias(int(n))
	if k == d.alias(int(d.r.Reference(n))) {
		return "0"
	}
	return fmt.Sprintf("n%d", k)
}

func (d *writer) element(e nodal.Element) {
	a, b, k := d.name(e.A), d.name(e.B), int(e.Branch)
	switch {
	case short(e):
		return
	case e.Driven:
		fmt.Fprintf(d, "I%d %s %s %s\n", k, a, b, d.value(e.I))
		return
	}
	from, to := fmt.Sprintf("m%d", k), b
	if e.Source {
		to = fmt.Sprintf("e%d", k)
		if e.Z == 0 {
			to = from
		}
		fmt.Fprintf(d, "VE%d %s %s %s\n", k, to, b, d.value(e.EMF))
	}
	fmt.Fprintf(d, "V%d %s %s %s\n", k, a, from, d.value(0))
	if e.Z != 0 {
		d.series(k, from, to, e.Z)
	}
}

func (d *writer) value(z complex128) string {
	if !d.ac {
		if imag(z) != 0 {
			panic("spice: a phasor in a DC network")
		}
		return fmt.Sprintf("DC %.17g", real(z))
	}
	return fmt.Sprintf("AC %.17g %.17g", cmplx.Abs(z), cmplx.Phase(z)*180/math.Pi)
}

// series writes an impedance: a resistance, and an inductance or a capacitance.
func (d *writer) series(k int, a, b string, z complex128) {
	x := imag(z)
	if math.Abs(x) < 1e-12*math.Abs(real(z)) { // the rounding of a division is no capacitor of a terafarad
		x = 0
	}
	if !d.ac && x != 0 {
		panic("spice: a reactance in a DC network")
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
