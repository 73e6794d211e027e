package web

import (
	"bytes"
	"fmt"
	"io"
	"net/http"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/opinion"
)

// report gathers what the report of a watch needs.
func (s *Server) report(r *http.Request) (document.Report, shop.Watch, error) {
	ctx := r.Context()
	record, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return document.Report{}, record, err
	}
	asOf, _, err := s.asOf(r)
	if err != nil {
		return document.Report{}, record, err
	}
	o, file, err := s.shop.OpinionOn(ctx, record.ID, asOf, opinion.Settings{})
	if err != nil {
		return document.Report{}, record, err
	}
	rep := document.Report{Opinion: o, Items: file.Items, Number: fmt.Sprint(record.Number), Shop: document.Shop{Name: s.shop.Name()}, Issued: s.shop.Now(),
		Purpose: "information of the owner and of a prospective buyer"}
	if s.opt.Head != nil {
		if size, root, err := s.opt.Head(ctx); err == nil {
			rep.LogHead = fmt.Sprintf("%d %s", size, root)
		}
	}
	rep.Traces = s.traces(ctx, file)
	for _, p := range evidence.All[*evidence.Photo](file) {
		b, err := s.shop.Picture(ctx, p.Data.Blob)
		if err != nil {
			s.opt.Log.Warn("picture left out of a report", "blob", p.Data.Blob, "error", err)
			continue
		}
		rep.Photos = append(rep.Photos, document.Photo{Evidence: p.Item.ID, View: p.Data.View, Caption: p.Data.Caption, Data: b})
	}
	return rep, record, s.shop.Keep(ctx, record.ID, o, len(file.Items))
}

func (s *Server) reportPDF(w http.ResponseWriter, r *http.Request) error {
	return s.writeReport(w, r, "application/pdf", "pdf", document.WritePDF)
}

func (s *Server) reportMarkdown(w http.ResponseWriter, r *http.Request) error {
	return s.writeReport(w, r, "text/markdown; charset=utf-8", "md", document.WriteMarkdown)
}

func (s *Server) writeReport(w http.ResponseWriter, r *http.Request, media, ending string, write func(io.Writer, document.Report) error) error {
	rep, record, err := s.report(r)
	if err != nil {
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
