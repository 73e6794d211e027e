package counter

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"midcase/condition"
	"midcase/evidence"
	"midcase/internal/shop/desk"
	"midcase/internal/web/pages/change"
	"midcase/internal/web/pages/frame"
	"midcase/money"
)

// Names lists the inputs.
func Names() []string {
	return []string{"reference", "metal", "serial", "condition", "set", "asked"}
}

// Conditions are the grades to choose from at a glance.
func Conditions() []frame.Choice {
	out := []frame.Choice{{Value: "", Text: "not judged"}}
	for _, g := range []float64{9.5, 8.5, 7, 5.5, 4, 2.5} {
		out = append(out, frame.Choice{Value: fmt.Sprint(g), Text: fmt.Sprintf("%g: %s", g, condition.GradeWords(g))})
	}
	return out
}

func sets() []frame.Choice {
	return []frame.Choice{{Value: "", Text: "not said"}, {Value: "watch", Text: "the watch alone"}, {Value: "papers", Text: "with papers"}, {Value: "full", Text: "with box and papers"}}
}

// Read makes an inquiry of what was typed. Four digits that can be a year of the last
// centuries are read as one; anything else is a serial number.
func Read(values map[string]string, currency money.Currency, year int) (desk.Inquiry, evidence.Problems) {
	var p evidence.Problems
	q := desk.Inquiry{Reference: values["reference"], Metal: values["metal"], Set: values["set"]}
	text := strings.TrimSpace(values["serial"])
	if n, err := strconv.Atoi(text); err == nil && len(text) == 4 && n >= 1900 && n <= year {
		q.Year = n
	} else {
		q.Serial = text
	}
	if c := values["condition"]; c != "" {
		v, err := strconv.ParseFloat(c, 64)
		if err != nil {
			p = append(p, evidence.Problem{Field: "condition", Found: strconv.Quote(c), Want: "a grade from 1 to 10"})
		}
		q.Condition = v
	}
	asked, err := change.Money(values["asked"], currency)
	if err != nil {
		p = append(p, evidence.Problem{Field: "asked", Found: strconv.Quote(values["asked"]), Want: "an amount above zero, such as 6500"})
	}
	q.Asked = asked
	return q, p
}

func problem(d Data, name string) string {
	for _, p := range d.Problems {
		if p.Field == name {
			return "Found " + p.Found + "; want " + p.Want + "."
		}
	}
	return ""
}

func attributes(d Data, name, hint string) templ.Attributes {
	a := templ.Attributes{}
	if hint != "" {
		a["aria-describedby"] = "h-" + name
	}
	if problem(d, name) != "" {
		a["aria-describedby"], a["aria-invalid"] = "e-"+name, "true"
	}
	if name == "reference" {
		a["list"], a["required"] = "references", true
	}
	return a
}
