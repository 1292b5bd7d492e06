package projects

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
)

// schema is a piece of a JSON Schema.
type schema = map[string]any

// Schema gives a JSON Schema (draft 2020-12) of the project file, made from the
// kinds, for editors that complete and check YAML. It lets through whatever Read
// reads; Read sees more, since a schema knows nothing of runs that end at no port,
// doubled tags and keys, or digits grouped by underscores.
func Schema() []byte {
	text, err := json.MarshalIndent(projectSchema(), "", "  ")
	if err != nil {
		panic(fmt.Sprintf("schema: %v", err)) // it holds nothing but text, numbers and lists
	}
	return append(text, '\n')
}

func projectSchema() schema {
	properties := schema{
		"format":           schema{"const": Version, "description": "The version of the format."},
		"title":            textSchema("What the drawing is called."),
		"rig":              rigSchema(),
		"basis":            schema{"enum": bases, "description": "The rule set that the rig is held against."},
		"units":            schema{"enum": unitSystems, "description": "For presentation; the keys of the file carry their own units."},
		"ambient_c":        schema{"type": "number", "minimum": ambientLow, "maximum": ambientHigh, "description": "Air around conductors unless a run says otherwise, °C."},
		"conductor_temp_c": schema{"type": "number", "minimum": conductorLow, "maximum": conductorHigh, "description": "Conductor temperature at which resistance is computed, °C."},
		"ampacity":         schema{"enum": ampacities, "description": "By which tables conductors carry: each construction's own, or DC cable too as in a raceway, where that is less. AC conductors are held to enclosed tables in any case."},
		"parts":            listSchema(schema{"$ref": "#/$defs/part"}, maxParts, "What the rig is made of."),
		"runs":             listSchema(schema{"$ref": "#/$defs/run"}, maxRuns, "The cables between the parts."),
		"states":           listSchema(stateSchema(), maxStates, "Ways in which the rig is used. Left out: worked out from the parts."),
		"revisions":        listSchema(revisionSchema(), maxRevisions, "The issues of the drawing, the oldest first."),
		"notes":            listSchema(noteSchema(), maxNotes, "Mark-ups on the sheet."),
		"accepted":         listSchema(acceptedSchema(), maxAccepted, "Findings taken as they are, each with a reason."),
		"readings":         listSchema(readingSchema(), maxReadings, "What was measured at the items of the checklist."),
	}
	defs := schema{"part": partSchema(), "run": runSchema(), "tag": tagSchema()}
	for _, k := range components.Catalog {
		defs["spec-"+k.ID] = specSchema(k.Fields)
	}
	s := object(properties, "format")
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["$id"] = "urn:rigline:project:1"
	s["title"] = "rigline project, version 1"
	s["$defs"] = defs
	return s
}

