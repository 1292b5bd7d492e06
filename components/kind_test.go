package components

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// specs gives each kind the specs whose ports differ.
func specs(k *Kind) []Spec {
	s := Spec{}
	for _, f := range k.Fields {
		if f.Default.Known() {
			continue
		}
		switch f.Type {
		case Number:
			s[f.Key] = Num(max(f.Min, 1))
		case Choice:
			s[f.Key] = Str(f.Choices[0])
		}
	}
	all := []Spec{s}
	for _, f := range k.Fields {
		if !f.Shapes {
			continue
		}
		switch f.Type {
		case Choice:
			for _, c := range f.Choices {
				all = append(all, s.With(f.Key, Str(c)))
			}
		case Number:
			all = append(all, s.With(f.Key, Num(f.Max)))
		case Truth:
			all = append(all, s.With(f.Key, Yes(true)))
		case Rows:
			all = append(all, s.With(f.Key, Table(Spec{"leg": Str("L1"), "breaker_a": Num(15), "fuse_a": Num(10)}, Spec{"leg": Str("both"), "breaker_a": Num(30), "fuse_a": Num(15)})))
		}
	}
	return all
}

// Every port of every kind lies on a whole module outside the symbol's body, and
// every join names poles that its ports have.
func TestKindsAreWellFormed(t *testing.T) {
	seen := map[string]bool{}
	for _, k := range Catalog {
		assert.False(t, seen[k.ID], k.ID)
		seen[k.ID] = true
		assert.NotEmpty(t, k.Title, k.ID)
		assert.NotEmpty(t, k.Help, k.ID)
		assert.NotEmpty(t, k.Prefix, k.ID)
		assert.Contains(t, Groups, k.Group, k.ID)
		for _, f := range k.Fields {
			assert.NotEmpty(t, f.Title, "%s.%s", k.ID, f.Key)
			if f.Default.Known() {
				assert.NotEmpty(t, f.DefaultFrom, "%s.%s has a default from nowhere", k.ID, f.Key)
				assert.NoError(t, f.Check(f.Default), "%s.%s", k.ID, f.Key)
			}
		}
		for _, s := range specs(k) {
			ports := map[string]Port{}
			for _, p := range k.Ports(s) {
				ports[p.Name] = p
				assert.NotEmpty(t, p.Poles, "%s.%s", k.ID, p.Name)
				for _, l := range append([]Landing{{At: p.At}}, p.Landings...) {
					assert.Zero(t, l.At.X%Module, "%s.%s x", k.ID, p.Name)
					assert.Zero(t, l.At.Y%Module, "%s.%s y", k.ID, p.Name)
				}
			}
			for _, j := range k.Joins(s) {
				for _, e := range []struct {
					port string
					pole Pole
				}{{j.APort, j.APole}, {j.BPort, j.BPole}} {
					if e.port == "bar" && k == &Panel {
						continue // inside the panel
					}
					p, ok := ports[e.port]
					assert.True(t, ok && p.Has(e.pole), "%s joins %s.%s, which it has not", k.ID, e.port, e.pole)
				}
			}
			assert.NotEmpty(t, k.Symbol(s).Strokes, k.ID)
			_ = k.Rating(s)
		}
	}
}

func TestTurns(t *testing.T) {
	p := Part{Kind: &Fuse, Turn: 90, Spec: Spec{}}
	port, _ := p.Port("line")
	assert.Equal(t, Point{0, -20}, port.At)
	assert.Equal(t, Top, port.Side)
}

func TestFieldsReadWhatAPersonTypes(t *testing.T) {
	f, _ := Fuse.Field("rating_a")
	v, err := f.Parse("300 A")
	assert.NoError(t, err)
	assert.Equal(t, 300.0, v.Num())
	v, err = f.Parse("?")
	assert.NoError(t, err)
	assert.True(t, v.IsUnknown())
	_, err = f.Parse("2,5")
	assert.ErrorContains(t, err, "want a number")
	_, err = f.Parse("5000")
	assert.ErrorContains(t, err, "want 0.1 to 1000 A")
	fam, _ := Fuse.Field("family")
	_, err = fam.Parse("clas-t")
	assert.ErrorContains(t, err, `did you mean "class-t"?`)
}
