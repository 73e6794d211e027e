package bookedit

import (
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/refbook"
)

// VariantOf reads the quick form for a version of a part.
func VariantOf(values map[string]string) (evidence.Slot, refbook.Variant, evidence.Problems) {
	slot := evidence.Slot(values["slot"])
	var problems evidence.Problems
	wrong := func(field, found, want string) {
		problems = append(problems, evidence.Problem{Field: field, Found: found, Want: want})
	}
	get := func(name string) string { return strings.TrimSpace(values[name]) }
	v := refbook.Variant{ID: get("id"), Name: get("name"), Look: strings.Join(strings.Fields(get("look")), " "), Service: get("service") != "", Source: get("source")}
	if !slot.Valid() {
		wrong("slot", strconv.Quote(string(slot)), "one of the parts of this reference")
	}
	if v.ID == "" || strings.ContainsAny(v.ID, "/ ") {
		wrong("id", strconv.Quote(v.ID), "a short id without spaces and slashes, such as dial-3")
	}
	if v.Name == "" {
		wrong("name", "nothing", "a name, such as Silver dial, mark 3")
	}
	w := refbook.Window{}
	var err error
	if text := get("made"); text != "" {
		if w.Made, err = edtf.Parse(text); err != nil {
			wrong("made", strconv.Quote(text), "months or years such as 1966-05/1970-12")
		}
	} else if !v.Service {
		wrong("made", "nothing", "when it was fitted, such as 1966-05/1970-12, or a service part")
	}
	if text := get("share"); text != "" {
		w.Share, err = strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err != nil || w.Share <= 0 || w.Share > 1 {
			wrong("share", strconv.Quote(text), "more than 0 and at most 1, such as 0.4")
		}
	}
	switch {
	case v.Service:
		v.Supplied = w.Made // of a service part: when it was supplied
	case !w.Made.IsZero():
		v.Windows = []refbook.Window{w}
	}
	if get("why") == "" {
		wrong("why", "nothing", "why the book changes")
	}
	return slot, v, problems
}

// AnchorOf reads the quick form for a pair of number and month.
func AnchorOf(values map[string]string) (serial string, a refbook.Anchor, problems evidence.Problems) {
	wrong := func(field, found, want string) {
		problems = append(problems, evidence.Problem{Field: field, Found: found, Want: want})
	}
	get := func(name string) string { return strings.TrimSpace(values[name]) }
	n, err := strconv.ParseInt(get("number"), 10, 64)
	if err != nil || n <= 0 {
		wrong("number", strconv.Quote(get("number")), "a number in digits, such as 298000")
	}
	month, err := edtf.ParseMonth(get("month"))
	if err != nil {
		wrong("month", strconv.Quote(get("month")), "a month such as 1968-05")
	}
	if get("why") == "" {
		wrong("why", "nothing", "why the book changes")
	}
	return get("serial"), refbook.Anchor{Number: n, Month: month, Source: get("source")}, problems
}
