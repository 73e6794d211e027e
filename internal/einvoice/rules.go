package einvoice

import (
	"regexp"
	"slices"
	"strings"

	"github.com/govalues/decimal"
)

// Broken is a rule of EN 16931 that an invoice does not keep.
type Broken struct {
	Rule string `json:"rule"` // such as BR-CO-15
	Says string `json:"says"` // what the rule asks for
}

// rule is one rule, with the test that a good invoice passes.
type rule struct {
	id, says string
	kept     func(Invoice) bool
}

// Check holds an invoice against the rules of EN 16931 that concern what an Invoice can say, and returns those that
// it breaks. Rates are not looked up: whether 19 % is right in a country is not in the standard.
func Check(v Invoice) []Broken {
	var out []Broken
	for _, r := range allRules {
		if !r.kept(v) {
			out = append(out, Broken{r.id, r.says})
		}
	}
	return out
}

// Rules lists the rules that Check knows.
func Rules() []Broken {
	var out []Broken
	for _, r := range allRules {
		out = append(out, Broken{r.id, r.says})
	}
	return out
}

var allRules = slices.Concat(headRules, lineRules, sumRules, categoryRules())

var (
	country  = regexp.MustCompile(`^[A-Z]{2}$`)
	currency = regexp.MustCompile(`^[A-Z]{3}$`)
	day      = regexp.MustCompile(`^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$`)
	vatID    = regexp.MustCompile(`^(EL|[A-Z]{2}|1A)\S{2,}$`)
	reason   = regexp.MustCompile(`^VATEX-[A-Z]{2}-[0-9A-Z-]+$`)
)

// headRules are about who, what and when.
var headRules = []rule{
	{"BR-01", "the specification is named (BT-24)", func(v Invoice) bool { return v.Model != "" }},
	{"BR-02", "there is a number (BT-1)", func(v Invoice) bool { return v.Number != "" }},
	{"BR-03", "there is a day of issue (BT-2)", func(v Invoice) bool { return day.MatchString(v.Issued) }},
	{"BR-04", "there is a kind of invoice (BT-3)", func(v Invoice) bool { return v.Kind != "" }},
	{"BR-05", "there is a currency (BT-5)", func(v Invoice) bool { return currency.MatchString(v.Currency) }},
	{"BR-06", "the seller has a name (BT-27)", func(v Invoice) bool { return v.Seller.Name != "" }},
	{"BR-07", "the buyer has a name (BT-44)", func(v Invoice) bool { return v.Buyer.Name != "" }},
	{"BR-09", "the seller's address has a country (BT-40)",
		func(v Invoice) bool { return country.MatchString(v.Seller.Country) }},
	{"BR-11", "the buyer's address has a country (BT-55)",
		func(v Invoice) bool { return country.MatchString(v.Buyer.Country) }},
	{"BR-16", "there is a line", func(v Invoice) bool { return len(v.Lines) > 0 }},
	{"BR-53", "tax in another currency has its total (BT-111)", func(v Invoice) bool {
		return v.TaxCurrency == "" || v.TaxInOther.Valid
	}},
	{"BR-55", "an earlier invoice is named by its number (BT-25)",
		func(v Invoice) bool { return !slices.Contains(v.Cancels, "") }},
	{"BR-57", "the address of delivery has a country (BT-80)", func(v Invoice) bool {
		return v.DeliveredTo == "" || country.MatchString(v.DeliveredTo)
	}},
	{"BR-61", "a credit transfer has an account (BT-84)", func(v Invoice) bool {
		return v.Means != "30" && v.Means != "58" || v.Account != ""
	}},
	{"BR-CO-09", "numbers for VAT begin with the code of their country", func(v Invoice) bool {
		return (v.Seller.VAT == "" || vatID.MatchString(v.Seller.VAT)) && (v.Buyer.VAT == "" ||
			vatID.MatchString(v.Buyer.VAT))
	}},
	{"BR-CO-26", "the seller is known by a number for VAT, of registration or of its own", func(v Invoice) bool {
		return v.Seller.VAT+v.Seller.ID+v.Seller.Registration != ""
	}},
	{"BR-CL-01", "the kind is one of the list", func(v Invoice) bool {
		return slices.Contains([]string{"80", "81", "82", "83", "84", "130", "202", "203", "204", "211", "261",
			"262", "295",
			"296", "308", "325", "326", "380", "381", "383", "384", "385", "386", "387", "388", "389", "390", "393",
			"394",
			"395", "396", "420", "456", "457", "458", "527", "532", "575", "623", "633", "751", "780", "875", "876",
			"877",
			"935"}, v.Kind)
	}},
	{"BR-CL-22", "the code of exemption is one of the list VATEX", func(v Invoice) bool {
		return allOf(v.Taxes, func(t Tax) bool {
			return t.WhyCode == "" ||
				reason.MatchString(strings.ToUpper(t.WhyCode))
		})
	}},
}

