package client

import (
	"context"
	"encoding/json"
	"iter"
	"net/http"
	"net/url"
)

// WatchFilter narrows a list of watches. Zero fields do not narrow.
type WatchFilter struct {
	Text             string // words that must all be found
	State            string
	Maker, Reference string
}

// Stock walks the stock list by file number; search is what the search of the stock list takes.
func (s *Shop) Stock(ctx context.Context, search string) iter.Seq2[StockLine, error] {
	return pages(ctx, s, "/stock", query("q", search), listed[StockLine])
}

// Watches walks the watches that pass a filter, by file number.
func (s *Shop) Watches(ctx context.Context, f WatchFilter) iter.Seq2[Watch, error] {
	return pages(ctx, s, "/watches", query("q", f.Text, "state", f.State, "maker", f.Maker, "reference", f.Reference),
		listed[Watch])
}

func at(parts ...string) string {
	path := ""
	for _, p := range parts {
		path += "/" + url.PathEscape(p)
	}
	return path
}

// Watch returns one watch, and the tag of its record for ChangeWatch.
func (s *Shop) Watch(ctx context.Context, id string) (w Watch, tag string, err error) {
	h, err := s.send(ctx, http.MethodGet, at("watches", id), nil, nil, &w)
	return w, h.Get("ETag"), err
}

// ChangeWatch changes place, note or price of a watch. With a tag it is refused with status 412 where somebody changed
// the record since.
func (s *Shop) ChangeWatch(ctx context.Context, id, tag string, c WatchChange) (w Watch, err error) {
	h := key()
	if tag != "" {
		h.Set("If-Match", tag)
	}
	return w, s.once(ctx, http.MethodPatch, at("watches", id), h, c, &w)
}

func (s *Shop) onDay(ctx context.Context, id, what, asOf string) (o json.RawMessage, err error) {
	path := at("watches", id, what)
	if asOf != "" {
		path += "?" + query("as_of", asOf).Encode()
	}
	_, err = s.send(ctx, http.MethodGet, path, nil, nil, &o)
	return o, err
}

// Opinion returns the opinion on a watch as JSON, as of a day such as 2026-03-01; as of now where it is empty. Its
// schema is Opinion in the document of the API.
func (s *Shop) Opinion(ctx context.Context, id, asOf string) (json.RawMessage, error) {
	return s.onDay(ctx, id, "opinion", asOf)
}

// Value returns what a watch is worth as JSON, with the schema OpinionValue.
func (s *Shop) Value(ctx context.Context, id, asOf string) (json.RawMessage, error) {
	return s.onDay(ctx, id, "value", asOf)
}

// Deal returns what to pay for a watch as JSON, with the schema OpinionDeal, to those who may see costs.
func (s *Shop) Deal(ctx context.Context, id, asOf string) (json.RawMessage, error) {
	return s.onDay(ctx, id, "deal", asOf)
}

// Evidence walks the evidence on a watch in the order of recording.
func (s *Shop) Evidence(ctx context.Context, watch string) iter.Seq2[Item, error] {
	return pages(ctx, s, at("watches", watch, "evidence"), query(), listed[Item])
}

// AddEvidence records evidence on a watch, all or none, and returns it as recorded.
func (s *Shop) AddEvidence(ctx context.Context, watch string, items ...NewItem) ([]Item, error) {
	var out Evidence
	err := s.once(ctx, http.MethodPost, at("watches", watch, "evidence"), key(), NewEvidence{items}, &out)
	return out.Items, err
}

// Sales walks the recorded sales that hold a text, the newest first.
func (s *Shop) Sales(ctx context.Context, text string) iter.Seq2[Sale, error] {
	return pages(ctx, s, "/sales", query("q", text), listed[Sale])
}

// Sale returns one sale.
func (s *Shop) Sale(ctx context.Context, id string) (out Sale, err error) {
	_, err = s.send(ctx, http.MethodGet, at("sales", id), nil, nil, &out)
	return out, err
}

// AddSales adds sales and says which were kept out.
func (s *Shop) AddSales(ctx context.Context, sales ...NewSale) (out SalesAdded, err error) {
	return out, s.once(ctx, http.MethodPost, "/sales", key(), NewSales{sales}, &out)
}

// Clients walks the clients whose name holds a text.
func (s *Shop) Clients(ctx context.Context, text string) iter.Seq2[Client, error] {
	return pages(ctx, s, "/clients", query("q", text), listed[Client])
}

// Client returns one client.
func (s *Shop) Client(ctx context.Context, id string) (out Client, err error) {
	_, err = s.send(ctx, http.MethodGet, at("clients", id), nil, nil, &out)
	return out, err
}

// Makers returns the makers of the reference book.
func (s *Shop) Makers(ctx context.Context) ([]Maker, error) {
	var out Makers
	_, err := s.send(ctx, http.MethodGet, "/book", nil, nil, &out)
	return out.Items, err
}

// Reference returns what the book knows of a reference.
func (s *Shop) Reference(ctx context.Context, maker, reference string) (out Reference, err error) {
	_, err = s.send(ctx, http.MethodGet, at("book", maker, reference), nil, nil, &out)
	return out, err
}

// Papers walks the papers that were issued, the latest first; those on one watch where its id is given.
func (s *Shop) Papers(ctx context.Context, watch string) iter.Seq2[Paper, error] {
	return pages(ctx, s, "/papers", query("watch", watch), listed[Paper])
}

// Paper returns one paper.
func (s *Shop) Paper(ctx context.Context, id string) (out Paper, err error) {
	_, err = s.send(ctx, http.MethodGet, at("papers", id), nil, nil, &out)
	return out, err
}

// PaperFile returns a file of a paper by its ending, such as pdf.
func (s *Shop) PaperFile(ctx context.Context, id, ending string) (file []byte, err error) {
	_, err = s.send(ctx, http.MethodGet, at("papers", id, "files", ending), nil, nil, &file)
	return file, err
}

// Calendar returns what falls due from a day on; with what is overdue where the day is empty.
func (s *Shop) Calendar(ctx context.Context, from string) ([]Appointment, error) {
	path := "/calendar"
	if from != "" {
		path += "?" + query("from", from).Encode()
	}
	var out Calendar
	_, err := s.send(ctx, http.MethodGet, path, nil, nil, &out)
	return out.Items, err
}

// Hooks returns the addresses that hear of changes.
func (s *Shop) Hooks(ctx context.Context) ([]Hook, error) {
	var out Hooks
	_, err := s.send(ctx, http.MethodGet, "/webhooks", nil, nil, &out)
	return out.Items, err
}

// AddHook lets an address hear of events from now on. The answer has the secret with which ReadMessage checks what is
// sent there; it is given this once.
func (s *Shop) AddHook(ctx context.Context, address string, events ...string) (out Hook, err error) {
	return out, s.once(ctx, http.MethodPost, "/webhooks", key(), NewHook{address, events}, &out)
}

// DropHook removes an address that hears of changes.
func (s *Shop) DropHook(ctx context.Context, id string) error {
	_, err := s.send(ctx, http.MethodDelete, at("webhooks", id), nil, nil, nil)
	return err
}

// SentMessages returns the last messages to an address, the latest first.
func (s *Shop) SentMessages(ctx context.Context, hook string) ([]SentMessage, error) {
	var out Messages
	_, err := s.send(ctx, http.MethodGet, at("webhooks", hook, "messages"), nil, nil, &out)
	return out.Items, err
}
