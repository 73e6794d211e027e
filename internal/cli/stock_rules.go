package cli

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"midcase/internal/shop/trade"
	"midcase/typed"
)

type stockRulesCmd struct {
	output
	Examples bool   `help:"List the examples."`
	Example  int    `help:"Use the rules of an example, by its number." placeholder:"N"`
	Set      string `help:"Use the rules in a JSON file, or - for standard input, in the form that --json prints." placeholder:"FILE"`
}

// Run shows or sets the local rules.
func (c stockRulesCmd) Run(a *app) error {
	examples := trade.RuleExamples()
	if c.Example < 0 || c.Example > len(examples) {
		return wrong("there is no example %d. Give 1 to %d", c.Example, len(examples))
	}
	if c.Examples {
		return c.print(a, examples, nil, func() error { return a.rules(examples) })
	}
	s, err := a.hold(a.open(c.Example != 0 || c.Set != ""))
	if err != nil {
		return err
	}
	switch {
	case c.Example > 0:
		err = s.Trade.SetRules(a.ctx, examples[c.Example-1])
	case c.Set != "":
		err = c.setFile(a, s)
	}
	if err != nil {
		return refused(err)
	}
	r, err := s.Trade.Rules(a.ctx)
	return c.print(a, r, err, func() error { return a.rules([]trade.LocalRules{r}) })
}

func (c stockRulesCmd) setFile(a *app, s *opened) error {
	in, name, err := a.input(c.Set)
	if err != nil {
		return err
	}
	defer in.Close()
	const largest = 1 << 20
	b, err := io.ReadAll(io.LimitReader(in, largest))
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	var r trade.LocalRules
	if err := typed.JSON(b); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&r); err != nil {
		return jsonFault(name, b, err)
	}
	return s.Trade.SetRules(a.ctx, r)
}

// rules prints sets of rules.
func (a *app) rules(all []trade.LocalRules) error {
	yesNo := map[bool]string{true: "yes", false: "no"}
	for i, r := range all {
		fmt.Fprintf(a.out, "%d  %s\n", i+1, a.bold(r.Place))
		fmt.Fprintf(a.out, "   days to hold: %d; identity of the seller: %s; statement of ownership: %s\n", r.HoldDays,
			yesNo[r.Identity], yesNo[r.Statement])
		register := "not required"
		if r.RegisterDays > 0 {
			register = fmt.Sprintf("at most %d days old", r.RegisterDays)
		}
		fmt.Fprintf(a.out, "   check of a loss register: %s; keep records for %d years\n", register, r.KeepYears)
		if !r.CashLimit.IsZero() {
			fmt.Fprintf(a.out, "   cash: at most %s within %d months\n", exact(r.CashLimit), r.CashMonths)
		}
		for _, source := range r.Sources {
			fmt.Fprintf(a.out, "   source: %s\n", source)
		}
	}
	_, err := fmt.Fprintln(a.out, trade.CheckLocalRules)
	return err
}
