package cli

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
)

// unlisted says of a word that it is none of those that could stand there.
func unlisted[T ~string](what, text string, all []T) error {
	return fmt.Errorf("“%s” is not a %s. Use one of: %s", text, what, joined(all))
}

// oneOf reads a word of a list.
func oneOf[T ~string](what, text string, all []T) (T, error) {
	if v := T(text); slices.Contains(all, v) {
		return v, nil
	}
	return "", unlisted(what, text, all)
}

func joined[T ~string](all []T) string {
	out := make([]string, len(all))
	for i, v := range all {
		out[i] = string(v)
	}
	return strings.Join(out, ", ")
}

func parseState(text string) (shop.State, error) { return oneOf("state", text, shop.States()) }

func parseBasis(text string) (market.Basis, error) {
	return oneOf("basis of value", text, market.Bases())
}

// parsePaperKind reads a kind of paper; its words may be joined by hyphens.
func parsePaperKind(text string) (shop.PaperKind, error) {
	k, err := oneOf("kind of paper", strings.ReplaceAll(text, "-", " "), shop.PaperKinds())
	if err != nil {
		return "", fmt.Errorf("“%s” is not a kind of paper. Use one of: %s", text, paperKinds())
	}
	return k, nil
}

// paperKinds names the kinds as they are typed.
func paperKinds() string {
	return strings.ReplaceAll(strings.ReplaceAll(joined(shop.PaperKinds()), " ", "-"), ",-", ", ")
}

var amountForm = regexp.MustCompile(`^\s*(-?[0-9]+(?:\.[0-9]+)?)\s*([A-Za-z]+)\s*$`)

// parseMoney reads 6500EUR or 6500.50 EUR.
func parseMoney(text string) (money.Money, error) {
	m := amountForm.FindStringSubmatch(text)
	if m == nil {
		return money.Money{}, fmt.Errorf("“%s” is not an amount with its currency. Write it as 6500EUR or 6500.50EUR", text)
	}
	return money.Parse(m[1], m[2])
}

func parseCurrency(text string) (money.Currency, error) { return money.ParseCurrency(text) }

// parseDate reads a day or a month; a date may be as vague as it is known.
func parseDate(text string) (edtf.Date, error) {
	d, err := edtf.Parse(text)
	if err != nil {
		return d, notADay(text)
	}
	return d, nil
}

func notADay(text string) error {
	return fmt.Errorf("“%s” is not a day. Write it as 2026-03-01", text)
}

// parseAsOf reads the day as of which something is judged: its last moment.
func (a *app) parseAsOf(text string) (time.Time, error) {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return t, notADay(text)
	}
	if t.After(a.now().AddDate(10, 0, 0)) {
		return t, fmt.Errorf("%s is more than ten years ahead. Give an earlier day", text)
	}
	return t.Add(24*time.Hour - time.Nanosecond), nil
}

// past is the day as of which something known is judged: by default now, and never later.
func (a *app) past(day time.Time) (time.Time, error) {
	if day.IsZero() {
		return a.now(), nil
	}
	if day.After(a.now().Add(48 * time.Hour)) {
		return day, wrong("%s is in the future. Give today or an earlier day", day.Format(time.DateOnly))
	}
	return day, nil
}

// parseShare reads a share such as 0.15 or 15%.
func parseShare(text string) (decimal.Decimal, error) {
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	d, err := decimal.Parse(strings.TrimSpace(number))
	if err == nil && percent {
		d, err = d.Quo(decimal.MustNew(100, 0))
	}
	if err == nil && !percent && d.Cmp(decimal.One) > 0 {
		return decimal.Zero, fmt.Errorf("“%s” would be %s times the whole. For %s percent write %s%%", text, d, d, number)
	}
	if err != nil || d.IsNeg() || d.Cmp(decimal.One) > 0 {
		return decimal.Zero, fmt.Errorf("“%s” is not a share. Write it as 15%% or 0.15", text)
	}
	return d, nil
}

// exchangeRate is the shop's currency for 1 of another.
type exchangeRate struct{ decimal.Decimal }

func parseRate(text string) (exchangeRate, error) {
	d, err := ledger.ParseRate(text)
	if err != nil {
		return exchangeRate{}, fmt.Errorf("“%s” is not a rate of exchange. Write what 1 of the currency is worth in the shop's, such as 0.9512", text)
	}
	return exchangeRate{d}, nil
}

// parseKept reads a part taken out or put back, as slot=what.
func parseKept(text string) (shop.Kept, error) {
	slot, what, _ := strings.Cut(text, "=")
	k := shop.Kept{Slot: evidence.Slot(slot), What: what}
	if !k.Slot.Valid() {
		return k, fmt.Errorf("“%s” names no part. Write part and description, such as crown=\"worn original\"; parts are %s", text,
			joined(evidence.Slots()))
	}
	return k, nil
}

// parseFall reads gold18=20.
func parseFall(text string) (opinion.MetalFall, error) {
	metal, percent, ok := strings.Cut(text, "=")
	p, err := strconv.ParseFloat(strings.TrimSpace(percent), 64)
	metal = strings.TrimSpace(metal)
	if !ok || err != nil || metal == "" || !(p > 0 && p <= 100) {
		return opinion.MetalFall{}, fmt.Errorf("“%s” is not a fall. Write the metal and a percentage up to 100, such as gold18=20", text)
	}
	return opinion.MetalFall{Metal: metal, By: p / 100}, nil
}

// elements are the metals that have a price of their own.
var elements = []string{"gold", "silver", "platinum", "palladium"}

// parseSpot reads gold=2400EUR@2026-02-27.
func (a *app) parseSpot(text string) (opinion.SpotPrice, error) {
	name, rest, ok := strings.Cut(text, "=")
	amount, day, dated := strings.Cut(rest, "@")
	if !ok || !dated {
		return opinion.SpotPrice{}, fmt.Errorf("“%s” is not a metal price. Write metal, price and day, such as gold=2400EUR@2026-02-27", text)
	}
	m, err := parseMoney(amount)
	if err != nil {
		return opinion.SpotPrice{}, err
	}
	if m.Sign() <= 0 {
		return opinion.SpotPrice{}, fmt.Errorf("“%s” is not a price. Give an amount above zero", amount)
	}
	t, err := time.Parse(time.DateOnly, day)
	switch {
	case err != nil:
		return opinion.SpotPrice{}, notADay(day)
	case t.After(a.now().Add(24 * time.Hour)):
		return opinion.SpotPrice{}, fmt.Errorf("%s is in the future. Give the day on which the price was read", day)
	}
	element, err := oneOf("metal with a price of its own", strings.ToLower(strings.TrimSpace(name)), elements)
	return opinion.SpotPrice{Element: element, PerTroyOunce: m, Date: day}, err
}
