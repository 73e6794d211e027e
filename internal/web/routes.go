package web

import "net/http"

// area is a part of the site with pages of its own; its addresses stand at the head of its file.
type area interface{ routes(mux *http.ServeMux) }

// areas lists the whole site.
func (s *site) areas(alone func(id string) (leave func())) []area {
	small := &thumbnails{}
	return []area{
		&stockPages{s}, &watchPages{s, small}, &sheetPages{s}, &noteReader{s}, &ownWordPages{s}, &counterPages{s}, &bookPages{s}, &bookEditor{s}, &bookWriter{s}, &contactSheets{site: s}, &bookNotes{s}, &examplePages{s}, &rankPages{s}, &bringIn{site: s}, &marketPages{s},
		&clientPages{s}, &calendarPages{s}, newHearing(s), &photoBench{site: s, small: small}, &lifePages{s}, &dealPages{s},
		&ledgerPages{s}, &bankStatements{ledgerPages: ledgerPages{s}},
		&paperPages{s}, &verifyPages{s}, &settingsPages{s}, &startPages{s}, &comparePages{s}, &api{s}, &apiV1{s, alone}, &hookPages{s},
		&staffPages{s}, &carePages{s}, &changesPages{site: s},
	}
}

func (s *site) routes(mux *http.ServeMux, alone func(id string) (leave func())) {
	mux.Handle("GET /assets/", assetFiles())
	mux.Handle("GET /healthz", http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Write([]byte("ok\n"))
	}))
	for _, a := range s.areas(alone) {
		a.routes(mux)
	}
	mux.Handle("/", s.page(s.nowhere))
}
