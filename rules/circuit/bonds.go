package circuit

import "rigline/components"

// Bond is one place where a neutral meets ground, or a negative meets the frame.
type Bond struct {
	Link int
	At   string // "SH", "GEN", "PNL", "W7"
	Via  string // "site bond", "ground relay", …
}

// Island is the live network of one AC source: the source, its neutral's net,
// and the bonds that this net meets. Neutrals that no contact opens conduct in
// every state, also towards sources that are off.
type Island struct {
	Source components.ID
	Neut   Term
	Bonds  []Bond
}

// Islands are the live AC networks of the state, one for each source part, in
// tag order. The right number of bonds is one.
func (c *Circuit) Islands() []Island {
	var islands []Island
	seen := map[components.ID]bool{}
	for _, s := range c.Sources {
		if seen[s.Part] || !c.Terms[s.Hot].Pole.Hot() {
			continue
		}
		seen[s.Part] = true
		islands = append(islands, Island{Source: s.Part, Neut: s.Return, Bonds: c.BondsOn(s.Return)})
	}
	return islands
}

// BondEnds are the terminal of the conductor that a bond grounds, and that of the ground.
func (c *Circuit) BondEnds(bond Link) (conductor, ground Term) {
	if c.Terms[bond.A].Pole == components.G {
		return bond.B, bond.A
	}
	return bond.A, bond.B
}

// BondsOn are the closed bonds that a terminal's net meets.
func (c *Circuit) BondsOn(t Term) []Bond {
	net := c.nets[t]
	var bonds []Bond
	for i, l := range c.Links {
		if !l.Closed || !l.Bond {
			continue
		}
		if n, _ := c.BondEnds(l); c.nets[n] == net {
			via := l.Join.Via
			if l.Run != "" {
				via = "core " + l.Core.String()
			}
			bonds = append(bonds, Bond{Link: i, At: l.Address(), Via: via})
		}
	}
	return bonds
}

// Meeting is a place where two sources that do not know of each other feed one
// conductor, or where two legs of one source that are not in phase are joined.
type Meeting struct {
	At   Term
	A, B components.ID
}

// Meetings are the AC nets that more than one source part feeds.
func (c *Circuit) Meetings() []Meeting {
	first := map[int32]Source{}
	var met []Meeting
	seen := map[[2]components.ID]bool{}
	for _, s := range c.Sources {
		if !c.Terms[s.Hot].Pole.Hot() {
			continue
		}
		net := c.nets[s.Hot]
		o, ok := first[net]
		if !ok {
			first[net] = s
			continue
		}
		pair := [2]components.ID{o.Part, s.Part}
		if (o.Part != s.Part || o.Degrees != s.Degrees) && !o.sharesWith(s) && !seen[pair] {
			seen[pair] = true
			met = append(met, Meeting{At: s.Hot, A: o.Part, B: s.Part})
		}
	}
	return met
}

// SameGround tells whether two terminals are joined by ground conductors, frame
// and closed contacts, bonds left open.
func (c *Circuit) SameGround(a, b Term) bool { return c.nets[a] == c.nets[b] }

// Feeds are the sources whose hot net a terminal belongs to.
func (c *Circuit) Feeds(t Term) []Source {
	return c.fedBy[c.nets[t]]
}

// Phase is how two hot terminals stand to each other.
type Phase int

// The relations: one of them dead, 240 V apart, 208 V apart, or 0 V apart.
const (
	OneDead Phase = iota
	Opposite
	Wye
	InPhase
)

// PhaseOf tells how two hot terminals stand to each other in this state.
func (c *Circuit) PhaseOf(a, b Term) Phase {
	fa, fb := c.Feeds(a), c.Feeds(b)
	if len(fa) == 0 || len(fb) == 0 {
		return OneDead
	}
	d := int(fa[0].Degrees-fb[0].Degrees+720) % 360
	switch d {
	case 0:
		return InPhase
	case 180:
		return Opposite
	}
	return Wye
}

// Nets numbers the sets of terminals that the chosen links join, each by its
// lowest terminal.
func (c *Circuit) Nets(use func(*Link) bool) []Term {
	up := c.union(use)
	nets := make([]Term, len(up))
	for i, n := range up {
		nets[i] = Term(n)
	}
	return nets
}
