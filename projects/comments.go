package projects

import (
	"strings"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// endOfFile is the address of what a hand wrote below the last entry. It holds a
// space, which no tag may.
const endOfFile = "end of file"

// comments gathers what a hand wrote above and beside the keys of the project,
// the parts and the runs. What stands within one of these goes above it, begun
// with the key that it stood at, so that nothing is lost. The # and the space
// after it are not part of the text.
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
	end := lines(bare("", root.FootComment), bare("", top.FootComment))
	for i := 0; i+1 < len(top.Content); i += 2 {
		k, v := top.Content[i], top.Content[i+1]
		c := components.Comment{Above: bare("", k.HeadComment), Beside: bare("", k.LineComment)}
		if i == 0 {
			c.Above = lines(bare("", root.HeadComment), bare("", top.HeadComment), c.Above)
		}
		if inLine := v.Kind == yaml.ScalarNode || v.Style&yaml.FlowStyle != 0; inLine && c.Beside == "" {
			c.Beside, v.LineComment = bare("", v.LineComment), ""
		}
		below := bare("", k.FootComment)
		if k.Value == "parts" || k.Value == "runs" {
			c.Above = lines(c.Above, bare("", v.HeadComment), bare("", v.LineComment))
			below = lines(bare("", v.FootComment), below)
			for j, n := range v.Content {
				ec := entryComment(n)
				if j == len(v.Content)-1 {
					ec.Above, below = lines(ec.Above, below), ""
				}
				if id := lookup(n, "id"); id != nil {
					put(id.Value, ec)
				}
			}
		} else {
			c.Above = lines(c.Above, within(v, ""))
		}
		if i+2 == len(top.Content) {
			end = lines(below, end)
		} else {
			c.Above = lines(c.Above, below)
		}
		put(topAddress(r.doc, k.Value), c)
	}
	put(endOfFile, components.Comment{Above: end})
	if len(all) == 0 {
		return nil
	}
	return all
}

// topAddress is the address of a key of the project. Where a part or run has the
// key's word for a tag, the word is the tag's.
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
// line of its id, or behind it where all of it is in one line.
func entryComment(n *yaml.Node) components.Comment {
	var c components.Comment
	take := func(comment *string) {
		if c.Beside == "" {
			c.Beside, *comment = strings.ReplaceAll(bare("", *comment), "\n", " "), ""
		}
	}
	if n.Style&yaml.FlowStyle != 0 {
		take(&n.LineComment)
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if k, v := n.Content[i], n.Content[i+1]; k.Value == "id" {
			take(&k.LineComment)
			take(&v.LineComment)
		}
	}
	c.Above = within(n, "")
	return c
}

// within lists the comments of a node and of all that is in it, in the order of
// the file. Each begins with the key that it stood at.
func within(n *yaml.Node, key string) string {
	all := []string{bare(key, n.HeadComment), bare(key, n.LineComment)}
	for i, c := range n.Content {
		inner := key
		if n.Kind == yaml.MappingNode {
			if inner = n.Content[i&^1].Value; inner == "id" {
				inner = ""
			}
		} else if n.Kind == yaml.SequenceNode {
			for _, name := range []string{"label", "name", "rule"} {
				if named := lookup(c, name); named != nil && named.Value != "" {
					inner = named.Value
					break
				}
			}
		}
		all = append(all, within(c, inner))
	}
	return lines(append(all, bare("", n.FootComment))...)
}

// bare is a comment without its # and without empty lines, begun with a key.
func bare(key, comment string) string {
	var all []string
	for line := range strings.SplitSeq(comment, "\n") {
		line = strings.TrimSpace(line)
		if text, isComment := strings.CutPrefix(line, "#"); isComment {
			all = append(all, strings.TrimRight(strings.TrimPrefix(text, " "), " \t"))
		}
	}
	if key != "" && len(all) > 0 {
		all[0] = key + ": " + all[0]
	}
	return strings.Join(all, "\n")
}

// lines joins what is not empty.
func lines(texts ...string) string {
	var all []string
	for _, s := range texts {
		if s != "" {
			all = append(all, s)
		}
	}
	return strings.Join(all, "\n")
}
