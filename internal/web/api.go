package web

import (
	"encoding/json"
	"net/http"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/web/v1"
	"midcase/opinion"
)

// api is the JSON side: the same figures as the pages, for other programs.
type api struct{ *site }

func (s *api) routes(mux *http.ServeMux) {
	mux.Handle("GET /api/watches", s.json(func(r *http.Request) (any, error) {
		l, err := (&stockPages{s.site}).listed(r)
		watches := make([]shop.Watch, len(l.rows))
		for i, b := range l.rows {
			watches[i] = b.Watch
		}
		return watches, err
	}))
	mux.Handle("GET /api/watches/{id}", s.json(func(r *http.Request) (any, error) {
		log, err := s.shop.Log(r.Context(), shop.WatchID(r.PathValue("id")))
		log.Evidence = shop.SeenItems(r.Context(), log.Evidence)
		return log, err
	}))
	mux.Handle("GET /api/watches/{id}/opinion", s.json(func(r *http.Request) (any, error) {
		asOf, _, err := s.asOf(r)
		if err != nil {
			return nil, err
		}
		o, _, err := s.shop.OpinionOn(r.Context(), shop.WatchID(r.PathValue("id")), asOf, opinion.Settings{})
		return shop.SeenOpinion(r.Context(), o), err
	}))
	mux.Handle("GET /api/sales/{id}", s.json(func(r *http.Request) (any, error) {
		return s.shop.Sale(r.Context(), r.PathValue("id"))
	}))
}

// apiV1 is the API with a version, which package v1 makes.
type apiV1 struct {
	*site
	alone func(id string) (leave func())
}

func (s *apiV1) routes(mux *http.ServeMux) {
	v := v1.New(s.shop, v1.Options{Explain: explain, User: s.user, Right: rightOf, Alone: s.alone,
		Failed: func(r *http.Request, err error) {
			s.opt.Log.Error("request failed", "method", r.Method, "path", r.URL.Path, "error", err)
		}})
	mux.Handle("GET /api/v1/openapi.json", v)
	mux.Handle("GET /api/v1/stock", v)
	mux.Handle("GET /api/v1/watches", v)
	mux.Handle("GET /api/v1/watches/{id}", v)
	mux.Handle("PATCH /api/v1/watches/{id}", v)
	mux.Handle("GET /api/v1/watches/{id}/opinion", v)
	mux.Handle("GET /api/v1/watches/{id}/value", v)
	mux.Handle("GET /api/v1/watches/{id}/deal", v)
	mux.Handle("GET /api/v1/watches/{id}/evidence", v)
	mux.Handle("POST /api/v1/watches/{id}/evidence", v)
	mux.Handle("GET /api/v1/sales", v)
	mux.Handle("POST /api/v1/sales", v)
	mux.Handle("GET /api/v1/sales/{id}", v)
	mux.Handle("GET /api/v1/clients", v)
	mux.Handle("GET /api/v1/clients/{id}", v)
	mux.Handle("GET /api/v1/book", v)
	mux.Handle("GET /api/v1/book/{maker}/{reference}", v)
	mux.Handle("GET /api/v1/papers", v)
	mux.Handle("GET /api/v1/papers/{id}", v)
	mux.Handle("GET /api/v1/papers/{id}/files/{ending}", v)
	mux.Handle("GET /api/v1/calendar", v)
	mux.Handle("GET /api/v1/webhooks", v)
	mux.Handle("POST /api/v1/webhooks", v)
	mux.Handle("DELETE /api/v1/webhooks/{id}", v)
	mux.Handle("GET /api/v1/webhooks/{id}/messages", v)
	mux.Handle("/api/v1/", v) // what there is not, in the API's own form
}

// rightOf is the right that an address asks for.
func rightOf(pattern string) rights.Right {
	if right, ok := needs[pattern]; ok {
		return right
	}
	return rights.People
}

// APIDocument is the OpenAPI document of the API.
func APIDocument() ([]byte, error) { return v1.New(nil, v1.Options{Right: rightOf}).Document() }

// json answers with one JSON document, or with {"error": …} and the status that the
// error maps to.
func (s *site) json(h func(*http.Request) (any, error)) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		v, err := h(r)
		status := http.StatusOK
		if err != nil {
			var says string
			status, says = explain(err)
			v = map[string]string{"error": says}
		}
		b, err := json.Marshal(v)
		if err != nil {
			http.Error(w, `{"error":"the answer cannot be written"}`, http.StatusInternalServerError)
			return
		}
		w.Header().Set("Content-Type", "application/json; charset=utf-8")
		w.WriteHeader(status)
		w.Write(append(b, '\n'))
	})
}
