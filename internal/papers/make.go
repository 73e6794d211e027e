package papers

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/money"
)

// Order asks for a paper.
type Order struct {
	Kind  shop.PaperKind
	Watch shop.WatchID
	Step  string // id of the movement that a paper about a dealing is of; empty: the latest
	By    string
	Day   string // on the paper; empty: today
	Annex bool   // of a report: with the grounds of every figure

	// Language is one of say.Languages. Where it is empty, a listing is in English, a paper about a dealing in the
	// client's language, and any other in the shop's.
	Language string

	// Assigned is what a valuation is for. There is none without it.
	Assigned *document.Assignment

	// Price is for a purchase statement that is signed before the purchase is booked.
	Price money.Money
}

// Make makes a paper, numbers it and keeps it.
func Make(ctx context.Context, s *rooms.Shop, o Order) (shop.Paper, error) {
	if !known(o.Kind) {
		return shop.Paper{}, wrong("make a paper", "kind", fmt.Sprintf("%q", o.Kind),
			fmt.Sprintf("one of %v", shop.PaperKinds()))
	}
	if o.Kind.Personal() {
		return makeSlip(ctx, s, o)
	}
	w, err := s.Watch(ctx, o.Watch)
	if err != nil {
		return shop.Paper{}, err
	}
	r, err := reportFor(ctx, s, o)
	if err != nil {
		return shop.Paper{}, err
	}
	if o.Kind != shop.PaperListing {
		if r.Language, err = LanguageOf(ctx, s, o.Language); err != nil {
			return shop.Paper{}, err
		}
	}
	if err := namesPrint(o.Kind, paperNames(w, r)); err != nil {
		return shop.Paper{}, err
	}
	if r.Assigned == nil { // an opinion of the shop's own kind of value and of today
		if err := s.Keep(ctx, w.ID, r.Opinion, len(r.Items)); err != nil {
			return shop.Paper{}, err
		}
	}
	done, err := inTurn(ctx, o.Kind)
	if err != nil {
		return shop.Paper{}, err
	}
	defer done()
	letter, err := s.Letterhead(ctx)
	if err != nil {
		return shop.Paper{}, err
	}
	p := shop.Paper{Kind: o.Kind, Watch: o.Watch, By: o.By, Day: o.Day}
	p.LogSize, p.LogRoot, _ = s.LogHead(ctx)
	return issue(ctx, s, p, func(number string) (printed, error) {
		r.Paper, r.Annex, r.Code = number, o.Annex, checkedAt(letter, number, p)
		out := printed{files: map[string][]byte{}}
		if o.Kind == shop.PaperListing {
			out.total = w.Asking
		}
		for _, ending := range Forms(o.Kind) {
			var b bytes.Buffer
			if err := WriteOn(ctx, s, o.Kind, ending, w, r, o.Language, &b); err != nil {
				return printed{}, err
			}
			out.files[ending] = b.Bytes()
		}
		p := p
		p.Number = number
		var err error
		out.files["pdf"], err = signed(ctx, s, p, out.files["pdf"])
		return out, err
	})
}

// reportFor gathers what a paper on a watch prints; of a valuation, what it is for as well.
func reportFor(ctx context.Context, s *rooms.Shop, o Order) (document.Report, error) {
	if o.Kind != shop.PaperValuation {
		r, _, err := ReportOn(ctx, s, o.Watch, s.Now())
		return r, err
	}
	if o.Assigned == nil {
		o.Assigned = &document.Assignment{}
	}
	return ValuationOn(ctx, s, o.Watch, *o.Assigned)
}

func known(k shop.PaperKind) bool {
	for _, one := range shop.PaperKinds() {
		if k == one {
			return true
		}
	}
	return false
}

func wrong(what, field, found, want string) error {
	return &shop.Invalid{What: what, Problems: evidence.Problems{{Field: field, Found: found, Want: want}}}
}

// makeSlip makes a paper about a dealing. A sale has one invoice.
func makeSlip(ctx context.Context, s *rooms.Shop, o Order) (shop.Paper, error) {
	done, err := inTurn(ctx, o.Kind)
	if err != nil {
		return shop.Paper{}, err
	}
	defer done()
	d, err := find(ctx, s, o)
	if err != nil {
		return shop.Paper{}, err
	}
	if len(d.Made) > 0 && (o.Kind == shop.PaperInvoice || o.Kind == shop.PaperCredit || d.Invoice != nil) {
		return shop.Paper{}, wrong("make "+string(o.Kind), "step", "made already, number "+d.Made[0].Number,
			"a look at it, or a credit note where it was wrong")
	}
	one, err := draft(ctx, s, o, d)
	if err != nil {
		return shop.Paper{}, err
	}
	if err := namesPrint(o.Kind, document.Names(one.slip)); err != nil {
		return shop.Paper{}, err
	}
	p := shop.Paper{Kind: o.Kind, Watch: o.Watch, By: o.By, Day: o.Day, Client: one.client, Step: d.Step.ID,
		Entry: d.Entry.ID}
	if d.Invoice != nil {
		p.Cancels = d.Invoice.Number
	}
	letter, err := s.Letterhead(ctx)
	if err != nil {
		return shop.Paper{}, err
	}
	p.LogSize, p.LogRoot, _ = s.LogHead(ctx)
	return issue(ctx, s, p, func(number string) (printed, error) {
		one.slip.Issue(number, checkedAt(letter, number, p))
		var content bytes.Buffer
		if err := document.WriteSlipJSON(&content, one.slip); err != nil {
			return printed{}, err
		}
		out := printed{files: map[string][]byte{}, content: content.String(), total: one.total}
		for _, ending := range Forms(o.Kind) {
			var b bytes.Buffer
			err := writeSlip(&b, one.slip, ending)
			if errors.Is(err, ErrNoEInvoice) { // the paper's page says why
				continue
			}
			if err != nil {
				return printed{}, err
			}
			out.files[ending] = b.Bytes()
		}
		p := p
		p.Number = number
		var err error
		out.files["pdf"], err = signed(ctx, s, p, out.files["pdf"])
		return out, err
	})
}

