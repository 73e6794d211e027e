package v1

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"midcase/client"
	"midcase/internal/shop"
)

// OneHook names an address that hears of changes.
type OneHook struct {
	ID string `path:"id" maxLength:"100" example:"hook_demo01" doc:"The id of the address."`
}

func hookOf(h shop.Hook) client.Hook {
	return client.Hook{ID: h.ID, URL: h.URL, Events: h.Events, By: h.By, Made: h.Made, Secret: h.Secret}
}

func (a *API) hookOperations() {
	tags := []string{"Webhooks"}
	register(a, huma.Operation{OperationID: "webhooks", Method: http.MethodGet, Path: "/webhooks", Tags: tags,
		Summary: "Addresses that hear of changes"},
		func(ctx context.Context, _ *struct{}) (*answer[client.Hooks], error) {
			all, err := a.shop.Hooks.All(ctx)
			out := client.Hooks{Items: []client.Hook{}}
			for _, h := range all {
				out.Items = append(out.Items, hookOf(h))
			}
			return &answer[client.Hooks]{Body: out}, err
		})
	type addIn struct {
		Key  string `header:"Idempotency-Key" maxLength:"200" doc:"Another one for each thing to record; the same when it is sent again."`
		Body client.NewHook
	}
	register(a, huma.Operation{OperationID: "add-webhook", Method: http.MethodPost, Path: "/webhooks", Tags: tags,
		DefaultStatus: http.StatusCreated, Summary: "Let an address hear of changes from now on",
		Description: "The answer has the secret that signs the messages, this once.",
		RequestBody: example(client.NewHook{URL: "https://example.com/changes", Events: []string{"watch.changed"}})},
		func(ctx context.Context, in *addIn) (*answer[client.Hook], error) {
			h, err := a.shop.Hooks.Add(ctx, in.Body.URL, in.Body.Events, a.opt.User(ctx))
			return &answer[client.Hook]{Body: hookOf(h)}, err
		})
	register(a, huma.Operation{OperationID: "drop-webhook", Method: http.MethodDelete, Path: "/webhooks/{id}",
		Tags: tags, Summary: "Remove an address, and what was to be sent to it", Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *OneHook) (*struct{}, error) { return nil, a.shop.Hooks.Drop(ctx, in.ID) })
	register(a, huma.Operation{OperationID: "webhook-messages", Method: http.MethodGet, Path: "/webhooks/{id}/messages",
		Tags: tags, Summary: "The last messages to an address, the latest first"},
		func(ctx context.Context, in *OneHook) (*answer[client.Messages], error) {
			all, err := a.shop.Hooks.Sent(ctx, in.ID, 100)
			out := client.Messages{Items: []client.SentMessage{}}
			for _, d := range all {
				one := client.SentMessage{ID: d.ID, Event: d.Event, Made: d.Made, Tries: d.Tries, Says: d.Says}
				if !d.Due.IsZero() {
					one.Due = &d.Due
				}
				if !d.Done.IsZero() {
					one.Done = &d.Done
				}
				out.Items = append(out.Items, one)
			}
			return &answer[client.Messages]{Body: out}, err
		})
}
