package web

import (
	"errors"
	"net/http"
	"net/url"

	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/pages/record"
	"midcase/internal/web/pages/takein"
)

func (s *Server) recordPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.recordData(r)
	if err != nil {
		return err
	}
	if err := s.fillFromLast(r, &d); err != nil {
		return err
	}
	return record.Page(d).Render(r.Context(), w)
}

// fillFromLast offers what is likely the same as last time: the part, and the
// instrument of the last reading of this kind. It also finds the item just added.
func (s *Server) fillFromLast(r *http.Request, d *record.Data) error {
	values := map[string]string{"slot": string(d.Slot)}
	if other := r.FormValue("other"); other != "" && d.Kind == evidence.KindComparison {
		values["other"] = other // from the page that sets two watches side by side
	}
	log, err := s.shop.Log(r.Context(), d.Watch.ID)
	if err != nil {
		return err
	}
	for i, it := range log.Evidence {
		if used := instrument(it.Data); used != "" && it.Kind() == d.Kind {
			values["instrument"] = used
		}
		if added := r.FormValue("added"); added != "" && string(it.ID) == added {
			d.Added = &log.Evidence[i]
		}
	}
	d.Fields = record.Fill(d.Fields, values, nil)
	return nil
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

// recordData is the form for the watch and kind of a request.
func (s *Server) recordData(r *http.Request) (record.Data, error) {
	watch, err := s.shop.Watch(r.Context(), shop.WatchID(r.PathValue("id")))
	if err != nil {
		return record.Data{}, err
	}
	d := record.Data{Frame: s.frame("stock", "Add evidence to "+watch.Title), Watch: watch, Kind: evidence.Kind(r.FormValue("kind")), Slot: evidence.Slot(r.FormValue("slot")), By: s.user(r.Context())}
	if !d.Slot.Valid() {
		d.Slot = ""
	}
	if by := r.FormValue("by"); by != "" {
		d.By = by
	}
	maker, ref, _ := s.shop.Book(r.Context()).Reference(watch.Maker, watch.Reference)
	d.Fields = record.Fields(d.Kind, d.Slot, maker, ref)
	return d, nil
}

func (s *Server) record(w http.ResponseWriter, r *http.Request) error {
	d, err := s.recordData(r)
	if err != nil {
		return err
	}
	values := map[string]string{}
	for _, f := range d.Fields {
		values[f.Name] = r.FormValue(f.Name)
	}
	var measures, amounts []string
	for _, f := range d.Fields {
		switch {
		case f.Type == "number":
			measures = append(measures, f.Name)
		case f.Name == "price" || f.Name == "cost":
			amounts = append(amounts, f.Name)
		}
	}
	plain, problems := readFigures(r.Context(), values, measures, amounts)
	if len(problems) > 0 {
		return s.again(w, r, d, values, problems)
	}
	data, problems := evidence.FromFields(d.Kind, plain)
	if len(problems) > 0 {
		return s.again(w, r, d, values, problems)
	}
	items, err := s.shop.Intake.Record(r.Context(), d.Watch.ID, d.By, data)
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return s.again(w, r, d, values, invalid.Problems)
	}
	if err != nil {
		return err
	}
	to := "/watches/" + string(d.Watch.ID)
	if r.FormValue("again") != "" {
		to += "/record?kind=" + url.QueryEscape(string(d.Kind)) + "&slot=" + url.QueryEscape(string(d.Slot)) + "&added=" + url.QueryEscape(string(items[0].ID))
	} else {
		to += "?added=" + url.QueryEscape(string(items[0].ID)) + "#" + string(items[0].ID)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// again shows the form with what was typed and what is wrong, next to its field.
func (s *Server) again(w http.ResponseWriter, r *http.Request, d record.Data, values map[string]string, problems evidence.Problems) error {
	d.Wrong = true
	d.Fields = record.Fill(d.Fields, values, problems)
	shown := map[string]bool{}
	for _, f := range d.Fields {
		shown[f.Name] = true
	}
	for _, p := range problems {
		if !shown[p.Field] {
			d.Problems = append(d.Problems, p)
		}
	}
	w.WriteHeader(http.StatusUnprocessableEntity)
	return record.Page(d).Render(r.Context(), w)
}

func (s *Server) addPhoto(w http.ResponseWriter, r *http.Request) error {
	d, err := s.recordData(r)
	if err != nil {
		return err
	}
	d.Kind, d.View, d.Caption = evidence.KindPhoto, r.FormValue("view"), r.FormValue("caption")
	file, _, err := r.FormFile("picture")
	if errors.Is(err, http.ErrMissingFile) {
		return s.again(w, r, d, nil, evidence.Problems{{Field: "picture", Found: "nothing", Want: "a picture"}})
	}
	if err != nil {
		return err
	}
	defer file.Close()
	it, err := s.shop.Intake.AddPhoto(r.Context(), d.Watch.ID, r.FormValue("view"), r.FormValue("caption"), file, d.By)
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return s.again(w, r, d, nil, invalid.Problems)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(d.Watch.ID)+"?added="+url.QueryEscape(string(it.ID)), http.StatusSeeOther)
	return nil
}

// picture serves a kept picture: small and without metadata where a size is asked
// for, as it came otherwise.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) error {
	b, err := s.shop.Picture(r.Context(), r.PathValue("sha"))
	if err != nil {
		return err
	}
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	side := map[string]int{"320": 320, "1200": 1200}[r.FormValue("side")]
	if side > 0 {
		if b, err = s.small.get(r.PathValue("sha"), side, b); err != nil {
			return err
		}
		w.Header().Set("Content-Type", "image/jpeg")
		_, err = w.Write(b)
		return err
	}
	info, err := picture.Inspect(b)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", info.MediaType)
	_, err = w.Write(b)
	return err
}

