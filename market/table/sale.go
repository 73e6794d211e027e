package table

import "midcase/money"

// Sale is one recorded sale, as a row of a sales file gives it. Text is trimmed;
// missing text is empty, missing figures are nil or 0 as said.
type Sale struct {
	ID           string      `json:"sale"` // from the row's content, so that a file imported twice adds nothing
	Line         int         `json:"line,omitempty"`
	Date         string      `json:"date"` // ISO 8601 day, month or year, as given
	Maker        string      `json:"maker"`
	Reference    string      `json:"reference"`
	Price        money.Money `json:"price"`
	Family       string      `json:"family,omitempty"`
	Metal        string      `json:"metal,omitempty"`
	Dial         string      `json:"dial,omitempty"`
	Year         int         `json:"year,omitempty"`         // of making; 0 where not known
	Condition    *float64    `json:"condition,omitempty"`    // 1–10
	Completeness string      `json:"completeness,omitempty"` // watch, papers, full
	Originality  *float64    `json:"originality,omitempty"`  // 0–1
	Country      string      `json:"country,omitempty"`      // ISO 3166-1 alpha-2
	Venue        string      `json:"venue,omitempty"`        // auction, dealer, private, trade
	Basis        string      `json:"basis,omitempty"`        // hammer, all-in, asking, sold
	Serial       string      `json:"serial,omitempty"`       // for repeat sales
	Source       string      `json:"source,omitempty" typed:"text"`
	Note         string      `json:"note,omitempty" typed:"text"`
}
