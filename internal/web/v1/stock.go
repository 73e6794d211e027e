package v1

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"midcase/client"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
)

// answer is a body with its tag, where the operation makes its own.
type answer[B any] struct {
	ETag string `header:"ETag" doc:"Changes with the answer; send it as If-None-Match."`
	Body B
}

// OneWatch names a watch in the address.
type OneWatch struct {
	ID string `path:"id" maxLength:"100" example:"w_demo01" doc:"The watch's id."`
}

func (a *API) stockOperations() {
	type in struct {
		Paging
		Q string `query:"q" maxLength:"400" example:"chronograph" doc:"As in the search of the stock list."`
	}
	register(a, huma.Operation{OperationID: "stock", Method: http.MethodGet, Path: "/stock", Tags: []string{"Stock"},
		Summary: "The stock list", Description: "Each watch with the opinion on it in a line, by file number."},
		func(ctx context.Context, in *in) (*answer[client.Stock], error) { return a.stock(ctx, in.Paging, in.Q) })

	type listIn struct {
		Paging
		Q         string `query:"q" maxLength:"400" doc:"Words that must all be found in title, maker, reference, serial number, place or note."`
		State     string `query:"state" maxLength:"40" example:"listed" doc:"Where the watch stands in its life."`
		Maker     string `query:"maker" maxLength:"200" doc:"As written on record."`
		Reference string `query:"reference" maxLength:"200" doc:"As written on record."`
	}
	register(a, huma.Operation{OperationID: "watches", Method: http.MethodGet, Path: "/watches",
		Tags: []string{"Watches"}, Summary: "Watches by file number"},
		func(ctx context.Context, in *listIn) (*answer[client.Watches], error) {
			f := shop.Filter{Text: in.Q, State: shop.State(in.State), Maker: in.Maker, Reference: in.Reference}
			return a.watches(ctx, in.Paging, f)
		})
	register(a, huma.Operation{OperationID: "watch", Method: http.MethodGet, Path: "/watches/{id}",
		Tags: []string{"Watches"}, Summary: "One watch", Errors: []int{http.StatusNotFound},
		Description: "The record of a watch. Its ETag goes with a change as If-Match."},
		func(ctx context.Context, in *OneWatch) (*answer[client.Watch], error) {
			w, err := a.shop.Watch(ctx, shop.WatchID(in.ID))
			if err != nil {
				return nil, err
			}
			return seen(ctx, w), nil
		})
	type changeIn struct {
		OneWatch
		IfMatch string `header:"If-Match" doc:"The ETag of the record that the change was made to: refused with 412 where somebody changed it meanwhile."`
		Key     string `header:"Idempotency-Key" maxLength:"200" doc:"Another one for each change; the same when it is sent again."`
		Body    client.WatchChange
	}
	register(a, huma.Operation{OperationID: "change-watch", Method: http.MethodPatch, Path: "/watches/{id}",
		Tags: []string{"Watches"}, Summary: "Change place, note or price of a watch",
		RequestBody: example(client.WatchChange{Place: new("safe, tray 3")}),
		Errors:      []int{http.StatusNotFound, http.StatusConflict, http.StatusPreconditionFailed}},
		func(ctx context.Context, in *changeIn) (*answer[client.Watch], error) {
			return a.changeWatch(ctx, in.ID, in.IfMatch, in.Body)
		})
}

// watchTag is the tag of a watch's record: its version, and what of it is shown.
func watchTag(w client.Watch) string {
	return fmt.Sprintf(`"%d-%t-%t"`, w.Version, w.Cost != nil || w.Asked != nil, w.Client != "" || w.Holder != "")
}

func seen(ctx context.Context, w shop.Watch) *answer[client.Watch] {
	out := watchOf(ctx, w)
	return &answer[client.Watch]{ETag: watchTag(out), Body: out}
}

func (a *API) changeWatch(ctx context.Context, id, ifMatch string,
	c client.WatchChange) (*answer[client.Watch], error) {
	const what = "change a watch"
	w, err := a.shop.Watch(ctx, shop.WatchID(id))
	if err != nil {
		return nil, err
	}
	stale := huma.Error412PreconditionFailed("Somebody else changed this watch meanwhile. Read it again and repeat " +
		"your change. Nothing of yours was written.")
	if ifMatch != "" && !knows(ifMatch, watchTag(watchOf(ctx, w))) {
		return nil, stale
	}
	if c.Place != nil {
		w.Place = strings.TrimSpace(*c.Place)
	}
	if c.Note != nil {
		w.Note = *c.Note
	}
	if c.Asking != nil {
		if w.Asking, err = moneyOf(*c.Asking, what, "asking"); err != nil {
			return nil, err
		}
	}
	w, err = a.shop.Trade.Change(ctx, w)
	if errors.Is(err, shop.ErrConflict) && ifMatch != "" {
		return nil, stale
	}
	if err != nil {
		return nil, err
	}
	return seen(ctx, w), nil
}

func (a *API) watches(ctx context.Context, p Paging, f shop.Filter) (*answer[client.Watches], error) {
	if f.State != "" && !slices.Contains(shop.States(), f.State) {
		var all []string
		for _, s := range shop.States() {
			all = append(all, string(s))
		}
		return nil, &shop.Invalid{What: "list watches", Problems: evidence.Problems{{Field: "state",
			Found: strconv.Quote(string(f.State)), Want: "one of " + strings.Join(all, ", ")}}}
	}
	all, err := a.shop.Watches(ctx, f)
	if err != nil {
		return nil, err
	}
	page, next, err := cut(p, all, func(w shop.Watch) int64 { return int64(w.Number) })
	if err != nil {
		return nil, err
	}
	out := client.Watches{Items: []client.Watch{}, Next: next}
	for _, w := range page {
		out.Items = append(out.Items, watchOf(ctx, w))
	}
	return &answer[client.Watches]{Body: out}, nil
}

func (a *API) stock(ctx context.Context, p Paging, q string) (*answer[client.Stock], error) {
	all, forming, err := a.shop.Desk.Overview(ctx)
	if err != nil {
		return nil, err
	}
	if q != "" {
		sought, err := a.shop.Desk.Search(ctx, desk.Seen(ctx, all), q)
		if err != nil {
			return nil, err
		}
		all = slices.Clone(sought.Rows)
		slices.SortFunc(all, func(x, y desk.Brief) int { return x.Watch.Number - y.Watch.Number })
	}
	page, next, err := cut(p, all, func(b desk.Brief) int64 { return int64(b.Watch.Number) })
	if err != nil {
		return nil, err
	}
	out := client.Stock{Items: []client.StockLine{}, Next: next, Forming: forming}
	for _, b := range page {
		out.Items = append(out.Items, lineOf(ctx, b, a.shop.Currency()))
	}
	return &answer[client.Stock]{Body: out}, nil
}

// asOf is the end of a day that is not in the future, or now.
func (a *API) asOf(text string) (time.Time, error) {
	now := a.now()
	if text == "" {
		return now, nil
	}
	t, err := time.Parse(time.DateOnly, text)
	if err != nil || t.After(now.Add(24*time.Hour)) {
		return now, shop.Refuse("opinion as of another day", "as_of", strconv.Quote(text),
			"a day that is not in the future, such as 2026-03-01")
	}
	return t.Add(24*time.Hour - time.Nanosecond), nil
}
