package einvoice

import (
	"github.com/govalues/decimal"
)

// Kinds of invoices (BT-3, UNTDID 1001).
const (
	Commercial = "380"
	CreditNote = "381"
)

// Categories of VAT (BT-118, UNTDID 5305).
const (
	Standard       = "S"
	ZeroRated      = "Z"
	Exempt         = "E"  // the margin schemes too, with one of their codes
	ReverseCharge  = "AE" // the buyer accounts for the tax
	IntraCommunity = "K"
	Export         = "G"
	OutOfScope     = "O" // not subject to VAT
)

// Codes of exemption (BT-121, list VATEX of the Connecting Europe Facility).
const (
	MarginGoods      = "VATEX-EU-F" // second-hand goods
	MarginArt        = "VATEX-EU-I" // works of art
	MarginCollectors = "VATEX-EU-J" // collectors' items and antiques
	ReverseChargeWhy = "VATEX-EU-AE"
	IntraWhy         = "VATEX-EU-IC"
	ExportWhy        = "VATEX-EU-G"
	OutOfScopeWhy    = "VATEX-EU-O"
)

// Model is the specification that invoices here keep to (BT-24).
const Model = "urn:cen.eu:en16931:2017"

// Invoice is an electronic invoice or credit note. The amounts of a credit note are above zero: its kind turns them
// round. Names in comments are those of EN 16931-1.
type Invoice struct {
	Model       string              `json:"model"`                   // BT-24
	Number      string              `json:"number"`                  // BT-1
	Kind        string              `json:"kind"`                    // BT-3
	Issued      string              `json:"issued"`                  // BT-2
	DueDay      string              `json:"due_day,omitempty"`       // BT-9
	Supplied    string              `json:"supplied,omitempty"`      // BT-72
	Currency    string              `json:"currency"`                // BT-5
	TaxCurrency string              `json:"tax_currency,omitempty"`  // BT-6
	Notes       []string            `json:"notes,omitempty"`         // BT-22
	Reference   string              `json:"buyer_ref,omitempty"`     // BT-10
	Cancels     []string            `json:"cancels,omitempty"`       // BT-25
	Seller      Party               `json:"seller"`                  // BG-4
	Buyer       Party               `json:"buyer"`                   // BG-7
	DeliveredTo string              `json:"delivered_to,omitempty"`  // BT-80, a country
	Means       string              `json:"payment_means,omitempty"` // BT-81, UNTDID 4461
	Account     string              `json:"account,omitempty"`       // BT-84
	PayBy       string              `json:"payment_terms,omitempty"` // BT-20
	Adjustments []Adjustment        `json:"adjustments,omitempty"`   // BG-20 and BG-21
	Lines       []Line              `json:"lines"`                   // BG-25
	Taxes       []Tax               `json:"taxes"`                   // BG-23
	TaxTotal    decimal.NullDecimal `json:"tax_total"`               // BT-110
	TaxInOther  decimal.NullDecimal `json:"tax_in_other"`            // BT-111
	Totals      Totals              `json:"totals"`                  // BG-22
}

// Party is seller or buyer.
type Party struct {
	Name         string   `json:"name"`                   // BT-27, BT-44
	VAT          string   `json:"vat,omitempty"`          // BT-31, BT-48: with the prefix of its country
	TaxNumber    string   `json:"tax_number,omitempty"`   // BT-32: another number for tax
	Registration string   `json:"registration,omitempty"` // BT-30, BT-47
	ID           string   `json:"id,omitempty"`           // BT-29, BT-46
	Street       []string `json:"street,omitempty"`       // BT-35, BT-36, BT-162: three at most
	City         string   `json:"city,omitempty"`
	PostCode     string   `json:"post_code,omitempty"`
	Region       string   `json:"region,omitempty"`
	Country      string   `json:"country"` // BT-40, BT-55: ISO 3166-1 alpha-2
}

// Adjustment is an allowance on the whole invoice, or a charge.
type Adjustment struct {
	Charge   bool                `json:"charge"`
	Amount   decimal.NullDecimal `json:"amount"`
	Category string              `json:"category"`
	Rate     decimal.NullDecimal `json:"rate"` // %
	Reason   string              `json:"reason,omitempty"`
}

// Line is one line.
type Line struct {
	ID       string              `json:"id"`       // BT-126
	Quantity decimal.NullDecimal `json:"quantity"` // BT-129
	Unit     string              `json:"unit"`     // BT-130; C62 is one piece
	Net      decimal.NullDecimal `json:"net"`      // BT-131
	Name     string              `json:"name"`     // BT-153
	Says     string              `json:"description,omitempty"`
	SellerID string              `json:"sellers_id,omitempty"`
	Facts    []Fact              `json:"attributes,omitempty"` // BG-32
	Price    decimal.NullDecimal `json:"price"`                // BT-146, before tax
	Category string              `json:"category"`             // BT-151
	Rate     decimal.NullDecimal `json:"rate"`                 // BT-152, %
}

// Fact is an attribute of what is sold.
type Fact struct {
	Name  string `json:"name"`
	Value string `json:"value"`
}

// Tax is what one category and rate come to.
type Tax struct {
	Taxable  decimal.NullDecimal `json:"taxable"`
	Amount   decimal.NullDecimal `json:"amount"`
	Category string              `json:"category"`
	Rate     decimal.NullDecimal `json:"rate"`           // %
	Why      string              `json:"why,omitempty"`  // BT-120
	WhyCode  string              `json:"code,omitempty"` // BT-121
}

// Totals are the sums of the document.
type Totals struct {
	Lines      decimal.NullDecimal `json:"lines"`      // BT-106
	Allowances decimal.NullDecimal `json:"allowances"` // BT-107
	Charges    decimal.NullDecimal `json:"charges"`    // BT-108
	Net        decimal.NullDecimal `json:"net"`        // BT-109
	Gross      decimal.NullDecimal `json:"gross"`      // BT-112
	Prepaid    decimal.NullDecimal `json:"prepaid"`    // BT-113
	Rounding   decimal.NullDecimal `json:"rounding"`   // BT-114
	Due        decimal.NullDecimal `json:"due"`        // BT-115
}

// Some is an amount that is there.
func Some(d decimal.Decimal) decimal.NullDecimal { return decimal.NullDecimal{Decimal: d, Valid: true} }