var lineRules = []rule{
	{"BR-21", "each line has an identifier (BT-126)", perLine(func(l Line) bool { return l.ID != "" })},
	{"BR-22", "each line has a quantity (BT-129)", perLine(func(l Line) bool { return l.Quantity.Valid })},
	{"BR-23", "each quantity has a unit (BT-130)", perLine(func(l Line) bool { return l.Unit != "" })},
	{"BR-24", "each line has a net amount (BT-131)", perLine(func(l Line) bool { return l.Net.Valid })},
	{"BR-25", "each line names its item (BT-153)", perLine(func(l Line) bool { return l.Name != "" })},
	{"BR-26", "each line has a net price (BT-146)", perLine(func(l Line) bool { return l.Price.Valid })},
	{"BR-27", "no net price is below zero", perLine(func(l Line) bool { return !l.Price.Decimal.IsNeg() })},
	{"BR-CO-04", "each line has a category of VAT (BT-151)", perLine(func(l Line) bool { return l.Category != "" })},
	{"BR-54", "each attribute has a name and a value", perLine(func(l Line) bool {
		return allOf(l.Facts, func(f Fact) bool { return f.Name != "" && f.Value != "" })
	})},
	{"BR-31", "each allowance has an amount", perAdjustment(false, func(a Adjustment) bool { return a.Amount.Valid })},
	{"BR-32", "each allowance has a category of VAT", perAdjustment(false,
		func(a Adjustment) bool { return a.Category != "" })},
	{"BR-33", "each allowance has a reason", perAdjustment(false, func(a Adjustment) bool { return a.Reason != "" })},
	{"BR-36", "each charge has an amount", perAdjustment(true, func(a Adjustment) bool { return a.Amount.Valid })},
	{"BR-37", "each charge has a category of VAT", perAdjustment(true,
		func(a Adjustment) bool { return a.Category != "" })},
	{"BR-38", "each charge has a reason", perAdjustment(true, func(a Adjustment) bool { return a.Reason != "" })},
	{"BR-45", "each part of the tax has a taxable amount", perTax(func(t Tax) bool { return t.Taxable.Valid })},
	{"BR-46", "each part of the tax has an amount", perTax(func(t Tax) bool { return t.Amount.Valid })},
	{"BR-47", "each part of the tax has a category", perTax(func(t Tax) bool { return t.Category != "" })},
	{"BR-48", "each part of the tax has a rate, if it is subject to VAT", perTax(func(t Tax) bool {
		return t.Rate.Valid || t.Category == OutOfScope
	})},
}

func allOf[T any](all []T, ok func(T) bool) bool {
	return !slices.ContainsFunc(all, func(x T) bool { return !ok(x) })
}

func perLine(ok func(Line) bool) func(Invoice) bool {
	return func(v Invoice) bool { return allOf(v.Lines, ok) }
}

func perTax(ok func(Tax) bool) func(Invoice) bool {
	return func(v Invoice) bool { return allOf(v.Taxes, ok) }
}

func perAdjustment(charge bool, ok func(Adjustment) bool) func(Invoice) bool {
	return func(v Invoice) bool {
		return allOf(v.Adjustments, func(a Adjustment) bool { return a.Charge != charge || ok(a) })
	}
}

// sum is exact; one that is too large to hold is said not to be equal to anything by sameSum.
func sum(all ...decimal.Decimal) (decimal.Decimal, bool) {
	total := decimal.Zero
	for _, d := range all {
		var err error
		if total, err = total.Add(d); err != nil {
			return total, false
		}
	}
	return total, true
}

func is(m decimal.NullDecimal, parts ...decimal.Decimal) bool {
	total, ok := sum(parts...)
	return ok && m.Decimal.Cmp(total) == 0
}

