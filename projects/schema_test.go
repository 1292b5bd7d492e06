package projects

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"
)

func compiledSchema(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("project.json", doc))
	s, err := c.Compile("project.json")
	require.NoError(t, err)
	return s
}

// jsonValue reads YAML as an editor does that checks it against a schema: by the
// core types of YAML 1.2, where on, off and a date are text.
func jsonValue(n *yaml.Node) (any, error) {
	switch n.Kind {
	case yaml.DocumentNode:
		return jsonValue(n.Content[0])
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i+1 < len(n.Content); i += 2 {
			v, err := jsonValue(n.Content[i+1])
			if err != nil {
				return nil, err
			}
			m[n.Content[i].Value] = v
		}
		return m, nil
	case yaml.SequenceNode:
		list := []any{}
		for _, c := range n.Content {
			v, err := jsonValue(c)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		return list, nil
	case yaml.AliasNode:
		return nil, fmt.Errorf("alias %s", n.Value)
	}
	switch n.ShortTag() {
	case "!!null":
		return nil, nil
	case "!!bool":
		return strconv.ParseBool(n.Value)
	case "!!int", "!!float":
		if v, err := strconv.ParseFloat(n.Value, 64); err == nil {
			return json.Number(strconv.FormatFloat(v, 'f', -1, 64)), nil
		}
	}
	return n.Value, nil
}

func against(t *testing.T, s *jsonschema.Schema, data []byte) error {
	t.Helper()
	var n yaml.Node
	if err := yaml.Unmarshal(data, &n); err != nil {
		return err
	}
	if n.Kind == 0 {
		return s.Validate(nil)
	}
	v, err := jsonValue(&n)
	if err != nil {
		return err
	}
	return s.Validate(v)
}

func TestSchemaTakesWhatReads(t *testing.T) {
	s := compiledSchema(t)
	files := map[string][]byte{}
	for _, sample := range shelves() {
		files[sample.Name] = sample.Data
		files[sample.Name+" as written"] = Write(sample.Document())
	}
	for _, name := range []string{"canonical.yaml", "hand.yaml", "hand.canonical.yaml"} {
		data, err := os.ReadFile(filepath.Join("testdata", name))
		require.NoError(t, err)
		files[name] = data
	}
	for name, data := range files {
		_, _, err := Read(name, data)
		require.NoError(t, err)
		assert.NoError(t, against(t, s, data), name)
	}
}

// blindSpots are the broken files whose faults no schema can see, and why.
var blindSpots = map[string]string{
	"doubled-keys.yaml":  "a schema is given the last of both",
	"doubled-tags.yaml":  "a schema compares no entries",
	"two-documents.yaml": "a schema is given the first",
	"tags.yaml":          "a schema is given the values, not how they are written",
	"utf-16.yaml":        "a schema is given text, whatever its bytes were",
}

func TestSchemaRefusesBrokenFiles(t *testing.T) {
	s := compiledSchema(t)
	for _, file := range brokenFiles(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		err = against(t, s, data)
		if why, blind := blindSpots[filepath.Base(file)]; blind {
			assert.NoError(t, err, "%s: listed as a blind spot (%s), which it is not", file, why)
			continue
		}
		assert.Error(t, err, file)
	}
}

// Each fault here is alone in its file, so that the schema cannot fail it for
// another.
func TestSchemaSeesSingleFaults(t *testing.T) {
	s := compiledSchema(t)
	const fuse = "format: rigline/1\nparts:\n  - {id: F1, kind: fuse, spec: {family: anl, rating_a: 100}}\n"
	require.NoError(t, against(t, s, []byte(fuse)))
	for _, c := range []struct{ name, data string }{
		{"later version", "format: rigline/2\n"},
		{"no format", "title: x\n"},
		{"unknown key", fuse + "foo: 1\n"},
		{"unknown kind", "format: rigline/1\nparts: [{id: A, kind: batery}]\n"},
		{"required field left out", "format: rigline/1\nparts: [{id: A, kind: fuse, spec: {family: anl}}]\n"},
		{"required spec left out", "format: rigline/1\nparts: [{id: A, kind: fuse}]\n"},
		{"key of another kind", "format: rigline/1\nparts: [{id: A, kind: fuse, spec: {family: anl, rating_a: 5, chemistry: lfp}}]\n"},
		{"shape unknown", "format: rigline/1\nparts: [{id: A, kind: shore, spec: {service: unknown}}]\n"},
		{"number in words", "format: rigline/1\nparts: [{id: A, kind: fuse, spec: {family: anl, rating_a: many}}]\n"},
		{"out of range", "format: rigline/1\nparts: [{id: A, kind: fuse, spec: {family: anl, rating_a: -1}}]\n"},
		{"off the grid", "format: rigline/1\nparts: [{id: A, kind: chassis, at: [5, 0]}]\n"},
		{"off the sheet", "format: rigline/1\nparts: [{id: A, kind: chassis, at: [30000, 0]}]\n"},
		{"turn", "format: rigline/1\nparts: [{id: A, kind: chassis, turn: 45}]\n"},
		{"tag with a dot", "format: rigline/1\nparts: [{id: A.B, kind: chassis}]\n"},
		{"row key", "format: rigline/1\nparts: [{id: A, kind: panel, spec: {bus_a: 50, circuits: [{leg: L1, breaker_a: 20, x: 1}]}}]\n"},
		{"core", fuse + "runs: [{id: W, from: F1.line, to: F1.load, cores: [X]}]\n"},
		{"no cores", fuse + "runs: [{id: W, from: F1.line, to: F1.load, cores: []}]\n"},
		{"no port", fuse + "runs: [{id: W, from: F1, to: F1.load}]\n"},
		{"both lengths", fuse + "runs: [{id: W, from: F1.line, to: F1.load, length_ft: 1, length_m: 1}]\n"},
		{"size", fuse + "runs: [{id: W, from: F1.line, to: F1.load, size: thick}]\n"},
		{"state without a name", "format: rigline/1\nstates: [{shore: off}]\n"},
		{"shore of a state", "format: rigline/1\nstates: [{name: A, shore: 50a}]\n"},
		{"acceptance without a reason", "format: rigline/1\naccepted: [{rule: a.b}]\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, _, err := Read("rig.yaml", []byte(c.data))
			require.Error(t, err, "the reader takes it")
			assert.Error(t, against(t, s, []byte(c.data)))
		})
	}
}

