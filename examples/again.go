package examples

import (
	"slices"
	"strconv"
	"strings"

	"midcase/refbook"
)

// confusable are the letters that worn stamps and quick readers make of figures: common practice, no published source.
var confusable = strings.NewReplacer("O", "0", "Q", "0", "D", "0", "I", "1", "L", "1", "|", "1", "Z", "2", "S", "5",
	"G", "6", "B", "8")

// AsFigures is a number as it is meant where letters were read for figures: 2I4459 is 214459.
func AsFigures(read string) string { return confusable.Replace(strings.ToUpper(read)) }

// SerialKeys are the forms in which a serial number is compared: 214 459, 214.459 and 2I4459 are one. A number that
// was not read whole has none, since it may be that of many watches.
func SerialKeys(serial string) []string {
	bare := strings.ToUpper(strings.NewReplacer(" ", "", "\u00a0", "", ".", "", "'", "", "’", "", "-", "", "/", "").
		Replace(strings.TrimSpace(serial)))
	p, err := refbook.ParsePattern(serial)
	if bare == "" || strings.Contains(bare, "…") || err == nil && !p.Whole() {
		return nil
	}
	var out []string
	add := func(key string) {
		if key != "" && !slices.Contains(out, key) {
			out = append(out, key)
		}
	}
	if n, err := refbook.ParseNumber(serial); err == nil {
		add(strconv.FormatInt(n, 10))
	}
	add(strings.TrimLeft(AsFigures(bare), "0"))
	return out
}

// SameSerial reports whether two serial numbers may be one, written or read otherwise.
func SameSerial(a, b string) bool {
	keys := SerialKeys(b)
	return slices.ContainsFunc(SerialKeys(a), func(k string) bool { return slices.Contains(keys, k) })
}

// before is the example with the same number that was seen before; where there is none, this one is noted.
func before(seen map[string]string, e Example) (id string, again bool) {
	keys := SerialKeys(e.Serial)
	for _, k := range keys {
		if id, again = seen[k]; again {
			return id, true
		}
	}
	for _, k := range keys {
		seen[k] = e.ID
	}
	return "", false
}
