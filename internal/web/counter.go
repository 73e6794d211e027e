package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"midcase/condition"
	"midcase/internal/shop/desk"
	"midcase/internal/shop/intake"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/counter"
	"midcase/money"
)

// counterPages answer at the counter while the seller waits.
type counterPages struct{ *site }

func (s *counterPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /counter", s.page(s.counterPage))
	mux.Handle("POST /counter", s.page(s.counterTakeIn))
}

// counterForm has the line and the six inputs of the counter.
type counterForm struct {
	Line      string      `form:"line,broad" label:"In one line" hint:"such as KR-1 414459 silver dial box 5200; or dictate a sentence or two. It stands for the fields below."`
	Reference string      `form:"reference" label:"Reference" hint:"such as Corvane KR-1" list:"references"`
	Metal     string      `form:"metal" label:"Metal" kind:"choice"`
	Serial    string      `form:"serial" label:"Serial number or year"`
	Condition float64     `form:"condition" label:"Condition at a glance" kind:"choice"`
	Set       string      `form:"set" label:"Comes as" choices:"=not said|watch=the watch alone|papers=with papers|full=with box and papers"`
	Asked     money.Money `form:"asked" label:"Price asked"`
}

var counterOffer = form.Define[counterForm]("counter")

// Prepare implements the choices of a form.
func (f *counterForm) Prepare(v *form.View) {
	grades := []form.Option{{Value: "", Text: "not judged"}}
	for _, g := range []float64{9.5, 8.5, 7, 5.5, 4, 2.5} {
		grades = append(grades, form.Option{Value: fmt.Sprint(g), Text: fmt.Sprintf("%g: %s", g,
			condition.GradeWords(g))})
	}
	v.Offer(&f.Condition, grades...)
}

// inquiry is what was asked. Four digits that can be a year of the last centuries are read as one; anything
// else is a serial number.
func (f counterForm) inquiry(year int) desk.Inquiry {
	q := desk.Inquiry{Reference: f.Reference, Metal: f.Metal, Set: f.Set, Condition: f.Condition, Asked: f.Asked}
	if n, err := strconv.Atoi(f.Serial); err == nil && len(f.Serial) == 4 && n >= 1900 && n <= year {
		q.Year = n
	} else {
		q.Serial = f.Serial
	}
	return q
}

// readCounter is the page of a request, with its inquiry.
func (s *counterPages) readCounter(r *http.Request) (counter.Data, desk.Inquiry, error) {
	f, err := counterOffer.Read(r, counterForm{})
	if err != nil {
		return counter.Data{}, desk.Inquiry{}, err
	}
	f.Offer(&f.V.Metal, append([]form.Option{{Value: "", Text: "as in the book"}}, s.metals(r.Context())...)...)
	q := f.V.inquiry(s.shop.Now().Year())
	if f.OK() && strings.TrimSpace(f.V.Line) != "" {
		if q, err = s.shop.Desk.Heard(r.Context(), f.V.Line); err != nil && !f.Refused(err, nil) {
			return counter.Data{}, q, err
		}
	}
	d := counter.Data{Form: &f.View, Heard: q.Note}
	if strings.TrimSpace(f.V.Line) != "" && f.OK() {
		d.Inquiry = &q
	}
	return d, q, nil
}

func (s *counterPages) counterPage(w http.ResponseWriter, r *http.Request) error {
	d, q, err := s.readCounter(r)
	if err != nil || q.Reference == "" || !d.Form.OK() {
		return s.counterForm(w, r, d, err)
	}
	return s.answer(w, r, d, q, nil)
}

// answer shows what an inquiry is answered with; odd is why it was not kept, where it was to be.
func (s *counterPages) answer(w http.ResponseWriter, r *http.Request, d counter.Data, q desk.Inquiry,
	odd *intake.Doubtful) error {
	offer, err := s.shop.Desk.Counter(r.Context(), q, s.shop.Now())
	if err == nil {
		d.Offer = &offer
		d.Once, d.Ask = keptOnce(s.user(r.Context()), s.shop.Now().Format(time.DateOnly), r.Form), odd != nil
		if odd != nil {
			d.Offer.Odd = odd.Doubts // with those by other files
		}
		if q.Year != 0 {
			d.ReadAs = fmt.Sprintf(", made about %d", q.Year)
		}
	}
	return s.counterForm(w, r, d, err)
}

// keptOnce is the token of keeping one question of one person on one day: the browser asks for the page anew when it is
// gone back to, and “Keep it” must not open a second file.
func keptOnce(who, day string, asked url.Values) string {
	asked = maps.Clone(asked)
	asked.Del("held")
	asked.Del("why")
	sum := sha256.Sum256([]byte(who + "\n" + day + "\n" + asked.Encode()))
	return hex.EncodeToString(sum[:])
}

// offeredAtMost is how many references the field of the counter offers.
const offeredAtMost = 1000

// counterForm shows the page; err is what asking gave.
func (s *counterPages) counterForm(w http.ResponseWriter, r *http.Request, d counter.Data, err error) error {
	if err != nil && (d.Form == nil || !d.Form.Refused(err, nil)) {
		return err
	}
	d.Frame = s.frameOf(r.Context(), "counter", "Counter offer", counterNow)
	met, failed := s.shop.Desk.Met(r.Context())
	if failed != nil {
		return failed
	}
	for _, m := range met[:min(len(met), offeredAtMost)] {
		d.References = append(d.References, m.Maker+" "+m.Reference)
	}
	if !d.Form.OK() || d.Ask {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return counter.Page(d).Render(r.Context(), w)
}

// counterTakeIn makes a watch file of what was asked at the counter.
func (s *counterPages) counterTakeIn(w http.ResponseWriter, r *http.Request) error {
	d, q, err := s.readCounter(r)
	if err != nil || !d.Form.OK() {
		return s.counterForm(w, r, d, err)
	}
	kept, err := s.shop.Desk.TakeInInquiry(r.Context(), q, allTheSame(r), s.user(r.Context()))
	var odd *intake.Doubtful
	if errors.As(err, &odd) {
		return s.answer(w, r, d, q, odd)
	}
	if err != nil {
		return s.counterForm(w, r, d, err)
	}
	http.Redirect(w, r, "/watches/"+string(kept.ID), http.StatusSeeOther)
	return nil
}
