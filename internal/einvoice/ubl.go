package einvoice

import (
	"fmt"
	"io"

	"github.com/beevik/etree"
	"github.com/govalues/decimal"
)

// Namespaces of UBL 2.1.
const (
	nsInvoice = "urn:oasis:names:specification:ubl:schema:xsd:Invoice-2"
	nsCredit  = "urn:oasis:names:specification:ubl:schema:xsd:CreditNote-2"
	nsCAC     = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
	nsCBC     = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"
)

// ublWriter adds elements in the order in which the schema has them.
type ublWriter struct {
	v      Invoice
	credit bool
}

// WriteUBL writes an invoice or a credit note as UBL 2.1. The same invoice gives the same bytes.
func WriteUBL(w io.Writer, v Invoice) error {
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	u := ublWriter{v: v, credit: v.Kind == CreditNote}
	name, space := "Invoice", nsInvoice
	if u.credit {
		name, space = "CreditNote", nsCredit
	}
	root := doc.CreateElement(name)
	root.CreateAttr("xmlns", space)
	root.CreateAttr("xmlns:cac", nsCAC)
	root.CreateAttr("xmlns:cbc", nsCBC)
	u.head(root)
	u.party(root.CreateElement("cac:AccountingSupplierParty"), v.Seller)
	u.party(root.CreateElement("cac:AccountingCustomerParty"), v.Buyer)
	u.delivery(root)
	u.payment(root)
	for _, a := range v.Adjustments {
		u.adjustment(root, a)
	}
	u.taxes(root)
	u.totals(root)
	for _, l := range v.Lines {
		u.line(root, l)
	}
	doc.Indent(2)
	if _, err := doc.WriteTo(w); err != nil {
		return fmt.Errorf("e-invoice %s: write: %w", v.Number, err)
	}
	return nil
}

// text adds an element with text; empty text adds none.
func text(to *etree.Element, name, value string) *etree.Element {
	if value == "" {
		return nil
	}
	e := to.CreateElement(name)
	e.SetText(value)
	return e
}

// amount adds an amount with its currency; one that is not there adds none.
func (u ublWriter) amount(to *etree.Element, name string, m decimal.NullDecimal) {
	amountIn(to, name, m, u.v.Currency)
}

func amountIn(to *etree.Element, name string, m decimal.NullDecimal, currency string) {
	if m.Valid {
		text(to, name, m.Decimal.String()).CreateAttr("currencyID", currency)
	}
}

func (u ublWriter) head(to *etree.Element) {
	v := u.v
	text(to, "cbc:CustomizationID", v.Model)
	text(to, "cbc:ID", v.Number)
	text(to, "cbc:IssueDate", v.Issued)
	if !u.credit { // a credit note has its due day among the means of payment
		text(to, "cbc:DueDate", v.DueDay)
		text(to, "cbc:InvoiceTypeCode", v.Kind)
	} else {
		text(to, "cbc:CreditNoteTypeCode", v.Kind)
	}
	for _, n := range v.Notes {
		text(to, "cbc:Note", n)
	}
	text(to, "cbc:DocumentCurrencyCode", v.Currency)
	text(to, "cbc:TaxCurrencyCode", v.TaxCurrency)
	text(to, "cbc:BuyerReference", v.Reference)
	for _, number := range v.Cancels {
		text(to.CreateElement("cac:BillingReference").CreateElement("cac:InvoiceDocumentReference"), "cbc:ID", number)
	}
}

func (u ublWriter) party(to *etree.Element, p Party) {
	to = to.CreateElement("cac:Party")
	if p.ID != "" {
		text(to.CreateElement("cac:PartyIdentification"), "cbc:ID", p.ID)
	}
	a := to.CreateElement("cac:PostalAddress")
	street := append(append([]string{}, p.Street...), "", "", "")
	text(a, "cbc:StreetName", street[0])
	text(a, "cbc:AdditionalStreetName", street[1])
	text(a, "cbc:CityName", p.City)
	text(a, "cbc:PostalZone", p.PostCode)
	text(a, "cbc:CountrySubentity", p.Region)
	if street[2] != "" {
		text(a.CreateElement("cac:AddressLine"), "cbc:Line", street[2])
	}
	if p.Country != "" {
		text(a.CreateElement("cac:Country"), "cbc:IdentificationCode", p.Country)
	}
	for _, n := range []struct{ number, scheme string }{{p.VAT, "VAT"}, {p.TaxNumber, "FC"}} {
		if n.number != "" {
			s := to.CreateElement("cac:PartyTaxScheme")
			text(s, "cbc:CompanyID", n.number)
			text(s.CreateElement("cac:TaxScheme"), "cbc:ID", n.scheme)
		}
	}
	legal := to.CreateElement("cac:PartyLegalEntity")
	text(legal, "cbc:RegistrationName", p.Name)
	text(legal, "cbc:CompanyID", p.Registration)
}

