package telling

import "midcase/money"

// Product is a watch for machines, in the vocabulary of schema.org: what its text tells,
// with its faults and its offer. The serial number is not in it.
type Product struct {
	Told      Told
	Maker     string
	Reference string
	Family    string
	Number    string // of the file in the shop
	Made      string // EDTF, the 90 % range
	Price     money.Money
	Reserved  bool
	Images    []string // addresses
	URL       string   // where the listing stands
	Seller    string
}

// Linked is the product as JSON-LD: a Product with one Offer (schema.org, from memory).
func (p Product) Linked() map[string]any {
	out := map[string]any{"@context": "https://schema.org", "@type": "Product", "name": p.Told.Title,
		"description": p.Told.Text, "category": "wristwatch", "itemCondition": usedCondition, "offers": p.offer()}
	for key, text := range map[string]string{"mpn": p.Reference, "model": p.Family, "sku": p.Number, "url": p.URL,
		"inLanguage": p.Told.Language} {
		if text != "" {
			out[key] = text
		}
	}
	if p.Number != "" {
		out["identifier"] = property("stock number", p.Number)
	}
	if p.Maker != "" {
		out["brand"] = map[string]any{"@type": "Brand", "name": p.Maker}
	}
	if len(p.Images) > 0 {
		out["image"] = p.Images
	}
	if more := p.properties(); len(more) > 0 {
		out["additionalProperty"] = more
	}
	return out
}

const usedCondition = "https://schema.org/UsedCondition"

func (p Product) offer() map[string]any {
	offer := map[string]any{"@type": "Offer", "itemCondition": usedCondition,
		"availability": "https://schema.org/InStock"}
	if p.Reserved {
		offer["availability"] = "https://schema.org/Reserved"
	}
	if !p.Price.IsZero() {
		offer["price"], offer["priceCurrency"] = p.Price.Amount(), string(p.Price.Currency())
	}
	if p.URL != "" {
		offer["url"] = p.URL
	}
	if p.Seller != "" {
		offer["seller"] = map[string]any{"@type": "Organization", "name": p.Seller}
	}
	return offer
}

// properties are what schema.org has no name for: when it was made, and each fault. Its
// production date is one day or year, not a range.
func (p Product) properties() []any {
	var out []any
	if p.Made != "" {
		out = append(out, property("made (EDTF)", p.Made))
	}
	for _, fault := range p.Told.Faults() {
		out = append(out, property("fault", fault))
	}
	return out
}

func property(name, value string) map[string]any {
	return map[string]any{"@type": "PropertyValue", "name": name, "value": value}
}

// Faults are the sentences that disclose something, each once.
func (t Told) Faults() []string {
	var out []string
	for _, b := range t.Blocks {
		for _, s := range b.Sentences {
			if len(s.Discloses) > 0 {
				out = append(out, s.Text)
			}
		}
	}
	return out
}
