package form_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"
	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/web/form"
	"midcase/money"
	"midcase/say"
)

type row struct {
	Fee float64 `form:"fee" label:"Fee" unit:"%" max:"90"`
}

type every struct {
	Name   string          `form:"name,needed" label:"Name"`
	Size   float64         `form:"size" label:"Size" unit:"mm" want:"a size in mm, for example 36.4"`
	Sure   float64         `form:"sure" label:"How sure?" unit:"%" min:"0" max:"100"`
	Half   *float64        `form:"half" label:"± half" unit:"mm"`
	Links  int             `form:"links" label:"Links" min:"0" max:"30"`
	Paid   money.Money     `form:"paid" label:"Price paid"`
	Share  decimal.Decimal `form:"share" label:"Share" unit:"%"`
	Rate   decimal.Decimal `form:"rate" label:"Rate of exchange"`
	Day    string          `form:"day" label:"Day" kind:"day"`
	Until  edtf.Date       `form:"until" label:"Last day" want:"the last day"`
	Pay    string          `form:"pay" label:"Paid from" choices:"bank|cash|owed=later"`
	New    bool            `form:"new" label:"Add as a new client"`
	Notes  []string        `form:"notes" label:"Notes"`
	At     [][2]float64    `form:"at" label:"Edge" min:"3" max:"60"`
	piece  `label:"Seller" is:"needed"`
	folded `group:"More"`
	Routes []row `rows:"r#_*"`
	kept   int
}

type piece struct {
	Client string `form:"client" label:"Client"`
	Other  string `form:"other" label:"Other"`
}

type folded struct {
	Remark string  `form:"remark" label:"Remark" hint:"kept for good"`
	Months float64 `form:"months,zero,keep" label:"Months"`
}

var everyForm = form.Define[every]("every")

