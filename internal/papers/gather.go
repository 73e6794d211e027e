package papers

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"slices"
	"time"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/opinion"
	"midcase/say"
)

// ReportOn gathers what a report on a watch prints. Pictures and recordings that cannot be
// read are left out and named.
func ReportOn(ctx context.Context, s *rooms.Shop, id shop.WatchID, asOf time.Time) (document.Report, []string, error) {
	return reportOn(ctx, s, id, asOf, opinion.Settings{})
}

func reportOn(ctx context.Context, s *rooms.Shop, id shop.WatchID, asOf time.Time,
	given opinion.Settings) (document.Report, []string, error) {
	w, err := s.Watch(ctx, id)
	if err != nil {
		return document.Report{}, nil, err
	}
	o, file, err := s.OpinionOn(ctx, id, asOf, given)
	if err != nil {
		return document.Report{}, nil, err
	}
	issuer, err := Issuer(ctx, s)
	if err != nil {
		return document.Report{}, nil, err
	}
	r := document.Report{Opinion: o, Items: file.Items, Number: fmt.Sprint(w.Number), Shop: issuer, Issued: s.Now(),
		Purpose: document.UsualPurpose()}
	if size, root, ok := s.LogHead(ctx); ok {
		r.LogHead = fmt.Sprintf("%d %s", size, root)
	}
	var left []string
	for _, rec := range evidence.All[*evidence.Recording](file) {
		a, err := s.Intake.HearAgain(ctx, rec.Data)
		if err != nil {
			left = append(left, err.Error())
			continue
		}
		r.Traces = []document.Trace{{Recording: rec.Item.ID, Position: rec.Data.Position, Analysis: a}}
		break
	}
	for _, p := range evidence.All[*evidence.Photo](file) {
		b, err := s.Picture(ctx, p.Data.Blob)
		if err != nil {
			left = append(left, fmt.Sprintf("picture %s: %v", p.Item.ID, err))
			continue
		}
		r.Photos = append(r.Photos, document.Photo{Evidence: p.Item.ID, View: p.Data.View, Caption: p.Data.Caption,
			Data: b})
	}
	return r, left, nil
}

// LanguageOf is the language of a paper on a watch: as asked for, else that of the shop's figures, else English.
func LanguageOf(ctx context.Context, s *rooms.Shop, asked string) (string, error) {
	if asked == "" {
		set, err := s.Settings(ctx)
		return say.LanguageOf(set.Locale), err
	}
	if !slices.Contains(say.Languages(), asked) {
		return "", wrong("make a paper", "language", fmt.Sprintf("%q", asked),
			fmt.Sprintf("one of %v", say.Languages()))
	}
	return asked, nil
}

// Issuer is the shop as its letterhead names it.
func Issuer(ctx context.Context, s *rooms.Shop) (document.Shop, error) {
	l, err := s.Letterhead(ctx)
	if err != nil {
		return document.Shop{}, err
	}
	return document.Shop{Name: l.Name, Lines: l.Lines, SignedBy: l.SignedBy}, nil
}

// writer writes one form of a paper on a watch.
type writer func(io.Writer) error

// Forms are the endings of the forms in which a paper is made, the first being the paper itself.
func Forms(k shop.PaperKind) []string {
	switch k {
	case shop.PaperListing:
		return []string{"pdf", "md", "html", "jsonld"}
	case shop.PaperInvoice, shop.PaperCredit:
		return []string{"pdf", "md", "json", "jsonld", "xml"}
	case shop.PaperReport, shop.PaperIdentification, shop.PaperTrace:
		return []string{"pdf", "md"}
	}
	return []string{"pdf", "md", "json"}
}

// write gives the function that writes a paper on a watch in one form.
func write(k shop.PaperKind, ending string, r document.Report, l document.Listing) (writer, error) {
	of := func(f func(io.Writer, document.Report) error) (writer, error) {
		return func(w io.Writer) error { return f(w, r) }, nil
	}
	switch string(k) + "." + ending {
	case "report.pdf":
		return of(document.WritePDF)
	case "report.md":
		return of(document.WriteMarkdown)
	case "valuation.pdf":
		return of(document.WriteValuationPDF)
	case "valuation.md":
		return of(document.WriteValuationMarkdown)
	case "valuation.json":
		return of(document.WriteValuationJSON)
	case "identification.pdf":
		return of(document.WriteIdentificationPDF)
	case "identification.md":
		return of(document.WriteIdentificationMarkdown)
	case "trace.pdf":
		return of(document.WriteRunningPDF)
	case "trace.md":
		return of(document.WriteRunningMarkdown)
	case "listing.pdf":
		return func(w io.Writer) error { return document.WriteListingPDF(w, l, r.Photos, r.Issued) }, nil
	case "listing.md":
		return func(w io.Writer) error { return document.WriteListingMarkdown(w, l) }, nil
	case "listing.html":
		return func(w io.Writer) error { return document.WriteListingHTML(w, l) }, nil
	case "listing.jsonld":
		return func(w io.Writer) error { return document.WriteListingJSONLD(w, l) }, nil
	}
	return nil, &shop.Invalid{What: "print " + string(k), Problems: evidence.Problems{{Field: "form",
		Found: fmt.Sprintf("%q", ending), Want: fmt.Sprintf("one of %v", Forms(k))}}}
}

// Write writes a paper on a watch in one form; the listing is for that kind alone.
func Write(k shop.PaperKind, ending string, r document.Report, l document.Listing, to io.Writer) error {
	f, err := write(k, ending, r, l)
	if err != nil {
		return err
	}
	return f(to)
}

// WriteOn writes a paper on a watch in one form, from a report that was gathered.
// language is that of a listing; English where it is empty.
func WriteOn(ctx context.Context, s *rooms.Shop, k shop.PaperKind, ending string, w shop.Watch, r document.Report,
	language string, to io.Writer) error {
	var l document.Listing
	if k == shop.PaperListing {
		var err error
		if l, err = ListingOn(ctx, s, w, r, cmp.Or(language, "en")); err != nil {
			return err
		}
		l.Paper, l.Code = r.Paper, r.Code
		r.Photos = slices.DeleteFunc(slices.Clone(r.Photos), func(p document.Photo) bool {
			return !slices.Contains(publicViews, p.View) // papers and details may show names and numbers
		})
	}
	return Write(k, ending, r, l, to)
}
