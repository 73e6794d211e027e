package people_test

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"unicode/utf8"

	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/internal/shop/shoptest"
)

// foldedRight holds what RFC 5545 (3.1) and RFC 6350 (3.2) ask of content lines.
func foldedRight(t *testing.T, text string) {
	t.Helper()
	if !strings.HasSuffix(text, "\r\n") || strings.Contains(strings.ReplaceAll(text, "\r\n", ""), "\n") {
		t.Errorf("lines must end with CRLF: %q", text)
	}
	for line := range strings.SplitSeq(strings.TrimSuffix(text, "\r\n"), "\r\n") {
		if len(line) > 75 || !utf8.ValidString(line) {
			t.Errorf("line of %d octets: %q", len(line), line)
		}
	}
}

func TestVCards(t *testing.T) {
	c := shop.Client{ID: "c_1", Name: "Ångström, Ada; the \\ elder", Email: "ada@mail.example",
		Phone: "+44 1632 960101", Country: "GB", Language: "en",
		Address: shop.Address{Street: "1 Long Lane, Flat 2", City: "Überall", PostCode: "X1 2YZ", Country: "GB"},
		Channels: []shop.Channel{{Kind: "email", Value: "ada@work.example", Label: "work"},
			{Kind: "message", Value: "xmpp:ada@mail.example"}},
		Note: "first line\nsecond, with a comma " + strings.Repeat("é", 100), Changed: shoptest.Morning}
	var b bytes.Buffer
	if err := people.WriteVCards(&b, []shop.Client{c, {ID: "c_2", Erased: shoptest.Morning},
		{ID: "c_3", Name: "Thornvale", Kind: "firm"}}); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	foldedRight(t, text)
	if !strings.HasPrefix(text, "BEGIN:VCARD\r\nVERSION:4.0\r\n") { // RFC 6350, 6.7.9: it comes first
		t.Errorf("head: %q", text[:40])
	}
	back, bad, err := people.ReadVCards(strings.NewReader(text))
	if err != nil || len(bad) != 0 || len(back) != 2 || back[1].Kind != "firm" {
		t.Fatalf("%d cards back, %v, %v", len(back), bad, err)
	}
	got := back[0]
	got.ID, got.Changed = c.ID, c.Changed
	if !reflect.DeepEqual(got, c) {
		t.Errorf("came back as\n%+v\nwant\n%+v", got, c)
	}
}

// The card of RFC 6350, section 8 (from memory, names changed), and an old one of version 3.
func TestReadForeignVCards(t *testing.T) {
	const text = "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Simon Perault\r\nN:Perault;Simon;;;ing. jr,M.Sc.\r\nTEL;VALUE=uri;TYPE=\"voice,home\":tel:+1-418-262-6501\r\n" +
		"EMAIL;TYPE=work:simon.perault@viagen.example\r\nADR;TYPE=work:;Suite D2-630;2875 Laurier;\r\n Quebec;QC;G1V 2M2;Canada\r\nEND:VCARD\r\n" +
		"BEGIN:VCARD\nVERSION:3.0\nN:Quill;Ada;;;\nORG:Quill & Co\nEND:VCARD\n" + "BEGIN:VCARD\nVERSION:3.0\nNOTE:nobody\nEND:VCARD\n"
	all, bad, err := people.ReadVCards(strings.NewReader(text))
	if err != nil || len(all) != 2 || len(bad) != 1 || bad[0].Line != 3 {
		t.Fatalf("%+v, %+v, %v", all, bad, err)
	}
	a := all[0]
	if a.Name != "Simon Perault" || a.Phone != "+1-418-262-6501" || a.Email != "simon.perault@viagen.example" ||
		a.Address.City != "Quebec" || a.Address.PostCode != "G1V 2M2" {
		t.Errorf("%+v", a)
	}
	if all[1].Name != "Ada Quill" {
		t.Errorf("name from N: %q", all[1].Name)
	}
}

// Cards as three telephones write them; people and numbers are invented. Version 2.1 as vCard 2.1 (1996) describes it,
// from memory.
func TestCardsOfTelephones(t *testing.T) {
	latin := "BEGIN:VCARD\r\nVERSION:2.1\r\nN;CHARSET=ISO-8859-1;ENCODING=QUOTED-PRINTABLE:B=E4r;R=F6sli;;;\r\nTEL;HOME:012\r\nEND:VCARD\r\n"
	text := "BEGIN:VCARD\r\nVERSION:2.1\r\nN;CHARSET=UTF-8;ENCODING=QUOTED-PRINTABLE:M=C3=BCller;J=C3=B6rg;;;\r\n" +
		"FN;CHARSET=UTF-8;ENCODING=QUOTED-PRINTABLE:J=C3=B6rg=\r\n M=C3=BCller\r\nTEL;CELL;PREF:+49 170 0000001\r\n" +
		"EMAIL;HOME:joerg@example.test\r\nPHOTO;ENCODING=BASE64;JPEG:/9j/4AAQ\r\n SkZJRg==\r\n\r\n" +
		"NOTE;ENCODING=QUOTED-PRINTABLE:erste Zeile=0D=0Azweite\r\nEND:VCARD\r\n" +
		"BEGIN:VCARD\nVERSION:3.0\nN:Rossi;Anna;;Dott.ssa;\nFN:Anna Rossi\nitem1.EMAIL;type=INTERNET;type=pref:anna@example.test\n" +
		"TEL;type=CELL;type=VOICE;type=pref:+39 333 000 0002\nNOTE:cerca T218\\, nero\nPHOTO;ENCODING=b;TYPE=JPEG:/9j/4AAQ\n SkZJ\nEND:VCARD\n" +
		"BEGIN:VCARD\nVERSION:4.0\nFN:Pierre Dupont\nTEL;VALUE=uri;PREF=1:tel:+33-6-00-00-00-03\nEMAIL;PREF=1:pierre@example.test\nEND:VCARD\n" + latin
	all, bad, err := people.ReadVCards(strings.NewReader(text))
	if err != nil || len(bad) != 0 || len(all) != 4 {
		t.Fatalf("%d cards, %v, %v", len(all), bad, err)
	}
	for i, want := range []shop.Client{
		{Name: "Jörg Müller", Phone: "+49 170 0000001", Email: "joerg@example.test", Note: "erste Zeile\nzweite"},
		{Name: "Anna Rossi", Phone: "+39 333 000 0002", Email: "anna@example.test", Note: "cerca T218, nero"},
		{Name: "Pierre Dupont", Phone: "+33-6-00-00-00-03", Email: "pierre@example.test"},
		{Name: "Rösli Bär", Phone: "012"},
	} {
		got := all[i]
		if got.Name != want.Name || got.Phone != want.Phone || got.Email != want.Email || got.Note != want.Note ||
			len(got.Channels) > 0 {
			t.Errorf("card %d: %+v; want %+v", i+1, got, want)
		}
	}
}

