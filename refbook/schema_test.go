package refbook

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/invopop/jsonschema"
	validator "github.com/santhosh-tekuri/jsonschema/v6"

	"midcase/edtf"
	"midcase/evidence"
)

const schemaFile = "../docs/schema/refbook.schema.json"

// slotEntry is what the schema calls a Slot of this package.
const slotEntry = "SlotEntry"

// dateForm is EDTF level 1 as far as a pattern can say it.
const dateForm = `^(?:[0-9]{2}[0-9X]{2}(?:-[0-9X]{2}){0,2}[?~%]?|(?:\.\.)?)(?:/(?:[0-9]{2}[0-9X]{2}(?:-[0-9X]{2}){0,2}[?~%]?|(?:\.\.)?))?$`

// bounds are the ranges that Load checks, by struct and key. A key of which 0 means
// that nothing is given has 0 allowed beside the range.
var bounds = map[string]struct {
	low, high float64
	orZero    bool
}{
	"Maker.schema":   {SchemaVersion, SchemaVersion, false},
	"Metal.fineness": {0, 1000, false}, "Calibre.beats_per_hour": {12000, 43200, false},
	"Calibre.lift_angle_deg": {30, 70, true}, "Calibre.jewels": {0, 60, false},
	"Serial.degrees_of_freedom": {1, 100, true}, "Serial.outlier_share": {0, 1, false},
	"Stamp.lag_months":  {0, 60, false},
	"Bracelet.width_mm": {4, 40, false}, "Bracelet.clasp_mm": {4, 40, false}, "Bracelet.weight_g": {1, 500, true},
	"Bracelet.pitch_mm": {0.5, 30, true},
	"Bracelet.links":    {0, 100, false}, "EndPiece.lug_width_mm": {4, 40, false},
	"Dimension.mm": {0.1, 300, false}, "Dimension.tolerance_mm": {0, 5, false}, "Weight.g": {0.01, 1000, false},
	"Weight.tolerance_g": {0, 100, false},
	"Weight.fine_share":  {0, 1, false}, "Slot.replaced": {0, 1, false}, "Window.soft_months": {0, 120, false},
	"Window.share": {0, 1, false},
}

func choices() map[string][]string {
	return map[string][]string{
		"Serial.mark": {evidence.MarkSerial, evidence.MarkMovementNumber}, "Stamp.form": StampForms(),
		"Variant.lume":   Lumes(),
		"Dimension.what": evidence.DimensionKinds(), "Weight.part": append(slotNames(), "watch", "head", "case_parts"),
	}
}

