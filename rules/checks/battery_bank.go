package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// bank is the batteries that stand in parallel on one positive net.
type bank struct {
	Parts []components.Part
	Posts []circuit.Term
}

// eachBank calls judge for each bank, house and starting batteries apart from each
// other only where the drawing keeps them apart.
func eachBank(p *rules.Pass, judge func(*rules.Pass, bank)) {
	if !p.First() {
		return
	}
	byNet := map[circuit.Term]int{}
	var banks []bank
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Battery || q.Gone() {
			continue
		}
		post, ok := p.Circuit.At(q.ID, "pos", components.Pos)
		if !ok {
			continue
		}
		net := p.Circuit.Net(post)
		i, ok := byNet[net]
		if !ok {
			i = len(banks)
			byNet[net] = i
			banks = append(banks, bank{})
		}
		banks[i].Parts = append(banks[i].Parts, q)
		banks[i].Posts = append(banks[i].Posts, post)
	}
	for _, b := range banks {
		judge(p, b)
	}
}

// house is the bank without its starting batteries; ok is false where none is left.
func (b bank) house() (bank, bool) {
	var h bank
	for i, q := range b.Parts {
		if q.Word("role") != "starting" {
			h.Parts, h.Posts = append(h.Parts, q), append(h.Posts, b.Posts[i])
		}
	}
	return h, len(h.Parts) > 0
}

// at is where a finding about the bank stands, and the rest of it.
func (b bank) at() (string, []string) {
	var also []string
	for _, q := range b.Parts[1:] {
		also = append(also, string(q.ID))
	}
	return string(b.Parts[0].ID), also
}

// verb is the form of a word for one battery or for several.
func (b bank) verb(one, several string) string {
	if len(b.Parts) > 1 {
		return several
	}
	return one
}

// name is "BAT1", "BAT1 and BAT2" or "BAT1 to BAT4".
func (b bank) name() string {
	switch len(b.Parts) {
	case 1:
		return string(b.Parts[0].ID)
	case 2:
		return fmt.Sprintf("%s and %s", b.Parts[0].ID, b.Parts[1].ID)
	}
	return fmt.Sprintf("%s to %s", b.Parts[0].ID, b.Parts[len(b.Parts)-1].ID)
}

// gives is the current that each battery gives in one case, in A; taken in is
// negative.
func (b bank) gives(p *rules.Pass, k solve.Case) []float64 {
	amps := make([]float64, len(b.Posts))
	for i, post := range b.Posts {
		for _, j := range p.Circuit.LinksAt(post) {
			a := k.Amps(int(j))
			if p.Circuit.Links[j].A != post {
				a = -a
			}
			amps[i] += a
		}
	}
	return amps
}

// stringsOf is how many strings a battery symbol stands for.
func stringsOf(q components.Part) float64 { return math.Max(1, q.Figure("parallel").Value) }

// strings is the strings of the whole bank.
func (b bank) strings() float64 {
	n := 0.0
	for _, q := range b.Parts {
		n += stringsOf(q)
	}
	return n
}

func total(amps []float64) float64 {
	t := 0.0
	for _, a := range amps {
		t += a
	}
	return t
}

// lithium tells whether a battery is lithium iron phosphate.
func lithium(q components.Part) bool { return q.Word("chemistry") == "lfp" }

// charging names the parts that give charge current on a bank's net, with their
// full outputs in A; unknown outputs count nothing and are named all the same.
func charging(p *rules.Pass, b bank) (sources []components.Part) {
	net := p.Circuit.Net(b.Posts[0])
	for _, q := range p.Doc.Parts() {
		if q.Gone() {
			continue
		}
		port := ""
		switch q.Kind {
		case &components.Charger:
			port = "dc"
		case &components.InverterCharger:
			if a := q.Figure("charge_a"); !a.Known() || a.Value > 0 {
				port = "dc"
			}
		case &components.SolarController:
			port = "battery"
		case &components.DCCharger, &components.Alternator:
			port = "out"
		}
		if port == "" {
			continue
		}
		if t, ok := p.Circuit.At(q.ID, port, components.Pos); ok && p.Circuit.Net(t) == net {
			sources = append(sources, q)
		}
	}
	return sources
}

// tellsNo tells whether a truth field is known to be false.
func tellsNo(q components.Part, key string) bool {
	v, from := q.Value(key)
	return from != components.Missing && !v.Truth()
}