func send(t *testing.T, l say.Locale, sent url.Values, start every) *form.Form[every] {
	t.Helper()
	r := httptest.NewRequest(http.MethodPost, "/", strings.NewReader(sent.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r = r.WithContext(form.With(context.Background(), form.Reader{Locale: l, Currency: "EUR"}))
	f, err := everyForm.Read(r, start)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

var german = say.LocaleOf("de-DE", "")

func TestReadsEachKind(t *testing.T) {
	for _, c := range []struct {
		locale      say.Locale
		field, text string
		got         func(every) any
		want        any
	}{
		{say.English, "size", "36.4", func(v every) any { return v.Size }, 36.4},
		{german, "size", "36,4", func(v every) any { return v.Size }, 36.4},
		{german, "size", "12,125", func(v every) any { return v.Size }, 12.125},
		{say.English, "sure", "95 %", func(v every) any { return v.Sure }, 0.95},
		{german, "half", "0,05", func(v every) any { return *v.Half }, 0.05},
		{say.English, "links", "12", func(v every) any { return v.Links }, 12},
		{say.English, "paid", "6,500", func(v every) any { return v.Paid.String() }, "6500.00 EUR"},
		{german, "paid", "6.500,50 CHF", func(v every) any { return v.Paid.String() }, "6500.50 CHF"},
		{german, "share", "12,5", func(v every) any { return v.Share.String() }, "0.125"},
		{german, "rate", "0,9512", func(v every) any { return v.Rate.String() }, "0.9512"},
		{say.English, "day", "2026-03-01", func(v every) any { return v.Day }, "2026-03-01"},
		{say.English, "until", "1968~", func(v every) any { return v.Until.String() }, "1968~"},
		{say.English, "pay", "owed", func(v every) any { return v.Pay }, "owed"},
		{say.English, "new", "1", func(v every) any { return v.New }, true},
		{say.English, "notes", "one\r\n\r\n two ", func(v every) any { return strings.Join(v.Notes, "|") }, "one|two"},
		{say.English, "at", "1 2; 3 4; 5.5 6", func(v every) any { return v.At[2][0] }, 5.5},
		{say.English, "r1_fee", "15", func(v every) any { return v.Routes[1].Fee }, 0.15},
		{say.English, "remark", " said ", func(v every) any { return v.Remark }, "said"},
	} {
		f := send(t, c.locale, url.Values{"name": {"x"}, "client": {"y"}, c.field: {c.text}, "r0_fee": {""}}, every{})
		if !f.OK() {
			t.Errorf("%s %q: %+v", c.field, c.text, f.Problems())
			continue
		}
		if got := c.got(f.V); got != c.want {
			t.Errorf("%s %q in %s: %v; want %v", c.field, c.text, c.locale.Tag, got, c.want)
		}
	}
}

func TestSaysWhatIsWrong(t *testing.T) {
	for _, c := range []struct {
		locale            say.Locale
		field, text, says string
	}{
		{say.English, "name", "", "Enter the name."},
		{say.English, "client", "", "Enter the seller."},
		{say.English, "size", "abc", "“abc” is not a number. Enter a size in mm, for example 36.4."},
		{say.English, "size", "NaN", "“NaN” is not a number. Enter a size in mm, for example 36.4."},
		{say.English, "sure", "120", "“120” is out of range. Enter a percentage from 0 to 100."},
		{say.English, "half", "x", "“x” is not a number. Enter a number in mm, for example 36.4."},
		{german, "half", "x", "“x” is not a number. Enter a number in mm, for example 36,4."},
		{german, "size", "6.500", "The figure \"6.500\" can be read two ways: as 6,500 or as 6500. Enter it so that it can be read one way only, such as 36,25."},
		{say.English, "links", "1.5", "“1.5” is not a whole number. Enter a number from 0 to 30."},
		{say.English, "paid", "a lot",
			"“a lot” is not an amount. Enter an amount above zero, for example 6500 or 6500 CHF."},
		{say.English, "paid", "-5",
			"“-5” is not above zero. Enter an amount above zero, for example 6500 or 6500 CHF."},
		{say.English, "share", "101", "“101” is out of range. Enter a percentage from 0 to 100, for example 15."},
		{say.English, "day", "tomorrow", "“tomorrow” is not a day. Enter a day, for example 2026-03-01."},
		{say.English, "until", "soon", "“soon” is not a date. Enter the last day."},
		{say.English, "pay", "gold", "“gold” is not on the list. Choose one of it."},
		{say.English, "at", "1 2", "1 points are marked. Mark 3 points or more."},
		{say.English, "r0_fee", "95", "“95” is out of range. Enter a percentage from 0 to 90."},
	} {
		sent := url.Values{"name": {"x"}, "client": {"y"}}
		sent.Set(c.field, c.text)
		f := send(t, c.locale, sent, every{})
		if got := f.Problems()[c.field]; got != c.says {
			t.Errorf("%s %q:\n got %s\nwant %s", c.field, c.text, got, c.says)
		}
		if got := drawn(t, f).Find("[name=" + c.field + "]"); !got.Is("select, textarea") &&
			got.AttrOr("value", "") != c.text {
			t.Errorf("%s holds %q; want what was typed, %q", c.field, got.AttrOr("value", ""), c.text)
		}
	}
}

func drawn(t interface{ Fatal(...any) }, f *form.Form[every]) *goquery.Document {
	var page strings.Builder
	if err := form.Fields(&f.View).Render(context.Background(), &page); err != nil {
		t.Fatal(err)
	}
	d, err := goquery.NewDocumentFromReader(strings.NewReader(page.String()))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// sentBy are the values that a browser sends of a page.
func sentBy(d *goquery.Document) url.Values {
	out := url.Values{}
	d.Find("input, select, textarea").Each(func(_ int, e *goquery.Selection) {
		switch {
		case e.Is("select"):
			out.Set(e.AttrOr("name", ""), e.Find("[selected]").AttrOr("value", ""))
		case e.Is("textarea"):
			out.Set(e.AttrOr("name", ""), e.Text())
		case e.AttrOr("type", "") != "checkbox" || e.Is("[checked]"):
			out.Set(e.AttrOr("name", ""), e.AttrOr("value", ""))
		}
	})
	return out
}

func TestDrawnTypedReadIsTheSame(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		hundredth := func(name string, most int) float64 {
			return float64(rapid.IntRange(1, most).Draw(r,
				name)) / 1000
		}
		half := hundredth("half", 5000)
		v := every{Name: rapid.StringMatching(`[A-Z][a-zé<&"]{0,12}`).Draw(r, "name"), Size: hundredth("size", 300_000), Sure: hundredth("sure", 1000), Half: &half, Links: rapid.IntRange(0, 30).Draw(r, "links"),
			Paid: money.MustParse(strconv.Itoa(rapid.IntRange(1, 9_999_999).Draw(r, "paid")),
				rapid.SampledFrom([]string{"EUR", "CHF", "JPY"}).Draw(r, "currency")),
			Rate: decimal.MustNew(int64(rapid.IntRange(1, 2_000_000).Draw(r, "rate")),
				4), Share: decimal.MustNew(int64(rapid.IntRange(0, 1000).Draw(r, "share")), 3),
			Day: "2026-03-01", Until: edtf.MustParse("1965~"), Pay: rapid.SampledFrom([]string{"bank", "cash",
				"owed"}).Draw(r, "pay"), New: rapid.Bool().Draw(r, "new"),
			Notes: []string{"one", "two"}, At: [][2]float64{{1.5, 2}, {3, 4},
				{hundredth("x", 9000), 6}}, Routes: []row{{hundredth("fee", 900)}, {0}}}
		v.Remark, v.Client = "kept", "Anna"
		l := rapid.SampledFrom(say.Locales()).Draw(r, "locale")
		ctx := form.With(context.Background(), form.Reader{Locale: l, Currency: "USD"})
		sent := sentBy(drawn(r, everyForm.Of(ctx, v)))
		req := httptest.NewRequest(http.MethodPost, "/", strings.NewReader(sent.Encode())).WithContext(ctx)
		req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		f, err := everyForm.Read(req, every{})
		if err != nil || !f.OK() {
			r.Fatalf("%s: %v %v of %v", l.Tag, err, f.Problems(), sent)
		}
		again := sentBy(drawn(r, everyForm.Of(ctx, f.V)))
		if again.Encode() != sent.Encode() || f.V.Paid.String() != v.Paid.String() || f.V.Size != v.Size ||
			!f.V.Rate.Equal(v.Rate) || f.V.Name != v.Name {
			r.Fatalf("%s: %+v\n%+v", l.Tag, f.V, v)
		}
	})
}

func TestEmptyStaysEmpty(t *testing.T) {
	for name, v := range sentBy(drawn(t, everyForm.Of(context.Background(), every{}))) {
		if v[0] != "" && name != "months" { // 0 months means something
			t.Errorf("%s shows %q where nothing was typed", name, v[0])
		}
	}
}

func TestWhatWasNotSentStays(t *testing.T) {
	f := send(t, say.English, url.Values{"name": {"x"}, "client": {"y"}, "size": {""}},
		every{Size: 3, Links: 4, New: true, kept: 7})
	if f.V.Links != 4 || f.V.kept != 7 {
		t.Errorf("%+v: what was not sent is gone", f.V)
	}
	if f.V.Size != 0 || f.V.New {
		t.Errorf("%+v: what was emptied or not ticked still stands", f.V)
	}
}

func TestKeptWhenEmptied(t *testing.T) {
	start := every{}
	start.Months = 12
	f := send(t, say.English, url.Values{"name": {"x"}, "client": {"y"}, "months": {" "}}, start)
	if f.V.Months != 12 || f.Field(&f.V.Months).Value != "12" {
		t.Errorf("%+v; want the usual 12", f.V.Months)
	}
}

func TestProblemsOfTheShopComeToTheirFields(t *testing.T) {
	f := send(t, say.English, url.Values{"name": {"x"}, "client": {"y"}}, every{})
	f.Invalid(evidence.Problems{{Field: "price", Found: "nothing", Want: "a price"}, {Field: "elsewhere", Found: `"a"`, Want: "b"}}, map[string]string{"price": "paid"})
	if got := f.Problems()["paid"]; got != "Enter a price." {
		t.Error(got)
	}
	if len(f.Rest) != 1 || f.Rest[0] != "“a” will not do. Enter b." {
		t.Error(f.Rest)
	}
	f.Wrong(&f.V.Remark, "Say why.")
	d := drawn(t, f)
	if d.Find("details[open] .error").Text() != "Say why." {
		t.Error("a group with a problem stays folded")
	}
	if in := d.Find("[name=remark]"); in.AttrOr("aria-describedby", "") != d.Find("details .error").AttrOr("id",
		"none") || in.AttrOr("aria-invalid", "") != "true" {
		t.Error("the problem is not tied to its field")
	}
}

func TestChoicesOfferedLater(t *testing.T) {
	f := send(t, say.English, url.Values{"name": {"Anna"}}, every{})
	f.Field(&f.V.Name).Kind = form.Choice
	f.Offer(&f.V.Name, form.Option{Value: "Bert", Text: "Bert"})
	if f.OK() {
		t.Error("what is not on the list was taken")
	}
	f = send(t, say.English, url.Values{"name": {"Anna"}}, every{})
	f.Drop(&f.V.Remark, &f.V.Routes)
	if drawn(t, f).Find("[name=remark]").Length() != 0 {
		t.Error("a dropped field is drawn")
	}
}

func TestPiecesAreFoundAgain(t *testing.T) {
	f := send(t, say.English, url.Values{"name": {"x"}, "client": {"Anna"}}, every{})
	p := form.Piece[piece](&f.View)
	if p == nil || p.Client != "Anna" {
		t.Fatalf("%+v", p)
	}
	f.Wrong(&p.Other, "Say more.")
	if f.Problems()["other"] != "Say more." {
		t.Errorf("%v", f.Problems())
	}
	if form.Piece[weighing](&f.View) != nil {
		t.Error("a piece that the form does not have was found")
	}
}

func TestDefineRefuses(t *testing.T) {
	for name, define := range map[string]func(){
		"a name twice": func() {
			form.Define[struct {
				A string `form:"a" label:"A"`
				B string `form:"a" label:"B"`
			}]("t")
		},
		"no label": func() {
			form.Define[struct {
				A string `form:"a"`
			}]("t")
		},
		"a type nobody can type": func() {
			form.Define[struct {
				A chan int `form:"a" label:"A"`
			}]("t")
		},
		"no name": func() {
			form.Define[struct {
				A string `form:",needed" label:"A"`
			}]("t")
		},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s was accepted", name)
				}
			}()
			define()
		}()
	}
}

func TestToken(t *testing.T) {
	var page strings.Builder
	ctx := form.With(context.Background(), form.Reader{Token: func() string { return "t1" }})
	if err := form.Token().Render(ctx, &page); err != nil {
		t.Fatal(err)
	}
	if want := `<input type="hidden" name="form_token" value="t1">`; page.String() != want {
		t.Errorf("%s; want %s", page.String(), want)
	}
}