// bookSchema makes the JSON Schema of one file of the book from the types.
func bookSchema(t *testing.T) []byte {
	t.Helper()
	namer := func(t reflect.Type) string {
		if t == reflect.TypeFor[Slot]() {
			return slotEntry // the slot's name is a Slot of evidence
		}
		return t.Name()
	}
	r := &jsonschema.Reflector{FieldNameTag: "yaml", ExpandedStruct: true, Namer: namer,
		Mapper: func(t reflect.Type) *jsonschema.Schema {
			switch t {
			case reflect.TypeFor[edtf.Date]():
				return &jsonschema.Schema{Type: "string", Pattern: dateForm}
			case reflect.TypeFor[edtf.Month]():
				return &jsonschema.Schema{Type: "string", Pattern: `^[0-9]{4}-(?:0[1-9]|1[0-2])$`}
			case reflect.TypeFor[evidence.Slot]():
				s := &jsonschema.Schema{Type: "string"}
				for _, x := range evidence.Slots() {
					s.Enum = append(s.Enum, x)
				}
				return s
			}
			return nil
		}}
	if err := r.AddGoComments("midcase/refbook", "."); err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(r.Reflect(&Maker{}))
	if err != nil {
		t.Fatal(err)
	}
	var root map[string]any
	if err := json.Unmarshal(raw, &root); err != nil {
		t.Fatal(err)
	}
	delete(root, "$id")
	root["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	root["$id"] = "https://midcase.example/schema/refbook.schema.json"
	root["title"] = "Reference book: one maker"
	restrict("Maker", root)
	for name, def := range root["$defs"].(map[string]any) {
		restrict(name, def.(map[string]any))
	}
	out, err := json.MarshalIndent(root, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	return append(out, '\n')
}

// restrict adds what the types do not say, and lets numbers stand where Load reads
// them as text.
func restrict(name string, def map[string]any) {
	if name == slotEntry {
		name = "Slot"
	}
	required := map[string]bool{}
	if list, ok := def["required"].([]any); ok {
		for _, r := range list {
			required[r.(string)] = true
		}
	}
	for key, p := range def["properties"].(map[string]any) {
		prop, ok := p.(map[string]any)
		if !ok {
			continue
		}
		if b, ok := bounds[name+"."+key]; ok {
			if b.orZero {
				prop["anyOf"] = []any{map[string]any{"const": 0}, map[string]any{"minimum": b.low, "maximum": b.high}}
			} else {
				prop["minimum"], prop["maximum"] = b.low, b.high
			}
		}
		if list, ok := choices()[name+"."+key]; ok {
			prop["enum"] = list
		}
		if prop["type"] == "string" && prop["enum"] == nil && required[key] && prop["pattern"] == nil {
			prop["minLength"] = 1
		}
		textOrNumber(prop)
		if items, ok := prop["items"].(map[string]any); ok {
			textOrNumber(items)
		}
		if values, ok := prop["additionalProperties"].(map[string]any); ok {
			textOrNumber(values)
		}
	}
	switch name {
	case "Serial":
		def["properties"].(map[string]any)["anchors"].(map[string]any)["minItems"] = 2
		p := def["properties"].(map[string]any)["scatter_months"].(map[string]any)
		p["exclusiveMinimum"], p["maximum"] = 0, 120
	case "Slot":
		def["properties"].(map[string]any)["variants"].(map[string]any)["minItems"] = 1
	case "Variant":
		hour := def["properties"].(map[string]any)["markers"].(map[string]any)["items"].(map[string]any)
		hour["minimum"], hour["maximum"] = 1, 12
	}
}

// textOrNumber lets KR-1 stand for "KR-1" and 1962 for "1962".
func textOrNumber(prop map[string]any) {
	if prop["type"] == "string" && prop["enum"] == nil && (prop["pattern"] == nil || prop["pattern"] == dateForm) {
		prop["type"] = []any{"string", "number"}
	}
}

func compiledSchema(t *testing.T) *validator.Schema {
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
	if err := c.AddResource("refbook.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("refbook.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The schema under docs is the one that the types make: a field added to a struct
// fails here until it is written anew with -update.
func TestSchemaIsTheTypes(t *testing.T) {
	got := bookSchema(t)
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
	type def struct {
		Properties map[string]any `json:"properties"`
	}
	var doc struct {
		def
		Defs map[string]def `json:"$defs"`
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	types := []any{Maker{}, Serial{}, Anchor{}, Stamp{}, Metal{}, Calibre{}, Family{}, Reference{}, Dimension{},
		Weight{}, Slot{}, Variant{}, Window{},
		Bracelet{}, EndPiece{}, Rule{}, With{}}
	if len(doc.Defs) != len(types)-1 {
		t.Errorf("%d definitions, want %d", len(doc.Defs), len(types)-1)
	}
	for _, x := range types {
		typ := reflect.TypeOf(x)
		props := doc.Defs[typ.Name()].Properties
		switch typ {
		case reflect.TypeFor[Maker]():
			props = doc.Properties
		case reflect.TypeFor[Slot]():
			props = doc.Defs[slotEntry].Properties
		}
		names := keys(typ)
		for _, key := range names {
			if _, ok := props[key]; !ok {
				t.Errorf("%s has no %s", typ.Name(), key)
			}
		}
		if len(props) != len(names) {
			t.Errorf("%s has %d properties, the type %d", typ.Name(), len(props), len(names))
		}
	}
}

// asJSON reads a YAML file as an editor would before holding it against the schema.
func asJSON(t *testing.T, text []byte) any {
	t.Helper()
	var v any
	if err := yaml.Unmarshal(text, &v); err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	out, err := validator.UnmarshalJSON(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestBooksAreValid(t *testing.T) {
	schema := compiledSchema(t)
	files, err := fs.Glob(os.DirFS("testdata/good"), "*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, name := range files {
		b, err := os.ReadFile(filepath.Join("testdata/good", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(asJSON(t, b)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What the schema refuses, Load refuses too, and the other way round for faults of
// form.
func TestSchemaAndLoadAgree(t *testing.T) {
	schema := compiledSchema(t)
	src, err := os.ReadFile("testdata/good/corvane.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for old, bad := range map[string]string{
		"country: CH":                 "contry: CH",
		"schema: 1":                   "schema: 2",
		"kind: chronograph}":          "}",
		"mark: serial":                "mark: number",
		"scatter_months: 5":           "scatter_months: 0",
		"month: 1962-06":              "month: June",
		"form: table":                 "form: tables",
		"beats_per_hour: 18000":       "beats_per_hour: fast",
		"beats_per_hour: 21600":       "beats_per_hour: 216000",
		"lift_angle_deg: 52":          "lift_angle_deg: 80",
		"width_mm: 19, clasp_mm: 15":  "width_mm: 190, clasp_mm: 15",
		"made: 1962-03/1970\n":        "made: sometime\n",
		"what: thickness, mm: 13.1":   "what: thick, mm: 13.1",
		"mm: 13.1":                    "mm: 1310",
		"part: watch, g: 71":          "part: all, g: 71",
		"replaced: 0.06":              "replaced: 6",
		"lume: radium":                "lume: glow",
		"markers: [12, 3, 6, 9]":      "markers: [12, 15]",
		"share: 0.2":                  "share: 20",
		"strap: true":                 "strap: maybe",
		"fine_share: 0.97":            "fine_share: 97",
		"slot: clasp":                 "slot: buckle",
		"lag_months: 2.5":             "lag_months: -1",
		"fineness: 750":               "fineness: 7500",
		"aliases: [Corvane Frères, C": "aliases: {a: b} # [",
	} {
		if !bytes.Contains(src, []byte(old)) {
			t.Errorf("the test book has no %q", old)
			continue
		}
		text := bytes.Replace(src, []byte(old), []byte(bad), 1)
		if schema.Validate(asJSON(t, text)) == nil {
			t.Errorf("the schema takes %q", bad)
		}
		if p := edit(t, old, bad); p == nil {
			t.Errorf("Load takes %q", bad)
		}
	}
	// Numbers as ids, as people write them.
	if err := schema.Validate(asJSON(t, bytes.ReplaceAll(src, []byte(`"712"`), []byte("712")))); err != nil {
		t.Error(err)
	}
}

// Every bound of the schema is one that Load holds too: just beyond it there is a
// problem at that key.
func TestBoundsAreLoadsOwn(t *testing.T) {
	for at, b := range bounds {
		for _, v := range []float64{b.low - 0.001, b.high + 1} {
			m := good(t).Makers[0]
			if !setAll(reflect.ValueOf(&m).Elem(), at, v) {
				t.Errorf("%s is in no part of the test book", at)
				continue
			}
			_, key, _ := strings.Cut(at, ".")
			_, err := New(m)
			if err == nil || !strings.Contains(err.Error(), key) {
				t.Errorf("%s = %g: %v", at, v, err)
			}
		}
	}
}

// setAll sets the field named as "Struct.key" wherever it is, and reports whether it
// was anywhere. Whole numbers are moved a whole step beyond.
func setAll(v reflect.Value, at string, x float64) bool {
	found := false
	switch v.Kind() {
	case reflect.Slice:
		fresh := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(fresh, v)
		v.Set(fresh)
		for i := range v.Len() {
			found = setAll(v.Index(i), at, x) || found
		}
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if !f.IsExported() {
				continue
			}
			key, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
			if v.Type().Name()+"."+key != at {
				found = setAll(v.Field(i), at, x) || found
				continue
			}
			found = true
			if v.Field(i).Kind() == reflect.Float64 {
				v.Field(i).SetFloat(x)
			} else if x < 1 || float64(int64(x)) != x {
				v.Field(i).SetInt(int64(x+1000) - 1001)
			} else {
				v.Field(i).SetInt(int64(x))
			}
		}
	}
	return found
}
