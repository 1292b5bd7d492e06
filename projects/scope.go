package projects

import (
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// scope is the part, run or list that is being read: faults begin with its name.
type scope struct {
	*reader
	where   string // "part BAT1: ", or ""
	address string // "BAT1", or ""
}

func (s scope) fault(n *yaml.Node, format string, args ...any) {
	s.reader.fault(n, s.where+format, args...)
}

// entry is one key of a mapping with its value.
type entry struct{ key, value *yaml.Node }

// entries are the keys of a mapping that are known; the others are faults. It is
// nil where n is no mapping. hint may say where an unknown key belongs.
func (s scope) entries(n *yaml.Node, what string, keys []string, hint func(key string) string) map[string]entry {
	found := map[string]entry{}
	if empty(n) {
		return found
	}
	if n.Kind != yaml.MappingNode {
		s.fault(n, "%s is %s: want keys and values, as in %s: …", what, shown(n), keys[0])
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode {
			s.fault(k, "a key of %s is %s: want a word", what, shown(k))
			continue
		}
		if first, doubled := found[k.Value]; doubled {
			s.fault(k, "key %q is told twice: it stands at line %d already", k.Value, first.key.Line)
			continue
		}
		if !slices.Contains(keys, k.Value) {
			why := ""
			if hint != nil {
				why = hint(k.Value)
			}
			if why == "" {
				why = s.unknownWord("key", k.Value, keys)
			}
			s.fault(k, "%s", why)
			continue
		}
		found[k.Value] = entry{k, v}
		if s.address != "" {
			s.index.put(s.address+"."+k.Value, k.Line, k.Column)
		} else {
			s.index.put(k.Value, k.Line, k.Column)
		}
	}
	return found
}

// tag reads the id of a part or run and tells whether it can be used.
func (s scope) tag(n *yaml.Node) (components.ID, bool) {
	if n.Kind != yaml.ScalarNode || empty(n) {
		s.fault(n, "id is %s: want a tag, as in BAT1", shown(n))
		return "", false
	}
	id := components.ID(n.Value)
	if err := components.ValidID(id); err != nil {
		s.fault(n, "tag %q: want 1 to 64 characters without dots or spaces", clip(n.Value))
		return "", false
	}
	if line, taken := s.lines[id]; taken {
		s.fault(n, "tag %s is taken: it stands at line %d already", id, line)
		return id, false
	}
	s.lines[id] = n.Line
	return id, true
}

// lookup looks a key up in a mapping, for what must be known before the rest.
func lookup(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// opened makes the scope of an entry of parts, runs or another list: its tag, or
// its number where it has none.
func (r *reader) opened(n *yaml.Node, what, key string, i int) scope {
	s := scope{reader: r, where: fmt.Sprintf("%s %d: ", what, i+1)}
	if id := lookup(n, key); id != nil && id.Kind == yaml.ScalarNode && !empty(id) && id.Value != "" {
		s.where = fmt.Sprintf("%s %s: ", what, clip(id.Value))
		s.address = id.Value
	}
	return s
}

// missing reports a key that must be told.
func (s scope) missing(n *yaml.Node, key, want string) {
	s.fault(n, "%s is missing: want %s", key, want)
}
