package shop

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"

	"midcase/internal/shop/memo"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// Settings are what the shop reckons with. They are kept as one JSON text.
type Settings struct {
	Basis    market.Basis        `json:"basis"`
	Currency money.Currency      `json:"currency"`
	Spots    []opinion.SpotPrice `json:"spots,omitempty"`
	Payout   float64             `json:"payout,omitempty"`
	Terms    opinion.DealTerms   `json:"terms"`
	// Selling are the terms of the routes by which the shop sells; none means common ones,
	// which follow Terms.
	Selling opinion.SellingTerms `json:"selling,omitzero"`
	// RatesCSV is the table of exchange rates in the layout of central banks: a date
	// column, then one column a currency, per 1 of the first.
	RatesCSV string `json:"rates_csv,omitempty"`

	// Locale is how pages write figures (BCP 47); empty for as each browser asks.
	Locale string `json:"locale,omitempty"`
	Inches bool   `json:"inches,omitempty"` // inch and troy ounce beside millimetre and gram
}

// SettingsName is the setting under which they are kept.
const SettingsName = "settings"

// Settings returns the shop's settings; where none were set, common ones.
func (s *Shop) Settings(ctx context.Context) (Settings, error) {
	common := Settings{Basis: market.Retail, Currency: s.Currency(), Payout: 1, Terms: opinion.CommonTerms()}
	_, err := s.ReadSetting(ctx, SettingsName, "settings", &common)
	return common, err
}

// SetSettings keeps new settings.
func (s *Shop) SetSettings(ctx context.Context, v Settings) error {
	return s.WriteSetting(ctx, SettingsName, "settings", v)
}

// KeptSettings are the shop's settings with sums of their text and of the table of rates in them, which
// is a large part of it. Callers do not change them.
type KeptSettings struct {
	Settings
	Sum, RatesSum [sha256.Size]byte
}

// KeptSettings are the settings for reading, taken apart only where some setting was written.
func (s *Shop) KeptSettings(ctx context.Context) (KeptSettings, error) {
	rev, err := s.Revision(ctx)
	if err != nil {
		return KeptSettings{}, fmt.Errorf("settings: %w", err)
	}
	return s.known.settings.Get(ctx, memo.One{}, rev.Settings, func(ctx context.Context) (KeptSettings, error) {
		set, err := s.Settings(ctx)
		if err != nil {
			return KeptSettings{}, err
		}
		text, err := json.Marshal(set)
		if err != nil {
			return KeptSettings{}, fmt.Errorf("settings: %w", err)
		}
		return KeptSettings{set, sha256.Sum256(text), sha256.Sum256([]byte(set.RatesCSV))}, nil
	})
}

// ForOpinion are the settings of an opinion: those given, else the shop's own.
func (v Settings) ForOpinion(given opinion.Settings) opinion.Settings {
	out := opinion.Settings{Basis: v.Basis, Currency: v.Currency, Spots: v.Spots, Payout: v.Payout, Terms: v.Terms,
		Selling: v.Selling, Asked: given.Asked, ValueDay: given.ValueDay}
	if given.Basis != "" {
		out.Basis = given.Basis
	}
	if given.Currency != "" {
		out.Currency = given.Currency
	}
	if len(given.Spots) > 0 {
		out.Spots = given.Spots
	}
	return out
}
