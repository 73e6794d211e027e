package v1

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/rooms"
)

// Prefix is where the API stands.
const Prefix = "/api/v1"

// version of the API. Within it fields and operations may be added; none is changed or dropped.
const version = "1.0.0"

// Options are what the API needs of the site.
type Options struct {
	// Explain gives the status and the words of an error.
	Explain func(error) (status int, says string)
	// User is who does what a request asks for.
	User func(context.Context) string
	// Right is what an address such as "GET /api/v1/watches" asks for.
	Right func(pattern string) rights.Right
	// Alone waits until no other request runs under an id; what it returns ends its turn.
	Alone func(id string) (leave func())
	// Failed is told of what went wrong here rather than with the request.
	Failed func(r *http.Request, err error)
}

// API serves the operations.
type API struct {
	shop *rooms.Shop
	opt  Options
	mux  *http.ServeMux
	huma huma.API
}

// New returns the API of a shop. Without a shop it makes the document alone.
func New(s *rooms.Shop, opt Options) *API {
	a := &API{shop: s, opt: opt, mux: http.NewServeMux()}
	config := huma.DefaultConfig("Midcase", version)
	config.OpenAPIPath, config.DocsPath, config.SchemasPath = "", "", ""
	config.CreateHooks = nil // no link to a schema in each answer
	config.RejectUnknownQueryParameters = true
	config.Servers = []*huma.Server{{URL: Prefix}}
	config.Info.Description = description
	config.Components.SecuritySchemes = map[string]*huma.SecurityScheme{"token": {Type: "http", Scheme: "bearer",
		Description: "A token that a person made on the page “Your account”. What it may do is a part of what " +
			"that person may do; each operation names the right that it asks for."}}
	a.huma = humago.NewWithPrefix(a.mux, Prefix, config)
	a.operations()
	return a
}

const description = "Stock, watches with their evidence and opinions, sales, clients, the reference book, papers and " +
	"the calendar of one shop. Fields may be added; none is changed or dropped within this version."

// Patterns are the addresses that the API serves, such as "GET /api/v1/watches".
func (a *API) Patterns() []string {
	out := []string{"GET " + Prefix + "/openapi.json"}
	for path, item := range a.huma.OpenAPI().Paths {
		for method, op := range map[string]*huma.Operation{"GET": item.Get, "POST": item.Post, "PATCH": item.Patch,
			"DELETE": item.Delete, "PUT": item.Put} {
			if op != nil {
				out = append(out, method+" "+Prefix+path)
			}
		}
	}
	return out
}

// ServeHTTP implements http.Handler.
func (a *API) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	r = r.WithContext(shop.As(r.Context(), a.opt.User(r.Context())))
	w.Header().Set("Cache-Control", "private, no-cache")
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		a.unlessKnown(w, r)
	default:
		a.onceOnly(w, r)
	}
}

// register adds an operation; what its handler refuses becomes a problem.
func register[I, O any](a *API, op huma.Operation, h func(context.Context, *I) (*O, error)) {
	right := a.opt.Right(op.Method + " " + Prefix + op.Path)
	op.Security = []map[string][]string{{"token": {string(right)}}}
	op.Errors = append(op.Errors, http.StatusUnauthorized, http.StatusForbidden, http.StatusUnprocessableEntity)
	op.MaxBodyBytes = maxBody
	op.BodyReadTimeout = -1 // the site sets it
	huma.Register(a.huma, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := h(ctx, in)
		if err != nil {
			return nil, a.problem(ctx, err)
		}
		return out, nil
	})
}

// problem says an error as RFC 9457 has it.
func (a *API) problem(_ context.Context, err error) error {
	var said huma.StatusError
	if errors.As(err, &said) {
		return err
	}
	status, says := a.opt.Explain(err)
	var invalid *shop.Invalid
	var details []error
	if errors.As(err, &invalid) {
		says = "Nothing was recorded. " + invalid.What + ": " + invalid.Problems.Error()
		for _, p := range invalid.Problems {
			details = append(details, &huma.ErrorDetail{Location: "body." + p.Field,
				Message: strings.TrimPrefix(p.String(), p.Field+": ")})
		}
	}
	return huma.NewError(status, says, details...)
}

// Refuse answers a request under Prefix that the site refuses before it gets here.
func Refuse(w http.ResponseWriter, status int, says string) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(status)
	b, err := json.Marshal(huma.NewError(status, says))
	if err == nil {
		_, _ = w.Write(append(b, '\n'))
	}
}

// now is the shop's clock.
func (a *API) now() time.Time { return a.shop.Now() }
