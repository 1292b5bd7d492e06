package command

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

func TestAdviceAndAcceptedAreLeft(t *testing.T) {
	tip := rules.Finding{Rule: &rules.Rule{ID: "tip"}, Level: rules.Advice}
	taken := rules.Finding{Rule: tip.Rule, Level: rules.Danger, Accepted: &components.Acceptance{Reason: "measured"}}
	open := rules.Finding{Rule: tip.Rule, Level: rules.Violation}
	assert.False(t, toRepair("", false)(tip))
	assert.True(t, toRepair("", true)(tip))
	assert.False(t, toRepair("", true)(taken))
	assert.True(t, toRepair("", false)(open))
	assert.True(t, toRepair("tip", true)(tip), "advice that is asked for by name")
	assert.False(t, toRepair("other", true)(open))
}

func TestWas(t *testing.T) {
	doc, _, err := projects.Read("rig.yaml", []byte(`format: rigline/1
title: t
parts:
  - {id: F1, kind: fuse, at: [0, 0], spec: {family: class-t, rating_a: unknown}}
`))
	require.NoError(t, err)
	set := func(key string, v components.Value) string {
		return was(doc, components.Set{On: "F1", Key: key, Value: v})
	}
	assert.Equal(t, "Set rating_a of F1 to 80 (was unknown)", set("rating_a", components.Num(80)))
	assert.Equal(t, "Set volts_dc of F1 to 80 (was not told)", set("volts_dc", components.Num(80)))
	assert.Equal(t, "Set pole of F1 to - (was + by default)", set("pole", components.Str("-")))
	assert.Equal(t, "Remove F1", was(doc, components.RemovePart{ID: "F1"}))
}
