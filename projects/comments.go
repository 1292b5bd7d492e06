package projects

import (
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// endOfFile is the address of what a hand wrote below the last entry. It holds a
// space, which no tag may.
const endOfFile = "end of file"

// comments gathers what a hand wrote above and beside the keys of the project,
// the parts and the runs. What stands within one of these goes above it, so that
// nothing is lost. The # and the space after it are not part of the text.
func (r *reader) comments(root *yaml.Node) map[string]components.Comment {
	all := map[string]components.Comment{}
	put := func(address string, c components.Comment) {
		if c != (components.Comment{}) {
			all[address] = c
		}
	}
	top := root.Content[0]
	if top.Kind != yaml.MappingNode {
		return nil
	}
	foot := bare(root.FootComment, top.FootComment)
	for i := 0; i+1 < len(top.Content); i += 2 {
		k, v := top.Content[i], top.Content[i+1]
		c := components.Comment{Above: bare(k.HeadComment), Beside: bare(k.LineComment)}
		if i == 0 {
			c.Above = bare(root.HeadComment, top.HeadComment, k.HeadComment)
		}
		if inLine := v.Kind == yaml.ScalarNode || v.Style&yaml.FlowStyle != 0; inLine && c.Beside == "" {
			c.Beside, v.LineComment = bare(v.LineComment), ""
		}
		if k.Value != "parts" && k.Value != "runs" || v.Kind != yaml.SequenceNode {
			c.Above = join(c.Above, bare(gather(v)...))
			if below := bare(k.FootComment); i+2 == len(top.Content) {
				foot = join(below, foot)
			} else {
				c.Above = join(c.Above, below)
			}
			put(r.topAddress(k.Value), c)
			continue
		}
		c.Above = join(c.Above, bare(v.HeadComment, v.LineComment))
		after := join(bare(v.FootComment), bare(k.FootComment))
		for j, n := range v.Content {
			ec := entryComment(n)
			if j == len(v.Content)-1 && after != "" {
				ec.Above = join(ec.Above, after)
				after = ""
			}
			if id := lookup(n, "id"); id != nil {
				put(id.Value, ec)
			}
		}
		c.Above = join(c.Above, after)
		put(r.topAddress(k.Value), c)
	}
	put(endOfFile, components.Comment{Above: foot})
	if len(all) == 0 {
		return nil
	}
	return all
}

// topAddress is the address of a key of the project. Where a part or run has the
// key's word for a tag, the word is the tag's.
func (r *reader) topAddress(key string) string { return topAddress(r.doc, key) }

func topAddress(doc *components.Document, key string) string {
	id := components.ID(key)
	_, part := doc.Part(id)
	_, run := doc.Run(id)
	if part || run {
		return "." + key
	}
	return key
}

// entryComment is the comment of one part or run: beside is what stands in the
// line of its id.
func entryComment(n *yaml.Node) components.Comment {
	var c components.Comment
	beside := []string{}
	if n.Style&yaml.FlowStyle != 0 {
		beside = append(beside, n.LineComment)
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if k, v := n.Content[i], n.Content[i+1]; k.Value == "id" {
			beside = append(beside, k.LineComment, v.LineComment)
		}
	}
	beside = slices.DeleteFunc(beside, func(s string) bool { return s == "" })
	above := gather(n)
	if len(beside) > 0 {
		c.Beside = strings.ReplaceAll(bare(beside[0]), "\n", " ")
		if i := slices.Index(above, beside[0]); i >= 0 {
			above = slices.Delete(above, i, i+1)
		}
	}
	c.Above = bare(above...)
	return c
}

// gather lists the comments of a node and all that is in it, in the order of the
// file.
func gather(n *yaml.Node) []string {
	var all []string
	add := func(s string) {
		if s != "" {
			all = append(all, s)
		}
	}
	add(n.HeadComment)
	add(n.LineComment)
	for _, c := range n.Content {
		all = append(all, gather(c)...)
	}
	add(n.FootComment)
	return all
}

// bare joins comments without their # and without empty lines between them.
func bare(comments ...string) string {
	var lines []string
	for _, c := range comments {
		for line := range strings.SplitSeq(c, "\n") {
			line = strings.TrimSpace(line)
			if text, isComment := strings.CutPrefix(line, "#"); isComment {
				lines = append(lines, strings.TrimRight(strings.TrimPrefix(text, " "), " \t"))
			}
		}
	}
	return strings.Join(lines, "\n")
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "\n" + b
}
