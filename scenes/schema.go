package scenes

import (
	"encoding/json"
	"strconv"
	"strings"

	"socle/parts"
	"socle/scenes/syntax"
)

// Forms of numbers and full-size lengths, as the schema has them; they agree with
// quantity. measurePattern is a length without a sign.
const (
	measurePattern = `(\d+\s+\d+/\d+|\d+/\d+|` + plainPattern + `)\s*` +
		`((mm|cm|m|in|ft)|ft\s*(\d+\s+\d+/\d+|\d+/\d+|\d*\.?\d+|\d+\.)\s*in)`
	lengthPattern = `^\s*[+-]?` + measurePattern + `\s*$`
	levelPattern  = `^` + levelWord + `$|^\s*` + levelWord + `(\s*\+|\s+-)\s*(` + measurePattern + `|` + plainPattern + `)\s*$`
)

// object is a JSON object; its keys are written in alphabetical order.
type object = map[string]any

// Schema is the JSON Schema (draft 2020-12) of scene files, made from the keys of
// the parts. It knows what can be said of one value at a time: words, types,
// ranges and units; names that lead nowhere and the parts' own rules are left to
// the reader.
func Schema() []byte {
	properties := object{}
	for _, k := range topKeys {
		properties[k.Word] = keySchema(k)
	}
	for _, t := range ownTables {
		properties[t.word] = tableSchema(t.keys, t.doc)
	}
	height := object{"anyOf": []any{ref("length"), object{"type": "string", "pattern": levelPattern}}}
	properties[levelsWord] = object{
		"type": "object", "description": "named finished heights: the top of the finish, above the datum z = 0; one may be set relative to another, such as " + relativeForms,
		"propertyNames":        object{"pattern": levelForm.String()},
		"additionalProperties": height, "maxProperties": maxLevels,
	}
	defs := object{
		"length": object{
			"description": "a number is mm on the print; text with a unit is full size",
			"anyOf": []any{
				object{"type": "number", "minimum": -maxLength, "maximum": maxLength},
				object{"type": "string", "pattern": lengthPattern, "examples": []string{"3.1 m", "180 mm", "6 ft 8 in"}},
			},
		},
		"name": object{"type": "string", "pattern": nameForm.String()},
	}
	for _, k := range parts.Kinds() {
		defs[k.Word] = tableSchema(k.Keys(), k.Doc)
		if k.Once {
			properties[k.Word] = ref(k.Word)
		} else {
			properties[k.Word] = object{"type": "array", "items": ref(k.Word), "maxItems": maxParts}
		}
	}
	name := keySchema(variantKeys[0])
	name["not"] = object{"pattern": "^([aA][lL][lL]|[aA][sS]-[iI][tT]-[iI][sS])$"} // everyVariant, AsItIs
	var required []string
	for _, k := range variantKeys {
		if k.Required {
			required = append(required, k.Word)
		}
	}
	properties[variantWord] = object{
		"type": "array", "maxItems": maxVariants,
		"items": object{
			"type": "object", "description": "the same scene with some values changed", "additionalProperties": false,
			"required": required,
			"properties": object{
				nameWord:    name,
				extendsWord: keySchema(variantKeys[1]),
				setWord:     object{"type": "object", "description": variantKeys[2].Doc, "minProperties": 1},
			},
		},
	}
	properties[groupWord] = object{"type": "array", "maxItems": maxGroups, "items": groupSchema()}
	place := tableSchema(placeKeys, placeDoc)
	place["properties"].(object)[setWord] = object{"type": "object", "description": placeKeys[len(placeKeys)-1].Doc}
	defs[placeWord] = place
	properties[placeWord] = object{"type": "array", "maxItems": maxPlaces, "items": ref(placeWord)}
	text, err := json.MarshalIndent(object{
		"$schema": "https://json-schema.org/draft/2020-12/schema",
		"$id":     "urn:socle:scene",
		"title":   "Socle scene", "type": "object",
		"properties": properties, "required": []string{scaleWord},
		"additionalProperties": false, "$defs": defs,
	}, "", "  ")
	if err != nil {
		panic(err) // nothing but maps, lists, text and finite numbers
	}
	return append(text, '\n')
}

// groupSchema is the schema of a group. Of the parts in it the keys are known, but not the
// values: a value of the group's own may stand for each.
func groupSchema() object {
	properties := object{
		nameWord:  keySchema(groupKeys[0]),
		withWord:  object{"type": "object", "description": groupKeys[1].Doc, "propertyNames": object{"pattern": parameterForm.String()}},
		placeWord: object{"type": "array", "maxItems": maxPlaces, "items": object{"type": "object", "propertyNames": object{"enum": words(placeKeys)}}},
	}
	for _, k := range parts.Kinds() {
		if !k.Once {
			properties[k.Word] = object{"type": "array", "maxItems": maxParts, "items": object{
				"type": "object", "description": k.Doc, "propertyNames": object{"enum": words(k.Keys())},
			}}
		}
	}
	return object{"type": "object", "description": groupDoc, "properties": properties, "required": []string{nameWord}, "additionalProperties": false}
}

