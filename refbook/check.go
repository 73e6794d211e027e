package refbook

import (
	"fmt"
	"reflect"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
)

var (
	makerIDForm = regexp.MustCompile(`^[a-z0-9][a-z0-9_-]*$`)
	countryForm = regexp.MustCompile(`^[A-Z]{2}$`)
)

// StampForms lists the ways in which a stamp can carry its date.
func StampForms() []string { return []string{"quarter-year", "letter-year", "year-month", "table"} }

// Lumes lists what the plots and hands of a variant can be filled with.
func Lumes() []string { return []string{"none", "radium", "tritium", "promethium", "later"} }

// Strap is the variant of the slot bracelet for a watch on a strap.
const Strap = "strap"

// check reports what is wrong with one maker beyond its form.
func (r *report) check(m *Maker) {
	if m.Schema != SchemaVersion {
		r.add("schema", strconv.Itoa(m.Schema), fmt.Sprintf("this program reads schema: %d", SchemaVersion))
	}
	if m.ID != "" && !makerIDForm.MatchString(m.ID) {
		r.add("id", strconv.Quote(m.ID), "want small letters, digits, - and _, such as corvane")
	}
	if m.Country != "" && !countryForm.MatchString(m.Country) {
		r.add("country", strconv.Quote(m.Country), "want two capital letters (ISO 3166-1), such as CH")
	}
	r.checkIDs(m)
	for i := range m.Serials {
		r.checkSerial(&m.Serials[i], fmt.Sprintf("serials[%d]", i))
	}
	for i := range m.Stamps {
		r.checkStamp(&m.Stamps[i], fmt.Sprintf("stamps[%d]", i))
	}
	for i, x := range m.Metals {
		at := fmt.Sprintf("metals[%d]", i)
		r.within(at+".fineness", float64(x.Fineness), 0, 1000, "‰ of precious metal")
		if x.Fineness > 0 && x.Element == "" {
			r.add(at+".element", "nothing", "a metal with a fineness names its element: gold, silver or platinum")
		}
	}
	for i, c := range m.Calibres {
		at := fmt.Sprintf("calibres[%d]", i)
		r.within(at+".beats_per_hour", float64(c.BeatsPerHour), 12000, 43200, "beats per hour, such as 18000 or 28800")
		r.optional(at+".lift_angle_deg", c.LiftAngleDeg, 30, 70, "degrees, such as 52")
		r.within(at+".jewels", float64(c.Jewels), 0, 60, "jewels")
	}
	r.checkBracelets(m)
	for i := range m.References {
		r.checkReference(m, &m.References[i], fmt.Sprintf("references[%d]", i))
	}
}

// checkIDs reports ids used twice and ids that could not be cited.
func (r *report) checkIDs(m *Maker) {
	unique(r, "serials", m.Serials, serialID)
	unique(r, "stamps", m.Stamps, stampID)
	unique(r, "metals", m.Metals, metalID)
	unique(r, "calibres", m.Calibres, calibreID)
	unique(r, "families", m.Families, familyID)
	unique(r, "bracelets", m.Bracelets, braceletID)
	unique(r, "end_pieces", m.EndPieces, endPieceID)
	unique(r, "references", m.References, referenceID)
}

func unique[T any](r *report, path string, all []T, id func(*T) string) {
	first := map[string]int{}
	for i := range all {
		at := fmt.Sprintf("%s[%d].id", path, i)
		key := fold(id(&all[i]))
		if key == "" {
			continue
		}
		if j, taken := first[key]; taken {
			r.add(at, strconv.Quote(id(&all[i])), fmt.Sprintf("%s[%d] has this id already; give each its own", path, j))
			continue
		}
		first[key] = i
		if strings.Contains(key, "/") && path != "references" {
			r.add(at, strconv.Quote(id(&all[i])), "an id without a slash")
		}
	}
}

func (r *report) checkSerial(s *Serial, at string) {
	if s.Mark != evidence.MarkSerial && s.Mark != evidence.MarkMovementNumber {
		r.add(at+".mark", strconv.Quote(s.Mark), "want serial or movement_number")
	}
	if len(s.Anchors) < 2 {
		r.add(at+".anchors", fmt.Sprintf("%d anchors", len(s.Anchors)),
			"a curve needs at least two pairs of number and month")
	}
	for i := 1; i < len(s.Anchors); i++ {
		a, b := s.Anchors[i-1], s.Anchors[i]
		here := fmt.Sprintf("%s.anchors[%d]", at, i)
		if b.Number <= a.Number {
			r.add(here+".number", fmt.Sprintf("%d after %d", b.Number, a.Number),
				"numbers must rise from anchor to anchor; put them in order")
		}
		if b.Month <= a.Month {
			r.add(here+".month", fmt.Sprintf("%s after %s", b.Month, a.Month),
				"months must rise from anchor to anchor; put them in order")
		}
	}
	if !(s.ScatterMonths > 0 && s.ScatterMonths <= 120) {
		r.add(at+".scatter_months", number(s.ScatterMonths), "want more than 0 and at most 120 months")
	}
	r.optional(at+".degrees_of_freedom", s.DegreesOfFreedom, 1, 100, "(0 means 4)")
	r.within(at+".outlier_share", s.OutlierShare, 0, 1, "as a share")
}

