package web

import (
	"encoding/json"
	"net/http"

	"midcase/internal/shop"
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
