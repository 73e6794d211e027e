package document

import (
	"fmt"
	"io"
	"regexp"
	"strings"

	"github.com/govalues/decimal"

	"midcase/internal/einvoice"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// untaxed is why a sale bears no tax by the codes of an e-invoice.
type untaxed struct{ category, code string }

var untaxedKinds = map[string]untaxed{
	ledger.UntaxedExport:  {einvoice.Export, einvoice.ExportWhy},
	ledger.UntaxedIntra:   {einvoice.IntraCommunity, einvoice.IntraWhy},
	ledger.UntaxedReverse: {einvoice.ReverseCharge, einvoice.ReverseChargeWhy},
	ledger.UntaxedExempt:  {einvoice.Exempt, ""},
	ledger.UntaxedOutside: {einvoice.OutOfScope, einvoice.OutOfScopeWhy},
}

// marginCodes are the codes of exemption by what the margin scheme is for.
var marginCodes = map[string]string{"": einvoice.MarginGoods, "second-hand": einvoice.MarginGoods,
	"art": einvoice.MarginArt, "collectors": einvoice.MarginCollectors}

// Lacking says why an invoice has no electronic form.
type Lacking struct{ Reasons []string }

// Error implements error.
func (l *Lacking) Error() string { return "no e-invoice: " + strings.Join(l.Reasons, "; ") }

// EInvoice is the electronic form of an invoice or credit note (EN 16931), or Lacking where it does not apply or
// something is not on record.
func EInvoice(v *Invoice) (einvoice.Invoice, error) {
	category, lacks := v.category()
	if v.Consigned && !v.OwnName {
		lacks = append(lacks, "the watch was sold in the name of its owner, and this is no invoice of the shop's own")
	}
	if v.Price.Currency().MinorUnits() > 2 {
		lacks = append(lacks, "the standard takes two decimals at most, and "+string(v.Price.Currency())+" has three")
	}
	out := einvoice.Invoice{Model: einvoice.Model, Number: v.Number, Kind: einvoice.Commercial, Issued: v.Day,
		Supplied: v.Supplied, Currency: string(v.Price.Currency()), Seller: eParty(v.Issuer), Buyer: eParty(v.Buyer)}
	sign := decimal.One
	if v.Cancels != "" {
		out.Kind, out.Cancels, sign = einvoice.CreditNote, []string{v.Cancels}, decimal.NegOne
	}
	for _, note := range []string{v.SchemeSay, after("", v.Reason)} {
		if note != "" {
			out.Notes = append(out.Notes, note)
		}
	}
	if v.Untaxed == ledger.UntaxedIntra || v.Untaxed == ledger.UntaxedExport {
		out.DeliveredTo = orElse(v.Destination, v.Buyer.Country)
	}
	if v.Untaxed == ledger.UntaxedOutside { // BR-O-02: a number for VAT would say that it is subject to it
		out.Seller.VAT, out.Buyer.VAT = "", ""
	}
	v.ePayment(&out)
	if err := v.eSums(&out, category, sign); err != nil {
		return out, fmt.Errorf("e-invoice %s: %w", v.Number, err)
	}
	for _, b := range einvoice.Check(out) {
		if b.Rule == "BR-02" && v.Number == "" { // a draft
			continue
		}
		lacks = append(lacks, orElse(lackWords[b.Rule], b.Says+" ("+b.Rule+")"))
	}
	if len(lacks) > 0 {
		return out, &Lacking{lacks}
	}
	return out, nil
}

// lackWords say what to do where a rule cannot be kept.
var lackWords = map[string]string{
	"BR-09":    "our country is not on the letterhead",
	"BR-11":    "the buyer's country is not on record; add it to the client, as two letters",
	"BR-CO-26": "neither a number for VAT with the letters of its country nor a number of registration is on the letterhead",
	"BR-CO-09": "a number for VAT does not begin with the two letters of its country",
	"BR-S-02":  "our tax number is not on the letterhead", "BR-E-02": "our tax number is not on the letterhead",
	"BR-Z-02": "our tax number is not on the letterhead", "BR-G-02": "our number for VAT is not on the letterhead",
	"BR-AE-02": "the numbers for VAT of both sides are not on record",
	"BR-IC-02": "the numbers for VAT of both sides are not on record",
}

// category is the category of VAT of the sale with the reason for exemption.
func (v *Invoice) category() (einvoice.Tax, []string) {
	zero := einvoice.Some(decimal.Zero)
	switch v.Scheme {
	case schemeMargin:
		return einvoice.Tax{Category: einvoice.Exempt, Rate: zero, WhyCode: marginCodes[v.MarginGoods],
			Why: v.SchemeSay}, nil
	case schemeOrdinary:
		rate, err := decimal.Parse(orElse(v.Rate, "0"))
		if err == nil {
			rate, err = rate.Mul(decimal.Hundred)
		}
		if err != nil {
			return einvoice.Tax{}, []string{"the rate of tax “" + v.Rate + "” cannot be read"}
		}
		if rate = rate.Trim(0); rate.IsZero() {
			return einvoice.Tax{Category: einvoice.ZeroRated, Rate: zero}, nil
		}
		return einvoice.Tax{Category: einvoice.Standard, Rate: einvoice.Some(rate)}, nil
	}
	why := v.Untaxed
	kind, ok := untaxedKinds[why]
	switch {
	case ok:
	case v.Issuer.TaxNumber == "":
		why = ledger.UntaxedOutside
		kind = untaxedKinds[why]
	default:
		return einvoice.Tax{}, []string{"why no tax is charged is not on record: export, intra-community, " +
			"reverse-charge, exempt or outside"}
	}
	t := einvoice.Tax{Category: kind.category, Rate: zero, WhyCode: kind.code,
		Why: strings.TrimSuffix(v.writer().Capital(untaxedBecause(why)), ".")}
	if t.Category == einvoice.OutOfScope {
		t.Rate = decimal.NullDecimal{}
	}
	return t, nil
}

// hasCountry finds numbers for VAT, which begin with the letters of their country.
var hasCountry = regexp.MustCompile(`^(?:[A-Z]{2})[0-9A-Z+*.]{2,13}$`)

func eParty(p Party) einvoice.Party {
	out := einvoice.Party{Name: p.Name, Registration: p.Registration, City: p.City, PostCode: p.PostCode,
		Region: p.Region, Country: p.Country}
	if number := strings.ToUpper(strings.Join(strings.Fields(p.TaxNumber), "")); hasCountry.MatchString(number) {
		out.VAT = number
	} else {
		out.TaxNumber = p.TaxNumber
	}
	street := p.Street
	if len(street) == 0 && p.City == "" {
		street = p.Lines
	}
	if len(street) > 2 {
		street = []string{street[0], street[1], strings.Join(street[2:], ", ")}
	}
	out.Street = street
	return out
}

// account finds an IBAN (ISO 13616) in what the letterhead says of the bank.
var account = regexp.MustCompile(`\b[A-Z]{2}[0-9]{2}(?: ?[0-9A-Z]{4}){2,7}(?: ?[0-9A-Z]{1,3})?\b`)

// IBANIn is the first account number in a text whose check digits are right; empty for none.
func IBANIn(text string) string {
	for _, found := range account.FindAllString(text, -1) {
		iban := strings.ReplaceAll(found, " ", "")
		for ; len(iban) >= 15; iban = iban[:len(iban)-1] { // a word may follow it
			if checked(iban) {
				return iban
			}
		}
	}
	return ""
}

// checked holds the check digits of an IBAN (ISO 7064, MOD 97-10).
func checked(iban string) bool {
	rest := 0
	for _, c := range iban[4:] + iban[:4] {
		if c >= 'A' {
			rest = (rest*100 + int(c-'A') + 10) % 97
		} else {
			rest = (rest*10 + int(c-'0')) % 97
		}
	}
	return rest == 1
}

// ePayment says how what is open is paid.
func (v *Invoice) ePayment(out *einvoice.Invoice) {
	if v.Cancels != "" || v.Due.Sign() <= 0 {
		return
	}
	out.PayBy = "Payment open"
	if v.Bank == "" {
		return
	}
	out.PayBy = "Payment open, to " + v.Bank
	if iban := IBANIn(v.Bank); iban != "" {
		out.Means, out.Account = "30", iban // a credit transfer (UNTDID 4461)
	}
}

// eSums fills in line, allowances, tax and totals. Those of a credit note are above zero.
func (v *Invoice) eSums(out *einvoice.Invoice, t einvoice.Tax, sign decimal.Decimal) error {
	s := exactSums{currency: v.Price.Currency()}
	gross, due, net := s.times(v.Price.Decimal(), sign), s.times(v.Due.Decimal(), sign), s.times(v.Price.Decimal(),
		sign)
	tax := decimal.Zero
	if t.Category == einvoice.Standard {
		net, tax = s.times(v.Net.Decimal(), sign), s.times(v.Tax.Decimal(), sign)
	}
	lines, allowed := net, decimal.Zero
	if v.Cancels == "" {
		for _, a := range v.Allowed {
			m := a.Amount.Decimal().Neg()
			if t.Category == einvoice.Standard {
				m = s.net(m, t.Rate.Decimal)
			}
			if !m.IsPos() || a.Amount.Currency() != s.currency {
				continue
			}
			out.Adjustments = append(out.Adjustments, einvoice.Adjustment{Amount: s.some(m), Reason: a.Text,
				Category: t.Category, Rate: t.Rate})
			lines, allowed = s.plus(lines, m), s.plus(allowed, m)
		}
	}
	t.Taxable, t.Amount = s.some(net), s.some(tax)
	out.Taxes, out.TaxTotal = []einvoice.Tax{t}, s.some(tax)
	if !v.TaxBase.IsZero() && t.Category == einvoice.Standard {
		out.TaxCurrency = string(v.TaxBase.Currency())
		out.TaxInOther = einvoice.Some(v.TaxBase.Decimal().Pad(v.TaxBase.Currency().MinorUnits()))
	}
	out.Totals = einvoice.Totals{Lines: s.some(lines), Net: s.some(net), Gross: s.some(gross), Due: s.some(due)}
	if !allowed.IsZero() {
		out.Totals.Allowances = s.some(allowed)
	}
	if paid := s.plus(gross, due.Neg()); !paid.IsZero() {
		out.Totals.Prepaid = s.some(paid)
	}
	out.Lines = []einvoice.Line{{ID: "1", Quantity: einvoice.Some(decimal.One), Unit: "C62", Net: s.some(lines),
		Price: s.some(lines), Name: v.Goods.Title, Says: "Second-hand wristwatch", SellerID: v.Goods.File,
		Category: t.Category, Rate: t.Rate, Facts: v.Goods.eFacts()}}
	return s.err
}

func (g Goods) eFacts() []einvoice.Fact {
	var out []einvoice.Fact
	for _, f := range []einvoice.Fact{{Name: "Maker", Value: g.Maker}, {Name: "Reference", Value: g.Reference},
		{Name: "Serial number", Value: g.Serial}} {
		if f.Value != "" {
			out = append(out, f)
		}
	}
	return out
}

// exactSums adds amounts of one currency and keeps the first error.
type exactSums struct {
	currency money.Currency
	err      error
}

func (s *exactSums) keep(d decimal.Decimal, err error) decimal.Decimal {
	if err != nil && s.err == nil {
		s.err = err
	}
	return d
}

func (s *exactSums) plus(a, b decimal.Decimal) decimal.Decimal  { return s.keep(a.Add(b)) }
func (s *exactSums) times(a, b decimal.Decimal) decimal.Decimal { return s.keep(a.Mul(b)) }

// net is an amount with tax without it, at a rate in %.
func (s *exactSums) net(m, percent decimal.Decimal) decimal.Decimal {
	whole := s.plus(decimal.Hundred, percent)
	part := s.keep(s.times(m, decimal.Hundred).Quo(whole))
	return money.ToMinor(part, s.currency)
}

// some is an amount to the digits of the currency.
func (s *exactSums) some(d decimal.Decimal) decimal.NullDecimal {
	return einvoice.Some(d.Trim(s.currency.MinorUnits()).Pad(s.currency.MinorUnits()))
}

// WriteEInvoice writes the electronic form of an invoice as UBL.
func WriteEInvoice(w io.Writer, v *Invoice) error {
	e, err := EInvoice(v)
	if err != nil {
		return err
	}
	return einvoice.WriteUBL(w, e)
}
