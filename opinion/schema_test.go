package opinion_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/invopop/jsonschema"
	validator "github.com/santhosh-tekuri/jsonschema/v6"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
	"midcase/timing"
)

var update = flag.Bool("update", false, "write the golden files anew")

const schemaFile = "../docs/schema/opinion.schema.json"

// opinionSchema makes the JSON Schema of an opinion from the types.
func opinionSchema(t *testing.T) []byte {
	t.Helper()
	r := &jsonschema.Reflector{Mapper: mapped, ExpandedStruct: true, Namer: nameOf}
	for path, dir := range map[string]string{"midcase/opinion": ".", "midcase/estimate": "../estimate",
		"midcase/timing": "../timing"} {
		if err := r.AddGoComments(path, dir); err != nil {
			t.Fatal(err)
		}
	}
	s := r.Reflect(&opinion.Opinion{})
	s.ID, s.Title = "https://midcase.example/schema/opinion.schema.json", "Opinion"
	s.Properties.Set("statements", statementsSchema())
	s.Required = append(s.Required, "statements")
	s.Description = "What the evidence of one watch comes to on a date. Fields may be added; none is changed or dropped."
	types := structs(reflect.TypeFor[opinion.Opinion](), map[string]reflect.Type{})
	dated(s, s.Definitions)
	allowNull(s, types["Opinion"])
	for name, def := range s.Definitions {
		allowNull(def, types[name])
	}
	b, err := json.MarshalIndent(s, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(b, '\n')
}

// dated says of texts that are days or parts of one what they look like. A sale may be dated
// by its month or year alone.
func dated(root *jsonschema.Schema, defs jsonschema.Definitions) {
	field := func(s *jsonschema.Schema, name string) *jsonschema.Schema {
		f, ok := s.Properties.Get(name)
		if !ok {
			panic("the schema has no " + name) // a field that was renamed
		}
		return f
	}
	field(root, "as_of").Format = "date"
	field(defs["Value"], "as_of").Format = "date"
	field(defs["Spot"], "date").Format = "date"
	field(defs["Comparable"], "date").Pattern = `^[0-9]{4}(-[0-9]{2}){0,2}$`
}

// statementsSchema is that of the statements beside the sentences.
func statementsSchema() *jsonschema.Schema {
	props := jsonschema.NewProperties()
	props.Set("kind", &jsonschema.Schema{Type: "string", Pattern: `^[a-z]+\.[a-z-]+$`, Description: "What is said, such as parts.too-late."})
	value := jsonschema.NewProperties()
	value.Set("type", &jsonschema.Schema{Type: "string", Enum: []any{"money", "estimate", "measure", "share", "chance",
		"count", "day", "months", "term", "name", "list", "statement"}})
	props.Set("args", &jsonschema.Schema{Type: "object", AdditionalProperties: &jsonschema.Schema{Type: "object",
		Properties: value, Required: []string{"type"}},
		Description: "Arguments by name, each with its type; docs/json.md lists their fields."})
	one := &jsonschema.Schema{Type: "object", Properties: props, Required: []string{"kind"},
		AdditionalProperties: jsonschema.FalseSchema}
	return &jsonschema.Schema{Type: "object", AdditionalProperties: one,
		Description: "What the sentences of the opinion say, by the JSON pointer (RFC 6901) to the sentence. A sentence that was typed by somebody has none."}
}

// nameOf is a type's name in the schema; two packages have a Figure.
func nameOf(t reflect.Type) string {
	if t == reflect.TypeFor[timing.Figure]() {
		return "ReadFigure"
	}
	return t.Name()
}

// mapped gives the schemas of types that write themselves as text.
func mapped(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[say.Statement]():
		return &jsonschema.Schema{Type: "string"}
	case reflect.TypeFor[edtf.Month]():
		return &jsonschema.Schema{Type: "string", Pattern: `^[0-9]{4}-(0[1-9]|1[0-2])$`, Description: "A month, ISO 8601."}
	case reflect.TypeFor[money.Currency]():
		return &jsonschema.Schema{Type: "string", Pattern: `^[A-Z]{3}$`, Description: "ISO 4217"}
	case reflect.TypeFor[money.Money]():
		props := jsonschema.NewProperties()
		props.Set("amount", &jsonschema.Schema{Type: "string", Pattern: `^-?[0-9]+(\.[0-9]+)?$`, Description: "A decimal number as text."})
		props.Set("currency", &jsonschema.Schema{Type: "string", Pattern: `^[A-Z]{3}$`, Description: "ISO 4217"})
		return &jsonschema.Schema{Type: "object", Properties: props, Required: []string{"amount", "currency"},
			AdditionalProperties: jsonschema.FalseSchema}
	case reflect.TypeFor[estimate.Figure]():
		props := jsonschema.NewProperties()
		number := func() *jsonschema.Schema {
			return &jsonschema.Schema{AnyOf: []*jsonschema.Schema{{Type: "number"}, {Type: "null"}}}
		}
		two := uint64(2)
		props.Set("value", number())
		props.Set("interval", &jsonschema.Schema{Type: "array", Items: number(), MinItems: &two, MaxItems: &two,
			Description: "[low, high]; null is an end without limit."})
		props.Set("level", &jsonschema.Schema{Type: "number"})
		props.Set("unit", &jsonschema.Schema{Type: "string"})
		props.Set("cannot_tell", &jsonschema.Schema{Type: "string"})
		props.Set("reasons", &jsonschema.Schema{Type: "array", Items: &jsonschema.Schema{Type: "string"}})
		props.Set("basis", &jsonschema.Schema{Type: "array", Items: &jsonschema.Schema{Ref: "#/$defs/Basis"}})
		return &jsonschema.Schema{Type: "object", Properties: props, Required: []string{"value"},
			AdditionalProperties: jsonschema.FalseSchema}
	case reflect.TypeFor[evidence.Slot]():
		s := &jsonschema.Schema{Type: "string"}
		for _, x := range evidence.Slots() {
			s.Enum = append(s.Enum, x)
		}
		return s
	}
	return nil
}

