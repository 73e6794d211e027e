package metal

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"midcase/say"
)

// reading writes a mark in one line: "gold 750", "layer gold 585", "steel", "conflict".
func reading(m Mark) string {
	if m.Conflict {
		return "conflict"
	}
	out := strings.Join(m.Elements, "/")
	if m.Permille > 0 {
		out = strings.TrimSpace(out + fmt.Sprintf(" %d", m.Permille))
	}
	if m.Colour != "" {
		out += " " + m.Colour
	}
	if m.Plated {
		out = strings.TrimSpace("layer " + out)
	}
	if m.Body != "" {
		out += " on " + m.Body
		if m.BodyPermille > 0 {
			out += fmt.Sprintf(" %d", m.BodyPermille)
		}
	}
	if m.Base != "" {
		out = strings.TrimSpace(out + " " + m.Base)
	}
	if m.Slot != "" {
		out += " of " + m.Slot
	}
	if out == "" {
		return "nothing"
	}
	return out
}

// The forms of marks and what each means. Finenesses: ISO 9202, as far as the country
// page of the hallmarking convention gives them, the rest from memory. Coverings: ISO
// 3160-1 (gold alloy coverings of watch cases, in microns) and the trade rules of the
// United States for filled, rolled plate, overlay and electroplate (fraction of the
// weight and karat), both from memory. Zolotniks and lots: from memory. What is marked
// cp is common practice, no published source.
var markTable = []struct{ text, want string }{
	// Finenesses, ISO 9202, and how they are written.
	{"750", "gold 750"}, {"0.750", "gold 750"}, {"0,750", "gold 750"}, {".750", "gold 750"}, {"750‰", "gold 750"},
	{"750/1000", "gold 750"}, {"750/000", "gold 750"}, {".75", "gold 750"}, {"Au750", "gold 750"}, {"750 Au",
		"gold 750"},
	{"750Au", "gold 750"}, {"585", "gold 585"}, {".585", "gold 585"}, {"375", "gold 375"}, {"333", "gold 333"},
	{"417", "gold 417"}, {"416", "gold 417"}, {".625", "gold 625"}, {"990", "gold 990"},
	{"800", "silver 800"}, {"0,800", "silver 800"}, {"835", "silver 835"}, {"830", "silver 830"}, {"0.935",
		"silver 935"},
	{"925", "silver 925"}, {"Ag 925", "silver 925"}, {"S925", "silver 925"}, {"925S", "silver 925"},
	{"sterling", "silver 925"}, {"STERLING 925", "silver 925"}, {"Britannia", "silver 958"},
	{"PT950", "platinum 950"}, {"Pt 950", "platinum 950"}, {"950 PLAT", "platinum 950"}, {"platine 950",
		"platinum 950"},
	{"Pm900", "platinum 900"}, {"Pd 950", "palladium 950"}, {"PT 850", "platinum 850"}, {"Pt999", "platinum 999"},
	// Numbers that several metals use, by country and time; cp.
	{"875", "silver/gold 875"}, {"916", "silver/gold 916"}, {"900", "silver/gold/platinum 900"},
	{"950", "platinum/palladium/silver 950"}, {"958", "gold/silver 958"}, {"999",
		"gold/silver/platinum/palladium 999"},
	{"833", "silver/gold 833"}, {"500", "gold/palladium 500"}, {"850", "platinum 850"},
	{"Ag 875", "silver 875"}, {"Au 916", "gold 916"}, {"argent 950", "silver 950"}, {"or 900", "gold 900"},
	// Karats; cp.
	{"18k", "gold 750"}, {"18 K", "gold 750"}, {"18K.", "gold 750"}, {"18 K.", "gold 750"}, {"18KT", "gold 750"},
	{"14 ct", "gold 585"}, {"9ct.", "gold 375"}, {"18 carats", "gold 750"}, {"18 Karat", "gold 750"}, {"K18",
		"gold 750"},
	{"18C", "gold 750"}, {"10K", "gold 417"}, {"15ct .625", "gold 625"}, {"12 k", "gold 500"}, {"22ct", "gold 916"},
	{"9 .375", "gold 375"}, {"18 .750", "gold 750"}, {"18K 0.750", "gold 750"}, {"18K 0,755", "gold 750"},
	{"14K 583", "gold 585"}, {"14K 0.585", "gold 585"}, {"583", "gold 583"}, {"18K massif", "gold 750"}, {"14KP",
		"gold 585"},
	{"K18WG", "gold 750 white"}, {"18KWG", "gold 750 white"}, {"18K white gold", "gold 750 white"},
	{"K14YG", "gold 585 yellow"}, {"750WG", "gold 750 white"}, {"18K rose gold", "gold 750 rose"},
	{"K18PG", "gold 750 rose"}, {"750 RG", "layer gold 750"}, {"Weißgold 585", "gold 585 white"}, {"Gelbgold 750",
		"gold 750 yellow"},
	{"or gris 750", "gold 750 white"}, {"18K rhodium plated", "gold 750 white"},
	{"or 750", "gold 750"}, {"gold", "gold"}, {"oro 18 kt", "gold 750"}, {"argent", "silver"}, {"Silber 800",
		"silver 800"},
	// Zolotniks of old Russia and lots of the German lands; from memory.
	{"56", "gold 583"}, {"72", "gold 750"}, {"84", "silver 875"}, {"88", "silver 916"}, {"92", "gold 958"},
	{"56 zolotnik", "gold 583"}, {"12 Lot", "silver 750"}, {"13 löthig", "silver 813"},
	// Coin silver: 900 by United States law since 1837; iridium in platinum; cp.
	{"coin", "silver 900"}, {"COIN SILVER", "silver 900"}, {"10% irid. plat.", "platinum 900"},
	{"Platinum 10 % iridium", "platinum 900"}, {"90% plat 10% irid", "platinum 900"}, {"1/10 irid plat",
		"platinum 900"},
	{"Iridplat", "platinum"},
	// Filled and rolled: United States trade rules, and European terms.
	{"14K GF", "layer gold 585"}, {"14K G.F.", "layer gold 585"}, {"14 K. G. F.", "layer gold 585"}, {"14KGF",
		"layer gold 585"},
	{"GF", "layer"}, {"G.F.", "layer"}, {"14K gold filled", "layer gold 585"}, {"1/20 14K gold filled",
		"layer gold 585"},
	{"1/20 10K", "layer gold 417"}, {"1/10 14K", "layer gold 585"}, {"1/20 12K GF", "layer gold 500"},
	{"14/20", "layer gold 585"}, {"14/20 GF", "layer gold 585"}, {"10K R.G.P.", "layer gold 417"}, {"10K RGP",
		"layer gold 417"},
	{"1/40 10K R.G.P.", "layer gold 417"}, {"rolled gold", "layer gold"}, {"10K rolled gold plate", "layer gold 417"},
	{"9ct R.G.", "layer gold 375"}, {"guaranteed 20 years", "layer"}, {"14K guaranteed 25 years", "layer gold 585"},
	{"Warranted 20 Years", "layer"}, {"garantie 10 ans", "layer"}, {"gold shell", "layer gold"}, {"18K gold shell",
		"layer gold 750"},
	{"gold overlay", "layer gold"}, {"14K gold overlay", "layer gold 585"}, {"gold cased", "layer gold"},
	{"9ct gold cased", "layer gold 375"},
	{"gold capped", "layer gold"}, {"or laminé", "layer gold"}, {"laminé", "layer"}, {"Walzgold", "layer"},
	{"Walzgold-Doublé 20 Mikron", "layer"}, {"doublé or", "layer gold"}, {"oro laminato", "layer gold"},
	// Plated: ISO 3160-1 gives the thickness in microns.
	{"G.P.", "layer"}, {"18K G.P.", "layer gold 750"}, {"18K GP", "layer gold 750"}, {"18KGP", "layer gold 750"},
	{"14K G.E.P.", "layer gold 585"}, {"18K HGE", "layer gold 750"}, {"18K gold plated 20 microns", "layer gold 750"},
	{"plaqué or", "layer gold"}, {"PLAQUE OR G 20 MICRONS", "layer gold"}, {"20 microns", "layer"}, {"20µ", "layer"},
	{"20 µm", "layer"},
	{"Plaqué or 18K 10 mic", "layer gold 750"}, {"vergoldet", "layer"}, {"20 Mikron vergoldet", "layer"},
	{"Goldauflage 20 Mikron", "layer"}, {"gold electroplate", "layer gold"}, {"electroplated 18K", "layer gold 750"},
	{"placcato oro", "layer gold"}, {"chapado oro 20 micras", "layer gold"}, {"gilt", "layer"}, {"gold tone",
		"layer gold"},
	{"gold washed", "layer gold"}, {"argenté", "layer"}, {"versilbert", "layer"}, {"silver plated", "layer silver"},
	// Gold on silver.
	{"18K on sterling", "layer gold 750 on silver 925"}, {"14K on silver", "layer gold 585 on silver"},
	{"vermeil", "layer gold on silver"}, {"925 gold plated", "layer gold on silver 925"}, {"sterling vergoldet",
		"layer on silver 925"},
	{"gold on steel", "layer gold steel"},
	// Steel and other base metal; cp.
	{"stainless steel", "steel"}, {"acier inoxydable", "steel"}, {"STAINLESS STEEL BACK", "steel of case_back"},
	{"fond acier", "steel of case_back"}, {"Edelstahl", "steel"}, {"S.S.", "steel"}, {"316L", "steel"}, {"18/8",
		"steel"},
	{"rostfrei", "steel"}, {"inox", "steel"}, {"nickel", "nickel"}, {"nickel silver", "nickel_silver"},
	{"German silver", "nickel_silver"}, {"Neusilber", "nickel_silver"}, {"Alpacca", "nickel_silver"}, {"argentan",
		"nickel_silver"},
	{"maillechort", "nickel_silver"}, {"EPNS", "layer"}, {"brass", "brass"}, {"laiton", "brass"}, {"base metal",
		"base"},
	{"base metal bezel", "base of bezel"}, {"white metal", "base"}, {"titanium", "titanium"},
	{"chromium plated brass", "layer brass"},
	// What cannot be true at once.
	{"18K 585", "conflict"}, {"Au Pt 950", "conflict"}, {"gold 925", "conflict"}, {"silver 585", "conflict"},
	{"Pt900 K18", "conflict"},
	{"18K stainless steel", "conflict"}, {"14K 750", "conflict"},
	// Signs that say nothing of the metal.
	{"123", "nothing"}, {"99k", "nothing"}, {"AB in a lozenge", "nothing"}, {"cased and timed in", "nothing"},
	{"1905", "nothing"},
}

