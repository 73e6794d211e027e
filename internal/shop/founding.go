package shop

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/text/currency"
	"golang.org/x/text/language"
	"golang.org/x/text/language/display"

	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// Founding is what a new shop says first.
type Founding struct {
	Country  string         `json:"country"`  // ISO 3166, such as US
	Currency money.Currency `json:"currency"` // in which the books are kept
	Name     string         `json:"-"`        // the letterhead has it
}

const foundingName = "founding"

// founded is what the shop was founded with, as of a count of changed settings.
type founded struct {
	settings int64
	currency money.Currency
	name     string
}

// Founding returns what the shop said first; found is false where it said nothing yet.
func (s *Shop) Founding(ctx context.Context) (f Founding, found bool, err error) {
	if found, err = s.ReadSetting(ctx, foundingName, "founding", &f); err != nil {
		return f, false, err
	}
	head, err := s.Letterhead(ctx)
	f.Name = head.Name
	if f.Currency == "" {
		f.Currency = s.Currency()
	}
	return f, found, err
}

// Found keeps what a new shop says first. The currency of the books is fixed once something is booked.
func (s *Shop) Found(ctx context.Context, f Founding) error {
	const what = "found the shop"
	country, ok := countryOf(f.Country)
	if !ok {
		return Refuse(what, "country", fmt.Sprintf("%q", f.Country), "a country's code of two letters, such as US")
	}
	if f.Currency == "" {
		f.Currency = country.Currency
	}
	c, err := money.ParseCurrency(string(f.Currency))
	if err != nil || f.Currency == "" {
		return Refuse(what, "currency", fmt.Sprintf("%q", f.Currency), "a code of ISO 4217, such as USD")
	}
	f.Country, f.Currency, f.Name = country.Code, c, strings.TrimSpace(f.Name)
	if f.Name == "" {
		return Refuse(what, "name", "nothing", "the name under which the shop trades")
	}
	if was := s.Currency(); c != was {
		booked, err := s.Booked(ctx)
		if err != nil {
			return err
		}
		if booked {
			return Refuse(what, "currency", string(c), string(was)+": the books are kept in it and have entries")
		}
	}
	return s.keepFounding(ctx, f)
}

func (s *Shop) keepFounding(ctx context.Context, f Founding) error {
	head, err := s.Letterhead(ctx)
	if err != nil {
		return err
	}
	set, err := s.Settings(ctx)
	if err != nil {
		return err
	}
	was, before, err := s.Founding(ctx)
	if err != nil {
		return err
	}
	if head.Name = f.Name; head.Country == was.Country {
		head.Country = "" // it follows the shop's
	}
	if set.Currency != f.Currency {
		set.Spots = nil // they were in the other currency
	}
	set.Currency = f.Currency
	if !before {
		set.Locale = localeIn(f.Country)
		set.Terms.Tax.Scheme, set.Terms.Tax.Rate = "none", 0 // nobody has said that a tax applies
		set.Selling = opinion.SellingTerms{}
	}
	if err := s.WriteSetting(ctx, foundingName, "found the shop", f); err != nil {
		return err
	}
	if err := errors.Join(s.SetLetterhead(ctx, head), s.SetSettings(ctx, set)); err != nil {
		return err
	}
	_, err = s.Revision(ctx) // which takes notice of it
	return err
}

// Booked reports whether the ledger has an entry.
func (s *Shop) Booked(ctx context.Context) (bool, error) {
	for _, err := range s.stores.Steps.Entries(ctx, EntryFilter{Limit: 1}) {
		if err != nil {
			return false, fmt.Errorf("ledger: %w", err)
		}
		return true, nil
	}
	return false, nil
}

// Empty reports whether the shop has no watch, no sale and no entry yet.
func (s *Shop) Empty(ctx context.Context) (bool, error) {
	stock, err := s.StockList(ctx)
	if err != nil || len(stock) > 0 {
		return false, err
	}
	sales, err := s.SaleCount(ctx)
	if err != nil || sales > 0 {
		return false, err
	}
	booked, err := s.Booked(ctx)
	return !booked, err
}

// learnFounding reads the shop's currency and name again where settings were changed.
func (s *Shop) learnFounding(ctx context.Context, settings int64) error {
	if known := s.founded.Load(); known != nil && known.settings == settings {
		return nil
	}
	now := founded{settings, s.opt.Currency, s.opt.Name}
	var f Founding
	if _, err := s.ReadSetting(ctx, foundingName, "founding", &f); err != nil {
		return err
	}
	if f.Currency != "" {
		now.currency = f.Currency
	}
	var head Letterhead
	if _, err := s.ReadSetting(ctx, letterheadName, "letterhead", &head); err != nil {
		return err
	}
	if head.Name != "" {
		now.name = head.Name
	}
	s.founded.Store(&now)
	return nil
}

// Country is a country with the currency that is used there.
type Country struct {
	Code     string
	Name     string // in English
	Currency money.Currency
}

// Countries lists the countries whose currency is known, by name.
func Countries() []Country {
	var out []Country
	for a := 'A'; a <= 'Z'; a++ {
		for b := 'A'; b <= 'Z'; b++ {
			if c, ok := countryOf(string([]rune{a, b})); ok {
				out = append(out, c)
			}
		}
	}
	slices.SortFunc(out, func(a, b Country) int { return strings.Compare(a.Name, b.Name) })
	return out
}

func countryOf(code string) (Country, bool) {
	region, err := language.ParseRegion(strings.TrimSpace(code))
	if err != nil || !region.IsCountry() || region.Canonicalize() != region {
		return Country{}, false
	}
	unit, ok := currency.FromRegion(region)
	if !ok {
		return Country{}, false
	}
	c, err := money.ParseCurrency(unit.String())
	name := display.English.Regions().Name(region)
	return Country{region.String(), name, c}, err == nil && name != ""
}

// localeIn is how figures are written in a country; empty where the program does not know it well.
func localeIn(country string) string {
	for _, l := range say.Locales() {
		if strings.HasSuffix(l.Tag, "-"+country) {
			return l.Tag
		}
	}
	return ""
}
