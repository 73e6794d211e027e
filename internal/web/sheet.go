package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	odd "midcase/gate"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/web/pages/sheet"
	"midcase/internal/web/pages/wording"
)

// sheetPages are the inspection sheet of a watch.
type sheetPages struct{ *site }

func (s *sheetPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/sheet", s.page(s.show))
	mux.Handle("POST /watches/{id}/sheet", s.page(s.keep))
}

func (s *sheetPages) show(w http.ResponseWriter, r *http.Request) error {
	d, err := s.data(r)
	if err != nil {
		return err
	}
	return sheet.Page(d).Render(r.Context(), w)
}

func (s *sheetPages) data(r *http.Request) (sheet.Data, error) {
	ctx := r.Context()
	watch, err := s.shop.Watch(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return sheet.Data{}, err
	}
	log, err := s.shop.LogOf(ctx, watch)
	if err != nil {
		return sheet.Data{}, err
	}
	last, err := s.lastOne(ctx, watch)
	if err != nil {
		return sheet.Data{}, err
	}
	file := evidence.Fold(log, s.shop.Now())
	maker, ref, ok := s.shop.Book(ctx).Reference(watch.Maker, watch.Reference)
	if !ok {
		ref = nil
	}
	return sheet.Data{Frame: s.frame("stock", "Inspection sheet, "+watch.Title), Watch: watch,
		Groups: sheet.Rows(maker, ref, file, last), Cells: sheet.Cells(ref, file)}, nil
}

// lastOne are the parts of the watch of the same reference that came in last before this one.
func (s *sheetPages) lastOne(ctx context.Context, watch shop.Watch) (map[evidence.Slot]*evidence.Fitted, error) {
	list, err := s.shop.StockList(ctx)
	if err != nil {
		return nil, err
	}
	var latest shop.Watch
	for _, w := range list {
		if w.ID != watch.ID && w.Maker == watch.Maker && w.Reference == watch.Reference && w.Number > latest.Number {
			latest = w
		}
	}
	if latest.ID == "" {
		return nil, nil
	}
	log, err := s.shop.LogOf(ctx, latest)
	if err != nil {
		return nil, err
	}
	out := map[evidence.Slot]*evidence.Fitted{}
	for _, f := range evidence.All[*evidence.Fitted](evidence.Fold(log, s.shop.Now())) {
		if _, has := out[f.Data.Slot]; !has && !f.Data.Absent && f.Data.Variant != evidence.Unknown {
			out[f.Data.Slot] = f.Data
		}
	}
	return out, nil
}

// sheetAnswer tells the script what became of an entry.
type sheetAnswer struct {
	Kept  []sheetKept  `json:"kept,omitempty"`
	Odd   []sheetDoubt `json:"odd,omitempty"`
	Error string       `json:"error,omitempty"`
}

type sheetKept struct {
	ID   string `json:"id"`
	Slot string `json:"slot"`
	Says string `json:"says"`
}

type sheetDoubt struct {
	Says  string `json:"says"`
	Meant string `json:"meant,omitempty"`
}

// keep records what a button or a cell stands for.
func (s *sheetPages) keep(w http.ResponseWriter, r *http.Request) error {
	if err := r.ParseForm(); err != nil {
		return err
	}
	id := shop.WatchID(r.PathValue("id"))
	entries, err := s.entries(r)
	var items []evidence.Item
	if err == nil && len(entries) > 0 {
		items, err = s.shop.Intake.RecordHeld(r.Context(), id, s.user(r.Context()), allTheSame(r), entries...)
	}
	var odd *intake.Doubtful
	var invalid *shop.Invalid
	switch {
	case errors.As(err, &odd):
		return s.answer(w, r, items, odd.Doubts, "", entries)
	case errors.As(err, &invalid):
		return s.answer(w, r, nil, nil, invalid.Error()+".", nil)
	case err != nil:
		return err
	}
	return s.answer(w, r, items, nil, "", nil)
}

