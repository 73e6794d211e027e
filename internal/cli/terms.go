package cli

import (
	"fmt"
	"strings"

	"midcase/condition"
)

type termsCmd struct {
	Slot string `arg:"" optional:"" help:"Only terms used of this part."`
	JSON bool   `name:"json" help:"Print JSON."`
}

// Run lists the terms with their definitions.
func (c termsCmd) Run(a *app) error {
	terms := condition.Terms()
	if c.Slot != "" {
		if !known(condition.Slots(), c.Slot) {
			return wrong("part %q: want one of %s", c.Slot, strings.Join(condition.Slots(), ", "))
		}
		terms = condition.TermsFor(c.Slot)
	}
	if c.JSON {
		return a.printJSON(terms)
	}
	for _, t := range terms {
		fmt.Fprintf(a.out, "%s (%s): %s\n", a.bold(t.ID), t.Name, t.Definition)
	}
	return nil
}
