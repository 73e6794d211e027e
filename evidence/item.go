package evidence

import (
	"encoding/json"
	"fmt"
	"time"

	"midcase/typed"
)

// SchemaVersion is the version of the JSON form that this package writes. It reads
// this version and every earlier one.
const SchemaVersion = 1

// ID names one item, such as ev_01J9Z….
type ID string

// Kind is one of the closed list of kinds of evidence.
type Kind string

// The kinds of evidence.
const (
	KindMark       Kind = "mark"
	KindFitted     Kind = "fitted"
	KindFinding    Kind = "finding"
	KindDimension  Kind = "dimension"
	KindWeighing   Kind = "weighing"
	KindRate       Kind = "rate"
	KindRecording  Kind = "recording"
	KindPhoto      Kind = "photo"
	KindReading    Kind = "reading"
	KindDocument   Kind = "document"
	KindClaim      Kind = "claim"
	KindWork       Kind = "work"
	KindComparison Kind = "comparison"
	KindCheck      Kind = "check"
	KindTrial      Kind = "trial"
	KindNeed       Kind = "need"
	KindOwnership  Kind = "ownership"
	KindCorrection Kind = "correction"
	KindRedacted   Kind = "redacted"
	KindWithdrawal Kind = "withdrawal"
)

// Data is what an item says; each kind has one struct that implements it.
type Data interface {
	Kind() Kind
	// Check returns what is wrong with the data, nil if nothing is.
	Check() Problems
}

// factories is the closed list: a kind that is not here does not exist.
var factories = map[Kind]func() Data{
	KindMark:       func() Data { return new(Mark) },
	KindFitted:     func() Data { return new(Fitted) },
	KindFinding:    func() Data { return new(Finding) },
	KindDimension:  func() Data { return new(Dimension) },
	KindWeighing:   func() Data { return new(Weighing) },
	KindRate:       func() Data { return new(Rate) },
	KindRecording:  func() Data { return new(Recording) },
	KindPhoto:      func() Data { return new(Photo) },
	KindReading:    func() Data { return new(Reading) },
	KindDocument:   func() Data { return new(Document) },
	KindClaim:      func() Data { return new(Claim) },
	KindWork:       func() Data { return new(Work) },
	KindComparison: func() Data { return new(Comparison) },
	KindCheck:      func() Data { return new(Check) },
	KindTrial:      func() Data { return new(Trial) },
	KindNeed:       func() Data { return new(Need) },
	KindOwnership:  func() Data { return new(Ownership) },
	KindCorrection: func() Data { return new(Correction) },
	KindRedacted:   func() Data { return new(Redacted) },
	KindWithdrawal: func() Data { return new(Withdrawal) },
}

// Kinds lists all kinds in the order in which people read them.
func Kinds() []Kind {
	return []Kind{KindMark, KindFitted, KindFinding, KindDimension, KindWeighing, KindRate, KindRecording, KindPhoto,
		KindReading, KindDocument, KindClaim, KindWork, KindComparison, KindCheck, KindTrial, KindNeed, KindOwnership,
		KindCorrection, KindRedacted, KindWithdrawal}
}

// New returns an empty data struct of the kind, for decoding into.
func New(k Kind) (Data, error) {
	f, ok := factories[k]
	if !ok {
		return nil, fmt.Errorf("kind %q: want one of %s", k, list(Kinds()))
	}
	return f(), nil
}

// Item is one piece of evidence. Data is a pointer to the struct of its kind.
type Item struct {
	ID   ID
	At   time.Time // when it was recorded
	By   string    // who recorded it
	Note string    `typed:"text"`
	Data Data      `typed:"-"` // has its own Check
}

// Kind is the kind of the item's data.
func (i Item) Kind() Kind {
	if i.Data == nil {
		return ""
	}
	return i.Data.Kind()
}

// Check returns what is wrong with the item as of now: a future date is an error
// beyond a day's tolerance for clocks and time zones.
func (i Item) Check(now time.Time) Problems {
	var p Problems
	if i.ID == "" {
		p.add("id", "nothing", "an id such as ev_1")
	}
	if i.At.IsZero() {
		p.add("at", "nothing", "the time of recording, such as 2026-03-01T10:15:00Z")
	} else if i.At.After(now.Add(24 * time.Hour)) {
		p.add("at", i.At.Format(time.DateOnly), "a date that is not in the future")
	}
	if i.By == "" {
		p.add("by", "nothing", "the name of the person who recorded it")
	}
	for _, f := range typed.Check(i) {
		p.add(f.Field, f.Found, f.Want)
	}
	if i.Data == nil {
		p.add("kind", "nothing", "one of "+list(Kinds()))
		return p
	}
	for _, q := range i.Data.Check() {
		q.Field = "data." + q.Field
		p = append(p, q)
	}
	for _, f := range typed.Check(i.Data) {
		p.add("data."+f.Field, f.Found, f.Want)
	}
	if d, ok := i.Data.(dated); ok {
		for _, x := range d.dates() {
			if first, known := x.date.First(); known && first.After(now.Add(24*time.Hour)) {
				p.add("data."+x.field, x.date.String(), "a date that is not in the future")
			}
		}
	}
	return p
}

type wireItem struct {
	ID     ID              `json:"id"`
	Schema int             `json:"schema,omitempty"`
	Kind   Kind            `json:"kind"`
	At     time.Time       `json:"at"`
	By     string          `json:"by"`
	Note   string          `json:"note,omitempty"`
	Data   json.RawMessage `json:"data"`
}

// MarshalJSON writes the item with its schema version and kind.
func (i Item) MarshalJSON() ([]byte, error) {
	data, err := json.Marshal(i.Data)
	if err != nil {
		return nil, fmt.Errorf("item %s: %w", i.ID, err)
	}
	return json.Marshal(wireItem{i.ID, SchemaVersion, i.Kind(), i.At, i.By, i.Note, data})
}

// UnmarshalJSON reads an item. Unknown fields in it and in its data are an error, so
// that a misspelt field is not lost in silence.
func (i *Item) UnmarshalJSON(b []byte) error {
	var version struct {
		ID     ID  `json:"id"`
		Schema int `json:"schema"`
	}
	// What a newer version adds is not a misspelling, so the version is asked first.
	if err := json.Unmarshal(b, &version); err == nil && version.Schema > SchemaVersion {
		return &itemFault{version.ID, &fieldFault{"schema", fmt.Sprint(version.Schema),
			fmt.Sprintf("at most %d: this file is newer than this program; use a newer midcase", SchemaVersion)}}
	}
	var w wireItem
	if err := decodeStrict(b, &w); err != nil {
		return &itemFault{version.ID, err}
	}
	if _, err := New(w.Kind); err != nil {
		return &itemFault{w.ID, &fieldFault{"kind", quote(string(w.Kind)), "one of " + list(Kinds())}}
	}
	if len(w.Data) == 0 || string(w.Data) == "null" {
		return &itemFault{w.ID, &fieldFault{"data", "nothing", fmt.Sprintf("the fields of a %s", w.Kind)}}
	}
	data, err := decodeData(w.Kind, w.Data)
	if err != nil {
		return &itemFault{w.ID, err}
	}
	*i = Item{ID: w.ID, At: w.At, By: w.By, Note: w.Note, Data: data}
	return nil
}