func (s *Server) takeInPage(w http.ResponseWriter, r *http.Request) error {
	return s.takeInForm(w, r, map[string]string{}, nil)
}

func (s *Server) takeInForm(w http.ResponseWriter, r *http.Request, values map[string]string, problems evidence.Problems) error {
	d := takein.Data{Frame: s.frame("stock", "Take a watch in"), Values: values, Problems: problems}
	for _, m := range s.shop.Book(r.Context()).Makers {
		d.Makers = append(d.Makers, m.Name)
		for _, ref := range m.References {
			d.References = append(d.References, ref.ID)
		}
	}
	if len(problems) > 0 {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return takein.Page(d).Render(r.Context(), w)
}

func (s *Server) takeIn(w http.ResponseWriter, r *http.Request) error {
	values := map[string]string{}
	for _, name := range []string{"maker", "reference", "serial", "asked", "place", "note"} {
		values[name] = r.FormValue(name)
	}
	in := intake.Arrival{Maker: values["maker"], Reference: values["reference"], Serial: values["serial"], Place: values["place"], Note: values["note"]}
	if values["asked"] != "" {
		plain, problems := readFigures(r.Context(), values, nil, []string{"asked"})
		if len(problems) > 0 {
			return s.takeInForm(w, r, values, problems)
		}
		claim, problems := evidence.FromFields(evidence.KindClaim, map[string]string{"about": "price", "text": "asked", "price": plain["asked"]})
		if len(problems) > 0 {
			problems[0].Field = "asked"
			return s.takeInForm(w, r, values, problems)
		}
		in.Asked = claim.(*evidence.Claim).Price
	}
	kept, err := s.shop.Intake.TakeIn(r.Context(), in, s.user(r.Context()))
	var invalid *shop.Invalid
	if errors.As(err, &invalid) {
		return s.takeInForm(w, r, values, invalid.Problems)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/watches/"+string(kept.ID), http.StatusSeeOther)
	return nil
}
