package typed

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"unicode"
)

// JSON refuses a JSON text in which an object names a field twice. encoding/json takes the last one and does not
// tell "text" from "Text"; other readers take the first or both, so that two programs would see two things in one
// file. What is wrong with the text otherwise is left to whoever decodes it.
func JSON(b []byte) error {
	dec := json.NewDecoder(bytes.NewReader(b))
	dec.UseNumber()
	var open []*object
	for {
		t, err := dec.Token()
		if err != nil {
			return nil
		}
		inside := len(open) > 0 && open[len(open)-1] != nil
		if inside && open[len(open)-1].key {
			if name, ok := t.(string); ok {
				if err := open[len(open)-1].add(name); err != nil {
					return err
				}
				continue
			}
		}
		switch t {
		case json.Delim('{'):
			open = append(open, &object{key: true, names: map[string]string{}})
			continue
		case json.Delim('['):
			open = append(open, nil)
			continue
		case json.Delim('}'), json.Delim(']'):
			open = open[:len(open)-1]
		}
		if len(open) > 0 && open[len(open)-1] != nil {
			open[len(open)-1].key = true // a value ended, a name follows
		}
	}
}

// object is one that is being read.
type object struct {
	key   bool              // a name comes next
	names map[string]string // as encoding/json compares them, to how they are written
}

func (o *object) add(name string) error {
	folded := strings.Map(fold, name)
	if first, twice := o.names[folded]; twice {
		return &Twice{First: first, Again: name}
	}
	o.names[folded] = name
	o.key = false
	return nil
}

// fold gives the same letter for all that encoding/json takes for one another.
func fold(r rune) rune {
	least := r
	for next := unicode.SimpleFold(r); next != r; next = unicode.SimpleFold(next) {
		least = min(least, next)
	}
	return least
}

// Twice is a field that an object names twice.
type Twice struct{ First, Again string }

// Error implements error.
func (e *Twice) Error() string {
	if e.First == e.Again {
		return fmt.Sprintf("the field %q stands there twice; keep one of the two", e.Again)
	}
	return fmt.Sprintf("the fields %q and %q count as one; keep one of the two", e.First, e.Again)
}