func (s *sheetPages) answer(w http.ResponseWriter, r *http.Request, items []evidence.Item, doubts []odd.Doubt,
	wrong string, entries []evidence.Data) error {
	ctx := r.Context()
	if strings.Contains(r.Header.Get("Accept"), "application/json") {
		a := sheetAnswer{Error: wrong}
		for _, it := range items {
			a.Kept = append(a.Kept, sheetKept{string(it.ID), string(sheet.Of(it.Data)),
				wording.Say(ctx, evidence.Described(it, true))})
		}
		for _, d := range doubts {
			a.Odd = append(a.Odd, sheetDoubt{wording.Say(ctx, d.Says), d.Meant})
		}
		w.Header().Set("Content-Type", "application/json")
		if wrong != "" || len(doubts) > 0 {
			w.WriteHeader(http.StatusUnprocessableEntity)
		}
		return json.NewEncoder(w).Encode(a)
	}
	if wrong == "" && len(doubts) == 0 {
		to := "/watches/" + r.PathValue("id") + "/sheet"
		if len(items) > 0 {
			to += "#slot-" + string(sheet.Of(items[0].Data))
		}
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	d, err := s.data(r)
	if err != nil {
		return err
	}
	d.Odd, d.Error = doubts, wrong
	if len(entries) > 0 {
		d.Entry = sheet.Entry(entries[0])
	}
	w.WriteHeader(http.StatusUnprocessableEntity)
	return sheet.Page(d).Render(ctx, w)
}

// entries are what was pressed or typed. What is empty is not recorded.
func (s *sheetPages) entries(r *http.Request) ([]evidence.Data, error) {
	if text := r.PostForm.Get("keep"); text != "" {
		kind, data, _ := strings.Cut(text, " ")
		d, err := evidence.DecodeData(evidence.Kind(kind), []byte(data))
		if err != nil {
			return nil, shop.Refuse("record an entry", "keep", strconv.Quote(text), "a button of the sheet")
		}
		where := strings.TrimSpace(r.PostForm.Get("where"))
		sure, err := sureness(r.PostForm.Get("sure"))
		if err != nil {
			return nil, err
		}
		switch d := d.(type) {
		case *evidence.Finding:
			d.Where = where
		case *evidence.Fitted:
			d.Confidence = sure
		}
		return []evidence.Data{d}, nil
	}
	var out []evidence.Data
	for _, g := range sheet.Cells(nil, evidence.File{}) {
		for _, c := range g.Cells {
			text := strings.TrimSpace(r.PostForm.Get(c.Name))
			if text == "" {
				continue
			}
			d, err := s.cell(c.Name, text)
			if err != nil {
				return nil, err
			}
			out = append(out, d)
		}
	}
	return out, nil
}

// cell reads a cell of the grid, named by kind, what and slot.
func (s *sheetPages) cell(name, text string) (evidence.Data, error) {
	parts := strings.SplitN(name, ".", 3)
	if parts[0] == "mark" {
		return &evidence.Mark{What: parts[1], Slot: evidence.Slot(parts[2]), Text: text}, nil
	}
	figures, err := figuresOf(text)
	if err != nil {
		return nil, shop.Refuse("record a figure", name, strconv.Quote(text), err.Error())
	}
	switch parts[0] {
	case "dimension":
		return &evidence.Dimension{What: parts[1], MM: figures[0]}, nil
	case "weighing":
		return &evidence.Weighing{What: parts[1], G: figures[0], In: "air"}, nil
	case "rate":
		d := &evidence.Rate{Position: parts[1], SecPerDay: figures[0]}
		if len(figures) > 1 {
			d.AmplitudeDeg = figures[1]
		}
		if len(figures) > 2 {
			d.BeatErrorMS = &figures[2]
		}
		return d, nil
	}
	d := &evidence.Trial{What: parts[1], Value: figures[0], Slot: evidence.Movement, Unit: "h"}
	switch parts[1] {
	case evidence.TrialPressure:
		today := edtf.MustParse(s.shop.Now().Format("2006-01-02"))
		d.Slot, d.Unit, d.Result, d.Date = evidence.Case, "bar", "ok", today
	case evidence.TrialRadiation:
		d.Slot, d.Unit = evidence.Dial, "uSv/h"
	}
	return d, nil
}

const mostFigures = 3

// figuresOf are one to three figures, with a point or a comma.
func figuresOf(text string) ([]float64, error) {
	var out []float64
	for _, w := range strings.Fields(text) {
		w = strings.NewReplacer(",", ".", "−", "-", "°", "").Replace(w)
		v, err := strconv.ParseFloat(w, 64)
		if err != nil || len(out) == mostFigures {
			return nil, fmt.Errorf("figures such as 36.4")
		}
		out = append(out, v)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("a figure such as 36.4")
	}
	return out, nil
}

// surenessWords are chances in words: common practice, no published source.
var surenessWords = map[string]float64{"certain": 0.99, "sure": 0.95, "quite sure": 0.9, "fairly sure": 0.85,
	"probably": 0.8,
	"likely":   0.8, "think so": 0.7, "maybe": 0.6, "unsure": 0.6, "not sure": 0.6, "guess": 0.5}

// sureness reads how sure somebody is, in words or per cent; 0 where nothing is said.
func sureness(text string) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(text))
	if t == "" {
		return 0, nil
	}
	if v, ok := surenessWords[t]; ok {
		return v, nil
	}
	if v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(t, "%")), 64); err == nil && v > 1 &&
		v <= 100 {
		return v / 100, nil
	}
	return 0, shop.Refuse("record an entry", "sure", strconv.Quote(text),
		"a word such as sure, probably or maybe, or a percentage such as 80 %")
}
