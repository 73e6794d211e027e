package documents

import (
	"context"
	"fmt"
	"net/url"
	"slices"
	"strings"

	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
	assets "midcase/web"
)

func asset(name string) string { return "/assets/" + name + "?v=" + assets.Version() }

func says(k shop.PaperKind) string {
	return map[shop.PaperKind]string{
		shop.PaperReport:         "What it is, when made, which parts belong, how good, worth what, with the grounds of each.",
		shop.PaperValuation:      "For insurance, estate, sale or loan: one kind of value, of one day, with what it rests on and what you certify. No licensed appraisal.",
		shop.PaperListing:        "For a buyer: faults as plainly as what is right, and the price asked.",
		shop.PaperIdentification: "What a register, the police or an insurer needs to know it again. No value.",
		shop.PaperTrace:          "Rate, beat error and amplitude over positions, before and after a service, and the trace of the sound.",
		shop.PaperInvoice:        "The bill for the sale, ordinary tax or margin scheme as it was booked.",
		shop.PaperCredit:         "Takes back an invoice.",
		shop.PaperMemo:           "Goes with the watch to another dealer, unsold: value, day due back, who bears the risk.",
		shop.PaperPurchase:       "The seller's declaration of ownership, to sign when you buy.",
		shop.PaperWork:           "Goes with the watch to the watchmaker: what is to be done, up to what sum, and what must stay as it is.",
		shop.PaperPacking:        "Goes into the parcel: contents, value, and notes on luminous paint, straps and customs.",
		shop.PaperSettlement:     "For the owner of a watch sold on commission: price, commission and its tax, costs, what is paid and due. Also the invoice for the commission.",
		shop.PaperConsignment:    "For the owner of a watch taken in to be sold: terms, agreed value, risk.",
	}[k]
}

// drafts are the forms in which a paper can be looked at before it is made. An e-invoice is none of them: without the
// number that is given when it is made, it is not one.
func drafts(k shop.PaperKind) []string {
	if k == shop.PaperValuation { // looked at from its own page, where it is said what it is for
		return nil
	}
	return slices.DeleteFunc(slices.Clone(papers.Forms(k)), func(ending string) bool { return ending == "xml" })
}

// NewOffers lists what can be made of a watch.
func NewOffers(ctx context.Context, w shop.Watch, dealings []papers.Occasion, names map[string]string) []Offer {
	var out []Offer
	for _, k := range shop.PaperKinds() {
		if k == shop.PaperListing && !papers.ForSale(w.State) {
			continue
		}
		if !k.Personal() {
			out = append(out, Offer{Kind: k, Name: wording.Paper(k), Says: says(k), Previews: drafts(k),
				Dealt: papers.Occasion{Kind: k}})
			continue
		}
		for _, d := range dealings {
			if d.Kind != k {
				continue
			}
			o := Offer{Kind: k, Name: wording.Paper(k), Says: says(k), Dealt: d, Step: stepWords(ctx, d, names),
				Previews: drafts(k), Once: len(d.Made) > 0 && (k == shop.PaperInvoice ||
					k == shop.PaperCredit || d.Invoice != nil)}
			if d.Step.ID == "" {
				o.AskPrice, o.Step = true, "before the purchase is booked, from "+name(names, w.Client)
				if !w.Asked.IsZero() {
					o.Price = w.Asked.Amount() + " " + string(w.Asked.Currency())
				}
			}
			if o.Once {
				o.Previews = nil
			}
			out = append(out, o)
		}
	}
	return out
}

func stepWords(ctx context.Context, d papers.Occasion, names map[string]string) string {
	s := strings.ReplaceAll(string(d.Step.To), "_", " ")
	if d.Step.From == d.Step.To {
		s = "entered"
	}
	if d.Invoice != nil {
		return wording.Paper(d.Invoice.Kind) + " " +
			d.Invoice.Number + ": " + d.Reason.String() + ", " + wording.Day(ctx, d.Step.Day)
	}
	s += " " + wording.Day(ctx, d.Step.Day)
	if n := names[d.Step.Person]; n != "" {
		s += ", " + n
	}
	if !d.Step.Price.IsZero() {
		s += ", " + wording.Money(ctx, d.Step.Price)
	}
	return s
}

func preview(d Data, o Offer, e string) string {
	s := "/watches/" + url.PathEscape(string(d.Watch.ID)) + "/papers/" + strings.ReplaceAll(string(o.Kind), " ",
		"-") + "." + e
	if o.Dealt.Step.ID != "" {
		s += "?step=" + url.QueryEscape(o.Dealt.Step.ID)
	}
	return s
}

// languageField is the id of the field for the language of an offer: several papers may be about one step.
func languageField(o Offer) string {
	return "language-" + strings.ReplaceAll(string(o.Kind), " ", "-") + o.Dealt.Step.ID
}

// ending is a kind of file in words.
func ending(e string) string {
	switch e {
	case "md":
		return "Markdown"
	case "jsonld":
		return "JSON-LD"
	case "xml":
		return "E-invoice (UBL)"
	}
	return strings.ToUpper(e)
}

func serial(w shop.Watch) string {
	if w.Serial == "" {
		return ""
	}
	return ", serial " + w.Serial
}

func name(names map[string]string, id string) string {
	switch {
	case id == "":
		return "–"
	case names[id] == "":
		return "erased"
	}
	return names[id]
}

func total(ctx context.Context, p shop.Paper) string {
	if p.Total.IsZero() {
		return "–"
	}
	return wording.Money(ctx, p.Total)
}

// short is the beginning of the paper's fingerprint.
func short(p shop.Paper) string {
	if len(p.Files) == 0 || len(p.Files[0].SHA256) < 12 {
		return ""
	}
	return p.Files[0].SHA256[:12]
}

func kilobytes(n int) string { return fmt.Sprintf("%.0f", max(1, float64(n)/1000)) }

func today(d One, f File) string {
	switch {
	case d.Gone:
		return "erased"
	case f.Kept:
		return "kept as made"
	case f.Same:
		return "prints as made"
	}
	return "prints otherwise than when it was made; what it says is the same"
}
