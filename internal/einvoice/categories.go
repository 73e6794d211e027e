package einvoice

import (
	"slices"

	"github.com/govalues/decimal"
)

// categoryRules are the rules of each category of VAT, which the standard numbers alike: BR-S-01 to BR-S-10 and so
// on.
func categoryRules() []rule {
	var out []rule
	for _, c := range []struct {
		code, of string // as the rules name it
		taxed    bool
		why      string // the one code of exemption; empty where any reason will do
		needsWhy bool
	}{
		{Standard, "S", true, "", false}, {ZeroRated, "Z", false, "", false}, {Exempt, "E", false, "", true},
		{ReverseCharge, "AE", false, ReverseChargeWhy, true}, {IntraCommunity, "IC", false, IntraWhy, true},
		{Export, "G", false, ExportWhy, true}, {OutOfScope, "O", false, OutOfScopeWhy, true},
	} {
		name := func(n string) string { return "BR-" + c.of + "-" + n }
		out = append(out, usedOnce(name("01"), c.code, c.taxed), numbersOf(name("02"), c.code),
			rateOf(name("05"), c.code, c.taxed), taxableOf(name("08"), c.code))
		if !c.taxed {
			out = append(out, rule{name("09"), "no tax is charged", perTax(func(t Tax) bool {
				return t.Category != c.code || t.Amount.Decimal.IsZero()
			})})
		}
		out = append(out, rule{name("10"), exemptionSays(c.needsWhy), perTax(func(t Tax) bool {
			if t.Category != c.code {
				return true
			}
			said := t.Why+t.WhyCode != ""
			return said == c.needsWhy && (c.why == "" || t.WhyCode == "" || t.WhyCode == c.why)
		})})
	}
	return append(out, rule{"BR-IC-11", "a supply within the Community has a day of delivery", func(v Invoice) bool {
		return !uses(v, IntraCommunity) || v.Supplied != ""
	}}, rule{"BR-IC-12", "a supply within the Community says to which country it went", func(v Invoice) bool {
		return !uses(v, IntraCommunity) || v.DeliveredTo != ""
	}}, rule{"BR-O-11", "what is not subject to VAT stands alone", func(v Invoice) bool {
		return !uses(v, OutOfScope) || len(v.Taxes) == 1
	}})
}

func exemptionSays(needed bool) string {
	if needed {
		return "the reason why no tax is charged is given, with the code of this category or in words"
	}
	return "no reason for exemption is given"
}

// uses reports whether a line or an adjustment is of a category.
func uses(v Invoice, code string) bool {
	return slices.ContainsFunc(v.Lines, func(l Line) bool { return l.Category == code }) ||
		slices.ContainsFunc(v.Adjustments, func(a Adjustment) bool { return a.Category == code })
}

func usedOnce(id, code string, oftener bool) rule {
	return rule{id, "the category of lines and adjustments has its part of the tax", func(v Invoice) bool {
		n := 0
		for _, t := range v.Taxes {
			if t.Category == code {
				n++
			}
		}
		if !uses(v, code) {
			return n == 0
		}
		return n == 1 || oftener && n > 1
	}}
}

func numbersOf(id, code string) rule {
	says := "the seller has a number for tax"
	if code == OutOfScope {
		says = "neither seller nor buyer has a number for VAT"
	}
	return rule{id, says, func(v Invoice) bool {
		if !uses(v, code) {
			return true
		}
		switch code {
		case OutOfScope:
			return v.Seller.VAT == "" && v.Buyer.VAT == ""
		case ReverseCharge:
			return v.Seller.VAT+v.Seller.TaxNumber != "" && v.Buyer.VAT+v.Buyer.Registration != ""
		case IntraCommunity:
			return v.Seller.VAT != "" && v.Buyer.VAT != ""
		case Export:
			return v.Seller.VAT != ""
		}
		return v.Seller.VAT+v.Seller.TaxNumber != ""
	}}
}

func rateOf(id, code string, taxed bool) rule {
	says := "the rate is 0"
	ok := func(category string, rate decimal.NullDecimal) bool {
		switch {
		case category != code:
			return true
		case code == OutOfScope:
			return !rate.Valid
		case taxed:
			return rate.Decimal.IsPos()
		}
		return rate.Valid && rate.Decimal.IsZero()
	}
	switch {
	case taxed:
		says = "the rate is above 0"
	case code == OutOfScope:
		says = "there is no rate"
	}
	return rule{id, says, func(v Invoice) bool {
		return allOf(v.Lines, func(l Line) bool { return ok(l.Category, l.Rate) }) &&
			allOf(v.Adjustments, func(a Adjustment) bool { return ok(a.Category, a.Rate) })
	}}
}

func taxableOf(id, code string) rule {
	return rule{id, "the taxable amount is that of the lines less allowances plus charges of this category and rate",
		func(v Invoice) bool {
			return allOf(v.Taxes, func(t Tax) bool {
				if t.Category != code {
					return true
				}
				of := func(category string, rate decimal.NullDecimal) bool {
					return category == code && (code != Standard || rate.Decimal.Cmp(t.Rate.Decimal) == 0)
				}
				parts := nets(v, func(l Line) bool { return of(l.Category, l.Rate) })
				ofAdjustment := func(a Adjustment) bool { return of(a.Category, a.Rate) }
				parts = append(parts, adjustments(v, true, ofAdjustment)...)
				for _, m := range adjustments(v, false, ofAdjustment) {
					parts = append(parts, m.Neg())
				}
				return is(t.Taxable, parts...)
			})
		}}
}
