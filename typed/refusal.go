package typed

import "strings"

// Refusal says of what was given that it will not do, and what to give instead. found is a value, as a figure or in
// quotes, “nothing”, or what is wrong in words; want is what would do, as a noun.
func Refusal(found, want string) string {
	switch {
	case found == "" || found == `""` || found == "nothing":
		return "give " + want
	case len(found) > 1 && strings.HasPrefix(found, `"`) && strings.HasSuffix(found, `"`):
		return "“" + found[1:len(found)-1] + "” will not do; give " + want
	case strings.ContainsAny(found[:1], "-0123456789"):
		return found + " will not do; give " + want
	}
	return found + "; give " + want
}