func ref(def string) object { return object{"$ref": "#/$defs/" + def} }

// tableSchema is the schema of a table with the given keys.
func tableSchema(keys []parts.Key, doc string) object {
	properties, required := object{}, []string{}
	for _, k := range keys {
		properties[k.Word] = keySchema(k)
		if k.Required {
			required = append(required, k.Word)
		}
	}
	s := object{"type": "object", "description": doc, "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		s["required"] = required
	}
	return s
}

// keySchema is the schema of one key's value.
func keySchema(k parts.Key) object {
	lo, hi := bounds(k)
	inRange := object{"type": "number", "minimum": lo, "maximum": hi}
	fullSize := object{"type": "string", "pattern": lengthPattern}
	oneLength := object{"anyOf": []any{inRange, fullSize}}
	name := ref("name")
	var s object
	switch k.Type {
	case parts.Length, parts.Height:
		s = oneLength
	case parts.Full:
		s = fullSize
	case parts.Size, parts.Point:
		s = object{"type": "array", "items": oneLength, "minItems": 2, "maxItems": 2}
	case parts.Bed:
		s = object{"type": "array", "items": inRange, "minItems": 2, "maxItems": 2}
	case parts.Lengths:
		s = object{"type": "array", "items": oneLength, "maxItems": syntax.MaxItems}
	case parts.Points:
		point := object{"type": "array", "items": oneLength, "minItems": 2, "maxItems": 2}
		s = object{"type": "array", "items": point, "maxItems": syntax.MaxItems}
	case parts.Numbers:
		s = object{"type": "array", "items": inRange, "maxItems": syntax.MaxItems}
	case parts.Count:
		s = object{"type": "integer", "minimum": lo, "maximum": hi}
	case parts.Seed:
		s = object{"type": "integer", "minimum": 0}
	case parts.Flag:
		s = object{"type": "boolean"}
	case parts.Text:
		s = object{"type": "string", "maxLength": textLimit(k)}
	case parts.Name, parts.Ref:
		s = object{"allOf": []any{name}}
	case parts.Refs:
		s = object{"type": "array", "items": name, "uniqueItems": true, "maxItems": maxRefs}
	case parts.Word:
		s = object{"enum": k.Words}
	case parts.LevelRef:
		s = object{"anyOf": []any{inRange, fullSize, object{"type": "string", "pattern": levelPattern}}}
	case parts.Facing:
		s = object{"anyOf": []any{inRange, object{"enum": facingWords(k)}}}
	case parts.Table:
		s = tableSchema(k.Sub, "")
	case parts.Tables:
		s = object{"type": "array", "items": tableSchema(k.Sub, ""), "maxItems": maxTables}
	default:
		s = inRange // an angle or a number
	}
	s["description"] = describeKey(k)
	if v, ok := defaultJSON(k); ok {
		s["default"] = v
	}
	return s
}

// describeKey is a key's doc with what else is known of it, on one line.
func describeKey(k parts.Key) string {
	text := k.Doc
	if u := k.Unit(); u != "" && k.Type != parts.Full {
		text += "; a plain number is " + u
	}
	if len(k.Words) > 0 && (k.Type == parts.Ref || k.Type == parts.Refs) {
		text += "; names a " + kindsOf(k)
	}
	if k.Default != "" {
		text += "; default " + k.Default
	}
	if k.Filament != "" {
		text += ", " + k.Filament + " for filament"
	}
	if k.From != "" {
		text += "; default: " + k.From + " of [printer]"
	}
	if k.Source != "" {
		text += "; source: " + k.Source
	}
	return text
}

// defaultJSON is a key's default as JSON has it.
func defaultJSON(k parts.Key) (any, bool) {
	if k.Default == "" || k.Filament != "" { // one that depends is told in words
		return nil, false
	}
	plain := func(text string) any {
		switch k.Type {
		case parts.Text, parts.Name, parts.Word, parts.Ref, parts.Refs:
			return text
		case parts.Flag:
			return text == "true"
		}
		if v, err := strconv.ParseFloat(text, 64); err == nil {
			return v
		}
		return text
	}
	switch k.Type {
	case parts.Size, parts.Point, parts.Numbers, parts.Lengths, parts.Refs:
		var all []any
		for text := range strings.SplitSeq(k.Default, ",") {
			all = append(all, plain(strings.TrimSpace(text)))
		}
		return all, true
	}
	return plain(k.Default), true
}
