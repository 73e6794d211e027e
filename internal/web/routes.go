package web

import "net/http"

// routes lists every address of the program in one place.
func (s *Server) routes(mux *http.ServeMux) {
	mux.Handle("GET /assets/", assetFiles())
	mux.Handle("GET /healthz", http.HandlerFunc(func(w http.ResponseWriter,
		_ *http.Request) {
		w.Write([]byte("ok\n"))
	}))

	mux.Handle("GET /{$}", s.page(s.stockPage))
	mux.Handle("GET /stock.csv", s.page(s.stockCSV))
	mux.Handle("GET /counter", s.page(s.counterPage))
	mux.Handle("POST /counter", s.page(s.counterTakeIn))
	mux.Handle("POST /views", s.page(s.saveView))
	mux.Handle("GET /take-in", s.page(s.takeInPage))
	mux.Handle("POST /take-in", s.page(s.takeIn))

	mux.Handle("GET /watches/{id}", s.page(s.watchPage))
	mux.Handle("GET /watches/{id}/change", s.page(s.changePage))
	mux.Handle("POST /watches/{id}/change", s.page(s.saveChange))
	mux.Handle("GET /watches/{id}/record", s.page(s.recordPage))
	mux.Handle("POST /watches/{id}/record", s.page(s.record))
	mux.Handle("POST /watches/{id}/photos", s.page(s.addPhoto))
	mux.Handle("POST /watches/{id}/withdraw", s.page(s.withdraw))
	mux.Handle("GET /watches/{id}/report.pdf", s.page(s.reportPDF))
	mux.Handle("GET /watches/{id}/report.md", s.page(s.reportMarkdown))
	mux.Handle("GET /pictures/{sha}", s.page(s.picture))

	mux.Handle("GET /book", s.page(s.bookPage))
	mux.Handle("GET /book/{maker}/{reference}", s.page(s.bookEntryPage))
	mux.Handle("GET /book/{maker}", s.page(s.bookMakerPage))
	mux.Handle("GET /book-difference", s.page(s.bookDifferencePage))
	mux.Handle("GET /market", s.page(s.marketPage))
	mux.Handle("GET /sales", s.page(s.salesPage))
	mux.Handle("GET /sales.csv", s.page(s.salesCSV))
	mux.Handle("GET /sales/suspects", s.page(s.suspectsPage))
	mux.Handle("GET /sales/import", s.page(s.importPage))
	mux.Handle("POST /sales/import", s.page(s.importSales))
	mux.Handle("GET /sales/{id}", s.page(s.salePage))
	mux.Handle("GET /terms", s.page(s.termsPage))
	mux.Handle("GET /settings", s.page(s.settingsPage))
	mux.Handle("POST /settings", s.page(s.saveSettings))

	s.clients(mux)
	s.calendar(mux)
	s.ear(mux)
	s.documents(mux)
	s.photoBench(mux)
	s.life(mux)
	s.deal(mux)
	s.ledger(mux)
	s.whole(mux)
	s.shopRules(mux)
	s.compare(mux)
	s.bookEdit(mux)
	s.bulk(mux)
	s.api(mux)
	mux.Handle("/", s.page(s.nowhere))
}
