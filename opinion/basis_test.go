package opinion_test

import (
	"strings"
	"testing"
)

// Every figure leads to something that exists: an item in force, an entry of the
// book, a sale or a setting.
func TestBasisExists(t *testing.T) {
	book := theBook(t)
	all := ofWorld(t)
	for _, w := range world().Watches {
		ids := map[string]bool{}
		for _, it := range w.Evidence.Evidence {
			ids[string(it.ID)] = true
		}
		n := 0
		walk(instance(t, all[w.File]), func(key string, v any) {
			switch key {
			case "basis", "value_basis":
				list, ok := v.([]any)
				if !ok {
					return // the basis of value is text
				}
				for _, b := range list {
					n++
					source, id := b.(map[string]any)["source"].(string), b.(map[string]any)["id"].(string)
					switch {
					case source == "evidence" && !ids[id], source == "sale" &&
						!strings.HasPrefix(id, "sale_"), source == "setting" && id == "":
						t.Errorf("%s: %s %q is not there", w.File, source, id)
					case source == "book":
						maker, _, _ := strings.Cut(id, "/")
						if _, ok := book.Maker(maker); !ok {
							t.Errorf("%s: the book has no %q", w.File, id)
						}
					case source != "evidence" && source != "sale" && source != "setting":
						t.Errorf("%s: a basis of no known kind: %q", w.File, source)
					}
				}
			case "evidence":
				list, ok := v.([]any)
				if !ok {
					list = []any{v}
				}
				for _, id := range list {
					n++
					if !ids[id.(string)] {
						t.Errorf("%s: no item %v", w.File, id)
					}
				}
			}
		})
		if n < 30 {
			t.Errorf("%s: only %d references to a basis", w.File, n)
		}
		for _, i := range all[w.File].Dating.Items {
			if len(i.Basis) < 1 || i.Says.IsZero() {
				t.Errorf("%s: %s %s says nothing of where it is from", w.File, i.Kind, i.Evidence)
			}
		}
	}
}

func walk(v any, see func(key string, v any)) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			see(k, x)
			walk(x, see)
		}
	case []any:
		for _, x := range v {
			walk(x, see)
		}
	}
}
