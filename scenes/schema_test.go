package scenes

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"socle/parts"
)

// compiled gives the schema, checked against the meta-schema of draft 2020-12.
func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("urn:socle:scene", doc))
	s, err := c.Compile("urn:socle:scene")
	require.NoError(t, err)
	return s
}

// asJSON gives a scene's TOML as JSON values.
func asJSON(t *testing.T, text string) any {
	t.Helper()
	var values map[string]any
	err := toml.Unmarshal([]byte(text), &values)
	require.NoError(t, err)
	encoded, err := json.Marshal(values)
	require.NoError(t, err)
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(encoded))
	require.NoError(t, err)
	return v
}

func TestSchemaTakesShippedScenes(t *testing.T) {
	s := compiled(t)
	require.NoError(t, s.Validate(asJSON(t, string(Starter()))))
	require.NoError(t, s.Validate(asJSON(t, quay)))
	require.NoError(t, s.Validate(asJSON(t, quayVariants)))
	for _, name := range Shipped() {
		text, err := Open(name)
		require.NoError(t, err)
		require.NoError(t, s.Validate(asJSON(t, string(text))), name)
	}
}

// TestSchemaRefuses checks one fault of each sort that a schema can see.
func TestSchemaRefuses(t *testing.T) {
	s := compiled(t)
	for name, text := range map[string]string{
		"no scale":               strings.Replace(quay, "[scale]\nratio = 285\n", "", 1),
		"no ratio":               strings.Replace(quay, "ratio = 285\n", "", 1),
		"ratio as text":          strings.Replace(quay, "285", `"1:285"`, 1),
		"ratio out of range":     strings.Replace(quay, "285", "0.5", 1),
		"person without a unit":  strings.Replace(quay, "ratio = 285", "ratio = 285\nperson = 1.75", 1),
		"unknown part":           quay + "[[stiar]]\n",
		"unknown top key":        "titel = \"x\"\n" + quay,
		"unknown key":            quay + "taperr = 1\n",
		"unknown nested key":     strings.Replace(quay, "rect", "rectangle", 1),
		"unknown key in a list":  strings.Replace(quay, "disc", "disk", 1),
		"required key":           strings.Replace(quay, "facing = \"north\"\n", "", 1),
		"unit of no length":      strings.Replace(quay, "3.1 m", "3.1 fathoms", 1),
		"text without a unit":    strings.Replace(quay, "[60, 35]", `["60", 35]`, 1),
		"unit on an angle":       quay + "turn = \"20 mm\"\n",
		"range":                  quay + "turn = 400\n",
		"word":                   strings.Replace(quay, "[[base]]", "[[deck]]\nlevel = 3\narea = {}\non = \"peirs\"\n[[base]]", 1),
		"facing":                 strings.Replace(quay, `"north"`, `"nroth"`, 1),
		"size of three":          strings.Replace(quay, "[60, 35]", "[60, 35, 4]", 1),
		"point of three":         strings.Replace(quay, "[60, 40]", "[60, 40, 0]", 1),
		"name":                   strings.Replace(quay, `"water-stair"`, `"water stair"`, 1),
		"fraction of a count":    quay + "count = 1.5\n",
		"flag as a length":       quay + "height = true\n",
		"one part as a table":    strings.Replace(quay, "[[stair]]", "[stair]", 1),
		"ground as a list":       strings.Replace(quay, "[ground]", "[[ground]]", 1),
		"negative seed":          "seed = -1\n" + quay,
		"unknown printer key":    quay + "[printer]\nlayers = 0.05\n",
		"printer's process":      quay + "[printer]\nprocess = \"resins\"\n",
		"printer's layer":        quay + "[printer]\nlayer = 0.005\n",
		"unit on a printer":      quay + "[printer]\npixel = \"0.05 mm\"\n",
		"printer's plate":        quay + "[printer]\nplate = [130]\n",
		"printer's plate, small": quay + "[printer]\nplate = [130, 8]\n",
		"former table":           quay + "[print]\npin = 0.8\n",
		"currency too long":      quay + "[material]\nprice = 3\ncurrency = \"gold crowns\"\n",
		"negative price":         quay + "[material]\nprice = -3\ncurrency = \"EUR\"\n",
		"severity of no check":   quay + "[inspect.severity]\nthin-pins = \"stop\"\n",
		"severity":               quay + "[inspect.severity]\nthin-pin = \"halt\"\n",
		"how it is laid":         quay + "[inspect]\nlaid = \"titled\"\n",
		"variant called all":     quay + "[[variant]]\nname = \"All\"\nset = { seed = 2 }\n",
		"variant without a set":  quay + "[[variant]]\nname = \"low\"\n",
		"variants in a list":     quay + "[[variant]]\nname = \"low\"\nextends = [\"ebb\"]\nset = { seed = 2 }\n[[variant]]\nname = \"ebb\"\nset = { seed = 2 }\n",
		"level's name":           strings.Replace(quay, "quay = 3", "\"3 quay\" = 3", 1),
	} {
		t.Run(name, func(t *testing.T) {
			require.Error(t, s.Validate(asJSON(t, text)), text)
			_, err := Read("x.toml", []byte(text), nil)
			require.Error(t, err, "the reader takes what the schema refuses")
		})
	}
}

// TestSchemaTellsOfEveryKey checks that every key of every kind is in the schema
// with its doc, and that the text is the same each time.
func TestSchemaTellsOfEveryKey(t *testing.T) {
	require.Equal(t, Schema(), Schema())
	var doc struct {
		Defs map[string]struct {
			Properties           map[string]struct{ Description string }
			AdditionalProperties *bool
			Required             []string
		} `json:"$defs"`
	}
	require.NoError(t, json.Unmarshal(Schema(), &doc))
	for _, kind := range parts.Kinds() {
		def := doc.Defs[kind.Word]
		require.NotNil(t, def.AdditionalProperties, kind.Word)
		require.False(t, *def.AdditionalProperties)
		require.Len(t, def.Properties, len(kind.Keys()))
		for _, key := range kind.Keys() {
			require.Contains(t, def.Properties[key.Word].Description, key.Doc)
			if key.Required {
				require.Contains(t, def.Required, key.Word)
			}
		}
	}
}
