package trade

import (
	"context"
	_ "embed"
	"encoding/json"
	"fmt"

	"midcase/internal/shop"
	"midcase/money"
)

// LocalRules are what the law of a place asks of a dealer, as far as the program
// watches it. They are data that the shop sets; the examples are starting points,
// no advice.
type LocalRules struct {
	Place        string      `json:"place"`
	HoldDays     int         `json:"hold_days"`     // between buying and selling
	Identity     bool        `json:"identity"`      // the seller's identity must be on record
	Statement    bool        `json:"statement"`     // a statement of ownership must be on record
	RegisterDays int         `json:"register_days"` // a look-up in a loss register, at most so old when the watch is sold; 0: not asked
	CashLimit    money.Money `json:"cash_limit,omitzero"`
	CashMonths   int         `json:"cash_months"` // within which payments of one person count together
	KeepYears    int         `json:"keep_years"`  // for which books and sellers' records are kept
	Straps       string      `json:"straps,omitempty"`
	Lume         string      `json:"lume,omitempty"`
	Headings     []Heading   `json:"headings,omitempty"`
	Sources      []string    `json:"sources,omitempty"`
}

// Heading is a customs heading and when it applies.
type Heading struct {
	Heading string `json:"heading"`
	When    string `json:"when"`
}

// CheckLocalRules is the caution that goes with everything that rests on LocalRules.
const CheckLocalRules = "These settings are examples, not law. Check your local rules."

//go:embed rules.json
var rulesText []byte

// RuleExamples lists sets of rules to start from. The first asks little.
func RuleExamples() []LocalRules {
	var out []LocalRules
	if err := json.Unmarshal(rulesText, &out); err != nil {
		panic(fmt.Sprintf("rules.json: %v", err)) // a file of the program, which a test reads
	}
	return out
}

const rulesName = shop.HouseRulesName

// Rules returns the rules that the shop set; where it set none, the first example.
func (r *Room) Rules(ctx context.Context) (LocalRules, error) {
	var rules LocalRules
	found, err := r.shop.ReadSetting(ctx, rulesName, "local rules", &rules)
	if err == nil && !found {
		return RuleExamples()[0], nil
	}
	return rules, err
}

// SetRules keeps the shop's rules.
func (r *Room) SetRules(ctx context.Context, rules LocalRules) error {
	const what = "set local rules"
	for _, n := range []struct {
		field string
		value int
	}{{"hold_days", rules.HoldDays}, {"register_days", rules.RegisterDays}, {"cash_months",
		rules.CashMonths}, {"keep_years", rules.KeepYears}} {
		if n.value < 0 || n.value > 10_000 {
			return shop.Refuse(what, n.field, fmt.Sprint(n.value), "a number from 0 to 10000")
		}
	}
	if !rules.CashLimit.IsZero() && rules.CashLimit.Sign() < 0 {
		return shop.Refuse(what, "cash_limit", rules.CashLimit.String(), "an amount of zero or more")
	}
	return r.shop.WriteSetting(ctx, rulesName, what, rules)
}
