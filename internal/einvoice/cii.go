package einvoice

import (
	"strings"

	"github.com/beevik/etree"
)

// cii reads a cross industry invoice, D16B.
func (r *reader) cii(e *etree.Element) Invoice {
	deal := at(e, "SupplyChainTradeTransaction")
	terms, settled := at(deal, "ApplicableHeaderTradeAgreement"), at(deal, "ApplicableHeaderTradeSettlement")
	doc, sent := at(e, "ExchangedDocument"), at(deal, "ApplicableHeaderTradeDelivery")
	v := Invoice{Model: says(e, "ExchangedDocumentContext", "GuidelineSpecifiedDocumentContextParameter", "ID"),
		Number: says(doc, "ID"), Kind: says(doc, "TypeCode"), Issued: ciiDay(doc, "IssueDateTime"),
		Currency: says(settled, "InvoiceCurrencyCode"), TaxCurrency: says(settled, "TaxCurrencyCode"),
		Reference: says(terms, "BuyerReference"),
		Supplied:  ciiDay(sent, "ActualDeliverySupplyChainEvent", "OccurrenceDateTime"),
		DueDay:    ciiDay(settled, "SpecifiedTradePaymentTerms", "DueDateDateTime"),
		PayBy:     says(settled, "SpecifiedTradePaymentTerms", "Description"),
		Means:     says(settled, "SpecifiedTradeSettlementPaymentMeans", "TypeCode"),
		Account: says(settled, "SpecifiedTradeSettlementPaymentMeans", "PayeePartyCreditorFinancialAccount", "IBANID") +
			says(settled, "SpecifiedTradeSettlementPaymentMeans", "PayeePartyCreditorFinancialAccount",
				"ProprietaryID"),
		DeliveredTo: says(sent, "ShipToTradeParty", "PostalTradeAddress", "CountryID")}
	for _, n := range every(doc, "IncludedNote") {
		v.Notes = append(v.Notes, says(n, "Content"))
	}
	for _, ref := range every(settled, "InvoiceReferencedDocument") {
		v.Cancels = append(v.Cancels, says(ref, "IssuerAssignedID"))
	}
	v.Seller, v.Buyer = ciiParty(at(terms, "SellerTradeParty")), ciiParty(at(terms, "BuyerTradeParty"))
	for _, a := range every(settled, "SpecifiedTradeAllowanceCharge") {
		v.Adjustments = append(v.Adjustments, Adjustment{Charge: says(a, "ChargeIndicator", "Indicator") == "true",
			Amount: r.figure(a, "ActualAmount"), Reason: says(a, "Reason") + says(a, "ReasonCode"),
			Category: says(a, "CategoryTradeTax", "CategoryCode"),
			Rate:     r.figure(a, "CategoryTradeTax", "RateApplicablePercent")})
	}
	for _, t := range every(settled, "ApplicableTradeTax") {
		v.Taxes = append(v.Taxes, Tax{Taxable: r.figure(t, "BasisAmount"), Amount: r.figure(t, "CalculatedAmount"),
			Category: says(t, "CategoryCode"), Rate: r.figure(t, "RateApplicablePercent"),
			Why: says(t, "ExemptionReason"), WhyCode: says(t, "ExemptionReasonCode")})
	}
	r.ciiTotals(at(settled, "SpecifiedTradeSettlementHeaderMonetarySummation"), &v)
	for _, l := range every(deal, "IncludedSupplyChainTradeLineItem") {
		v.Lines = append(v.Lines, r.ciiLine(l))
	}
	return v
}

func (r *reader) ciiTotals(e *etree.Element, v *Invoice) {
	v.Totals = Totals{Lines: r.figure(e, "LineTotalAmount"), Allowances: r.figure(e, "AllowanceTotalAmount"),
		Charges: r.figure(e, "ChargeTotalAmount"), Net: r.figure(e, "TaxBasisTotalAmount"),
		Gross: r.figure(e, "GrandTotalAmount"), Prepaid: r.figure(e, "TotalPrepaidAmount"),
		Rounding: r.figure(e, "RoundingAmount"), Due: r.figure(e, "DuePayableAmount")}
	for _, t := range every(e, "TaxTotalAmount") {
		if c := t.SelectAttrValue("currencyID", v.Currency); c != v.Currency && c == v.TaxCurrency {
			v.TaxInOther = r.figure(t)
		} else {
			v.TaxTotal = r.figure(t)
		}
	}
}

// ciiDay is a day in the form 102, 20260301.
func ciiDay(e *etree.Element, path ...string) string {
	day := says(at(e, path...), "DateTimeString")
	if len(day) == 8 {
		return day[:4] + "-" + day[4:6] + "-" + day[6:]
	}
	return day
}

func ciiParty(e *etree.Element) Party {
	a := at(e, "PostalTradeAddress")
	p := Party{Name: says(e, "Name"), ID: says(e, "ID"), City: says(a, "CityName"), PostCode: says(a, "PostcodeCode"),
		Region: says(a, "CountrySubDivisionName"), Country: says(a, "CountryID"),
		Registration: says(e, "SpecifiedLegalOrganization", "ID")}
	for _, tag := range []string{"LineOne", "LineTwo", "LineThree"} {
		if line := says(a, tag); line != "" {
			p.Street = append(p.Street, line)
		}
	}
	for _, t := range every(e, "SpecifiedTaxRegistration") {
		id := at(t, "ID")
		if id == nil {
			continue
		}
		if strings.EqualFold(id.SelectAttrValue("schemeID", ""), "VA") {
			p.VAT = says(id)
		} else {
			p.TaxNumber = says(id)
		}
	}
	return p
}

func (r *reader) ciiLine(e *etree.Element) Line {
	goods, price := at(e, "SpecifiedTradeProduct"), at(e, "SpecifiedLineTradeAgreement", "NetPriceProductTradePrice")
	settled := at(e, "SpecifiedLineTradeSettlement")
	l := Line{ID: says(e, "AssociatedDocumentLineDocument", "LineID"),
		Quantity: r.figure(e, "SpecifiedLineTradeDelivery", "BilledQuantity"),
		Net:      r.figure(settled, "SpecifiedTradeSettlementLineMonetarySummation", "LineTotalAmount"),
		Name:     says(goods, "Name"), Says: says(goods, "Description"), SellerID: says(goods, "SellerAssignedID"),
		Price: r.figure(price, "ChargeAmount"), Category: says(settled, "ApplicableTradeTax", "CategoryCode"),
		Rate: r.figure(settled, "ApplicableTradeTax", "RateApplicablePercent")}
	if q := at(e, "SpecifiedLineTradeDelivery", "BilledQuantity"); q != nil {
		l.Unit = q.SelectAttrValue("unitCode", "")
	}
	for _, f := range every(goods, "ApplicableProductCharacteristic") {
		l.Facts = append(l.Facts, Fact{says(f, "Description"), says(f, "Value")})
	}
	return l
}
