package takein

// problem is what is wrong with a field, in words.
func problem(d Data, name string) string {
	for _, p := range d.Problems {
		if p.Field == name {
			return "Found " + p.Found + "; want " + p.Want + "."
		}
	}
	return ""
}
