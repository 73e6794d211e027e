package life

import (
	"fmt"
	"strings"

	"github.com/a-h/templ"

	"midcase/evidence"
	fields "midcase/internal/web/pages/field"
	"midcase/internal/web/pages/frame"
)

// Field is one question of a form.
type Field struct {
	Name, Label, Hint string
	Kind              string // text, money, rate, day, select, check, area; empty is text
	Options           []frame.Choice
	List              string // the id of a datalist
	Value             string
	Problem           string
	Broad             bool
}

// Inputs are the fields of a form in groups: the first stands open, the others can be opened.
type Inputs struct {
	Title  string // of the group; empty for the first
	Fields []Field
	Open   bool
}

// Fill puts values and problems into fields; a group with a problem is opened. It returns the problems
// that belong to no field.
func Fill(groups []Inputs, values map[string]string, problems evidence.Problems) ([]Inputs, evidence.Problems) {
	out := make([]Inputs, len(groups))
	shown := map[string]bool{}
	for i, g := range groups {
		out[i] = Inputs{g.Title, append([]Field(nil), g.Fields...), g.Open}
		for k := range out[i].Fields {
			f := &out[i].Fields[k]
			shown[f.Name] = true
			if v, ok := values[f.Name]; ok {
				f.Value = v
				out[i].Open = out[i].Open || g.Title != "" && strings.TrimSpace(v) != ""
			}
			for _, p := range problems {
				if p.Field == f.Name {
					f.Problem = Says(p)
					out[i].Open = true
				}
			}
		}
	}
	var rest evidence.Problems
	for _, p := range problems {
		if !shown[p.Field] {
			rest = append(rest, p)
		}
	}
	return out, rest
}

// Says is a problem in words.
func Says(p evidence.Problem) string {
	return fmt.Sprintf("Found %s; want %s.", p.Found, p.Want)
}

func attributes(f Field) templ.Attributes {
	a := fields.Described(f.Name, f.Hint, f.Problem)
	if f.List != "" {
		a["list"] = f.List
	}
	switch f.Kind {
	case "money", "rate", "number":
		a["inputmode"] = "decimal"
	case "day":
		a["type"] = "date"
	}
	return a
}
