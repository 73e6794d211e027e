package tables

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
)

// repeats names the rows that say what an earlier row says: the same sale, the same
// watch by its number, the same client by address.
func (r *reader) repeats() {
	first := map[[sha256.Size]byte]int{} // the rows of a long list are not held twice
	seen := func(text string, line int) {
		key := sha256.Sum256([]byte(text))
		if of, known := first[key]; known {
			r.out.Repeated = append(r.out.Repeated, Repeat{line, of})
			return
		}
		first[key] = line
	}
	if r.as == Sales { // cell for cell, so that what was kept out counts too
		for _, row := range r.raw {
			seen(strings.Join(row.cells, "\x1f"), row.line)
		}
		return
	}
	said := map[string]Row{}
	for _, row := range r.out.Rows {
		key := r.identity(row)
		if key == "" {
			continue
		}
		before, again := said[key]
		switch {
		case !again:
			said[key] = row
		case r.as == Stock:
			r.otherwise(before, row)
		case r.as == Clients && !samePerson(before, row):
			r.keepOut(row.Line, "email", key, fmt.Sprintf("row %d has this address under another name: "+
				"type the right one, or leave it", before.Line))
			continue
		case r.as == Clients:
			r.withdrawn(before, row)
		}
		seen(key, row.Line)
	}
}

// samePerson reports whether two rows with one address can be one client: the names share a word, or one has none.
func samePerson(a, b Row) bool {
	first, _ := a.Fields["name"].(string)
	second, _ := b.Fields["name"].(string)
	if first == "" || second == "" {
		return true
	}
	words := strings.Fields(plain(second))
	return slices.ContainsFunc(strings.Fields(plain(first)), func(w string) bool { return slices.Contains(words, w) })
}

// withdrawn carries a refusal in a row that repeats a client over to the row that is taken: no consent outlives it.
func (r *reader) withdrawn(before, row Row) {
	if row.Fields["consent"] != "no" || before.Fields["consent"] != "yes" {
		return
	}
	before.Fields["consent"] = "no"
	r.keepOut(before.Line, "consent", "yes", fmt.Sprintf("row %d is the same client and says no, which counts", row.Line))
}

// otherwise names what a row that repeats another says of it otherwise, since the row is not taken.
func (r *reader) otherwise(before, row Row) {
	was, is := before.Plain(), row.Plain()
	for _, f := range []string{"cost", "asking", "state", "bought"} {
		if is[f] == "" || is[f] == was[f] && is[f+".currency"] == was[f+".currency"] {
			continue
		}
		then := strings.TrimSpace(was[f] + " " + was[f+".currency"])
		if then == "" {
			then = "nothing"
		}
		r.keepOut(row.Line, f, strings.TrimSpace(is[f]+" "+is[f+".currency"]),
			fmt.Sprintf("row %d is the same watch and says %s: mend the row that is wrong", before.Line, then))
	}
}

// identity is what makes a row one watch or one client; empty where a row does
// not say enough.
func (r *reader) identity(row Row) string {
	switch r.as {
	case Clients:
		if mail, _ := row.Fields["email"].(string); mail != "" {
			return mail
		}
		name, _ := row.Fields["name"].(string)
		phone, _ := row.Fields["phone"].(string)
		if name == "" || phone == "" {
			return ""
		}
		return strings.ToLower(name) + digits.ReplaceAllString(phone, "")
	case Stock:
		if row.Fields["serial"] == nil {
			return ""
		}
		return strings.ToLower(fmt.Sprint(row.Fields["maker"], "|", row.Fields["reference"], "|", row.Fields["serial"]))
	case Serials:
		if row.Fields["serial"] == nil {
			return ""
		}
		return strings.ToLower(fmt.Sprint(row.Fields["maker"], "|", row.Fields["serial"]))
	}
	return ""
}
