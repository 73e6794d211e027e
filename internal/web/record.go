package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/record"
	"midcase/internal/web/pages/takein"
)

func (s *watchPages) recordPage(w http.ResponseWriter, r *http.Request) error {
	d, start, err := s.recordData(r)
	if err != nil {
		return err
	}
	log, err := s.shop.Log(r.Context(), d.Watch.ID)
	if err != nil {
		return err
	}
	for i, it := range log.Evidence {
		if used := instrument(it.Data); used != "" && it.Kind() == d.Kind.ID {
			start.instrument = used
		}
		if added := r.FormValue("added"); added != "" && string(it.ID) == added {
			d.Added = &log.Evidence[i]
		}
	}
	if k, ok := evidenceKindOf(d.Kind.ID); ok {
		d.Form = k.show(r, start)
	}
	return record.Page(d).Render(r.Context(), w)
}

func instrument(data evidence.Data) string {
	switch x := data.(type) {
	case *evidence.Dimension:
		return x.Instrument
	case *evidence.Weighing:
		return x.Instrument
	case *evidence.Rate:
		return x.Instrument
	}
	return ""
}

func evidenceKindOf(id evidence.Kind) (evidenceKind, bool) {
	i := slices.IndexFunc(evidenceKinds, func(k evidenceKind) bool { return k.ID == id })
	if i < 0 {
		return evidenceKind{}, false
	}
	return evidenceKinds[i], true
}

// recordData is the page for the watch and kind of a request, without its form, and what that starts from.
func (s *watchPages) recordData(r *http.Request) (record.Data, recordStart, error) {
	watch, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return record.Data{}, recordStart{}, err
	}
	kind, _ := evidenceKindOf(evidence.Kind(r.FormValue("kind")))
	d := record.Data{Frame: s.frame("stock", "Add evidence to "+watch.Title), Watch: watch, Kind: kind.Kind,
		Slot: evidence.Slot(r.FormValue("slot"))}
	for _, k := range evidenceKinds {
		d.Kinds = append(d.Kinds, k.Kind)
	}
	if !d.Slot.Valid() {
		d.Slot = ""
	}
	by, err := recordedBy.Read(r, byForm{s.user(r.Context())})
	if err != nil {
		return d, recordStart{}, err
	}
	d.By = &by.View
	start := recordStart{slot: d.Slot}
	start.maker, start.ref, _ = s.shop.Book(r.Context()).Reference(watch.Maker, watch.Reference)
	if d.Kind.ID == evidence.KindComparison {
		start.other = r.FormValue("other") // from the page that compares two watches
		start.others, err = s.compareWith(r.Context(), watch, shop.WatchID(start.other))
	}
	return d, start, err
}

// compareWith lists what a watch can be compared with: one that was asked for, the others of its reference in the shop,
// the latest first, and those seen elsewhere.
func (s *watchPages) compareWith(ctx context.Context, w shop.Watch, asked shop.WatchID) ([]form.Option, error) {
	own, err := s.shop.Watches(ctx, shop.Filter{Maker: w.Maker, Reference: w.Reference})
	if err != nil {
		return nil, err
	}
	seen, err := s.shop.Library.SeenExamples(ctx, w.Maker, w.Reference)
	if err != nil {
		return nil, err
	}
	isAsked := func(o shop.Watch) bool { return o.ID == asked }
	if o, err := s.shop.Watch(ctx, asked); err == nil && !slices.ContainsFunc(own, isAsked) {
		own = append(own, o)
	}
	out := []form.Option{{Value: "", Text: "choose"}}
	for _, o := range slices.Backward(own) {
		if o.ID != w.ID && (o.State != shop.TakenBack || isAsked(o)) {
			out = append(out, form.Option{Value: string(o.ID), Text: fmt.Sprintf("file %d, %s", o.Number,
				strings.TrimSpace(o.Reference+" "+o.Serial))})
		}
	}
	for _, e := range seen {
		out = append(out, form.Option{Value: e.ID, Text: e.Title()})
	}
	if len(out) == 1 {
		out[0].Text = "no other of this reference is on record"
	}
	return out, nil
}