// structs collects the struct types that an opinion is made of, by name.
func structs(t reflect.Type, into map[string]reflect.Type) map[string]reflect.Type {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		return structs(t.Elem(), into)
	case reflect.Struct:
		if _, seen := into[nameOf(t)]; seen || mapped(t) != nil {
			return into
		}
		into[nameOf(t)] = t
		for i := range t.NumField() {
			structs(t.Field(i).Type, into)
		}
	}
	return into
}

// allowNull lets a pointer that is always written be null: what cannot be told.
func allowNull(def *jsonschema.Schema, t reflect.Type) {
	if t == nil || def.Properties == nil {
		return
	}
	for i := range t.NumField() {
		f := t.Field(i)
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Type.Kind() != reflect.Pointer || strings.Contains(options, "omit") {
			continue
		}
		if s, ok := def.Properties.Get(name); ok {
			def.Properties.Set(name, &jsonschema.Schema{Description: s.Description,
				AnyOf: []*jsonschema.Schema{withoutDescription(s), {Type: "null"}}})
		}
	}
}

func withoutDescription(s *jsonschema.Schema) *jsonschema.Schema {
	c := *s
	c.Description = ""
	return &c
}

// TestSchemaIsTheTypes keeps the published schema true.
func TestSchemaIsTheTypes(t *testing.T) {
	want := opinionSchema(t)
	if *update {
		if err := os.WriteFile(schemaFile, want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the types say; run this test with -update and read the difference", schemaFile)
	}
}

func compiled(t *testing.T) *validator.Schema {
	t.Helper()
	b, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	doc, err := validator.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	c := validator.NewCompiler()
	c.AssertFormat()
	if err := c.AddResource("opinion", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("opinion")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func instance(t *testing.T, o any) any {
	t.Helper()
	b, err := json.Marshal(o)
	if err != nil {
		t.Fatal(err)
	}
	v, err := validator.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// A day that is none is refused wherever an opinion has a day.
func TestSchemaRefusesWhatIsNoDay(t *testing.T) {
	s := compiled(t)
	for file, o := range ofWorld(t) {
		if !o.Value.Known || len(o.Value.Comparables) == 0 {
			continue
		}
		for _, spoil := range []func(*opinion.Opinion){
			func(o *opinion.Opinion) { o.AsOf = "banana" },
			func(o *opinion.Opinion) { o.AsOf = "2026-02-31" },
			func(o *opinion.Opinion) { o.Value.AsOf = "banana" },
			func(o *opinion.Opinion) {
				o.Value.Comparables = slices.Clone(o.Value.Comparables)
				o.Value.Comparables[0].Date = "banana"
			},
		} {
			bad := o
			spoil(&bad)
			if s.Validate(instance(t, bad)) == nil {
				t.Errorf("%s: a day that is none was taken", file)
			}
		}
		return
	}
	t.Fatal("no opinion with a value")
}

// TestOpinionsAreValid holds real opinions to the schema: all of the world's watches,
// and the poorest cases.
func TestOpinionsAreValid(t *testing.T) {
	s := compiled(t)
	for file, o := range ofWorld(t) {
		if err := s.Validate(instance(t, o)); err != nil {
			t.Errorf("%s: %v", file, err)
		}
	}
	for name, o := range poorest(t) {
		if err := s.Validate(instance(t, o)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A schema that takes anything proves nothing.
func TestSchemaRefuses(t *testing.T) {
	s := compiled(t)
	for name, change := range map[string]func(o map[string]any){
		"no summary":             func(o map[string]any) { delete(o, "summary") },
		"a misspelt field":       func(o map[string]any) { o["vlaue"] = 1 },
		"money as a number":      func(o map[string]any) { o["deal"].(map[string]any)["highest_price"] = 12 },
		"a chance as text":       func(o map[string]any) { o["deal"].(map[string]any)["chance_of_loss"] = "small" },
		"a month without a year": func(o map[string]any) { o["dating"].(map[string]any)["median"] = "May" },
		"an interval of three": func(o map[string]any) {
			o["condition"].(map[string]any)["interval_90"] = []any{1, 2,
				3}
		},
		"a part of no watch":   func(o map[string]any) { o["parts"].([]any)[0].(map[string]any)["slot"] = "elbow" },
		"cautions as one text": func(o map[string]any) { o["cautions"] = "none" },
	} {
		o := instance(t, opinionOn(t, richWatch(), nil)).(map[string]any)
		if err := s.Validate(o); err != nil {
			t.Fatalf("%s: before the change: %v", name, err)
		}
		change(o)
		if s.Validate(o) == nil {
			t.Errorf("%s: was taken", name)
		}
	}
}
