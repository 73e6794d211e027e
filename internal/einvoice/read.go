package einvoice

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/beevik/etree"
	"github.com/govalues/decimal"
	"golang.org/x/text/encoding/ianaindex"
)

// ErrSyntax is wrapped by what Read refuses.
var ErrSyntax = errors.New("no e-invoice that can be read")

// MostBytes is the largest file that Read takes.
const MostBytes = 8 << 20

// Read reads an invoice or credit note in UBL or CII.
func Read(b []byte) (Invoice, error) {
	if len(b) > MostBytes {
		return Invoice{}, fmt.Errorf("%w: it is larger than %d MB", ErrSyntax, MostBytes>>20)
	}
	doc := etree.NewDocument()
	doc.ReadSettings.CharsetReader = charset
	if err := doc.ReadFromBytes(bytes.TrimPrefix(b, []byte("\uFEFF"))); err != nil {
		return Invoice{}, fmt.Errorf("%w: it is not well-formed XML: %w", ErrSyntax, err)
	}
	root := doc.Root()
	if root == nil {
		return Invoice{}, fmt.Errorf("%w: the file is empty", ErrSyntax)
	}
	r := reader{}
	var v Invoice
	switch root.Tag {
	case "Invoice", "CreditNote":
		v = r.ubl(root)
	case "CrossIndustryInvoice":
		v = r.cii(root)
	default:
		return v, fmt.Errorf("%w: it begins with <%s>; give UBL (Invoice or CreditNote) or CII (CrossIndustryInvoice)",
			ErrSyntax, root.Tag)
	}
	return v, r.err
}

// charset reads XML that is not UTF-8.
func charset(label string, in io.Reader) (io.Reader, error) {
	enc, err := ianaindex.IANA.Encoding(label)
	if err != nil || enc == nil {
		return nil, fmt.Errorf("the encoding %q is not known", label)
	}
	return enc.NewDecoder().Reader(in), nil
}

// reader keeps the first amount that cannot be read. Elements are found by their names without prefix.
type reader struct{ err error }

// at is the element at the end of a path, nil for none.
func at(e *etree.Element, path ...string) *etree.Element {
	for _, tag := range path {
		if e = first(e, tag); e == nil {
			return nil
		}
	}
	return e
}

func first(e *etree.Element, tag string) *etree.Element {
	if all := every(e, tag); len(all) > 0 {
		return all[0]
	}
	return nil
}

func every(e *etree.Element, tag string) []*etree.Element {
	if e == nil {
		return nil
	}
	var out []*etree.Element
	for _, c := range e.ChildElements() {
		if c.Tag == tag {
			out = append(out, c)
		}
	}
	return out
}

// says is the text at the end of a path, on one line.
func says(e *etree.Element, path ...string) string {
	if e = at(e, path...); e == nil {
		return ""
	}
	return strings.Join(strings.Fields(e.Text()), " ")
}

func (r *reader) figure(e *etree.Element, path ...string) decimal.NullDecimal {
	text := says(e, path...)
	if text == "" {
		return decimal.NullDecimal{}
	}
	d, err := decimal.Parse(text)
	if err != nil {
		if r.err == nil {
			r.err = fmt.Errorf("%w: %s: “%s” is no figure", ErrSyntax, strings.Join(path, "/"), text)
		}
		return decimal.NullDecimal{}
	}
	return Some(d)
}

