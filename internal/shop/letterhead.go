package shop

import (
	"context"
	"strings"
)

// Letterhead is how the shop names itself on papers, and the words that it uses there.
// What the law asks to stand on them differs from place to place.
type Letterhead struct {
	Name        string   `json:"name"`
	Lines       []string `json:"lines,omitempty"` // address, telephone, web: one line each
	TaxNumber   string   `json:"tax_number,omitempty"`
	Bank        string   `json:"bank,omitempty"` // account to which invoices are paid
	SignedBy    string   `json:"signed_by,omitempty"`
	MarginWords string   `json:"margin_words"` // on invoices under the margin scheme
	MemoRisk    string   `json:"memo_risk"`    // who bears loss and damage of goods on memo
	Terms       []string `json:"terms,omitempty"`
}

const letterheadName = "letterhead"

// Letterhead returns what the shop set; where it set nothing, its name and common words.
// The words for the margin scheme are those of Directive 2006/112/EC, article 226 (14).
func (s *Shop) Letterhead(ctx context.Context) (Letterhead, error) {
	out := Letterhead{Name: s.opt.Name, MarginWords: "Margin scheme – second-hand goods",
		MemoRisk: "borne by the taker from hand-over until the watch is back"}
	_, err := s.ReadSetting(ctx, letterheadName, "letterhead", &out)
	return out, err
}

// SetLetterhead keeps the shop's letterhead.
func (s *Shop) SetLetterhead(ctx context.Context, l Letterhead) error {
	const what = "set the letterhead"
	l.Name = strings.TrimSpace(l.Name)
	if l.Name == "" {
		return Refuse(what, "name", "nothing", "the name under which the shop trades")
	}
	for _, f := range []struct {
		field string
		words string
	}{{"margin_words", l.MarginWords}, {"memo_risk", l.MemoRisk}} {
		if strings.TrimSpace(f.words) == "" {
			return Refuse(what, f.field, "nothing", "the words that stand on the paper")
		}
	}
	return s.WriteSetting(ctx, letterheadName, what, l)
}
