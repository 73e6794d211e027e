package photo_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"midcase/photo"
)

func TestReadPicks(t *testing.T) {
	for _, c := range []struct{ name, json, says string }{
		{"nothing", ``, "end before"},
		{"cut short", `{"scale":{"kind":"points"`, "end before"},
		{"not JSON", "{\n  scale: 1}", "2:3: not JSON"},
		{"unknown field", `{"scales":{}}`, `unknown field "scales"`},
		{"a field twice", `{"twelve":[1,2],"Twelve":[3,4]}`, `"Twelve"`},
		{"wrong type", `{"lengths":[{"name":3}]}`, "lengths.name: a number"},
		{"a point of one number", `{"twelve":[1]}`, "twelve: a value that is no point [x, y]"},
		{"a point of three", `{"lengths":[{"name":"lug width","a":[1,2,3]}]}`,
			"lengths.a: a value that is no point"},
		{"two values", `{} {}`, "more than one value"},
		{"zero scale", `{"scale":{"kind":"points","a":[1,1],"b":[99,1],"mm":0}}`,
			"scale.mm: 0 will not do; give a length in mm above 0"},
		{"collinear", `{"circles":[{"name":"c","through":[[0,0],[10,10],[20,20]]}]}`, "circles[0].through"},
	} {
		_, err := photo.ReadPicks([]byte(c.json))
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; want it to say %q", c.name, err, c.says)
		}
	}
	p, err := photo.ReadPicks([]byte(`{"scale":{"kind":"points","a":[1,1.5],"b":[99,1],"mm":20},"lengths":[{"name":"lug width","a":[3,4],"b":[50,4]}]}`))
	if err != nil || p.Scale.A[1] != 1.5 || p.Lengths[0].B != (photo.Point{50, 4}) {
		t.Errorf("%+v, %v", p, err)
	}
	var pe *photo.PickError
	if _, err := photo.ReadPicks([]byte(`{"plots":[{"hour":0,"at":[1,1],"radius_px":4}]}`)); !errors.As(err, &pe) ||
		pe.Field != "plots[0].hour" {
		t.Errorf("hour 0: %v", err)
	}
}

// Whatever is read, measuring with it ends in figures or in words.
func FuzzReadPicks(f *testing.F) {
	files, _ := filepath.Glob("testdata/picks/*.json")
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add([]byte(`{"scale":{"kind":"square","corners":[[10,10],[90,12],[88,90],[9,88]],"mm":50},"circles":[{"name":"c","through":[[50,20],[80,50],[50,80]]}]}`))
	f.Add([]byte(`{"scale":{"kind":"circle","through":[[50,20],[80,50],[50,80]],"mm":25},"droop":{"held":[1,1],"free_end":[90,30],"level":[[0,0],[90,0]]}}`))
	f.Add([]byte(`{"dial":{"through":[[50,5],[95,50],[50,95]]},"twelve":[50,5],"plots":[{"hour":1,"at":[70,20],"radius_px":4}]}`))
	img := grey(100, 100)
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := photo.ReadPicks(b)
		if err != nil {
			return
		}
		if m, err := photo.Measure(img, p); err == nil {
			for _, c := range m.Circles {
				if !(c.SE >= 0) || c.DiameterMM != c.DiameterMM {
					t.Errorf("%s: %v ± %v", c.Name, c.DiameterMM, c.SE)
				}
			}
		}
		_, _ = photo.Plots(img, p)
	})
}

// The documented format takes the examples, and refuses what ReadPicks refuses.
func TestPicksSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("../docs/schema/picks.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	valid := func(b []byte) error {
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			return err
		}
		return schema.Validate(v)
	}
	files, _ := filepath.Glob("testdata/picks/*.json")
	if len(files) < 3 {
		t.Fatalf("%d examples", len(files))
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := valid(b); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := photo.ReadPicks(b); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, s := range []string{
		`{"scale":{"kind":"points","a":[1,1],"b":[99,1],"mm":0}}`, `{"twelve":[1]}`,
		`{"plots":[{"hour":13,"at":[1,1],"radius_px":4}]}`,
		`{"scale":{"kind":"coin","mm":3}}`, `{"other":1}`, `{"circles":[{"name":"c","through":[[1,1],[2,2]]}]}`,
	} {
		if valid([]byte(s)) == nil {
			t.Errorf("the schema takes %s", s)
		}
		if _, err := photo.ReadPicks([]byte(s)); err == nil {
			t.Errorf("ReadPicks takes %s", s)
		}
	}
}
