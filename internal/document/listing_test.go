package document

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"midcase/money"
	"midcase/say"
)

func richListing(t testing.TB) Listing {
	r := rich(t)
	return Listing{Opinion: r.Opinion, Number: "107", Price: money.MustParse("9850", "EUR"),
		URL: "https://shop.example/107", Shop: r.Shop,
		Pictures: []ListingPicture{{"https://shop.example/107/front.jpg",
			"front <b>"}}, Terms: []string{"Seen by appointment"}}
}

// TestListingData holds the listing against the schema.org vocabulary: types and
// terms from schema.org/Product, /Offer and /OfferItemCondition (from memory).
func TestListingData(t *testing.T) {
	var b bytes.Buffer
	if err := WriteListingJSONLD(&b, richListing(t)); err != nil {
		t.Fatal(err)
	}
	var d struct {
		Context string `json:"@context"`
		Type    string `json:"@type"`
		Brand   struct{ Name string }
		Offers  struct {
			Type          string `json:"@type"`
			Price         string
			PriceCurrency string
			ItemCondition string
			Availability  string
		}
	}
	if err := json.Unmarshal(b.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	if d.Context != "https://schema.org" || d.Type != "Product" || d.Offers.Type != "Offer" ||
		d.Brand.Name != "Askelund" {
		t.Errorf("got %+v", d)
	}
	if d.Offers.Price != "9850.00" || d.Offers.PriceCurrency != "EUR" ||
		d.Offers.ItemCondition != "https://schema.org/UsedCondition" ||
		d.Offers.Availability != "https://schema.org/InStock" {
		t.Errorf("offer: got %+v", d.Offers)
	}
}

func TestListingForms(t *testing.T) {
	var htm, mdown bytes.Buffer
	l := richListing(t)
	l.Opinion.Unknown = append(l.Opinion.Unknown, say.Verbatim("</script><script>alert(1)</script>"))
	l.Opinion.Watch.Title = "Skerry </script><i>"
	if err := WriteListingHTML(&htm, l); err != nil {
		t.Fatal(err)
	}
	if err := WriteListingMarkdown(&mdown, l); err != nil {
		t.Fatal(err)
	}
	golden(t, "listing.html", htm.Bytes())
	golden(t, "listing.md", mdown.Bytes())
	if n := strings.Count(htm.String(), "<script"); n != 1 || strings.Contains(htm.String(), "<i>") {
		t.Errorf("text of the file got into the page as markup: %d scripts", n)
	}
	for name, got := range map[string]string{"HTML": htm.String(), "Markdown": mdown.String()} {
		for _, want := range []string{"9,850", "probably replaced", "does not belong", "not water resistant",
			"Seen by appointment"} {
			if !strings.Contains(got, want) {
				t.Errorf("%s does not say %q", name, want)
			}
		}
		for _, secret := range []string{"6,900", "8,470", "seven thousand"} {
			if strings.Contains(got, secret) {
				t.Errorf("%s tells the public %q", name, secret)
			}
		}
	}
}

func TestListingWithoutPrice(t *testing.T) {
	var b bytes.Buffer
	if err := WriteListingMarkdown(&b, Listing{}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "price on request") {
		t.Error("a listing without a price does not say that it is on request")
	}
}

// TestIdentificationCategories holds the sheet against the categories of the Object
// ID checklist (International Council of Museums, as published).
func TestIdentificationCategories(t *testing.T) {
	var b bytes.Buffer
	if err := WriteIdentificationMarkdown(&b, rich(t)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Photographs", "Type of object", "Materials, techniques", "Measurements",
		"Inscriptions, markings", "Distinguishing features", "Title", "Date or period", "Maker", "Description",
		"1 204 417", "33.82"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the sheet has no %q", want)
		}
	}
	if strings.Contains(b.String(), "8,470") {
		t.Error("the sheet states a value")
	}
	b.Reset()
	if err := WriteIdentificationPDF(&b, rich(t)); err != nil || !bytes.HasPrefix(b.Bytes(), []byte("%PDF-")) {
		t.Errorf("PDF: %v", err)
	}
}
