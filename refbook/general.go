package refbook

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"sync"

	"midcase/evidence"
)

//go:embed general.json
var generalJSON []byte

// AssumedMark stands in the source of a figure that nobody gave: it is a general default.
const AssumedMark = "assumed: general default"

// General is what is known of watches of any maker. It stands in where the book says
// nothing, and whatever rests on it is marked as assumed. Each part names its source.
type General struct {
	Source         string                    `json:"source"`
	ReplacedSource string                    `json:"replaced_source"`
	Replaced       map[evidence.Slot]float64 `json:"replaced"` // share of watches whose part is not the first one
	ReplacedElse   float64                   `json:"replaced_else"`
	ReplacedWords  map[string]float64        `json:"replaced_words"` // "often" in figures
	StampsSource   string                    `json:"stamps_source"`
	Stamps         []GeneralStamp            `json:"stamps"`
	ScatterSource  string                    `json:"scatter_months_source"`
	ScatterMonths  float64                   `json:"scatter_months"` // of serial numbers about their milestones
	SoftSource     string                    `json:"window_soft_months_source"`
	SoftMonths     float64                   `json:"window_soft_months"`
	BeatsSource    string                    `json:"beats_source"`
	Beats          []GeneralBeat             `json:"beats"`
	LumeSource     string                    `json:"lume_source"`
	Lume           []GeneralLume             `json:"lume"`
}

// GeneralStamp is a form in which many makers stamped dates on parts.
type GeneralStamp struct {
	ID        string  `json:"id"`
	Form      string  `json:"form"`
	LagMonths float64 `json:"lag_months"` // mean time from the stamp to the finished watch
}

// GeneralBeat is the usual beat of movements up to a year.
type GeneralBeat struct {
	Until   int `json:"until"`
	PerHour int `json:"per_hour"`
}

// GeneralLume is when a luminous paint was in use.
type GeneralLume struct {
	Paint string `json:"paint"`
	First int    `json:"first"`
	Last  int    `json:"last"`
}

// GeneralKnowledge is general.json. Callers do not change it.
var GeneralKnowledge = sync.OnceValue(func() *General {
	g := &General{}
	if err := json.Unmarshal(generalJSON, g); err != nil {
		panic(fmt.Sprintf("refbook: general.json: %v", err)) // a file of the program's own, held by a test
	}
	return g
})

// UsuallyReplaced is the share of watches in the trade whose part in the slot is not the
// first one, where the book does not say.
func UsuallyReplaced(slot evidence.Slot) float64 {
	g := GeneralKnowledge()
	if share, ok := g.Replaced[slot]; ok {
		return share
	}
	return g.ReplacedElse
}

// UsualBeat is the usual beat, per hour, of a movement first made in the year; 0 stands
// for a year that is not known.
func UsualBeat(year int) int {
	beats := GeneralKnowledge().Beats
	for _, b := range beats {
		if year <= b.Until {
			return b.PerHour
		}
	}
	return beats[len(beats)-1].PerHour
}

// CommonStamp reads a date stamp in the forms that many makers used; ok is false where
// none of them fits.
func CommonStamp(slot evidence.Slot, text string) (s *Stamp, ok bool) {
	for _, g := range GeneralKnowledge().Stamps {
		s := &Stamp{ID: g.ID, Slot: slot, Form: g.Form, LagMonths: g.LagMonths, Source: GeneralKnowledge().StampsSource}
		if _, _, err := s.Read(text); err == nil {
			return s, true
		}
	}
	return nil, false
}