func (r *reader) ubl(e *etree.Element) Invoice {
	v := Invoice{Model: says(e, "CustomizationID"), Number: says(e, "ID"), Issued: says(e, "IssueDate"),
		DueDay: says(e, "DueDate"), Kind: says(e, "InvoiceTypeCode") + says(e, "CreditNoteTypeCode"),
		Currency: says(e, "DocumentCurrencyCode"), TaxCurrency: says(e, "TaxCurrencyCode"),
		Reference: says(e, "BuyerReference"), Supplied: says(e, "Delivery", "ActualDeliveryDate"),
		DeliveredTo: says(e, "Delivery", "DeliveryLocation", "Address", "Country", "IdentificationCode"),
		Means:       says(e, "PaymentMeans", "PaymentMeansCode"),
		Account:     says(e, "PaymentMeans", "PayeeFinancialAccount", "ID"), PayBy: says(e, "PaymentTerms", "Note")}
	if v.DueDay == "" {
		v.DueDay = says(e, "PaymentMeans", "PaymentDueDate")
	}
	for _, n := range every(e, "Note") {
		v.Notes = append(v.Notes, says(n))
	}
	for _, b := range every(e, "BillingReference") {
		v.Cancels = append(v.Cancels, says(b, "InvoiceDocumentReference", "ID"))
	}
	v.Seller = r.ublParty(at(e, "AccountingSupplierParty", "Party"))
	v.Buyer = r.ublParty(at(e, "AccountingCustomerParty", "Party"))
	for _, a := range every(e, "AllowanceCharge") {
		v.Adjustments = append(v.Adjustments, Adjustment{Charge: says(a, "ChargeIndicator") == "true",
			Reason: says(a, "AllowanceChargeReason") + says(a, "AllowanceChargeReasonCode"), Amount: r.figure(a,
				"Amount"),
			Category: says(a, "TaxCategory", "ID"), Rate: r.figure(a, "TaxCategory", "Percent")})
	}
	r.ublTaxes(e, &v)
	t := at(e, "LegalMonetaryTotal")
	v.Totals = Totals{Lines: r.figure(t, "LineExtensionAmount"), Net: r.figure(t, "TaxExclusiveAmount"),
		Gross: r.figure(t, "TaxInclusiveAmount"), Allowances: r.figure(t, "AllowanceTotalAmount"),
		Charges: r.figure(t, "ChargeTotalAmount"), Prepaid: r.figure(t, "PrepaidAmount"),
		Rounding: r.figure(t, "PayableRoundingAmount"), Due: r.figure(t, "PayableAmount")}
	for _, l := range append(every(e, "InvoiceLine"), every(e, "CreditNoteLine")...) {
		v.Lines = append(v.Lines, r.ublLine(l))
	}
	return v
}

func (r *reader) ublParty(e *etree.Element) Party {
	a := at(e, "PostalAddress")
	p := Party{Name: says(e, "PartyLegalEntity", "RegistrationName"),
		Registration: says(e, "PartyLegalEntity", "CompanyID"), ID: says(e, "PartyIdentification", "ID"),
		City: says(a, "CityName"), PostCode: says(a, "PostalZone"), Region: says(a, "CountrySubentity"),
		Country: says(a, "Country", "IdentificationCode")}
	for _, line := range []string{says(a, "StreetName"), says(a, "AdditionalStreetName"), says(a, "AddressLine",
		"Line")} {
		if line != "" {
			p.Street = append(p.Street, line)
		}
	}
	for _, s := range every(e, "PartyTaxScheme") {
		if strings.EqualFold(says(s, "TaxScheme", "ID"), "VAT") {
			p.VAT = says(s, "CompanyID")
		} else {
			p.TaxNumber = says(s, "CompanyID")
		}
	}
	return p
}

// ublTaxes reads the total in the invoice's currency with its parts, and the one in the currency of the tax.
func (r *reader) ublTaxes(e *etree.Element, v *Invoice) {
	for _, t := range every(e, "TaxTotal") {
		total := at(t, "TaxAmount")
		if c := total.SelectAttrValue("currencyID", v.Currency); total != nil && c != v.Currency && c == v.TaxCurrency {
			v.TaxInOther = r.figure(t, "TaxAmount")
			continue
		}
		v.TaxTotal = r.figure(t, "TaxAmount")
		for _, s := range every(t, "TaxSubtotal") {
			v.Taxes = append(v.Taxes, Tax{Taxable: r.figure(s, "TaxableAmount"), Amount: r.figure(s, "TaxAmount"),
				Category: says(s, "TaxCategory", "ID"), Rate: r.figure(s, "TaxCategory", "Percent"),
				Why: says(s, "TaxCategory", "TaxExemptionReason"), WhyCode: says(s, "TaxCategory",
					"TaxExemptionReasonCode")})
		}
	}
}

func (r *reader) ublLine(e *etree.Element) Line {
	q := "InvoicedQuantity"
	if at(e, q) == nil {
		q = "CreditedQuantity"
	}
	l := Line{ID: says(e, "ID"), Quantity: r.figure(e, q), Net: r.figure(e, "LineExtensionAmount"),
		Name: says(e, "Item", "Name"), Says: says(e, "Item", "Description"),
		SellerID: says(e, "Item", "SellersItemIdentification", "ID"), Price: r.figure(e, "Price", "PriceAmount"),
		Category: says(e, "Item", "ClassifiedTaxCategory", "ID"),
		Rate:     r.figure(e, "Item", "ClassifiedTaxCategory", "Percent")}
	if unit := at(e, q); unit != nil {
		l.Unit = unit.SelectAttrValue("unitCode", "")
	}
	for _, p := range every(at(e, "Item"), "AdditionalItemProperty") {
		l.Facts = append(l.Facts, Fact{says(p, "Name"), says(p, "Value")})
	}
	return l
}
