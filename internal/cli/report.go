package cli

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/market"
	"midcase/money"
	"midcase/say"
	"midcase/telling"
)

type reportCmd struct {
	subjectFlags
	Output   string         `short:"o" required:"" help:"File to write: .pdf or .md; some kinds also .json, .jsonld or .html." placeholder:"FILE.pdf"`
	Kind     shop.PaperKind `help:"Which paper: report, valuation, listing, identification or trace; for a watch of the shop also invoice, credit-note, memo-note, purchase-statement, consignment-note, settlement, repair-order or packing-list." default:"report" placeholder:"KIND"`
	Step     string         `help:"Step that an invoice or note is for (default: the latest that calls for one)." placeholder:"ID"`
	Price    money.Money    `help:"Price on a purchase statement signed before the purchase is booked." placeholder:"5200EUR"`
	Purpose  string         `help:"Purpose of the report; of a valuation: insurance, estate, sale or loan." default:"information of the owner and of a prospective buyer"`
	For      string         `help:"Who may rely on it."`
	Assume   []string       `help:"With a valuation: something else that is taken as given, a sentence; may be repeated." placeholder:"TEXT" sep:"none"`
	Annex    bool           `help:"Add the annex of evidence: the grounds of every figure, line by line. Without it a report has at most six pages."`
	Language string         `help:"Language: en, de, fr or it (default: the client's on a paper about a dealing, else the shop's, else en; of a listing en)." placeholder:"LANGUAGE"`
	ForShop  bool           `help:"The shop's own copy, with prices asked, costs and what to pay."`
}

// Run writes the report beside its final name first, so that a failure leaves no half
// report behind. Papers written so are not numbered or kept; 'documents make' does that.
func (c reportCmd) Run(a *app) error {
	ending := strings.TrimPrefix(strings.ToLower(filepath.Ext(c.Output)), ".")
	if ending == "markdown" {
		ending = "md"
	}
	if forms := papers.Forms(c.Kind); !slices.Contains(forms, ending) {
		return wrong("--output: a %s cannot be written as “%s”. Use a name ending in .%s", c.Kind, c.Output,
			strings.Join(forms, ", ."))
	}
	if err := folder(filepath.Dir(c.Output)); err != nil {
		return unwritable(c.Output, err) // before the work, not after it
	}
	var b bytes.Buffer
	write := c.onWatch
	if c.Kind.Personal() {
		write = c.draft
	}
	if err := write(a, ending, &b); err != nil {
		return err
	}
	if err := writeWhole(c.Output, b.Bytes()); err != nil {
		return err
	}
	fmt.Fprintf(a.err, "wrote %s\n", c.Output)
	return nil
}

// onWatch writes a paper on the watch itself.
func (c reportCmd) onWatch(a *app, ending string, b *bytes.Buffer) error {
	s, err := c.subject(a)
	if err != nil {
		return err
	}
	if s.shop != nil && c.ForShop {
		if err := rights.Check(a.ctx, rights.Cost); err != nil {
			return err
		}
	}
	r := document.Report{Opinion: s.opinion, Items: s.file.Items, Number: s.number, Issued: a.now(), Purpose: c.Purpose,
		IntendedUser: c.For, Annex: c.Annex, ForShop: c.ForShop, Photos: s.photos(a), Traces: s.traces(a)}
	var listing document.Listing
	if r.Language, err = c.language(a, s); err != nil {
		return err
	}
	if s.shop != nil {
		if r.Shop, err = papers.Issuer(a.ctx, s.shop.Shop); err != nil {
			return err
		}
		if size, root, ok := s.shop.LogHead(a.ctx); ok {
			r.LogHead = fmt.Sprintf("%d %s", size, root)
		}
	}
	if c.Kind == shop.PaperValuation {
		if err := c.value(a, s, &r); err != nil {
			return err
		}
	}
	if c.Kind == shop.PaperListing {
		if listing, err = c.listing(a, s, r); err != nil {
			return err
		}
	}
	if err := papers.Write(c.Kind, ending, r, listing, b); err != nil {
		return fmt.Errorf("%s: %w", c.Kind, err)
	}
	return nil
}

// language is that of the paper: as asked for, else the shop's.
func (c reportCmd) language(a *app, s *subject) (string, error) {
	switch {
	case c.ForShop && !slices.Contains([]string{"", "en"}, c.Language):
		return "", wrong("--language %s: the shop's own copy is in English. Leave --for-shop or --language out.",
			c.Language)
	case s.shop != nil:
		return papers.LanguageOf(a.ctx, s.shop.Shop, c.Language)
	case c.Language != "" && !slices.Contains(say.Languages(), c.Language):
		return "", wrong("--language: “%s” is none of %s", c.Language, strings.Join(say.Languages(), ", "))
	}
	return c.Language, nil
}

// value says what a valuation is for where its purpose is one of those known; other words make a sheet of figures. An
// opinion without a value gives neither.
func (c reportCmd) value(a *app, s *subject, r *document.Report) error {
	v := s.opinion.Value
	if !v.Known {
		return fmt.Errorf("no valuation: %s", v.CannotTell)
	}
	if _, ok := document.UseOf(c.Purpose); !ok {
		return nil
	}
	assigned := document.Assignment{Purpose: c.Purpose, Users: c.For, Basis: market.Basis(v.Kind), Effective: c.AsOf,
		Assumptions: c.Assume}.Usual(a.now())
	if problems := assigned.Check(a.now()); len(problems) > 0 {
		return &shop.Invalid{What: "write a valuation", Problems: problems}
	}
	r.Assigned = &assigned
	return nil
}

// listing is the listing of the watch, of the shop or in a file.
func (c reportCmd) listing(a *app, s *subject, r document.Report) (document.Listing, error) {
	if s.shop != nil {
		return papers.ListingOn(a.ctx, s.shop.Shop, s.watch, r, cmp.Or(c.Language, "en"))
	}
	book, err := c.book(a)
	if err != nil {
		return document.Listing{}, err
	}
	return papers.ListingOf(telling.Subject{Opinion: s.opinion, File: s.file, Book: book,
		Offer: telling.Offer{Number: s.number}}, cmp.Or(c.Language, "en"), r.Shop)
}

// draft writes a paper about a dealing of the watch, without a number.
func (c reportCmd) draft(a *app, ending string, b *bytes.Buffer) error {
	s, w, err := c.inShop(a)
	if err != nil {
		return err
	}
	return papers.Draft(a.ctx, s.Shop, papers.Order{Kind: c.Kind, Watch: w.ID, Step: c.Step, Price: c.Price,
		Language: c.Language}, ending, b)
}

// photos are the pictures of the evidence. A picture that is missing is
// named on standard error and left out.
func (s *subject) photos(a *app) []document.Photo {
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
			fmt.Fprintf(a.err, "picture left out: %s\n", inWords(err))
			continue
		}
		out = append(out, document.Photo{Evidence: p.Item.ID, View: p.Data.View, Caption: p.Data.Caption, Data: b})
	}
	return out
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
