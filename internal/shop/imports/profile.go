package imports

import (
	"context"
	"maps"
	"slices"
	"strings"

	"midcase/tables"
)

// profilesSetting is the setting under which answers are kept for the next file of the
// same shape; profilesKept how many shapes.
const (
	profilesSetting = "import-profiles"
	profilesKept    = 50
)

// profile is what was answered about a file: the next one with the same headings is read
// with the same answers.
type profile struct {
	Shape   string            `json:"shape"`
	File    string            `json:"file"`
	Answers map[string]string `json:"answers"`
}

// shape is what makes two files alike: what they list, and their headings in order.
func shape(as tables.Kind, columns []tables.Column) string {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = strings.ToLower(strings.Join(strings.Fields(c.Header), " "))
	}
	return string(as) + "|" + strings.Join(names, "|")
}

// remembered are the answers kept for files like this one; nil where there are none, or
// where the file has no headings.
func (r *Room) remembered(ctx context.Context, as tables.Kind, columns []tables.Column) (map[string]string, error) {
	var all []profile
	if _, err := r.shop.ReadSetting(ctx, profilesSetting, "profiles of imports", &all); err != nil {
		return nil, err
	}
	of := shape(as, columns)
	for _, p := range all {
		if p.Shape == of && strings.Trim(of, "|") != string(as) {
			return maps.Clone(p.Answers), nil
		}
	}
	return nil, nil
}

// remember keeps the answers to a file that was brought in. What was said of single cells, and of
// consent, belongs to that file alone, as does what looked wrong in it: others are in the next.
func (r *Room) remember(ctx context.Context, f File, columns []tables.Column) error {
	answers := map[string]string{}
	for id, a := range f.Answers {
		if !ofOneFile(id) {
			answers[id] = a
		}
	}
	if len(answers) == 0 {
		return nil
	}
	var all []profile
	if _, err := r.shop.ReadSetting(ctx, profilesSetting, "profiles of imports", &all); err != nil {
		return err
	}
	kept := []profile{{shape(f.As, columns), f.Name, answers}}
	for _, p := range all {
		if p.Shape != kept[0].Shape && len(kept) < profilesKept {
			kept = append(kept, p)
		}
	}
	return r.shop.WriteSetting(ctx, profilesSetting, "profiles of imports", kept)
}

// ofOneFile reports whether an answer is about one file alone.
func ofOneFile(id string) bool {
	if strings.HasPrefix(id, tables.EditCell) {
		return true
	}
	of, _, _ := strings.Cut(id, ".")
	return slices.Contains([]string{tables.AskHeadings, tables.AskConsent, AskOdd, AskThere}, of)
}
