package shop

import (
	"time"

	"midcase/edtf"
	"midcase/money"
)

// WatchID names one watch of the shop, such as w_01J9Z….
type WatchID string

// State is where a watch stands in its life in the shop.
type State string

// The states of a watch.
const (
	Offered      State = "offered"
	Bought       State = "bought"
	Consigned    State = "consigned"
	PartShare    State = "part_share"
	AtWorkshop   State = "at_watchmaker"
	Photographed State = "photographed"
	Listed       State = "listed"
	Reserved     State = "reserved"
	OnMemo       State = "memo_out"
	Sold         State = "sold"
	Returned     State = "returned"

	// TakenBack is a file that an import opened and that was taken back with it. It is on no list.
	TakenBack State = "taken_back"
)

// Held reports whether a watch in this state is in the shop's hands, or out of them for a while, on whosever account.
func (s State) Held() bool {
	return s != Sold && s != Returned && s != Offered && s != TakenBack
}

// States lists the states in the order of a watch's life.
func States() []State {
	return []State{Offered, Bought, Consigned, PartShare, AtWorkshop, Photographed, Listed, Reserved, OnMemo, Sold,
		Returned}
}

// Watch is the shop's record of one watch: what the stock list shows. What is known
// about the watch itself is in its evidence.
type Watch struct {
	ID        WatchID     `json:"id"`
	Number    int         `json:"number"` // the file number on labels and papers
	Title     string      `json:"title"`
	Maker     string      `json:"maker"`
	Reference string      `json:"reference"`
	Serial    string      `json:"serial,omitempty"`
	State     State       `json:"state"`
	Place     string      `json:"place,omitempty"`
	Cost      money.Money `json:"cost,omitzero"`
	Asked     money.Money `json:"asked,omitzero"`  // what a seller asks of the shop
	Asking    money.Money `json:"asking,omitzero"` // what the shop asks of buyers
	Acquired  edtf.Date   `json:"acquired,omitzero"`
	Client    string      `json:"client,omitempty"` // a client id: seller, consignor or holder
	Note      string      `json:"note,omitempty" typed:"text"`
	Created   time.Time   `json:"created"`
	Changed   time.Time   `json:"changed"`
	ChangedBy string      `json:"changed_by,omitempty"`
	Version   int         `json:"version"` // counts changes; a stale version is refused
	Damaged   string      `json:"-"`       // in lists: why the record cannot be read; only id and number are known

	Owned     Ownership `json:"owned,omitempty"`     // on whose account it is held, once it is
	Holder    string    `json:"holder,omitempty"`    // who has it in hand, where not the shop: a client's id or a firm
	Due       edtf.Date `json:"due,omitzero"`        // the day it is due back, or until which it is reserved
	PrivateTo edtf.Date `json:"private_to,omitzero"` // the last day on which it is shown privately only
	Redacted  time.Time `json:"redacted,omitzero"`   // when its note was taken away for good, with all earlier ones
}

// KeptOpinion is an opinion that was formed and kept, so that it can be seen again
// and held against a later one.
type KeptOpinion struct {
	Watch    WatchID   `json:"watch"`
	AsOf     string    `json:"as_of"`
	Formed   time.Time `json:"formed"`
	Evidence int       `json:"evidence"` // how many items it was formed from
	JSON     []byte    `json:"-"`
}
