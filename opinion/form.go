package opinion

import (
	"fmt"
	"time"

	"midcase/condition"
	"midcase/deal"
	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/refbook"
	"midcase/say"
)

// Market values a subject on a date from sales made until then. *market.Model is
// one.
type Market interface {
	Value(s market.Subject, asOf time.Time, basis market.Basis) (*market.Valuation, error)
}

// Settings are what the opinion needs beside evidence, book and market.
type Settings struct {
	Basis    market.Basis   // of the value; retail where empty
	Currency money.Currency // EUR where empty
	Spots    []SpotPrice    // metal prices, given as input
	Payout   float64        // share of the spot price that a refiner pays; 0 means 1
	Terms    DealTerms
	Selling  SellingTerms     // the routes by which the shop sells; what to pay goes by the first
	Time     *deal.TimeToSell // learned of the shop's history; nil: the prior around Terms.TimeToSell
	Stock    InStock
	Asked    money.Money // the price asked; where zero, the latest one that was claimed
	// NoDeal says why the terms do not hold in the opinion's currency, so that nothing
	// can be said of what to pay; zero where they do.
	NoDeal say.Statement
	// NoMarket says why there is no market though there are sales; empty where there are none.
	NoMarket say.Statement
	// Peers are comparisons between examples of the same reference, this watch among
	// them, by watch id.
	Peers []Peer
	// ValueDay is the day that the value is of; the day of the opinion where it is zero. The
	// watch is taken as it is known on the day of the opinion.
	ValueDay time.Time
}

// SpotPrice is a price of fine metal with its date.
type SpotPrice struct {
	Element      string // gold, silver, platinum, palladium
	PerTroyOunce money.Money
	Date         string // ISO 8601 day
}

// DealTerms are the shop's terms of buying and selling. The zero value means
// CommonTerms.
type DealTerms struct {
	WantedMargin        float64 // profit as a share of the price paid
	Confidence          float64 // with which the margin is to be reached
	CarryingRatePerYear float64
	HurdleRatePerYear   float64 // what money bound in a watch should earn a year, its cost included
	SellingFeeShare     float64 // of the sale price
	FixedCost           float64 // photographs, insurance, carriage, in the opinion's currency
	Tax                 deal.Tax
	TimeToSell          deal.Weibull
	ServiceCost         [3]float64 // low, most likely, high; in the opinion's currency
	Seed                uint64
}

// CommonTerms are terms to start from until the shop sets its own.
func CommonTerms() DealTerms {
	return DealTerms{
		WantedMargin: 0.20, Confidence: 0.80, CarryingRatePerYear: 0.08, HurdleRatePerYear: deal.CommonHurdle,
		SellingFeeShare: 0.04, FixedCost: 120,
		Tax: deal.Tax{Scheme: "margin", Rate: 0.20}, TimeToSell: deal.Weibull{Shape: 1.1,
			ScaleDays: 110}, ServiceCost: [3]float64{350, 550, 950}, Seed: 1,
	}
}

// Peer is one comparison between two watches of a reference.
type Peer struct {
	ID            evidence.ID
	Slot          evidence.Slot
	Better, Worse string // watch ids
	Same          bool
}

// forming is the work on one opinion: what goes in, and what later steps need of
// earlier ones.
type forming struct {
	file     evidence.File
	book     *refbook.Book
	maker    *refbook.Maker     // nil where the book does not have it
	ref      *refbook.Reference // nil likewise
	market   Market
	settings Settings
	asOf     time.Time

	fitted map[evidence.Slot]evidence.Entry[*evidence.Fitted] // the latest of each slot
	out    Opinion

	graded condition.Result // the zero one where nothing could be graded
	bound  *float64         // the grade below which what can be put right does not take the value

	valuation *market.Valuation // as the market gave it, nil where it could not
}

// Form gives the opinion on a watch as of a date. book and market may be nil: what
// they would have said is then named as unknown. It errs only on settings that make
// no sense; evidence that is odd is spoken of in the opinion.
func Form(file evidence.File, book *refbook.Book, m Market, s Settings, asOf time.Time) (Opinion, error) {
	s, err := complete(s)
	if err != nil {
		return Opinion{}, err
	}
	f := &forming{file: file, book: book, market: m, settings: s, asOf: asOf}
	f.out = Opinion{Schema: SchemaVersion, AsOf: asOf.Format(time.DateOnly), Parts: []Part{}, Rules: []Rule{},
		Measured: []Measure{}, Unknown: []say.Statement{}, Cautions: []say.Statement{}}
	f.identify()
	f.rules()
	f.dateAndParts()
	f.measure()
	f.metal()
	f.running()
	f.condition()
	if p, _, ok := f.originality(); ok {
		f.out.Originality = ptr(p)
	}
	f.value()
	f.deal()
	f.disagree()
	f.unknowns()
	f.cautions()
	f.summarise()
	return f.out, nil
}

func complete(s Settings) (Settings, error) {
	if s.Basis == "" {
		s.Basis = market.Retail
	}
	if s.Currency == "" {
		s.Currency = "EUR"
	}
	if s.Payout == 0 {
		s.Payout = 1
	}
	if s.Payout < 0 || s.Payout > 1 {
		return s, fmt.Errorf("settings: payout: found %g; want a share between 0 and 1", s.Payout)
	}
	if s.Terms == (DealTerms{}) {
		s.Terms = CommonTerms()
	}
	if len(s.Selling.Routes) == 0 {
		s.Selling = CommonSellingTerms(s.Terms)
	}
	return s, nil
}

func (f *forming) unknown(s say.Statement) { f.out.Unknown = append(f.out.Unknown, s) }

func fromEvidence(ids ...evidence.ID) []Basis {
	out := make([]Basis, 0, len(ids))
	for _, id := range ids {
		out = append(out, Basis{Source: "evidence", ID: string(id)})
	}
	return out
}

// fromBook is the basis that a book entry is.
func (f *forming) fromBook(parts ...string) Basis {
	ref := ""
	if f.ref != nil {
		ref = f.ref.ID
	}
	maker := ""
	if f.maker != nil {
		maker = f.maker.ID
	}
	return Basis{Source: "book", ID: refbook.Path(maker, ref, parts...)}
}