func (u ublWriter) delivery(to *etree.Element) {
	if u.v.Supplied == "" && u.v.DeliveredTo == "" {
		return
	}
	d := to.CreateElement("cac:Delivery")
	text(d, "cbc:ActualDeliveryDate", u.v.Supplied)
	if u.v.DeliveredTo != "" {
		a := d.CreateElement("cac:DeliveryLocation").CreateElement("cac:Address")
		text(a.CreateElement("cac:Country"), "cbc:IdentificationCode", u.v.DeliveredTo)
	}
}

func (u ublWriter) payment(to *etree.Element) {
	v := u.v
	if v.Means != "" {
		m := to.CreateElement("cac:PaymentMeans")
		text(m, "cbc:PaymentMeansCode", v.Means)
		if u.credit {
			text(m, "cbc:PaymentDueDate", v.DueDay)
		}
		if v.Account != "" {
			text(m, "cbc:PaymentID", v.Number)
			text(m.CreateElement("cac:PayeeFinancialAccount"), "cbc:ID", v.Account)
		}
	}
	if v.PayBy != "" {
		text(to.CreateElement("cac:PaymentTerms"), "cbc:Note", v.PayBy)
	}
}

func (u ublWriter) adjustment(to *etree.Element, a Adjustment) {
	e := to.CreateElement("cac:AllowanceCharge")
	text(e, "cbc:ChargeIndicator", fmt.Sprint(a.Charge))
	text(e, "cbc:AllowanceChargeReason", a.Reason)
	u.amount(e, "cbc:Amount", a.Amount)
	u.category(e.CreateElement("cac:TaxCategory"), Tax{Category: a.Category, Rate: a.Rate})
}

// category is a category of VAT with its rate and the exemption.
func (u ublWriter) category(e *etree.Element, t Tax) {
	text(e, "cbc:ID", t.Category)
	if t.Rate.Valid {
		text(e, "cbc:Percent", t.Rate.Decimal.String())
	}
	text(e, "cbc:TaxExemptionReasonCode", t.WhyCode)
	text(e, "cbc:TaxExemptionReason", t.Why)
	text(e.CreateElement("cac:TaxScheme"), "cbc:ID", "VAT")
}

func (u ublWriter) taxes(to *etree.Element) {
	e := to.CreateElement("cac:TaxTotal")
	u.amount(e, "cbc:TaxAmount", u.v.TaxTotal)
	for _, t := range u.v.Taxes {
		s := e.CreateElement("cac:TaxSubtotal")
		u.amount(s, "cbc:TaxableAmount", t.Taxable)
		u.amount(s, "cbc:TaxAmount", t.Amount)
		u.category(s.CreateElement("cac:TaxCategory"), t)
	}
	if u.v.TaxCurrency != "" {
		amountIn(to.CreateElement("cac:TaxTotal"), "cbc:TaxAmount", u.v.TaxInOther, u.v.TaxCurrency)
	}
}

func (u ublWriter) totals(to *etree.Element) {
	e, t := to.CreateElement("cac:LegalMonetaryTotal"), u.v.Totals
	u.amount(e, "cbc:LineExtensionAmount", t.Lines)
	u.amount(e, "cbc:TaxExclusiveAmount", t.Net)
	u.amount(e, "cbc:TaxInclusiveAmount", t.Gross)
	u.amount(e, "cbc:AllowanceTotalAmount", t.Allowances)
	u.amount(e, "cbc:ChargeTotalAmount", t.Charges)
	u.amount(e, "cbc:PrepaidAmount", t.Prepaid)
	u.amount(e, "cbc:PayableRoundingAmount", t.Rounding)
	u.amount(e, "cbc:PayableAmount", t.Due)
}

func (u ublWriter) line(to *etree.Element, l Line) {
	name, quantity := "cac:InvoiceLine", "cbc:InvoicedQuantity"
	if u.credit {
		name, quantity = "cac:CreditNoteLine", "cbc:CreditedQuantity"
	}
	e := to.CreateElement(name)
	text(e, "cbc:ID", l.ID)
	if l.Quantity.Valid {
		text(e, quantity, l.Quantity.Decimal.String()).CreateAttr("unitCode", l.Unit)
	}
	u.amount(e, "cbc:LineExtensionAmount", l.Net)
	item := e.CreateElement("cac:Item")
	text(item, "cbc:Description", l.Says)
	text(item, "cbc:Name", l.Name)
	if l.SellerID != "" {
		text(item.CreateElement("cac:SellersItemIdentification"), "cbc:ID", l.SellerID)
	}
	u.category(item.CreateElement("cac:ClassifiedTaxCategory"), Tax{Category: l.Category, Rate: l.Rate})
	for _, f := range l.Facts {
		p := item.CreateElement("cac:AdditionalItemProperty")
		text(p, "cbc:Name", f.Name)
		text(p, "cbc:Value", f.Value)
	}
	u.amount(e.CreateElement("cac:Price"), "cbc:PriceAmount", l.Price)
}