func (s *watchPages) record(w http.ResponseWriter, r *http.Request) error {
	d, start, err := s.recordData(r)
	if err != nil {
		return err
	}
	k, ok := evidenceKindOf(d.Kind.ID)
	if !ok || k.ID == evidence.KindPhoto {
		return &shop.Invalid{What: "add evidence", Problems: evidence.Problems{{Field: "kind",
			Found: strconv.Quote(r.FormValue("kind")), Want: "a kind of evidence that can be typed in"}}}
	}
	var data evidence.Data
	if d.Form, data, err = k.read(r, start); err != nil {
		return err
	}
	var items []evidence.Item
	if d.Form.OK() {
		items, err = s.shop.Intake.RecordHeld(r.Context(), d.Watch.ID, s.who(r), allTheSame(r), data)
	}
	var odd *intake.Doubtful
	if errors.As(err, &odd) {
		d.Odd = odd.Doubts
		return s.recordAgain(w, r, d)
	}
	if d.Form.Refused(err, nil) || !d.Form.OK() {
		return s.recordAgain(w, r, d)
	}
	if err != nil {
		return err
	}
	to := "/watches/" + string(d.Watch.ID)
	if r.FormValue("again") != "" {
		to += "/record?kind=" + url.QueryEscape(string(d.Kind.ID)) + "&slot=" + url.QueryEscape(string(d.Slot)) + "&added=" + url.QueryEscape(string(items[0].ID))
	} else {
		to += "?added=" + url.QueryEscape(string(items[0].ID)) + "#" + string(items[0].ID)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// allTheSame is why an odd entry is kept; empty where nobody said to keep it.
func allTheSame(r *http.Request) string {
	if r.PostFormValue("held") == "" {
		return ""
	}
	return cmp.Or(strings.TrimSpace(r.PostFormValue("why")), "checked again")
}

// recordAgain shows the form with what was typed and what is wrong, next to its field.
func (s *watchPages) recordAgain(w http.ResponseWriter, r *http.Request, d record.Data) error {
	w.WriteHeader(http.StatusUnprocessableEntity)
	return record.Page(d).Render(r.Context(), w)
}

func (s *watchPages) addPhoto(w http.ResponseWriter, r *http.Request) error {
	d, start, err := s.recordData(r)
	if err != nil {
		return err
	}
	kind, _ := evidenceKindOf(evidence.KindPhoto)
	d.Kind = kind.Kind
	if d.Form, _, err = kind.read(r, start); err != nil {
		return err
	}
	if !d.Form.OK() {
		return s.recordAgain(w, r, d)
	}
	f := form.Piece[photoForm](d.Form)
	file, err := f.Picture.Open()
	if err != nil {
		return err
	}
	defer file.Close()
	it, err := s.shop.Intake.AddPhoto(r.Context(), d.Watch.ID, f.View, f.Caption, file, s.who(r))
	if d.Form.Refused(err, nil) {
		return s.recordAgain(w, r, d)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(d.Watch.ID)+"?added="+url.QueryEscape(string(it.ID)), http.StatusSeeOther)
	return nil
}

// picture serves a kept picture: small and without metadata where a size is asked
// for, as it came otherwise.
func (s *watchPages) picture(w http.ResponseWriter, r *http.Request) error {
	original := func() ([]byte, error) { return s.shop.Picture(r.Context(), r.PathValue("sha")) }
	side := map[string]int{"96": 96, "320": 320, "1200": 1200}[r.FormValue("side")]
	const forGood = "private, max-age=31536000, immutable"
	if side > 0 {
		b, err := s.small.get(r.Context(), r.PathValue("sha"), side, original)
		if err != nil {
			return err
		}
		w.Header().Set("Cache-Control", forGood)
		w.Header().Set("Content-Type", "image/jpeg")
		_, err = w.Write(b)
		return err
	}
	b, err := original()
	if err != nil {
		return err
	}
	info, err := picture.Inspect(b)
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", forGood)
	w.Header().Set("Content-Type", info.MediaType)
	_, err = w.Write(b)
	return err
}

func (s *watchPages) takeInPage(w http.ResponseWriter, r *http.Request) error {
	return s.takeInForm(w, r, &takingIn.Of(r.Context(), intakeForm{}).View, nil)
}

func (s *watchPages) takeInForm(w http.ResponseWriter, r *http.Request, f *form.View, odd *intake.Doubtful) error {
	d := takein.Data{Frame: s.frame("stock", "Take a watch in"), Form: f}
	if odd != nil {
		d.Odd = odd.Doubts
	}
	for _, m := range s.shop.Book(r.Context()).Makers {
		d.Makers = append(d.Makers, m.Name)
		for _, ref := range m.References {
			d.References = append(d.References, ref.ID)
		}
	}
	if !f.OK() || odd != nil {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return takein.Page(d).Render(r.Context(), w)
}

func (s *watchPages) takeIn(w http.ResponseWriter, r *http.Request) error {
	f, err := takingIn.Read(r, intakeForm{})
	if err != nil {
		return err
	}
	var kept shop.Watch
	if f.OK() {
		kept, err = s.shop.Intake.TakeInHeld(r.Context(), f.V.intake(), allTheSame(r), s.user(r.Context()))
	}
	var odd *intake.Doubtful
	if errors.As(err, &odd) {
		return s.takeInForm(w, r, &f.View, odd)
	}
	if f.Refused(err, nil) || !f.OK() {
		return s.takeInForm(w, r, &f.View, nil)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(kept.ID), http.StatusSeeOther)
	return nil
}
