package v1

import (
	"context"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"midcase/client"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/desk"
)

func (a *API) clientOperations() {
	type listIn struct {
		Paging
		Q string `query:"q" maxLength:"200" doc:"Text that must be found in the name."`
	}
	register(a, huma.Operation{OperationID: "clients", Method: http.MethodGet, Path: "/clients",
		Tags: []string{"Clients"}, Summary: "Clients", Description: "That they were listed is logged."},
		func(ctx context.Context, in *listIn) (*answer[client.Clients], error) {
			return a.clients(ctx, in.Paging, in.Q)
		})
	type oneIn struct {
		ID string `path:"id" maxLength:"100" example:"c_01" doc:"The client's id."`
	}
	register(a, huma.Operation{OperationID: "client", Method: http.MethodGet, Path: "/clients/{id}",
		Tags: []string{"Clients"}, Summary: "One client", Description: "That the record was seen is logged.",
		Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *oneIn) (*answer[client.Client], error) {
			c, err := a.shop.People.Client(ctx, in.ID)
			if err != nil {
				return nil, err
			}
			return &answer[client.Client]{Body: clientOf(c)}, nil
		})
}

func (a *API) clients(ctx context.Context, p Paging, q string) (*answer[client.Clients], error) {
	at, _, err := p.after()
	if err != nil {
		return nil, err
	}
	all, err := a.shop.People.All(ctx)
	if err != nil {
		return nil, err
	}
	slices.SortFunc(all, func(x, y shop.Client) int { return strings.Compare(x.ID, y.ID) })
	out := client.Clients{Items: []client.Client{}}
	for _, c := range all {
		if c.ID <= at.ID || !c.Erased.IsZero() || !strings.Contains(strings.ToLower(c.Name), strings.ToLower(q)) {
			continue
		}
		if len(out.Items) == p.Limit {
			out.Next = place{ID: out.Items[len(out.Items)-1].ID}.text()
			break
		}
		out.Items = append(out.Items, clientOf(c))
	}
	return &answer[client.Clients]{Body: out}, nil
}

func (a *API) calendarOperations() {
	type in struct {
		From string `query:"from" format:"date" example:"2026-10-01" doc:"The first day; left out: all that is overdue too."`
	}
	register(a, huma.Operation{OperationID: "calendar", Method: http.MethodGet, Path: "/calendar",
		Tags: []string{"Calendar"}, Summary: "What falls due, the earliest first"},
		func(ctx context.Context, in *in) (*answer[client.Calendar], error) {
			all, err := a.due(ctx, in.From)
			if err != nil {
				return nil, err
			}
			out := client.Calendar{Items: []client.Appointment{}}
			for _, d := range all {
				one := client.Appointment{ID: d.ID, Day: d.Day, What: d.What, Watch: string(d.Watch), Number: d.Number,
					Title: d.Title, Place: d.Place}
				if shop.SeesNames(ctx) {
					one.Client = d.Client
				}
				out.Items = append(out.Items, one)
			}
			return &answer[client.Calendar]{Body: out}, nil
		})
}

func (a *API) due(ctx context.Context, from string) ([]desk.Appointment, error) {
	if from == "" {
		overdue, today, later, err := a.shop.Desk.Agenda(ctx)
		return slices.Concat(overdue, today, later), err
	}
	day, err := time.Parse(time.DateOnly, from)
	if err != nil {
		return nil, shop.Refuse("calendar", "from", from, "a day such as 2026-03-01")
	}
	return a.shop.Desk.Calendar(ctx, day)
}

// OnePaper names a paper in the address.
type OnePaper struct {
	ID string `path:"id" maxLength:"100" example:"pap_demo01" doc:"The paper's id."`
}

func (a *API) paperOperations() {
	type listIn struct {
		Paging
		Watch string `query:"watch" maxLength:"100" doc:"Papers on this watch alone: its id."`
	}
	register(a, huma.Operation{OperationID: "papers", Method: http.MethodGet, Path: "/papers", Tags: []string{"Papers"},
		Summary: "Papers that were issued, the latest first"},
		func(ctx context.Context, in *listIn) (*answer[client.Papers], error) {
			return a.papers(ctx, in.Paging, in.Watch)
		})
	register(a, huma.Operation{OperationID: "paper", Method: http.MethodGet, Path: "/papers/{id}",
		Tags: []string{"Papers"}, Summary: "One paper", Errors: []int{http.StatusNotFound}},
		func(ctx context.Context, in *OnePaper) (*answer[client.Paper], error) {
			p, _, err := papers.Get(ctx, a.shop, in.ID)
			if err != nil {
				return nil, err
			}
			return &answer[client.Paper]{Body: paperOf(ctx, p)}, nil
		})
	type fileIn struct {
		OnePaper
		Ending string `path:"ending" enum:"pdf,md,json,jsonld,html,xml" example:"pdf" doc:"Which of its files."`
	}
	file := &huma.Response{Description: "The file as it was issued.", Content: map[string]*huma.MediaType{}}
	for _, kind := range fileTypes {
		file.Content[kind] = &huma.MediaType{}
	}
	register(a, huma.Operation{OperationID: "paper-file", Method: http.MethodGet, Path: "/papers/{id}/files/{ending}",
		Tags: []string{"Papers"}, Summary: "A file of a paper", Errors: []int{http.StatusNotFound},
		Responses: map[string]*huma.Response{"200": file}},
		func(ctx context.Context, in *fileIn) (*fileAnswer, error) {
			_, b, _, err := papers.Print(ctx, a.shop, in.ID, in.Ending)
			return &fileAnswer{ContentType: fileTypes[in.Ending], Body: b}, err
		})
}

// fileAnswer is a file as it is.
type fileAnswer struct {
	ContentType string `header:"Content-Type"`
	Body        []byte
}

var fileTypes = map[string]string{"pdf": "application/pdf", "md": "text/markdown", "json": "application/json",
	"jsonld": "application/ld+json", "html": "text/html", "xml": "application/xml"}

func (a *API) papers(ctx context.Context, p Paging, watch string) (*answer[client.Papers], error) {
	all, err := papers.List(ctx, a.shop, shop.PaperFilter{Watch: shop.WatchID(watch)})
	if err != nil {
		return nil, err
	}
	page, next, err := cut(p, all, func(x shop.Paper) int64 { return -x.Seq })
	if err != nil {
		return nil, err
	}
	out := client.Papers{Items: []client.Paper{}, Next: next}
	for _, x := range page {
		out.Items = append(out.Items, paperOf(ctx, x))
	}
	return &answer[client.Papers]{Body: out}, nil
}