// object is a group of keys, no others allowed.
func object(properties schema, required ...string) schema {
	s := schema{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	return s
}

// optional is an object that may be left empty.
func optional(s schema) schema {
	s["type"] = []string{"object", "null"}
	return s
}

// textSchema takes what Read takes for text: any scalar, as it is written.
func textSchema(description string) schema {
	return schema{"type": []string{"string", "number", "boolean", "null"}, "maxLength": maxText, "description": description}
}

func listSchema(items schema, most int, description string) schema {
	return schema{"type": []string{"array", "null"}, "items": items, "maxItems": most, "description": description}
}

func tagSchema() schema {
	return schema{"type": []string{"string", "number", "boolean"}, "minLength": 1, "maxLength": 64, "pattern": `^[^.\x00-\x20\x7f]+$`,
		"description": "A tag, as on the drawing: no dots, no spaces."}
}

func pointSchema(onGrid bool) schema {
	coordinate := schema{"type": "integer", "minimum": -sheetEdge, "maximum": sheetEdge}
	if onGrid {
		coordinate["multipleOf"] = components.Module
	}
	return schema{"type": "array", "items": coordinate, "minItems": 2, "maxItems": 2, "description": "Across and down the sheet, in sheet units: 10 is one module of 2.5 mm."}
}

func rigSchema() schema {
	properties := schema{}
	for _, key := range rigKeys {
		properties[key] = textSchema("For the title block.")
	}
	return optional(object(properties))
}

func partSchema() schema {
	buy := schema{}
	for _, key := range buyKeys {
		buy[key] = textSchema("For the bill of materials.")
	}
	buy["price"] = schema{"type": "number", "minimum": 0, "maximum": priceHigh}
	s := object(schema{
		"id":     schema{"$ref": "#/$defs/tag"},
		"kind":   schema{"enum": components.KindIDs(), "description": "What the part is."},
		"name":   textSchema("What a person calls it."),
		"at":     pointSchema(true),
		"turn":   schema{"enum": []int{0, 90, 180, 270}, "default": 0, "description": "Degrees clockwise."},
		"pinned": schema{"type": "boolean", "default": false, "description": "Tidying the sheet leaves it where it is."},
		"status": statusSchema(),
		"spec":   true,
		"buy":    optional(object(buy)),
		"note":   textSchema("A remark."),
	}, "id", "kind")
	var kinds []schema
	for _, k := range components.Catalog {
		then := schema{"properties": schema{"spec": schema{"$ref": "#/$defs/spec-" + k.ID}}}
		if slices.ContainsFunc(k.Fields, func(f components.Field) bool { return f.Required }) {
			then["required"] = []string{"spec"}
		}
		kinds = append(kinds, schema{
			"if":   schema{"properties": schema{"kind": schema{"const": k.ID}}, "required": []string{"kind"}},
			"then": then,
		})
	}
	s["allOf"] = kinds
	return s
}

func statusSchema() schema {
	return schema{"enum": components.Statuses, "default": string(components.New), "description": "What the retrofit does with it."}
}

func runSchema() schema {
	end := schema{"type": "string", "pattern": `^[^.]+\..+$`, "description": "PART.PORT, as in BAT1.pos."}
	properties := fieldSchemas(components.RunFields)
	properties["id"] = schema{"$ref": "#/$defs/tag"}
	properties["from"], properties["to"] = end, end
	properties["cores"] = schema{"type": "array", "minItems": 1, "uniqueItems": true,
		"items":       schema{"type": "string", "pattern": corePattern()},
		"description": "Left out: every pole that both ports have. L>L1 joins two different poles."}
	feet, _ := components.RunField("length_ft")
	metres := *feet
	metres.Key, metres.Unit, metres.Min, metres.Max = lengthMetres, "m", feet.Min/feetPerMetre, feet.Max/feetPerMetre
	properties[lengthMetres] = fieldSchema(&metres)
	properties["status"] = statusSchema()
	properties["path"] = listSchema(pointSchema(true), maxBends, "Bend points.")
	properties["note"] = textSchema("A remark.")
	s := object(properties, "id", "from", "to")
	s["not"] = schema{"required": []string{"length_ft", lengthMetres}}
	return s
}

// corePattern matches a pole, or two with a > between.
func corePattern() string {
	var words []string
	for _, p := range components.Poles {
		words = append(words, strings.ReplaceAll(string(p), "+", `\+`))
	}
	pole := `\s*(` + strings.Join(words, "|") + `)\s*`
	return "^" + pole + "(>" + pole + ")?$"
}

func stateSchema() schema {
	tags := schema{"type": "array", "items": schema{"$ref": "#/$defs/tag"}, "uniqueItems": true}
	some := schema{"type": "array", "items": schema{"$ref": "#/$defs/tag"}, "uniqueItems": true, "minItems": 1}
	share := schema{"type": "number", "minimum": 0, "maximum": 1}
	return object(schema{
		"name":      textSchema("What the state is called."),
		"shore":     schema{"enum": shores, "description": "The site supply, or an adapter that bridges the legs."},
		"generator": schema{"enum": onOff},
		"sun":       share,
		"engine":    schema{"enum": onOff},
		"soc":       share,
		"off":       tags,
		"on":        some,
		"bypass":    schema{"type": "boolean", "description": "Transfer switches turned by hand stand at b."},
	}, "name")
}

func revisionSchema() schema {
	return object(schema{
		"letter": schema{"type": []string{"string", "number", "boolean"}, "minLength": 1, "maxLength": maxText, "description": "The letter or number of the revision."},
		"date":   textSchema("The day, as in 2026-11-25."),
		"what":   textSchema("What it changes."),
		"by":     textSchema("Who drew it."),
	}, "letter")
}

func noteSchema() schema {
	return object(schema{"form": schema{"enum": noteForms}, "at": pointSchema(false), "to": pointSchema(false), "text": textSchema("What it says.")}, "at")
}

func acceptedSchema() schema {
	return object(schema{
		"rule":   textSchema("The rule of the finding."),
		"on":     schema{"type": []string{"array", "null"}, "items": textSchema("A tag or another address of the finding."), "maxItems": maxWords},
		"reason": textSchema("Why it is accepted."),
		"by":     textSchema("Who accepts it."),
		"level":  schema{"enum": acceptedLevels, "description": "How bad it was when it was accepted: one that is worse by now stands open."},
	}, "rule", "reason")
}

func readingSchema() schema {
	return object(schema{
		"item":     schema{"type": []string{"string", "number", "boolean"}, "minLength": 1, "maxLength": maxText, "description": "The item of the checklist, as in D02 or L04/BAT1."},
		"value":    schema{"anyOf": []schema{{"type": "number"}, {"type": "string", "minLength": 1, "maxLength": 64}}, "description": "A number, or yes or no."},
		"unit":     textSchema("The unit of a number."),
		"date":     textSchema("The day, as in 2026-11-25."),
		"by":       textSchema("Who read it."),
		"note":     textSchema("A remark."),
		"baseline": schema{"type": "boolean", "default": false, "description": "The as-built figure that later ones are held against."},
	}, "item", "value")
}

// specSchema is the spec of a kind. One in which everything has a default may be
// empty.
func specSchema(fields []components.Field) schema {
	var required []string
	for i := range fields {
		if fields[i].Required {
			required = append(required, fields[i].Key)
		}
	}
	s := object(fieldSchemas(fields), required...)
	if len(required) == 0 {
		return optional(s)
	}
	return s
}

func fieldSchemas(fields []components.Field) schema {
	s := schema{}
	for i := range fields {
		s[fields[i].Key] = fieldSchema(&fields[i])
	}
	return s
}

// sizePattern matches what may be a wire size; which sizes there are is for the
// reader.
const sizePattern = `^\s*([0-9]+(/0)?(\s*[Aa][Ww][Gg])?|[0-9]+\s*[Kk][Cc][Mm][Ii][Ll]|[0-9]+(\.[0-9]+)?\s*[Mm][Mm][2²]|unknown)?\s*$`

// fieldSchema is one field: its type and range, or the word unknown.
func fieldSchema(f *components.Field) schema {
	var s schema
	switch f.Type {
	case components.Number:
		s = schema{"type": "number"}
		if f.Min != 0 || f.Max != 0 {
			s["minimum"], s["maximum"] = f.Min, f.Max
		}
	case components.Truth:
		s = schema{"type": "boolean"}
	case components.Choice:
		s = schema{"enum": f.Choices}
	case components.WireSize:
		s = schema{"type": []string{"string", "number", "null"}, "pattern": sizePattern}
	case components.List:
		s = schema{"type": "array", "items": schema{"enum": f.Choices}, "uniqueItems": true}
	case components.Rows:
		s = schema{"type": "array", "items": specSchema(f.Row), "maxItems": maxRows}
	default:
		s = textSchema("")
		delete(s, "description")
	}
	if !f.Shapes && f.Type != components.Text && f.Type != components.WireSize {
		s = schema{"anyOf": []schema{s, {"const": "unknown"}}}
	}
	s["description"] = describe(f)
	if v := f.Default; v.Known() {
		s["default"] = plainValue(v)
	}
	return s
}

// describe says what a field is, in which unit, and where its default comes from.
func describe(f *components.Field) string {
	text := f.Title
	if f.Unit != "" {
		text += ", " + f.Unit
	}
	text += "."
	if f.Help != "" {
		text += " " + f.Help
	}
	if f.DefaultFrom != "" {
		text += " Default: " + f.DefaultFrom + "."
	}
	return text
}

func plainValue(v components.Value) any {
	switch v.Type() {
	case components.Number:
		if n := v.Num(); n == math.Trunc(n) && math.Abs(n) < 1e15 {
			return int64(n)
		}
		return v.Num()
	case components.Truth:
		return v.Truth()
	case components.List:
		return v.Words()
	}
	return v.Str()
}
