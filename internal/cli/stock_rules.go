package cli

import (
	"encoding/json"
	"fmt"
	"io"

	"midcase/internal/shop/trade"
)

type stockRulesCmd struct {
	Examples bool   `help:"List the examples."`
	Example  int    `help:"Set the rules of an example, by its number." placeholder:"N"`
	Set      string `help:"Set the rules of a JSON file, or - for standard input, in the form that --json prints." placeholder:"FILE"`
	JSON     bool   `name:"json" help:"Print JSON."`
}

// Run shows or sets the local rules.
func (c stockRulesCmd) Run(a *app) error {
	examples := trade.RuleExamples()
	if c.Examples {
		return a.rules(examples, c.JSON)
	}
	s, err := a.open(c.Example != 0 || c.Set != "")
	if err != nil {
		return err
	}
	defer s.close()
	switch {
	case c.Example < 0 || c.Example > len(examples):
		return wrong("--example %d: want 1 to %d", c.Example, len(examples))
	case c.Example > 0:
		err = s.Trade.SetRules(a.ctx, examples[c.Example-1])
	case c.Set != "":
		err = c.setFile(a, s)
	}
	if err != nil {
		return refused(err)
	}
	r, err := s.Trade.Rules(a.ctx)
	if err != nil {
		return err
	}
	if c.JSON {
		return a.printJSON(r)
	}
	return a.rules([]trade.LocalRules{r}, false)
}

func (c stockRulesCmd) setFile(a *app, s *opened) error {
	in, name, err := a.input(c.Set)
	if err != nil {
		return err
	}
	defer in.Close()
	const most = 1 << 20
	b, err := io.ReadAll(io.LimitReader(in, most))
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	var r trade.LocalRules
	if err := json.Unmarshal(b, &r); err != nil {
		return jsonFault(name, b, err)
	}
	return s.Trade.SetRules(a.ctx, r)
}

// rules prints sets of rules.
func (a *app) rules(all []trade.LocalRules, asJSON bool) error {
	if asJSON {
		return a.printJSON(all)
	}
	for i, r := range all {
		fmt.Fprintf(a.out, "%d  %s\n", i+1, a.bold(r.Place))
		fmt.Fprintf(a.out, "   days to hold: %d; identity of the seller: %s; statement of ownership: %s\n", r.HoldDays,
			yesNo(r.Identity), yesNo(r.Statement))
		fmt.Fprintf(a.out, "   look-up in a loss register, days old at most: %d (0: not asked); records kept: %d years\n", r.RegisterDays, r.KeepYears)
		if !r.CashLimit.IsZero() {
			fmt.Fprintf(a.out, "   cash: at most %s within %d months\n", r.CashLimit, r.CashMonths)
		}
		for _, source := range r.Sources {
			fmt.Fprintf(a.out, "   source: %s\n", source)
		}
	}
	_, err := fmt.Fprintln(a.out, trade.CheckLocalRules)
	return err
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}
