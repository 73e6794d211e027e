package record

import (
	"slices"

	"midcase/condition"
	"midcase/evidence"
	"midcase/refbook"
)

// Field is one field of a form: its name in the evidence's data, its label, and what
// may be chosen.
type Field struct {
	Name    string
	Label   string
	Hint    string
	Type    string // text, number, choice, radio, area, check
	Options []Option
	Needed  bool
	Value   string
	Error   string
}

// Option is one thing to choose; Says explains it.
type Option struct{ Value, Text, Says string }

// Kind is one kind of evidence that can be typed in.
type Kind struct {
	ID   evidence.Kind
	Name string
	Says string // what it is for
}

// Kinds lists the kinds that the form takes, the commonest first.
func Kinds() []Kind {
	return []Kind{
		{evidence.KindFitted, "Part", "which version of a part sits in a slot"},
		{evidence.KindFinding, "Finding", "a defect or a good point of a part"},
		{evidence.KindMark, "Mark", "a number, stamp or hallmark as read"},
		{evidence.KindDimension, "Size", "a length in millimetres"},
		{evidence.KindWeighing, "Weighing", "a mass in grams, in air or water"},
		{evidence.KindRate, "Rate", "how it runs in one position"},
		{evidence.KindPhoto, "Photograph", "a picture of the watch"},
		{evidence.KindDocument, "Document", "papers, receipt, archive extract"},
		{evidence.KindClaim, "Claim", "what the seller says; never counted as fact"},
		{evidence.KindWork, "Work", "a service or repair"},
		{evidence.KindCheck, "Register", "a look-up made in a register"},
		{evidence.KindComparison, "Comparison", "this watch beside another"},
	}
}

func slots() []Option {
	var out []Option
	for _, s := range evidence.Slots() {
		out = append(out, Option{Value: string(s), Text: s.Name()})
	}
	return out
}

func plain(all []string) []Option {
	out := make([]Option, len(all))
	for i, s := range all {
		out[i] = Option{Value: s, Text: words(s)}
	}
	return out
}

// Fields are the fields of a kind for a watch: the book's variants and the terms of
// the part are offered.
func Fields(kind evidence.Kind, slot evidence.Slot, maker *refbook.Maker, ref *refbook.Reference) []Field {
	switch kind {
	case evidence.KindFitted:
		return fitted(slot, maker, ref)
	case evidence.KindFinding:
		return []Field{
			{Name: "slot", Label: "Part", Type: "choice", Options: slots(), Needed: true},
			{Name: "term", Label: "Term", Type: "choice", Options: terms(slot), Needed: true, Hint: "from the list; each is explained under Terms"},
			{Name: "severity", Label: "Severity", Type: "choice", Options: []Option{{Value: "0", Text: "0 good point, or looked for and not found"}, {Value: "1", Text: "1 slight"}, {Value: "2", Text: "2 plain to see"}, {Value: "3", Text: "3 severe"}, {Value: "4", Text: "4 beyond repair"}}, Needed: true},
			{Name: "extent", Label: "Extent", Type: "number", Hint: "share of the part, 0 to 1; empty if not judged"},
			{Name: "where", Label: "Where", Type: "text", Hint: "such as: at 4, lower left lug"},
			{Name: "note", Label: "Note", Type: "area"},
		}
	case evidence.KindMark:
		return []Field{
			{Name: "what", Label: "Kind of mark", Type: "choice", Options: plain(evidence.MarkKinds()), Needed: true},
			{Name: "slot", Label: "On which part", Type: "choice", Options: append([]Option{{Value: "", Text: "not stated"}}, slots()...)},
			{Name: "text", Label: "As it reads", Type: "text", Needed: true, Hint: "? for a character that cannot be read"},
			{Name: "confidence", Label: "Sure of the reading", Type: "number", Hint: "0 to 1; empty counts as 0.98"},
		}
	case evidence.KindDimension:
		return []Field{
			{Name: "what", Label: "Size", Type: "choice", Options: plain(evidence.DimensionKinds()), Needed: true},
			{Name: "mm", Label: "Millimetres", Type: "number", Needed: true},
			{Name: "plus_minus_mm", Label: "± mm", Type: "number", Hint: "empty counts as 0.05"},
			{Name: "instrument", Label: "Instrument", Type: "text", Hint: "such as caliper 1"},
			{Name: "free_length_mm", Label: "Free length, mm", Type: "number", Hint: "for a bracelet's droop"},
			{Name: "links", Label: "Links measured", Type: "number", Hint: "for a length under pull"},
			{Name: "pull_n", Label: "Pull, N", Type: "number", Hint: "a 500 g weight pulls 4.9 N"},
		}
	}
	return otherFields(kind)
}

