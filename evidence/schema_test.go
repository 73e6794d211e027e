package evidence

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/invopop/jsonschema"
	validator "github.com/santhosh-tekuri/jsonschema/v6"

	"midcase/edtf"
	"midcase/money"
)

var update = flag.Bool("update", false, "write the golden files anew")

const schemaFile = "../docs/schema/watch.schema.json"

// edtfForm is EDTF level 1 as far as a pattern can say it.
const edtfForm = `^(?:[0-9]{2}[0-9X]{2}(?:-[0-9X]{2}){0,2}[?~%]?|(?:\.\.)?)(?:/(?:[0-9]{2}[0-9X]{2}(?:-[0-9X]{2}){0,2}[?~%]?|(?:\.\.)?))?$`

// enums are the closed lists, by struct and field; those in tags of the structs are
// read from there.
func enums() map[string][]string {
	var slots []string
	for _, s := range Slots() {
		slots = append(slots, string(s))
	}
	return map[string][]string{
		"Dimension.what": DimensionKinds(), "Rate.position": Positions(), "Recording.position": Positions(),
		"Photo.view":    PhotoViews(),
		"Document.what": DocumentKinds(), "Weighing.what": append([]string{"watch", "head", "case_parts"}, slots...),
	}
}

// watchSchema makes the JSON Schema of the watch file from the types.
func watchSchema(t *testing.T) []byte {
	t.Helper()
	r := &jsonschema.Reflector{DoNotReference: false, Mapper: mapped}
	if err := r.AddGoComments("midcase/evidence", "."); err != nil {
		t.Fatal(err)
	}
	defs := map[string]*jsonschema.Schema{}
	var byKind []any
	for _, k := range Kinds() {
		d, err := New(k)
		if err != nil {
			t.Fatal(err)
		}
		s := r.Reflect(d)
		for name, def := range s.Definitions {
			restrict(name, def)
			defs[name] = def
		}
		name := reflect.TypeOf(d).Elem().Name()
		byKind = append(byKind, map[string]any{
			"if":   map[string]any{"properties": map[string]any{"kind": map[string]any{"const": k}}},
			"then": map[string]any{"properties": map[string]any{"data": map[string]any{"$ref": "#/$defs/" + name}}},
		})
	}
	text := map[string]any{"type": "string"}
	filled := map[string]any{"type": "string", "minLength": 1}
	version := map[string]any{"type": "integer", "minimum": 1, "maximum": SchemaVersion,
		"description": "Version of this form; left out it is the present one."}
	item := map[string]any{
		"type": "object", "additionalProperties": false, "required": []string{"id", "kind", "at", "by", "data"},
		"description": "One piece of evidence: what somebody saw, measured, received or was told.",
		"properties": map[string]any{
			"id": map[string]any{"type": "string", "minLength": 1,
				"description": "An id of its own within the file."},
			"schema": version,
			"kind":   map[string]any{"enum": Kinds()},
			"at":     map[string]any{"type": "string", "format": "date-time", "description": "When it was recorded."},
			"by":     map[string]any{"type": "string", "minLength": 1, "description": "Who recorded it."},
			"note":   text,
			"data":   map[string]any{"type": "object", "description": "The fields of the kind."},
		},
		"allOf": byKind,
	}
	all := map[string]any{"Item": item}
	for name, def := range defs {
		all[name] = def
	}
	root := map[string]any{
		"$schema": "https://json-schema.org/draft/2020-12/schema",
		"$id":     "https://midcase.example/schema/watch.schema.json", "title": "Watch file",
		"description": "A watch with everything recorded about it, in the order of recording.",
		"type":        "object", "additionalProperties": false, "required": []string{"maker", "reference", "evidence"},
		"properties": map[string]any{
			"id": text, "schema": version, "title": text, "maker": filled, "reference": filled,
			"evidence": map[string]any{"type": "array", "items": map[string]any{"$ref": "#/$defs/Item"}},
		},
		"$defs": all,
	}
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(out, '\n')
}

// mapped gives the schemas of types that write themselves as text.
func mapped(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[edtf.Date]():
		return &jsonschema.Schema{Type: "string", Pattern: edtfForm,
			Description: "A date in EDTF level 1, such as 1968-05 or 1962/1965."}
	case reflect.TypeFor[money.Money]():
		props := jsonschema.NewProperties()
		props.Set("amount", &jsonschema.Schema{Type: "string", Pattern: `^[+-]?[0-9]+(\.[0-9]+)?$`})
		props.Set("currency", &jsonschema.Schema{Type: "string", Pattern: `^[A-Za-z]{3}$`, Description: "ISO 4217"})
		return &jsonschema.Schema{Type: "object", Properties: props, Required: []string{"amount", "currency"},
			AdditionalProperties: jsonschema.FalseSchema}
	case reflect.TypeFor[Picks]():
		return &jsonschema.Schema{Type: "object",
			Description: "Points picked in the photo; picks.schema.json describes them."}
	case reflect.TypeFor[Slot]():
		s := &jsonschema.Schema{Type: "string"}
		for _, x := range Slots() {
			s.Enum = append(s.Enum, x)
		}
		return s
	}
	return nil
}

