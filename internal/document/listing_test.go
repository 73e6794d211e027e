package document

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/money"
	"midcase/refbook"
	"midcase/say"
	"midcase/telling"
)

func richListing(t testing.TB) Listing {
	t.Helper()
	r := rich(t)
	r.Opinion.Watch.Title = "Skerry </script><i>"
	plan, err := telling.Make(telling.Subject{Opinion: r.Opinion, File: evidence.File{Items: r.Items},
		Book: &refbook.Book{}, Offer: telling.Offer{Number: "107", Price: money.MustParse("9850", "EUR"),
			Terms: []string{"Seen by appointment", "</script><script>alert(1)</script>"}}})
	if err != nil {
		t.Fatal(err)
	}
	w, _ := say.In("en")
	told, err := plan.Tell(w, telling.Page, 0)
	if err != nil {
		t.Fatal(err)
	}
	return Listing{Told: told, Watch: r.Opinion.Watch, Made: r.Opinion.Dating.EDTF, Number: "107",
		Price: money.MustParse("9850", "EUR"), URL: "https://shop.example/107", Shop: r.Shop,
		Pictures: []ListingPicture{{"https://shop.example/107/front.jpg", "front <b>"}}}
}

// TestListingData holds the listing against the schema.org vocabulary: types and
// terms from schema.org/Product, /Offer, /OfferItemCondition, /ItemAvailability and
// /PropertyValue (from memory).
func TestListingData(t *testing.T) {
	l := richListing(t)
	for _, reserved := range []bool{false, true} {
		l.Reserved = reserved
		var b bytes.Buffer
		if err := WriteListingJSONLD(&b, l); err != nil {
			t.Fatal(err)
		}
		type value struct{ Name, Value string }
		var d struct {
			Context            string `json:"@context"`
			Type               string `json:"@type"`
			Brand              struct{ Name string }
			Image              []string
			Identifier         value
			AdditionalProperty []value
			Offers             struct {
				Type                        string `json:"@type"`
				Price, PriceCurrency        string
				ItemCondition, Availability string
			}
		}
		if err := json.Unmarshal(b.Bytes(), &d); err != nil {
			t.Fatal(err)
		}
		if d.Context != "https://schema.org" || d.Type != "Product" || d.Offers.Type != "Offer" ||
			d.Brand.Name != "Askelund" || d.Identifier.Value != "107" || len(d.Image) != 1 {
			t.Errorf("got %+v", d)
		}
		available := map[bool]string{false: "https://schema.org/InStock", true: "https://schema.org/Reserved"}
		if d.Offers.Price != "9850.00" || d.Offers.PriceCurrency != "EUR" ||
			d.Offers.ItemCondition != "https://schema.org/UsedCondition" ||
			d.Offers.Availability != available[reserved] {
			t.Errorf("offer: got %+v", d.Offers)
		}
		faults := 0
		for _, p := range d.AdditionalProperty {
			if p.Name == "fault" {
				faults++
			}
		}
		if faults == 0 || faults < len(l.Told.Faults()) {
			t.Errorf("%d faults in the data; the text has %d", faults, len(l.Told.Faults()))
		}
		if strings.Contains(b.String(), "1 204 417") {
			t.Error("the serial number is published")
		}
	}
}

func TestListingForms(t *testing.T) {
	var htm, mdown, pdf bytes.Buffer
	l := richListing(t)
	if err := WriteListingHTML(&htm, l); err != nil {
		t.Fatal(err)
	}
	if err := WriteListingMarkdown(&mdown, l); err != nil {
		t.Fatal(err)
	}
	if err := WriteListingPDF(&pdf, l, nil, time.Date(2026, 2, 21, 0, 0, 0, 0, time.UTC)); err != nil {
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
			if !strings.Contains(got, want) && !strings.Contains(got, strings.Replace(want, "does", "do", 1)) {
				t.Errorf("%s does not say %q", name, want)
			}
		}
		for _, secret := range []string{"6,900", "8,470", "seven thousand", "1 204 417"} {
			if strings.Contains(got, secret) {
				t.Errorf("%s tells the public %q", name, secret)
			}
		}
	}
	if !bytes.HasPrefix(pdf.Bytes(), []byte("%PDF-")) {
		t.Error("no PDF was written")
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
