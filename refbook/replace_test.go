package refbook

import (
	"slices"
	"strings"
	"testing"

	"midcase/edtf"
)

const commented = `# The whole file is about an invented maker.
schema: 1
id: velder
name: Velder
families:
  - {id: dress, name: Dress, kind: dress}
references:
  # before the first
  - id: "12"
    family: dress # a line that stays
    made: 1960/1970
    metal: steel
    # sizes were measured on three
    dimensions: [{what: lug_width, mm: 18}]
    calibres: []
    serial: []
  - id: "14"
    family: dress
    made: 1961/1970 # of the other reference
    metal: steel
    calibres: []
    serial: []
`

func TestReplaceReferenceKeepsTheRest(t *testing.T) {
	m, problems := ReadMaker("x.yaml", []byte(commented))
	if len(problems) > 1 { // metals are not listed
		t.Log(problems)
	}
	ref := m.References[0]
	ref.Made = edtf.MustParse("1958/1971")
	out, err := ReplaceReference([]byte(commented), ref)
	if err != nil {
		t.Fatal(err)
	}
	got, _ := ReadMaker("x.yaml", out)
	if got.References[0].Made.String() != "1958/1971" || got.References[1].Made.String() != "1961/1970" {
		t.Errorf("read back: %s and %s", got.References[0].Made, got.References[1].Made)
	}
	if !slices.Equal(got.References[0].Dimensions, ref.Dimensions) {
		t.Errorf("sizes: %v", got.References[0].Dimensions)
	}
	for _, line := range strings.Split(commented, "\n") {
		if _, c, ok := strings.Cut(line, "#"); ok && strings.Count(string(out), "#"+c) != 1 {
			t.Errorf("the comment %q stands %d times in\n%s", c, strings.Count(string(out), "#"+c), out)
		}
	}
	before, after, _ := strings.Cut(commented, `  - id: "12"`)
	_, after, _ = strings.Cut(after, `  - id: "14"`)
	if !strings.HasPrefix(string(out), before) || !strings.HasSuffix(string(out), after) {
		t.Errorf("what stands around it changed:\n%s", out)
	}
}

func TestReplaceRefuses(t *testing.T) {
	for name, text := range map[string]string{
		"no such reference": "references:\n  - id: \"12\"\n",
		"all in one line":   `references: [{id: "13", family: dress}]`,
	} {
		if out, err := ReplaceReference([]byte(text), Reference{ID: "13"}); err == nil {
			t.Errorf("%s: taken: %s", name, out)
		}
	}
}
