package opinion

import "midcase/say"

// Lacks says why the value does not rest on sales of this reference: which sales there are none of, and which do not
// count. It is empty where there are some.
func (v Value) Lacks() []say.Statement {
	if !v.Known || v.SalesOfReference > 0 {
		return nil
	}
	var out []say.Statement
	for _, s := range v.Says {
		switch s.Kind {
		case "market.no-maker", "market.no-family", "market.no-reference", "market.left-out":
			out = append(out, s)
		}
	}
	return out
}
