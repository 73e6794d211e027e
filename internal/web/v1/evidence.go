package v1

import (
	"context"
	"fmt"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"midcase/client"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/opinion"
)

// opinionBody, valueBody and dealBody are parts of the Opinion, whose schema is that of docs/schema.
type (
	opinionBody struct{ opinion.Opinion }
	valueBody   struct{ opinion.Value }
	dealBody    struct{ opinion.Deal }
)

// Schema implements huma.SchemaProvider.
func (opinionBody) Schema(huma.Registry) *huma.Schema { return component("Opinion") }

// Schema implements huma.SchemaProvider.
func (valueBody) Schema(huma.Registry) *huma.Schema { return component("OpinionValue") }

// Schema implements huma.SchemaProvider.
func (dealBody) Schema(huma.Registry) *huma.Schema { return component("OpinionDeal") }

func component(name string) *huma.Schema { return &huma.Schema{Ref: "#/components/schemas/" + name} }

type asOfIn struct {
	OneWatch
	AsOf string `query:"as_of" format:"date" example:"2026-10-01" doc:"A day: nothing counts that was recorded since. Left out: now."`
}

func (a *API) opinionOperations() {
	register(a, huma.Operation{OperationID: "opinion", Method: http.MethodGet, Path: "/watches/{id}/opinion",
		Tags: []string{"Opinions"}, Summary: "The opinion on a watch", Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *asOfIn) (*answer[opinionBody], error) {
			o, err := a.opinion(ctx, in)
			return &answer[opinionBody]{Body: opinionBody{o}}, err
		})
	register(a, huma.Operation{OperationID: "value", Method: http.MethodGet, Path: "/watches/{id}/value",
		Tags: []string{"Opinions"}, Summary: "What a watch is worth, beside which sales",
		Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *asOfIn) (*answer[valueBody], error) {
			o, err := a.opinion(ctx, in)
			return &answer[valueBody]{Body: valueBody{o.Value}}, err
		})
	register(a, huma.Operation{OperationID: "deal", Method: http.MethodGet, Path: "/watches/{id}/deal",
		Tags: []string{"Opinions"}, Summary: "What to pay for a watch", Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *asOfIn) (*answer[dealBody], error) {
			o, err := a.opinion(ctx, in)
			return &answer[dealBody]{Body: dealBody{o.Deal}}, err
		})
}

func (a *API) opinion(ctx context.Context, in *asOfIn) (opinion.Opinion, error) {
	asOf, err := a.asOf(in.AsOf)
	if err != nil {
		return opinion.Opinion{}, err
	}
	o, _, err := a.shop.OpinionOn(ctx, shop.WatchID(in.ID), asOf, opinion.Settings{})
	return shop.SeenOpinion(ctx, o), err
}

func (a *API) evidenceOperations() {
	type listIn struct {
		OneWatch
		Paging
	}
	register(a, huma.Operation{OperationID: "evidence", Method: http.MethodGet, Path: "/watches/{id}/evidence",
		Tags: []string{"Evidence"}, Summary: "The evidence on a watch, in the order of recording",
		Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *listIn) (*answer[client.Evidence], error) {
			return a.evidence(ctx, in.ID, in.Paging)
		})
	type addIn struct {
		OneWatch
		Key  string `header:"Idempotency-Key" maxLength:"200" doc:"Another one for each thing to record; the same when it is sent again."`
		Body client.NewEvidence
	}
	register(a, huma.Operation{OperationID: "add-evidence", Method: http.MethodPost, Path: "/watches/{id}/evidence",
		DefaultStatus: http.StatusCreated, Tags: []string{"Evidence"}, Summary: "Record evidence on a watch, all or none",
		RequestBody: example(client.NewEvidence{Items: []client.NewItem{{Kind: string(evidence.KindDimension),
			Data: []byte(`{"what":"lug_width","mm":18.05,"instrument":"caliper"}`)}}}),
		Errors: []int{http.StatusNotFound, http.StatusConflict}},
		func(ctx context.Context, in *addIn) (*answer[client.Evidence], error) {
			return a.addEvidence(ctx, in.ID, in.Body)
		})
}

func (a *API) evidence(ctx context.Context, id string, p Paging) (*answer[client.Evidence], error) {
	log, err := a.shop.Log(ctx, shop.WatchID(id))
	if err != nil {
		return nil, err
	}
	type placed struct {
		n  int64
		it evidence.Item
	}
	var all []placed
	for i, it := range shop.SeenItems(ctx, log.Evidence) {
		all = append(all, placed{int64(i + 1), it})
	}
	page, next, err := cut(p, all, func(x placed) int64 { return x.n })
	if err != nil {
		return nil, err
	}
	out := client.Evidence{Items: []client.Item{}, Next: next}
	for _, x := range page {
		it, err := itemOf(x.it)
		if err != nil {
			return nil, err
		}
		out.Items = append(out.Items, it)
	}
	return &answer[client.Evidence]{Body: out}, nil
}

func (a *API) addEvidence(ctx context.Context, id string, in client.NewEvidence) (*answer[client.Evidence], error) {
	var data []evidence.Data
	for i, x := range in.Items {
		d, err := evidence.DecodeData(evidence.Kind(x.Kind), x.Data)
		if err != nil {
			return nil, huma.Error422UnprocessableEntity("Nothing was recorded. Item "+fmt.Sprint(i)+": "+err.Error(),
				&huma.ErrorDetail{Location: fmt.Sprintf("body.items[%d]", i), Message: err.Error()})
		}
		data = append(data, d)
	}
	items, err := a.shop.Intake.Record(ctx, shop.WatchID(id), a.opt.User(ctx), data...)
	if err != nil {
		return nil, err
	}
	out := client.Evidence{Items: []client.Item{}}
	for _, it := range items {
		wire, err := itemOf(it)
		if err != nil {
			return nil, err
		}
		out.Items = append(out.Items, wire)
	}
	return &answer[client.Evidence]{Body: out}, nil
}
