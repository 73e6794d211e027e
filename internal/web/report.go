package web

import (
	"bytes"
	"fmt"
	"io"
	"net/http"

	"midcase/internal/document"
	"midcase/internal/papers"
	"midcase/internal/shop"
)

// report gathers what the report of a watch needs.
func (s *site) report(r *http.Request) (document.Report, shop.Watch, error) {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return document.Report{}, record, err
	}
	asOf, _, err := s.asOf(r)
	if err != nil {
		return document.Report{}, record, err
	}
	rep, left, err := papers.ReportOn(ctx, s.shop, record.ID, asOf)
	if err != nil {
		return document.Report{}, record, err
	}
	for _, what := range left {
		s.opt.Log.Warn("left out of a report", "what", what)
	}
	return rep, record, s.shop.Keep(ctx, record.ID, rep.Opinion, len(rep.Items))
}

func (s *watchPages) reportPDF(w http.ResponseWriter, r *http.Request) error {
	return s.writeReport(w, r, "application/pdf", "pdf", document.WritePDF)
}

func (s *watchPages) reportMarkdown(w http.ResponseWriter, r *http.Request) error {
	return s.writeReport(w, r, "text/markdown; charset=utf-8", "md", document.WriteMarkdown)
}

func (s *watchPages) writeReport(w http.ResponseWriter, r *http.Request, media, ending string,
	write func(io.Writer, document.Report) error) error {
	rep, record, err := s.report(r)
	if err != nil {
		return err
	}
	rep.Annex = r.FormValue("annex") != ""
	if rep.Language, err = papers.LanguageOf(r.Context(), s.shop, r.FormValue("language")); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := write(&b, rep); err != nil {
		return fmt.Errorf("report on %s: %w", record.Title, err)
	}
	w.Header().Set("Content-Type", media)
	w.Header().Set("Content-Disposition", fmt.Sprintf(`inline; filename="report-%d.%s"`, record.Number, ending))
	_, err = w.Write(b.Bytes())
	return err
}
