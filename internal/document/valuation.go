package document

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"midcase/opinion"
	"midcase/say"
)

// WriteValuationMarkdown writes the statement of value as Markdown.
func WriteValuationMarkdown(w io.Writer, r Report) error {
	wr := newWriter(r)
	m := &markdown{in: wr.tongue}
	m.front(wr.valuationFront(), wr)
	for _, s := range wr.valuation() {
		m.section(s)
	}
	return m.writeTo(w, r)
}

func (w *writer) valuationFront() front {
	f := w.front(say.That("valuation.title"))
	f.strip = []fact{f.strip[3], f.strip[0], f.strip[2]}
	return f
}

// statedValue is a statement of value as JSON.
type statedValue struct {
	Kind     string          `json:"kind"`
	Paper    string          `json:"paper,omitempty"`
	File     string          `json:"file,omitempty"`
	Issuer   string          `json:"issuer,omitempty"`
	Issued   string          `json:"issued"`
	AsOf     string          `json:"as_of"`
	Purpose  string          `json:"purpose,omitempty"`
	Assigned *statedUse      `json:"assigned,omitempty"`
	Watch    opinion.Watch   `json:"watch"`
	Value    opinion.Value   `json:"value"`
	Unknown  []say.Statement `json:"unknown"`
	Cautions []say.Statement `json:"cautions"`
	Standing string          `json:"standing"`
	LogHead  string          `json:"log_head,omitempty"`
}

// statedUse is what a valuation is made for, as JSON.
type statedUse struct {
	Purpose     string   `json:"purpose"`
	For         string   `json:"for"`
	Basis       string   `json:"basis"`
	Effective   string   `json:"effective"`
	Examined    string   `json:"examined"`
	Assumptions []string `json:"assumptions"`
	Interest    string   `json:"interest,omitempty"`
}

func (w *writer) statedUse() *statedUse {
	if w.r.Assigned == nil {
		return nil
	}
	v := w.valuing()
	a := v.a
	out := &statedUse{Purpose: a.Purpose, For: a.Users, Basis: string(a.Basis),
		Effective: a.Effective.Format(time.DateOnly), Examined: v.examined(), Interest: w.String(a.Interest)}
	for _, b := range v.assumed().blocks {
		for _, c := range b.(bullets) {
			out.Assumptions = append(out.Assumptions, c.text)
		}
	}
	return out
}

// WriteValuationJSON writes the statement of value as JSON: the value as the opinion
// has it, with what it is not. Its words are English whatever the paper's language.
func WriteValuationJSON(w io.Writer, r Report) error {
	r.Language = ""
	o := r.Opinion
	b, err := json.MarshalIndent(statedValue{Kind: "valuation", Paper: r.Paper, File: r.Number, Issuer: r.Shop.Name,
		Issued: r.Issued.Format(time.DateOnly), AsOf: o.AsOf, Purpose: r.Purpose, Assigned: newWriter(r).statedUse(),
		Watch: o.Watch, Value: o.Value, Unknown: o.Unknown, Cautions: o.Cautions,
		Standing: say.That("report.standing").String(),
		LogHead:  r.LogHead}, "", "  ")
	if err != nil {
		return fmt.Errorf("valuation %s: %w", orDash(r.Number), err)
	}
	if _, err := w.Write(append(b, '\n')); err != nil {
		return fmt.Errorf("valuation %s: write: %w", orDash(r.Number), err)
	}
	return nil
}
