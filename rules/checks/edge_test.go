package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// edge is one case of a rule near its limit: what is changed on a rig, and what
// the rule then says where. No words mean that it looked and is content.
type edge struct {
	name  string
	edits []components.Edit
	at    string
	says  string // part of the message
	asks  bool   // the rule lacks a figure
	from  string // where the answer comes from
}

// edges holds one rule to its edges on one rig.
func edges(t *testing.T, rig, rule string, cases []edge) {
	t.Helper()
	doc := load(t, rig)
	for _, c := range cases {
		t.Run(rule+"/"+c.name, func(t *testing.T) {
			next, err := doc.Apply(c.edits...)
			require.NoError(t, err)
			r := check(t, next)
			found := r.All()
			if c.asks {
				found = r.Unchecked
			}
			for _, f := range append(r.All(), r.Unchecked...) {
				if f.Rule.ID == rule && f.At == c.at && c.says == "" {
					t.Errorf("%s: want silence, got %s", c.from, f.Message)
				}
			}
			if c.says == "" {
				return
			}
			for _, f := range found {
				if f.Rule.ID == rule && f.At == c.at {
					assert.Contains(t, f.Message, c.says, c.from)
					return
				}
			}
			t.Errorf("%s: %s says nothing at %s, want %q", c.from, rule, c.at, c.says)
		})
	}
}

func num(on components.ID, key string, v float64) components.Edit {
	return set(on, key, components.Num(v))
}

func word(on components.ID, key, v string) components.Edit { return set(on, key, components.Str(v)) }

func unknown(on components.ID, key string) components.Edit { return set(on, key, components.Unknown) }
