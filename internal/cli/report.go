package cli

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/papers"
	"midcase/internal/shop"
)

type reportCmd struct {
	subjectFlags
	Output  string `short:"o" required:"" help:"File to write: .pdf or .md, for some kinds .json, .jsonld or .html." placeholder:"FILE.pdf"`
	Kind    string `help:"Which paper: report, valuation, listing, identification, trace; of a watch of the shop also invoice, credit-note, memo-note, purchase-statement, consignment-note." default:"report" placeholder:"KIND"`
	Step    string `help:"Step of the watch's life that an invoice or note is of; default the latest that calls for one." placeholder:"ID"`
	Price   string `help:"Price on a purchase statement that is signed before the purchase is booked." placeholder:"5200EUR"`
	Purpose string `help:"For what use the report is made." default:"information of the owner and of a prospective buyer"`
	For     string `help:"For whom it is made."`
	ForShop bool   `help:"The shop's own copy: with prices asked, costs and what to pay."`
}

// Run writes the report beside its final name first, so that a failure leaves no
// half a report behind. Papers written so are not numbered or kept; 'documents make' does that.
func (c reportCmd) Run(a *app) error {
	kind := shop.PaperKind(strings.ReplaceAll(c.Kind, "-", " "))
	if !known(shop.PaperKinds(), kind) {
		return wrong("kind %q: want one of %s", c.Kind, paperKinds())
	}
	ending := strings.TrimPrefix(strings.ToLower(filepath.Ext(c.Output)), ".")
	if ending == "markdown" {
		ending = "md"
	}
	if !known(papers.Forms(kind), ending) {
		return wrong("output %q: want a name that ends in one of .%s", c.Output,
			strings.Join(papers.Forms(kind), ", ."))
	}
	if err := folder(filepath.Dir(c.Output)); err != nil {
		return unwritable(c.Output, err) // before the work, not after it
	}
	var b bytes.Buffer
	var err error
	if kind.Personal() {
		err = c.draft(a, kind, ending, &b)
	} else {
		err = c.onWatch(a, kind, ending, &b)
	}
	if err != nil {
		return err
	}
	if err := writeWhole(c.Output, b.Bytes()); err != nil {
		return err
	}
	fmt.Fprintf(a.err, "wrote %s\n", c.Output)
	return nil
}

// onWatch writes a paper on the watch itself.
func (c reportCmd) onWatch(a *app, kind shop.PaperKind, ending string, b *bytes.Buffer) error {
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	defer s.close()
	r := document.Report{Opinion: s.opinion, Items: s.file.Items, Number: s.number, Issued: a.now(), Purpose: c.Purpose,
		IntendedUser: c.For, ForShop: c.ForShop}
	if r.Photos, err = s.photos(a); err != nil {
		return err
	}
	r.Traces = s.traces(a)
	listing := document.Listing{Opinion: s.opinion, Number: s.number}
	if s.shop != nil {
		if r.Shop, err = papers.Issuer(a.ctx, s.shop.Shop); err != nil {
			return err
		}
		if size, root, ok := s.shop.LogHead(a.ctx); ok {
			r.LogHead = fmt.Sprintf("%d %s", size, root)
		}
		w, err := s.shop.Find(a.ctx, c.Watch)
		if err != nil {
			return err
		}
		if listing, err = papers.ListingOn(a.ctx, s.shop.Shop, w, r); err != nil {
			return err
		}
	}
	if err := papers.Write(kind, ending, r, listing, b); err != nil {
		return fmt.Errorf("%s: %w", kind, err)
	}
	return nil
}

// draft writes a paper about a dealing of the watch, without a number.
func (c reportCmd) draft(a *app, kind shop.PaperKind, ending string, b *bytes.Buffer) error {
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	o := papers.Order{Kind: kind, Watch: w.ID, Step: c.Step}
	if c.Price != "" {
		if o.Price, err = parseMoney(c.Price); err != nil {
			return misuse{err}
		}
	}
	return papers.Draft(a.ctx, s.Shop, o, ending, b)
}

// photos are the pictures of the evidence in force. A picture that is missing is
// named on standard error and left out.
func (s *subject) photos(a *app) ([]document.Photo, error) {
	var out []document.Photo
	for _, p := range evidence.All[*evidence.Photo](s.file) {
		var b []byte
		var err error
		if s.shop != nil {
			b, err = s.shop.Picture(a.ctx, p.Data.Blob)
		} else {
			b, err = os.ReadFile(s.beside(p.Data.Blob))
		}
		if err != nil {
			fmt.Fprintf(a.err, "picture left out: %v\n", err)
			continue
		}
		out = append(out, document.Photo{Evidence: p.Item.ID, View: p.Data.View, Caption: p.Data.Caption, Data: b})
	}
	return out, nil
}

// beside is where a picture named in a watch file lies: in the file's folder or in a
// folder pictures next to it. A name that leads elsewhere is not followed.
func (s *subject) beside(name string) string {
	name = filepath.Base(name)
	for _, dir := range []string{s.folder, filepath.Join(s.folder, "pictures"),
		filepath.Join(s.folder, "..", "pictures")} {
		if p := filepath.Join(dir, name); isFile(p) {
			return p
		}
	}
	return filepath.Join(s.folder, name)
}