// The word unknown is taken where the reader takes it: each field that a sample
// tells of each kind is tried alone.
func TestSchemaAgreesOnUnknown(t *testing.T) {
	s := compiledSchema(t)
	tried := map[string]bool{}
	for _, sample := range Samples() {
		var n yaml.Node
		require.NoError(t, yaml.Unmarshal(sample.Data, &n))
		for _, list := range []string{"parts", "runs"} {
			for _, entry := range lookup(n.Content[0], list).Content {
				spec := entry
				if list == "parts" {
					if spec = lookup(entry, "spec"); spec == nil {
						continue
					}
				}
				for i := 1; i < len(spec.Content); i += 2 {
					field := list + spec.Content[i-1].Value
					if list == "parts" {
						field = lookup(entry, "kind").Value + "." + field
					}
					if tried[field] {
						continue
					}
					tried[field] = true
					value := spec.Content[i]
					old := *value
					*value = yaml.Node{Kind: yaml.ScalarNode, Value: "unknown"}
					data, err := yaml.Marshal(&n)
					require.NoError(t, err)
					*value = old
					_, _, readErr := Read("rig.yaml", data)
					schemaErr := against(t, s, data)
					if readErr == nil {
						assert.NoError(t, schemaErr, field)
					}
				}
			}
		}
	}
}
