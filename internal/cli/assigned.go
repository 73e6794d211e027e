package cli

import (
	"time"

	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/market"
)

// assignedFlags say what a valuation is for.
type assignedFlags struct {
	Purpose   string       `help:"With a valuation: what it is for: insurance, estate, sale or loan." placeholder:"PURPOSE"`
	For       string       `help:"With a valuation: who may rely on it, a role rather than a name." placeholder:"WHO"`
	Basis     market.Basis `help:"With a valuation: kind of value (default: the one that is usual for the purpose)." placeholder:"BASIS"`
	Effective time.Time    `help:"With a valuation: the day that the value is of (default: today)." placeholder:"2026-03-01"`
	Assume    []string     `help:"With a valuation: something else that is taken as given, a sentence; may be repeated." placeholder:"TEXT" sep:"none"`
}

// of is the assignment of a valuation; nil for other papers.
func (f assignedFlags) of(k shop.PaperKind) (*document.Assignment, error) {
	if k != shop.PaperValuation {
		if f.Purpose != "" || f.For != "" || f.Basis != "" || !f.Effective.IsZero() || len(f.Assume) > 0 {
			return nil, wrong("--purpose, --for, --basis, --effective and --assume go with a valuation, not with a %s", k)
		}
		return nil, nil
	}
	return &document.Assignment{Purpose: f.Purpose, Users: f.For, Basis: f.Basis, Effective: f.Effective,
		Assumptions: f.Assume}, nil
}