func writeSlip(w io.Writer, one document.Slip, ending string) error {
	switch ending {
	case "pdf":
		return document.WriteSlipPDF(w, one)
	case "md":
		return document.WriteSlipMarkdown(w, one)
	case "json":
		return document.WriteSlipJSON(w, one)
	case "jsonld":
		if v, ok := one.(*document.Invoice); ok {
			return document.WriteInvoiceJSONLD(w, v)
		}
	case "xml":
		if v, ok := one.(*document.Invoice); ok {
			return eInvoice(w, v)
		}
	}
	return wrong("print a paper", "form", fmt.Sprintf("%q", ending), "a form in which this paper is made")
}

// ErrNoEInvoice is wrapped where an invoice has no electronic form, with what is missing.
var ErrNoEInvoice = fmt.Errorf("it has no electronic form: %w", shop.ErrNotFound)

// eInvoice writes the electronic form of an invoice.
func eInvoice(w io.Writer, v *document.Invoice) error {
	err := document.WriteEInvoice(w, v)
	var lacks *document.Lacking
	if errors.As(err, &lacks) {
		return fmt.Errorf("invoice %s: %s: %w", v.Number, strings.Join(lacks.Reasons, "; "), ErrNoEInvoice)
	}
	return err
}

// LacksEInvoice says why an invoice has no electronic form; nil where it has one, or is none.
func LacksEInvoice(content string) []string {
	one, err := document.ReadSlip([]byte(content))
	v, ok := one.(*document.Invoice)
	if err != nil || !ok {
		return nil
	}
	_, err = document.EInvoice(v)
	var lacks *document.Lacking
	if errors.As(err, &lacks) {
		return lacks.Reasons
	}
	return nil
}

// Draft writes a paper about a dealing without a number, to be looked at.
func Draft(ctx context.Context, s *rooms.Shop, o Order, ending string, w io.Writer) error {
	d, err := find(ctx, s, o)
	if err != nil {
		return err
	}
	one, err := draft(ctx, s, o, d)
	if err != nil {
		return err
	}
	return writeSlip(w, one.slip, ending)
}

// ErrErased is returned for a paper of a client whose data were erased.
var ErrErased = fmt.Errorf("what this paper says was erased with its client: %w", shop.ErrNotFound)

// Print gives a file of a paper, and whether it is to the byte what was made then.
func Print(ctx context.Context, s *rooms.Shop, id, ending string) (shop.Paper, []byte, bool, error) {
	p, content, err := Get(ctx, s, id)
	if err != nil {
		return p, nil, false, err
	}
	for _, f := range p.Files {
		if f.Ending != ending {
			continue
		}
		if f.Kept {
			b, err := kept(ctx, s, f)
			return p, b, err == nil, err
		}
		if content == "" {
			return p, nil, false, fmt.Errorf("paper %s: %w", p.Number, ErrErased)
		}
		one, err := document.ReadSlip([]byte(content))
		if err != nil {
			return p, nil, false, err
		}
		var b bytes.Buffer
		if err := writeSlip(&b, one, ending); err != nil {
			return p, nil, false, err
		}
		file := b.Bytes()
		if ending == "pdf" && sumOf(file) != f.SHA256 { // one issued before papers were signed has none
			if file, err = signed(ctx, s, p, file); err != nil {
				return p, nil, false, err
			}
		}
		return p, file, sumOf(file) == f.SHA256, nil
	}
	if lacks := LacksEInvoice(content); ending == "xml" && len(lacks) > 0 {
		return p, nil, false, fmt.Errorf("%s %s: %s: %w", p.Kind, p.Number, strings.Join(lacks, "; "), ErrNoEInvoice)
	}
	return p, nil, false, fmt.Errorf("paper %s as %s: %w", p.Number, ending, shop.ErrNotFound)
}

func sumOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

func kept(ctx context.Context, s *rooms.Shop, f shop.PaperFile) ([]byte, error) {
	r, err := s.Stores().Blobs.Open(ctx, f.SHA256)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return io.ReadAll(r)
}

// paperNames are the names that stand on a paper on a watch.
func paperNames(w shop.Watch, r document.Report) []string {
	names := append([]string{r.Shop.Name, r.Shop.SignedBy, w.Title, w.Maker, w.Reference}, r.Shop.Lines...)
	if r.Assigned != nil {
		names = append(names, r.Assigned.Users)
	}
	return names
}

// namesPrint refuses a paper on which a name would be printed as boxes: it is not numbered.
func namesPrint(k shop.PaperKind, names []string) error {
	for _, text := range names {
		if letter, is := document.Unprintable(text); is {
			return wrong("make "+string(k), "name", fmt.Sprintf("“%s”: no font here has “%c”", text, letter),
				"it in letters of Europe, Hebrew or Arabic; nothing was numbered")
		}
	}
	return nil
}
