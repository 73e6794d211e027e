package evidence

import (
	"bytes"
	"encoding/json"
	"fmt"

	"midcase/typed"
)

// Picks are the points from which something was read in a photo, as one JSON object
// without white space. What is in it is not for this package to know.
type Picks []byte

// MarshalJSON implements json.Marshaler.
func (p Picks) MarshalJSON() ([]byte, error) {
	if len(p) == 0 {
		return []byte("null"), nil
	}
	return p, nil
}

// UnmarshalJSON takes any JSON value; Check of what holds it refuses all but objects.
func (p *Picks) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*p = nil
		return nil
	}
	var out bytes.Buffer
	if err := json.Compact(&out, b); err != nil {
		return err
	}
	*p = out.Bytes()
	return nil
}

// maxPicks is how many bytes the picks of one reading may take.
const maxPicks = 64 << 10

func (p *Problems) picks(b Picks) {
	if len(b) == 0 {
		return
	}
	var object map[string]json.RawMessage
	switch {
	case len(b) > maxPicks:
		p.add("picks", fmt.Sprintf("%d bytes", len(b)), fmt.Sprintf("at most %d", maxPicks))
	case json.Unmarshal(b, &object) != nil:
		p.add("picks", "no JSON object", "the points picked, as one JSON object")
	case typed.JSON(b) != nil:
		p.add("picks", typed.JSON(b).Error(), "each field once")
	}
}
