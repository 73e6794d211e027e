package cli

import (
	"fmt"

	"midcase/condition"
)

type termsCmd struct {
	Slot string `arg:"" optional:"" help:"Only terms used of this part."`
	JSON bool   `name:"json" help:"Print JSON."`
}

// termJSON is a term as it is printed.
type termJSON struct {
	ID         string   `json:"term"`
	Name       string   `json:"name"`
	Definition string   `json:"definition"`
	Slots      []string `json:"slots"`
}

// Run lists the terms with their definitions.
func (c termsCmd) Run(a *app) error {
	terms := condition.Terms()
	if c.Slot != "" {
		if _, err := oneOf("part", c.Slot, condition.Slots()); err != nil {
			return misuse{err}
		}
		terms = condition.TermsFor(c.Slot)
	}
	if c.JSON {
		out := make([]termJSON, len(terms))
		for i, t := range terms {
			out[i] = termJSON{t.ID, t.Name, t.Definition, t.Slots}
		}
		return a.printJSON(out)
	}
	for _, t := range terms {
		fmt.Fprintf(a.out, "%s (%s): %s\n", a.bold(t.ID), t.Name, t.Definition)
	}
	return nil
}