func FuzzReadVCards(f *testing.F) {
	f.Add("BEGIN:VCARD\r\nVERSION:4.0\r\nFN:A\r\nTEL:+1\r\nADR:;;a;b;c;d;e\r\nEND:VCARD\r\n")
	f.Add("BEGIN:VCARD\nN:;;\nEND:VCARD")
	f.Fuzz(func(t *testing.T, text string) {
		all, _, err := people.ReadVCards(strings.NewReader(text))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := people.WriteVCards(&b, all); err != nil {
			t.Fatal(err)
		}
		back, _, err := people.ReadVCards(&b)
		if err != nil || len(back) != len(all) {
			t.Fatalf("%d of %d cards came back: %v", len(back), len(all), err)
		}
	})
}

func TestClientCSV(t *testing.T) {
	const text = "\uFEFFFull Name,Mail,Mobile,Land,want_budget\nAda Quill,ada@mail.example,01632 960101,gb,5000 EUR\n,x@mail.example,,,\n\"Vale,\nBruno\",,,,\nMax,,,,5k\n"
	all, bad, err := people.ReadCSV(strings.NewReader(text), map[string]string{"country": "Land"})
	if err != nil || len(all) != 2 || len(bad) != 2 {
		t.Fatalf("%+v, %+v, %v", all, bad, err)
	}
	if all[0].Country != "GB" || all[0].Phone != "01632 960101" || all[0].Wants[0].Budget.String() != "5000.00 EUR" ||
		all[1].Name != "Vale, Bruno" {
		t.Errorf("%+v", all)
	}
	if bad[0].Line != 3 || bad[1].Line != 6 || !strings.Contains(bad[1].Why, "5k") {
		t.Errorf("%+v", bad)
	}
	for _, m := range []map[string]string{{"country": "Pays"}, {"colour": "Land"}} {
		if _, _, err := people.ReadCSV(strings.NewReader(text), m); err == nil {
			t.Errorf("mapping %v was taken", m)
		}
	}
	if _, _, err := people.ReadCSV(strings.NewReader("a,b\n1,2\n"), nil); err == nil {
		t.Error("a file without names was taken")
	}
}

func FuzzReadClientCSV(f *testing.F) {
	f.Add("name,email\nAda,a@b\n")
	f.Add("\"name\n")
	f.Fuzz(func(t *testing.T, text string) {
		all, _, err := people.ReadCSV(strings.NewReader(text), nil)
		for _, c := range all {
			if err != nil || strings.TrimSpace(c.Name) == "" {
				t.Fatalf("%+v, %v", c, err)
			}
		}
	})
}

func TestImportFindsDuplicates(t *testing.T) {
	t.Parallel()
	h, ctx := newHouse(t), t.Context()
	if _, err := h.People.Add(ctx, shop.Client{ID: "c_ada", Name: "Ada Quill", Email: "Ada@Mail.example",
		Phone: "+44 1632 960101", Country: "GB"}); err != nil {
		t.Fatal(err)
	}
	in := []shop.Client{
		{Name: "A. Q.", Email: "ada@mail.EXAMPLE", Language: "en"}, {Name: "Somebody",
			Phone: "(01632) 960 101"}, {Name: "quill, ada"},
		{Name: "Ada Quill", Country: "FR", Phone: "+33 1 99 00 11 22"}, {Name: "New One",
			Email: "n@mail.example"}, {Name: "New Two", Email: "N@mail.example"},
	}
	r, err := h.People.Import(ctx, in, true)
	if err != nil {
		t.Fatal(err)
	}
	if r.Added != 2 || r.Merged != 4 || len(r.Duplicates) != 4 || r.Duplicates[3].Why != "the same e-mail address" {
		t.Errorf("%+v", r)
	}
	for _, d := range r.Duplicates[:3] {
		if d.Of != "c_ada" {
			t.Errorf("duplicate of %s; want c_ada: %+v", d.Of, d)
		}
	}
	c, err := h.People.Client(ctx, "c_ada")
	if err != nil || c.Language != "en" || c.Email != "Ada@Mail.example" || c.Name != "Ada Quill" {
		t.Errorf("merged: %+v, %v", c, err)
	}
	again, err := h.People.Import(ctx, in, false)
	if err != nil || again.Added != 0 || len(again.Duplicates) != 6 {
		t.Errorf("the same again: %+v, %v", again, err)
	}
}
