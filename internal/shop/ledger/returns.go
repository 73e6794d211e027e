package ledger

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// ReturnForm is the tax return of a country, as data: which figures of the months go into which box. It is a
// help to fill in the form, not the form.
type ReturnForm struct {
	ID     string `json:"id"`
	Name   string `json:"name"`
	Source string `json:"source"`
	Boxes  []Box  `json:"boxes"`
}

// Box is one box of a return.
type Box struct {
	Box   string   `json:"box"`
	Name  string   `json:"name"`
	Plus  []string `json:"plus"`
	Less  []string `json:"less,omitempty"`
	Whole bool     `json:"whole,omitempty"` // without the fraction of the currency
	Sign  int      `json:"sign,omitempty"`  // 1: filled in only where it is above zero
}

// BoxAmount is a box filled in.
type BoxAmount struct {
	Box    string      `json:"box"`
	Name   string      `json:"name"`
	Amount money.Money `json:"amount"`
}

//go:embed returns.json
var returnsText []byte

var returnForms = readReturns()

func readReturns() []ReturnForm {
	var out []ReturnForm
	if err := json.Unmarshal(returnsText, &out); err != nil {
		panic(fmt.Sprintf("returns.json: %v", err)) // a file of the program, which a test reads
	}
	return out
}

// ReturnForms lists the returns that are there.
func ReturnForms() []ReturnForm { return slices.Clone(returnForms) }

// ReturnFormOf is the return of an id.
func ReturnFormOf(id string) (ReturnForm, bool) {
	i := slices.IndexFunc(returnForms, func(f ReturnForm) bool { return f.ID == id })
	if i < 0 {
		return ReturnForm{}, false
	}
	return returnForms[i], true
}

// Span are the first and the last month of a period: 2026-03, 2026-Q1 or 2026.
func Span(period string) (from, to string, ok bool) {
	if t, err := time.Parse("2006-01", period); err == nil {
		return t.Format("2006-01"), t.Format("2006-01"), true
	}
	if t, err := time.Parse("2006", period); err == nil {
		return t.Format("2006-01"), t.AddDate(0, 11, 0).Format("2006-01"), true
	}
	if len(period) != len("2026-Q1") || period[4:6] != "-Q" || period[6] < '1' || period[6] > '4' {
		return "", "", false
	}
	t, err := time.Parse("2006", period[:4])
	if err != nil {
		return "", "", false
	}
	t = t.AddDate(0, 3*int(period[6]-'1'), 0)
	return t.Format("2006-01"), t.AddDate(0, 2, 0).Format("2006-01"), true
}

// figures are the figures of a month by the names that boxes use.
func (r VATRow) figures() map[string]money.Money {
	return map[string]money.Money{"margin_sales": r.MarginSales, "margins": r.Margins, "margin_tax": r.MarginTax,
		"ordinary_sales": r.OrdinarySales, "ordinary_tax": r.OrdinaryTax, "untaxed_sales": r.UntaxedSales,
		"purchases": r.Purchases, "purchase_tax": r.PurchaseTax, "input_tax": r.InputTax, "other_tax": r.OtherTax}
}

// Return fills in a return for the months from one to another, both included.
func (b *Books) Return(f ReturnForm, from, to string) ([]BoxAmount, error) {
	rows, err := b.VAT(from, to)
	if err != nil {
		return nil, err
	}
	var out []BoxAmount
	for _, box := range f.Boxes {
		sum := decimal.Zero
		for _, row := range rows {
			figures := row.figures()
			var errs []error
			add := func(name string, sign int) {
				m, ok := figures[name]
				if !ok {
					errs = append(errs, wrongEntry("box %s: no figure %q", box.Box, name))
				}
				d := m.Decimal()
				if sign < 0 {
					d = d.Neg()
				}
				var err error
				sum, err = sum.Add(d)
				errs = append(errs, err)
			}
			for _, name := range box.Plus {
				add(name, 1)
			}
			for _, name := range box.Less {
				add(name, -1)
			}
			if err := errors.Join(errs...); err != nil {
				return nil, err
			}
		}
		if box.Whole {
			sum = sum.Trunc(0)
		}
		if box.Sign > 0 && sum.Sign() < 0 {
			sum = decimal.Zero
		}
		out = append(out, BoxAmount{box.Box, box.Name, b.inBase(sum)})
	}
	return out, nil
}
