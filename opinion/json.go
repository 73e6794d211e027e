package opinion

import (
	"encoding/json"

	"midcase/say"
)

// MarshalJSON writes the opinion with its sentences in English, and beside them under
// "statements" their kinds and arguments, by the JSON pointer to the string.
func (o Opinion) MarshalJSON() ([]byte, error) {
	type plain Opinion
	return json.Marshal(struct {
		plain
		Statements say.Beside `json:"statements"`
	}{plain(o), say.BesideOf(o)})
}

// UnmarshalJSON reads an opinion. One that was kept before statements stood beside its
// sentences keeps the sentences as they were written.
func (o *Opinion) UnmarshalJSON(b []byte) error {
	type plain Opinion
	var in struct {
		plain
		Statements say.Beside `json:"statements"`
	}
	if err := json.Unmarshal(b, &in); err != nil {
		return err
	}
	*o = Opinion(in.plain)
	in.Statements.Restore(o)
	for i, p := range o.Parts {
		if is, ok := formerVerdicts[p.Verdict]; ok {
			o.Parts[i].Verdict = is
		}
	}
	return nil
}

// MarshalJSON writes what selling comes to, with the statements beside it as in an
// Opinion.
func (s Selling) MarshalJSON() ([]byte, error) {
	type plain Selling
	return json.Marshal(struct {
		plain
		Statements say.Beside `json:"statements"`
	}{plain(s), say.BesideOf(s)})
}
