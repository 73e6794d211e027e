package notes

import (
	"encoding/json"
	"fmt"
	"math"

	"midcase/evidence"
)

// wireItem is the JSON form of an item.
type wireItem struct {
	Kind evidence.Kind              `json:"kind"`
	Data map[string]json.RawMessage `json:"data"`
	Text string                     `json:"text"`
	From int                        `json:"from"`
	To   int                        `json:"to"`
	Sure float64                    `json:"sure"`
	Open []string                   `json:"open,omitempty"`
}

// MarshalJSON writes an item with the data of an item of evidence. Fields that the notes
// leave open are left out, but for a severity, which stands as proposed and is asked.
func (i Item) MarshalJSON() ([]byte, error) {
	b, err := json.Marshal(i.Data)
	if err != nil {
		return nil, fmt.Errorf("notes: %s: %w", i.Data.Kind(), err)
	}
	w := wireItem{
		Kind: i.Data.Kind(),
		Text: i.Text,
		From: i.From,
		To:   i.To,
		Sure: math.Round(i.Sure*100) / 100,
		Open: i.Open,
	}
	if err := json.Unmarshal(b, &w.Data); err != nil {
		return nil, fmt.Errorf("notes: %s: %w", i.Data.Kind(), err)
	}
	for _, field := range i.Open {
		if field != "severity" {
			delete(w.Data, field)
		}
	}
	return json.Marshal(w)
}

// MarshalJSON writes a reading; lists are never null.
func (r Reading) MarshalJSON() ([]byte, error) {
	type wire struct {
		Maker     string     `json:"maker"`
		Reference string     `json:"reference"`
		Items     []Item     `json:"items"`
		Unread    []Span     `json:"unread"`
		Questions []Question `json:"questions"`
	}
	w := wire(r)
	if w.Items == nil {
		w.Items = []Item{}
	}
	if w.Unread == nil {
		w.Unread = []Span{}
	}
	if w.Questions == nil {
		w.Questions = []Question{}
	}
	return json.Marshal(w)
}

// MarshalJSON writes a lot with its reading.
func (l Lot) MarshalJSON() ([]byte, error) {
	b, err := json.Marshal(l.Reading)
	if err != nil {
		return nil, err
	}
	var out map[string]any
	if err := json.Unmarshal(b, &out); err != nil {
		return nil, err
	}
	out["lot"], out["sale"] = l.Lot, l.Sale
	return json.Marshal(out)
}
