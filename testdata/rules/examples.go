// Package examples holds the rigs that the rules are held to, so that the page of
// a rule can show one that fails and the same put right.
package examples

import "embed"

// Files are RULE.yaml, which fails, and RULE.fixed.yaml, which does not.
//
//go:embed *.yaml
var Files embed.FS