// restrict adds what the types do not say: closed lists, no empty texts where one is
// required.
func restrict(name string, def *jsonschema.Schema) {
	def.Version, def.ID = "", ""
	if def.Properties == nil {
		return
	}
	required := map[string]bool{}
	for _, r := range def.Required {
		required[r] = true
	}
	if name == "Fitted" { // absent stands in for a variant
		def.Required = []string{"slot"}
		required["variant"] = false
	}
	for p := def.Properties.Oldest(); p != nil; p = p.Next() {
		if list, ok := enums()[name+"."+p.Key]; ok {
			p.Value.Enum = nil
			for _, x := range list {
				p.Value.Enum = append(p.Value.Enum, x)
			}
		} else if one := uint64(1); required[p.Key] && p.Value.Type == "string" && p.Value.Enum == nil {
			p.Value.MinLength = &one
		}
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
	if err := c.AddResource("watch.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("watch.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The schema under docs is the one that the types make: a field added to a struct
// fails here until it is written anew with -update.
func TestSchemaIsTheTypes(t *testing.T) {
	got := watchSchema(t)
	if *update {
		if err := os.WriteFile(schemaFile, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the types make; run with -update and look at the change", schemaFile)
	}
}

func TestSchemaHasEveryField(t *testing.T) {
	b, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Defs map[string]struct {
			Properties map[string]any `json:"properties"`
		} `json:"$defs"`
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	for _, k := range Kinds() {
		d, _ := New(k)
		typ := reflect.TypeOf(d).Elem()
		for i := range typ.NumField() {
			name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
			if _, ok := doc.Defs[typ.Name()].Properties[name]; !ok {
				t.Errorf("%s has no %s", typ.Name(), name)
			}
		}
	}
}

// Every kind with all its fields is valid, alone and in a file.
func TestSamplesAreValid(t *testing.T) {
	schema := compiled(t)
	validate := func(name string, w Watch) {
		b, err := json.Marshal(w)
		if err != nil {
			t.Fatal(err)
		}
		v, err := validator.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(v); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, it := range samples() {
		validate(string(it.Kind()), Watch{Maker: "Corvane", Reference: "KR-1", Evidence: []Item{it}})
	}
	validate("all", Watch{ID: "w", Schema: 1, Title: "t", Maker: "Corvane", Reference: "KR-1", Evidence: samples()})
	validate("empty slot", Watch{Maker: "Corvane", Reference: "KR-1",
		Evidence: []Item{{ID: "e", At: noon, By: "A", Data: &Fitted{Slot: Box, Absent: true}}}})
}

func TestSchemaRefuses(t *testing.T) {
	schema := compiled(t)
	item := `{"maker":"C","reference":"4","evidence":[{"id":"e","kind":"KIND","at":"2026-03-01T12:00:00Z","by":"A","data":DATA}]}`
	tests := []struct{ kind, data string }{
		{"mark", `{"what":"serial","txet":"1"}`},
		{"mark", `{"what":"number","text":"1"}`},
		{"mark", `{"what":"serial","text":""}`},
		{"feeling", `{}`},
		{"weighing", `{"what":"case","g":"20","in":"air"}`},
		{"weighing", `{"what":"case","g":20,"in":"oil"}`},
		{"finding", `{"slot":"lug","term":"x","severity":1}`},
		{"finding", `{"slot":"case","term":"x","severity":7}`},
		{"photo", `{"blob":"x","view":"dial","taken":"last week"}`},
		{"document", `{"what":"receipt","date":"banana"}`},
		{"claim", `{"about":"price","text":"t","price":{"amount":"1,000","currency":"EUR"}}`},
		{"check", `{"register":"r","date":"2026","result":"fine"}`},
		{"withdrawal", `{"of":"e"}`},
	}
	for _, tt := range tests {
		text := strings.NewReplacer("KIND", tt.kind, "DATA", tt.data).Replace(item)
		v, err := validator.UnmarshalJSON(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if schema.Validate(v) == nil {
			t.Errorf("%s %s is valid", tt.kind, tt.data)
		}
	}
}
