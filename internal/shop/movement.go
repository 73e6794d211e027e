package shop

import (
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Ownership is on whose account the shop holds a watch.
type Ownership string

// The kinds of ownership; empty is none yet, or none any more.
const (
	Own       Ownership = "own"       // the shop's
	OfOthers  Ownership = "consigned" // the consignor's
	InPartner Ownership = "shared"    // the shop's and partners'
)

// Movement is one step in the life of a watch in the shop. It is only ever added: a wrong one
// is undone by another, which puts back what stood before.
type Movement struct {
	Seq     int64       `json:"seq"` // its place in the log of all movements, from 0; set by the store
	ID      string      `json:"id"`
	Watch   WatchID     `json:"watch"`
	From    State       `json:"from,omitempty"` // empty for the first
	To      State       `json:"to"`
	Day     string      `json:"day"` // on which it happened, 2006-01-02
	At      time.Time   `json:"at"`  // when it was entered
	By      string      `json:"by"`
	Person  string      `json:"person,omitempty"` // a client's id: seller, buyer, consignor, borrower
	Place   string      `json:"place,omitempty"`
	Holder  string      `json:"holder,omitempty"` // who has it in hand, where not the shop: a client's id or a firm
	Due     edtf.Date   `json:"due,omitzero"`
	Owned   Ownership   `json:"owned,omitempty"`
	Price   money.Money `json:"price,omitzero"`
	Note    string      `json:"note,omitempty" typed:"text"`
	Entries []string    `json:"entries,omitempty"` // ids of the ledger's entries that belong to it
	Removed []Kept      `json:"removed,omitempty"` // parts taken out and kept
	PutBack []Kept      `json:"put_back,omitempty"`
	// Plan is what was agreed about paying in instalments.
	Plan    *ledger.Plan `json:"plan,omitempty"`
	Ignored []Hold       `json:"ignored,omitempty"`             // holds that it was made against
	Reason  string       `json:"reason,omitempty" typed:"text"` // why, or why it was undone
	Undoes  string       `json:"undoes,omitempty"`              // the id of the movement that this one takes back
	Before  Snapshot     `json:"before"`
}

// Kept is an original part in the bag that goes with the watch.
type Kept struct {
	Slot evidence.Slot `json:"slot"`
	What string        `json:"what"`
}

// Snapshot is what a movement changes of a watch's record, as it was before.
type Snapshot struct {
	State    State       `json:"state"`
	Owned    Ownership   `json:"owned,omitempty"`
	Place    string      `json:"place,omitempty"`
	Holder   string      `json:"holder,omitempty"`
	Due      edtf.Date   `json:"due,omitzero"`
	Client   string      `json:"client,omitempty"`
	Cost     money.Money `json:"cost,omitzero"`
	Acquired edtf.Date   `json:"acquired,omitzero"`
}

// Ownership is on whose account the watch is held. Records from before movements were
// kept do not say it; their state does.
func (w Watch) Ownership() Ownership {
	switch {
	case w.Owned != "":
		return w.Owned
	case w.State == Offered || w.State == Returned:
		return ""
	case w.State == Consigned:
		return OfOthers
	case w.State == PartShare:
		return InPartner
	}
	return Own
}

// Step is what is kept together or not at all.
type Step struct {
	Watches   []Watch // changed records, each over the version that was read
	Movements []Movement
	Entries   []ledger.Entry
	Showings  []Showing
	Items     map[WatchID][]evidence.Item // further evidence
	Import    *Import                     // from a file; it comes before the rest
	Sold      *OwnSale                    // what becomes of the sale among those that values are read from
}

// Hold is a rule that stands against selling a watch, or that must be thought of.
type Hold struct {
	Rule   string    `json:"rule"` // days to hold, identity, statement, register, cash, straps, lume, customs
	Why    string    `json:"why" typed:"text"`
	Until  edtf.Date `json:"until,omitzero"`
	Blocks bool      `json:"blocks"`
}

// Effective are the movements that were not undone, without those that undid others.
func Effective(all []Movement) []Movement {
	gone := map[string]bool{}
	for _, m := range all {
		if m.Undoes != "" {
			gone[m.ID], gone[m.Undoes] = true, true
		}
	}
	var out []Movement
	for _, m := range all {
		if !gone[m.ID] {
			out = append(out, m)
		}
	}
	return out
}