func (r *report) checkStamp(s *Stamp, at string) {
	r.oneOf(at+".form", s.Form, StampForms())
	r.checkSlotName(at+".slot", s.Slot)
	r.within(at+".lag_months", s.LagMonths, 0, 60, "months")
	if s.Form == "letter-year" && len(s.Letters) == 0 {
		r.add(at+".letters", "nothing", "a letter-year stamp needs letters, such as {C: 1962}")
	}
	if s.Form == "table" && len(s.Codes) == 0 {
		r.add(at+".codes", "nothing", `a table stamp needs codes, such as {A1: "1962-01/1962-03"}`)
	}
	for _, k := range sorted(s.Letters) {
		r.within(at+".letters."+k, float64(s.Letters[k]), 1800, 2100, "as a year")
	}
	for _, k := range sorted(s.Codes) {
		if _, err := edtf.Parse(s.Codes[k]); err != nil {
			r.add(at+".codes."+k, strconv.Quote(s.Codes[k]), err.Error())
		}
	}
}

func (r *report) checkBracelets(m *Maker) {
	metals, ends, refs := ids(m.Metals, metalID), ids(m.EndPieces, endPieceID), ids(m.References, referenceID)
	for i, b := range m.Bracelets {
		at := fmt.Sprintf("bracelets[%d]", i)
		r.refers(at+".metal", b.Metal, "metals", metals)
		r.within(at+".width_mm", b.WidthMM, 4, 40, "mm at the lugs")
		r.within(at+".clasp_mm", b.ClaspMM, 4, 40, "mm at the clasp")
		r.optional(at+".weight_g", b.WeightG, 1, 500, "g")
		r.optional(at+".pitch_mm", b.PitchMM, 0.5, 30, "mm a link")
		r.within(at+".links", float64(b.Links), 0, 100, "links")
		for k, e := range b.EndPieces {
			r.refers(fmt.Sprintf("%s.end_pieces[%d]", at, k), e, "end_pieces", ends)
		}
	}
	for i, e := range m.EndPieces {
		at := fmt.Sprintf("end_pieces[%d]", i)
		r.within(at+".lug_width_mm", e.LugWidthMM, 4, 40, "mm")
		r.refers(at+".metal", e.Metal, "metals", metals)
		for k, f := range e.Fits {
			r.refers(fmt.Sprintf("%s.fits[%d]", at, k), f, "references", refs)
		}
	}
}

func (r *report) checkSlotName(at string, s evidence.Slot) {
	if s != "" {
		r.oneOf(at, string(s), slotNames())
	}
}

func slotNames() []string {
	var out []string
	for _, s := range evidence.Slots() {
		out = append(out, string(s))
	}
	return out
}

// refers reports an id that stands for nothing; an empty id refers to nothing and
// is right.
func (r *report) refers(at, id, where string, known []string) {
	if id == "" {
		return
	}
	for _, k := range known {
		if fold(k) == fold(id) {
			return
		}
	}
	hint := nearest(id, known)
	switch {
	case hint != "":
	case len(known) == 0:
		hint = "there are no " + where + " to refer to; write them first"
	default:
		hint = "want one of the " + where + ": " + strings.Join(known, ", ")
	}
	r.add(at, fmt.Sprintf("%q, which stands for nothing", id), hint)
}

func (r *report) oneOf(at, got string, allowed []string) {
	for _, a := range allowed {
		if got == a {
			return
		}
	}
	hint := nearest(got, allowed)
	if hint == "" {
		hint = "want one of " + strings.Join(allowed, ", ")
	}
	r.add(at, strconv.Quote(got), hint)
}

func (r *report) within(at string, v, low, high float64, unit string) {
	if !(v >= low && v <= high) {
		r.add(at, number(v), fmt.Sprintf("want %s to %s %s", number(low), number(high), unit))
	}
}

// optional is within for a figure of which 0 means that it is not given.
func (r *report) optional(at string, v, low, high float64, unit string) {
	if v != 0 {
		r.within(at, v, low, high, unit)
	}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func ids[T any](all []T, id func(*T) string) []string {
	out := make([]string, len(all))
	for i := range all {
		out[i] = id(&all[i])
	}
	return out
}

func sorted[T any](m map[string]T) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// require reports the required texts and dates that are missing in a value that
// did not come from a file.
func (r *report) require(v reflect.Value, path string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			r.require(v.Elem(), path)
		}
	case reflect.Slice:
		for i := range v.Len() {
			r.require(v.Index(i), fmt.Sprintf("%s[%d]", path, i))
		}
	case reflect.Struct:
		fields := fieldsOf(v.Type())
		for _, key := range keys(v.Type()) {
			f, x := fields[key], v.Field(fields[key].index)
			_, isDate := x.Interface().(edtf.Date)
			if f.required && (x.Kind() == reflect.String || isDate) && x.IsZero() {
				r.add(join(path, key), "nothing", "the key "+key+" is required here")
			}
			r.require(x, join(path, key))
		}
	}
}