func adjustments(v Invoice, charge bool, of func(Adjustment) bool) []decimal.Decimal {
	var out []decimal.Decimal
	for _, a := range v.Adjustments {
		if a.Charge == charge && of(a) {
			out = append(out, a.Amount.Decimal)
		}
	}
	return out
}

func anyAdjustment(Adjustment) bool { return true }

func nets(v Invoice, of func(Line) bool) []decimal.Decimal {
	var out []decimal.Decimal
	for _, l := range v.Lines {
		if of(l) {
			out = append(out, l.Net.Decimal)
		}
	}
	return out
}

// sumRules are about totals.
var sumRules = []rule{
	{"BR-12", "there is a sum of the lines (BT-106)", func(v Invoice) bool { return v.Totals.Lines.Valid }},
	{"BR-13", "there is a total without VAT (BT-109)", func(v Invoice) bool { return v.Totals.Net.Valid }},
	{"BR-14", "there is a total with VAT (BT-112)", func(v Invoice) bool { return v.Totals.Gross.Valid }},
	{"BR-15", "there is an amount due (BT-115)", func(v Invoice) bool { return v.Totals.Due.Valid }},
	{"BR-CO-10", "the sum of the lines is that of their net amounts", func(v Invoice) bool {
		return is(v.Totals.Lines, nets(v, func(Line) bool { return true })...)
	}},
	{"BR-CO-11", "the sum of allowances is that of their amounts", func(v Invoice) bool {
		return is(v.Totals.Allowances, adjustments(v, false, anyAdjustment)...)
	}},
	{"BR-CO-12", "the sum of charges is that of their amounts", func(v Invoice) bool {
		return is(v.Totals.Charges, adjustments(v, true, anyAdjustment)...)
	}},
	{"BR-CO-13", "the total without VAT is lines less allowances plus charges", func(v Invoice) bool {
		t := v.Totals
		return is(t.Net, t.Lines.Decimal, t.Allowances.Decimal.Neg(), t.Charges.Decimal)
	}},
	{"BR-CO-14", "the total of VAT is the sum of its parts", func(v Invoice) bool {
		var parts []decimal.Decimal
		for _, t := range v.Taxes {
			parts = append(parts, t.Amount.Decimal)
		}
		return is(v.TaxTotal, parts...)
	}},
	{"BR-CO-15", "the total with VAT is the one without plus VAT", func(v Invoice) bool {
		return is(v.Totals.Gross, v.Totals.Net.Decimal, v.TaxTotal.Decimal)
	}},
	{"BR-CO-16", "what is due is the total less what was paid, plus rounding", func(v Invoice) bool {
		t := v.Totals
		return is(t.Due, t.Gross.Decimal, t.Prepaid.Decimal.Neg(), t.Rounding.Decimal)
	}},
	{"BR-CO-17", "the tax of a part is its taxable amount times the rate, to a cent", perTax(taxAgrees)},
	{"BR-CO-18", "there is at least one part of the tax", func(v Invoice) bool { return len(v.Taxes) > 0 }},
	{"BR-CO-25", "what is due has a day or terms of payment", func(v Invoice) bool {
		return !v.Totals.Due.Decimal.IsPos() || v.Kind == CreditNote || v.DueDay+v.PayBy != ""
	}},
	{"BR-DEC", "no total has more than two decimals", func(v Invoice) bool {
		t := v.Totals
		all := []decimal.NullDecimal{t.Lines, t.Allowances, t.Charges, t.Net, t.Gross, t.Prepaid, t.Rounding, t.Due,
			v.TaxTotal}
		for _, x := range v.Taxes {
			all = append(all, x.Taxable, x.Amount)
		}
		for _, l := range v.Lines {
			all = append(all, l.Net)
		}
		return allOf(all, func(m decimal.NullDecimal) bool { return m.Decimal.Trim(0).Scale() <= 2 })
	}},
}

// taxAgrees leaves a cent of room: tax taken out of a price with tax and net as the rest do not always multiply back.
// The rules as the Commission publishes them leave one unit.
func taxAgrees(t Tax) bool {
	part, err := t.Rate.Decimal.Quo(decimal.Hundred)
	if err == nil {
		part, err = t.Taxable.Decimal.Mul(part)
	}
	if err == nil {
		part, err = part.Sub(t.Amount.Decimal)
	}
	return err == nil && part.Abs().Cmp(decimal.MustParse("0.015")) < 0
}