func otherFields(kind evidence.Kind) []Field {
	switch kind {
	case evidence.KindWeighing:
		return []Field{
			{Name: "what", Label: "What was weighed", Type: "choice", Needed: true, Options: append([]Option{{Value: "watch", Text: "whole watch"}, {Value: "head", Text: "head, without bracelet"}, {Value: "case_parts", Text: "all case parts"}}, slots()...)},
			{Name: "g", Label: "Grams", Type: "number", Needed: true},
			{Name: "in", Label: "In", Type: "choice", Options: []Option{{Value: "air", Text: "air"}, {Value: "water", Text: "water (bare parts only, never a watch or movement)"}}, Needed: true, Value: "air"},
			{Name: "plus_minus_g", Label: "± g", Type: "number", Hint: "empty counts as 0.02"},
			{Name: "water_temp_c", Label: "Water, °C", Type: "number", Hint: "empty counts as 20"},
			{Name: "instrument", Label: "Instrument", Type: "text"},
		}
	case evidence.KindRate:
		return []Field{
			{Name: "position", Label: "Position", Type: "choice", Options: positions(), Needed: true},
			{Name: "s_per_day", Label: "Rate, s/d", Type: "number", Needed: true, Hint: "plus gains"},
			{Name: "amplitude_deg", Label: "Amplitude, °", Type: "number"},
			{Name: "beat_error_ms", Label: "Beat error, ms", Type: "number", Hint: "half the difference of successive beats"},
			{Name: "lift_angle_deg", Label: "Lift angle, °", Type: "number"},
			{Name: "hours_since_wind", Label: "Hours since wind", Type: "number"},
			{Name: "temp_c", Label: "Temperature, °C", Type: "number"},
			{Name: "instrument", Label: "Instrument", Type: "text"},
		}
	case evidence.KindDocument:
		return []Field{
			{Name: "what", Label: "Document", Type: "choice", Options: plain(evidence.DocumentKinds()), Needed: true},
			{Name: "date", Label: "Dated", Type: "text", Hint: "such as 1968-05-17, 1968 or 1965~"},
			{Name: "serial", Label: "Serial number that it names", Type: "text"},
			{Name: "reference", Label: "Reference that it names", Type: "text"},
			{Name: "made_date", Label: "Made, as it says", Type: "text", Hint: "for an archive extract"},
			{Name: "text", Label: "What it says", Type: "area"},
		}
	case evidence.KindClaim:
		return []Field{
			{Name: "about", Label: "About", Type: "text", Needed: true, Hint: "such as price, polishing, owner"},
			{Name: "text", Label: "In the seller's words", Type: "area", Needed: true},
			{Name: "from", Label: "From", Type: "text"},
			{Name: "price", Label: "Price asked", Type: "text", Hint: "such as 6500 EUR"},
		}
	case evidence.KindWork:
		return []Field{
			{Name: "what", Label: "Work", Type: "text", Needed: true, Hint: "such as service"},
			{Name: "by", Label: "By", Type: "text"},
			{Name: "date", Label: "Date", Type: "text", Hint: "such as 2019-11 or 2015~"},
			{Name: "cost", Label: "Cost", Type: "text", Hint: "such as 450 EUR"},
			{Name: "text", Label: "What was done", Type: "area"},
		}
	case evidence.KindCheck:
		return []Field{
			{Name: "register", Label: "Register", Type: "text", Needed: true},
			{Name: "date", Label: "Asked on", Type: "text", Needed: true, Hint: "such as 2026-03-01"},
			{Name: "result", Label: "Answer", Type: "choice", Options: plain([]string{"clear", "match", "unclear"}), Needed: true},
			{Name: "reference", Label: "The register's number", Type: "text"},
		}
	case evidence.KindComparison:
		return []Field{
			{Name: "slot", Label: "Part", Type: "choice", Options: slots(), Needed: true},
			{Name: "other", Label: "Id of the other watch", Type: "text", Needed: true},
			{Name: "result", Label: "This one is", Type: "choice", Options: plain([]string{"better", "same", "worse"}), Needed: true},
			{Name: "note", Label: "Note", Type: "area"},
		}
	}
	return nil
}

func fitted(slot evidence.Slot, maker *refbook.Maker, ref *refbook.Reference) []Field {
	variant := Field{Name: "variant", Label: "Version", Type: "text", Needed: true, Hint: "unknown, if you cannot place it"}
	if ref != nil && slot != "" {
		if s, ok := ref.Slot(slot); ok {
			variant.Type, variant.Hint = "radio", ""
			for _, v := range s.Variants {
				variant.Options = append(variant.Options, Option{v.ID, v.Name, v.Look})
			}
			variant.Options = append(variant.Options, Option{evidence.Unknown, "none of these", "say what you see under Description"})
		}
	}
	metals := []Option{{Value: "", Text: "not stated"}}
	if maker != nil {
		for _, m := range maker.Metals {
			metals = append(metals, Option{Value: m.ID, Text: m.Name})
		}
	}
	return []Field{
		{Name: "slot", Label: "Part", Type: "choice", Options: slots(), Needed: true},
		variant,
		{Name: "confidence", Label: "Sure of the version", Type: "number", Hint: "0 to 1; empty counts as 0.95"},
		{Name: "metal", Label: "Metal, as marked or tested", Type: "choice", Options: metals},
		{Name: "description", Label: "Description", Type: "area"},
		{Name: "absent", Label: "The part is not there", Type: "check"},
	}
}

func terms(slot evidence.Slot) []Option {
	list := condition.Terms()
	if slot != "" {
		list = condition.TermsFor(string(slot))
	}
	out := []Option{{Value: "", Text: "choose"}}
	for _, t := range list {
		out = append(out, Option{Value: t.ID, Text: t.Name})
	}
	return out
}

// positions names the positions of ISO 3158 in words too.
func positions() []Option {
	says := map[string]string{"CH": "CH, dial up", "FH": "FH, dial down", "3H": "3H, 3 uppermost (crown up)", "6H": "6H, 6 uppermost (crown left)", "9H": "9H, 9 uppermost (crown down)", "12H": "12H, 12 uppermost (crown right)"}
	var out []Option
	for _, p := range evidence.Positions() {
		text := p
		if s, ok := says[p]; ok {
			text = s
		}
		out = append(out, Option{Value: p, Text: text})
	}
	return out
}

// Fill puts typed values and problems into fields; a field of which nothing is known
// keeps its usual value.
func Fill(fields []Field, values map[string]string, problems evidence.Problems) []Field {
	out := slices.Clone(fields)
	for i := range out {
		if v, typed := values[out[i].Name]; typed {
			out[i].Value = v
		}
		for _, p := range problems {
			if p.Field == out[i].Name {
				out[i].Error = "Found " + p.Found + "; want " + p.Want + "."
			}
		}
	}
	return out
}