func TestMarkTable(t *testing.T) {
	if len(markTable) < 136 {
		t.Fatalf("%d forms", len(markTable))
	}
	for _, c := range markTable {
		for _, text := range []string{c.text, strings.ToUpper(c.text), strings.ToLower(c.text), " " + c.text + " "} {
			m, err := ReadHallmark(text)
			if err != nil || reading(m) != c.want {
				t.Errorf("%q: %q (%+v), %v; want %q", text, reading(m), m, err, c.want)
				break
			}
			if m.Reads() && !slices.Contains(say.Strings(m.Says), "A mark is not an assay.") {
				t.Errorf("%q does not say that a mark is not an assay: %q", text, m.Says)
			}
		}
	}
}

// A number that is written for several metals is said to be.
func TestSeveralMetalsAreNamed(t *testing.T) {
	m, _ := ReadHallmark("950")
	if got := m.Says[0].String(); got != "States 950 ‰, which is marked on platinum, palladium or silver, by country and time." {
		t.Error(got)
	}
}

func TestReadHallmarkKeepsTheRest(t *testing.T) {
	for text, unread := range map[string][]string{
		"head of a woman, 18K": {"head", "a", "woman,"}, "AB in a lozenge": {"AB", "a", "lozenge"}, "99k": {"99k"},
		"750 123456": {"123456"}, "14K gold filled": nil,
	} {
		m, err := ReadHallmark(text)
		if err != nil || !slices.Equal(m.Unread, unread) {
			t.Errorf("%q: %q, %v", text, m.Unread, err)
		}
	}
}

