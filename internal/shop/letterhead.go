package shop

import (
	"context"
	"fmt"
	"net/url"
	"slices"
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

	Country      string `json:"country,omitempty"`      // ISO 3166-1 alpha-2; empty: the one of the founding
	Registration string `json:"registration,omitempty"` // of the firm
	CheckedAt    string `json:"checked_at,omitempty"`   // address of the shop at which others check papers, such as https://shop.example
	MarginGoods  string `json:"margin_goods,omitempty"` // what the margin scheme is for: second-hand (also where empty), art or collectors
}

// MarginGoods lists what a margin scheme is for; empty counts as second-hand.
func MarginGoods() []string { return []string{"", "second-hand", "art", "collectors"} }

// UsualMemoRisk is what is set where a shop sets nothing; papers say it in the language of their reader.
const UsualMemoRisk = "borne by the taker from hand-over until the watch is back"

const letterheadName = "letterhead"

// Letterhead returns what the shop set; where it set nothing, its name and common words.
// The words for the margin scheme are those of Directive 2006/112/EC, article 226 (14).
func (s *Shop) Letterhead(ctx context.Context) (Letterhead, error) {
	out := Letterhead{Name: s.opt.Name, MarginWords: "Margin scheme – second-hand goods",
		MemoRisk: UsualMemoRisk}
	_, err := s.ReadSetting(ctx, letterheadName, "letterhead", &out)
	if err == nil && out.Country == "" {
		var f Founding
		if _, err = s.ReadSetting(ctx, foundingName, "founding", &f); err == nil {
			out.Country = f.Country
		}
	}
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
	if l.Country = strings.ToUpper(strings.TrimSpace(l.Country)); l.Country != "" {
		if c, ok := countryOf(l.Country); !ok || c.Code != l.Country {
			return Refuse(what, "country", fmt.Sprintf("%q", l.Country), "a country's code of two letters, such as US")
		}
	}
	if !slices.Contains(MarginGoods(), l.MarginGoods) {
		return Refuse(what, "margin_goods", fmt.Sprintf("%q", l.MarginGoods), "second-hand, art or collectors")
	}
	l.CheckedAt = strings.TrimSuffix(strings.TrimSpace(l.CheckedAt), "/")
	if u, err := url.Parse(l.CheckedAt); l.CheckedAt != "" && (err != nil || u.Host == "" || u.RawQuery != "" ||
		u.Scheme != "https" && u.Scheme != "http") {
		return Refuse(what, "checked_at", fmt.Sprintf("%q", l.CheckedAt), "an address such as https://shop.example")
	}
	return s.WriteSetting(ctx, letterheadName, what, l)
}
