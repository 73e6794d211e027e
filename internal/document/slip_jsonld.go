package document

import (
	"encoding/json"
	"fmt"
	"io"
)

// WriteInvoiceJSONLD writes an invoice as schema.org JSON-LD: an Invoice with what is
// owed in MonetaryAmount and the watch as a Product.
func WriteInvoiceJSONLD(w io.Writer, v *Invoice) error {
	amount := func(value, currency string) map[string]any {
		return map[string]any{"@type": "MonetaryAmount", "value": value, "currency": currency}
	}
	party := func(p Party) map[string]any {
		out := map[string]any{"@type": "Organization", "name": p.Name}
		if p.TaxNumber != "" {
			out["vatID"] = p.TaxNumber
		}
		if len(p.Lines) > 0 {
			out["address"] = joinLines(p.Lines)
		}
		return out
	}
	goods := map[string]any{"@type": "Product", "name": v.Goods.Title, "category": "wristwatch",
		"itemCondition": "https://schema.org/UsedCondition", "sku": v.Goods.File}
	if v.Goods.Reference != "" {
		goods["mpn"] = v.Goods.Reference
	}
	if v.Goods.Serial != "" {
		goods["serialNumber"] = v.Goods.Serial
	}
	if v.Goods.Maker != "" {
		goods["brand"] = map[string]any{"@type": "Brand", "name": v.Goods.Maker}
	}
	buyer := party(v.Buyer)
	if v.Buyer.TaxNumber == "" {
		buyer["@type"] = "Person"
	}
	status := "https://schema.org/PaymentDue"
	if v.Due.Sign() == 0 {
		status = "https://schema.org/PaymentComplete"
	}
	out := map[string]any{"@context": "https://schema.org", "@type": "Invoice", "identifier": v.Number,
		"dateCreated": v.Day, "provider": party(v.Issuer), "customer": buyer, "paymentStatus": status,
		"totalPaymentDue": amount(v.Due.Amount(), string(v.Due.Currency())),
		"referencesOrder": map[string]any{"@type": "Order", "orderDate": v.Supplied, "orderedItem": goods,
			"acceptedOffer": map[string]any{"@type": "Offer",
				"priceSpecification": map[string]any{"@type": "PriceSpecification", "price": v.Price.Amount(),
					"priceCurrency": string(v.Price.Currency()), "valueAddedTaxIncluded": v.Scheme == schemeOrdinary ||
						v.Scheme == schemeMargin}}}}
	if v.SchemeSay != "" {
		out["description"] = v.SchemeSay
	}
	b, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		return fmt.Errorf("invoice %s: %w", v.Number, err)
	}
	if _, err := w.Write(append(b, '\n')); err != nil {
		return fmt.Errorf("invoice %s: write: %w", v.Number, err)
	}
	return nil
}

func joinLines(lines []string) string {
	out := ""
	for i, l := range lines {
		if i > 0 {
			out += ", "
		}
		out += l
	}
	return out
}