// Every mark of a layer, a base metal, another element or another fineness contradicts
// an 18 karat part; no gold comes of it.
func TestMarksAgainstEighteenKarat(t *testing.T) {
	agrees := []string{"gold 750", "gold 750 white", "gold 750 yellow", "gold 750 rose", "gold", "nothing"}
	for _, c := range markTable {
		m, err := ReadHallmark(c.text)
		if err != nil {
			t.Fatal(err)
		}
		want := Contradicts
		if slices.Contains(agrees, c.want) {
			want = Fits
		}
		if c.want == "nothing" {
			want = Silent
		}
		if got := m.Against(Gold, 750); got != want {
			t.Errorf("%q (%s) beside 18 karat: %d, want %d", c.text, c.want, got, want)
		}
	}
}

// A solid mark contradicts a base part; two marks that say the same do not contradict.
func TestMarksAgainstOthers(t *testing.T) {
	of := func(text string) Mark {
		m, err := ReadHallmark(text)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	if of("18K").Against("", 0) != Contradicts || of("14K GF").Against("", 0) != Fits || of("steel").Against("",
		0) != Fits {
		t.Error("a base part")
	}
	if of("sterling vermeil").Against(Silver, 925) != Fits || of("vermeil").Against(Gold, 750) != Contradicts {
		t.Error("gold on silver is silver")
	}
	for _, c := range []struct {
		a, b string
		want bool
	}{{"18K", "750", false}, {"14K", "583", false}, {"14K", "18K", true}, {"18K", "925", true}, {"18K", "18K GP",
		true},
		{"950", "PT950", false}, {"875", "18K", true}, {"gold", "18K", false}, {"AB", "18K", false}, {"steel", "18K",
			true}} {
		if of(c.a).Contradicts(of(c.b)) != c.want || of(c.b).Contradicts(of(c.a)) != c.want {
			t.Errorf("%s and %s", c.a, c.b)
		}
	}
}

func TestReadHallmarkErrors(t *testing.T) {
	for _, text := range []string{"", "  ", strings.Repeat("7", 401)} {
		if _, err := ReadHallmark(text); !errors.Is(err, ErrInput) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzReadHallmark(f *testing.F) {
	for _, c := range markTable {
		f.Add(c.text)
	}
	for _, s := range []string{"14,5 ct", ".", "0.", "K", "Ⅷ 18", "1/0 IRID", "0% IRID", "0% GOLD", "on 123", "A. B"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := ReadHallmark(s)
		if err != nil {
			if !errors.Is(err, ErrInput) {
				t.Fatal(err)
			}
			return
		}
		if m.Permille < 0 || m.Permille > 999 || m.Karat < 0 || m.Karat > 24 || m.BodyPermille < 0 {
			t.Fatalf("%q: %+v", s, m)
		}
		if m.Permille > 0 && len(m.Elements) == 0 {
			t.Fatalf("%q: a fineness of nothing", s)
		}
		if (m.Plated || m.Base != "") && m.Against(Gold, 750) != Contradicts {
			t.Fatalf("%q: a layer or base metal that counts as gold", s)
		}
		for _, said := range m.Says {
			if utf8.ValidString(s) && !utf8.ValidString(said.String()) {
				t.Fatalf("%q: says %q", s, said)
			}
		}
	})
}
