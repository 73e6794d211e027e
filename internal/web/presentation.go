package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/web/pages/market"
	"midcase/internal/web/pages/show"
	"midcase/internal/web/pages/wording"
	"midcase/opinion"
	"midcase/refbook"
	"midcase/say"
	"midcase/telling"
)

// showPages turn one watch to a client: on a page of its own, and in a browser that is held to it.
type showPages struct {
	*gate
	small *thumbnails
}

func (p *showPages) routes(mux *http.ServeMux) {
	mux.Handle("GET /watches/{id}/show", p.page(p.showPage))
	mux.Handle("GET /watches/{id}/show/start", p.page(p.startPage))
	mux.Handle("POST /watches/{id}/show/start", p.page(p.start))
	mux.Handle("GET /watches/{id}/show/end", p.page(p.endPage))
	mux.Handle("POST /watches/{id}/show/end", p.page(p.end))
	mux.Handle("GET /watches/{id}/show/pictures/{sha}", p.page(p.showPicture))
}

// subject is a watch as it is told to those who may buy it; it errs for one that may not be told of.
func (p *showPages) subject(ctx context.Context, id shop.WatchID) (telling.Subject, telling.Told, error) {
	record, err := p.shop.Watch(ctx, id)
	if err != nil {
		return telling.Subject{}, telling.Told{}, err
	}
	o, file, err := p.shop.OpinionOn(ctx, id, p.shop.Now(), opinion.Settings{})
	if err != nil {
		return telling.Subject{}, telling.Told{}, err
	}
	s, err := papers.SubjectOn(ctx, p.shop, record, o, file)
	if err != nil {
		return s, telling.Told{}, err
	}
	told, err := papers.Tell(s, telling.Talk, "en", 0)
	return s, told, err
}

func (p *showPages) showPage(w http.ResponseWriter, r *http.Request) error {
	ctx, id := r.Context(), shop.WatchID(r.PathValue("id"))
	s, told, err := p.subject(ctx, id)
	if err != nil {
		return err
	}
	d := show.Data{Frame: p.frame("", told.Title), Watch: "/watches/" + string(id), Title: told.Title,
		Held: p.shown(ctx).watch != "", Dating: s.Opinion.Dating}
	d.Pictures = pictured(ctx, showPath(id), s)
	for _, b := range told.Blocks {
		divide(ctx, &d, s, b)
	}
	whole, err := papers.Tell(s, telling.Page, "en", 0)
	if err != nil {
		return err
	}
	for _, b := range whole.Blocks {
		if b.Sentences[0].Section == telling.Dating {
			d.Dated = append(d.Dated, grouped(ctx, s, b))
		}
	}
	d.Family = familyLine(s)
	if err := p.besideExample(ctx, &d, s, id); err != nil {
		return err
	}
	if err := p.prices(ctx, &d, s); err != nil {
		return err
	}
	return show.Page(d).Render(ctx, w)
}

// pictured are the pictures that everybody may see, each with the faults of the parts that it shows best.
func pictured(ctx context.Context, at string, s telling.Subject) []show.Picture {
	photos := papers.PublicPhotos(s.File)
	out := make([]show.Picture, len(photos))
	for i, photo := range photos {
		out[i] = show.Picture{At: at + "/pictures/" + photo.Blob, View: wording.Word(ctx, "view", photo.View)}
	}
	for _, slot := range evidence.Slots() {
		best := -1 // the picture that shows the part best
		for _, view := range telling.ViewsOf(slot) {
			if best < 0 {
				best = slices.IndexFunc(photos, func(p *evidence.Photo) bool { return p.View == view })
			}
		}
		if best < 0 {
			continue
		}
		for _, g := range s.Faults(slot) {
			out[best].Findings = append(out[best].Findings, wording.Capital(ctx, g.Says))
		}
	}
	return out
}

// divide puts a block of the talk sheet where it belongs. What not to claim is for whoever talks.
func divide(ctx context.Context, d *show.Data, s telling.Subject, b telling.Block) {
	first := b.Sentences[0]
	switch {
	case b.Inside:
	case first.Section == "" && !b.Asked:
		d.Opening = first.Text
	case b.Asked:
		d.Questions = append(d.Questions, grouped(ctx, s, b))
	case first.Section == telling.Doubts, first.Section == telling.Condition:
		d.Condition = append(d.Condition, grouped(ctx, s, b))
	default:
		d.Points = append(d.Points, grouped(ctx, s, b))
	}
}

func grouped(ctx context.Context, s telling.Subject, b telling.Block) show.Group {
	g := show.Group{Heading: b.Heading}
	for _, x := range b.Sentences {
		g.Points = append(g.Points, show.Point{Text: tied(x.Aloud()), Grounds: show.Grounds(ctx, s, x)})
	}
	return g
}

// tied keeps a figure and its sign on one line.
func tied(text string) string { return strings.ReplaceAll(text, " %", "\u00a0%") }

// showPicture is a picture of the presentation: of this watch or of the reference example beside it.
func (p *showPages) showPicture(w http.ResponseWriter, r *http.Request) error {
	ctx, sha := r.Context(), r.PathValue("sha")
	s, _, err := p.subject(ctx, shop.WatchID(r.PathValue("id")))
	if err != nil {
		return err
	}
	shown := papers.PublicPhotos(s.File)
	if !has(shown, sha) {
		_, other, err := p.example(ctx, s)
		if err != nil {
			return err
		}
		shown = other
	}
	if !has(shown, sha) {
		return fmt.Errorf("picture: %w", shop.ErrNotFound)
	}
	side := 1600
	if r.FormValue("side") == "640" {
		side = 640
	}
	b, err := p.small.get(ctx, sha, side, func() ([]byte, error) { return p.shop.Picture(ctx, sha) })
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/jpeg")
	w.Header().Set("Cache-Control", "private, max-age=86400, immutable")
	_, err = w.Write(b)
	return err
}

func has(all []*evidence.Photo, sha string) bool {
	return slices.ContainsFunc(all, func(p *evidence.Photo) bool { return p.Blob == sha })
}

// example is the reference example of a watch's reference with its public pictures; none where there is none.
func (p *showPages) example(ctx context.Context, s telling.Subject) (shop.WatchID, []*evidence.Photo, error) {
	id, ok, err := p.shop.Intake.ReferenceExample(ctx, s.Opinion.Watch.Maker, s.Opinion.Watch.Reference)
	if err != nil || !ok {
		return "", nil, err
	}
	_, file, err := p.shop.OpinionOn(ctx, id, p.shop.Now(), opinion.Settings{})
	return id, papers.PublicPhotos(file), err
}

// besideExample sets the watch beside the reference example, by the first view of which both have a picture.
func (p *showPages) besideExample(ctx context.Context, d *show.Data, s telling.Subject, id shop.WatchID) error {
	example, photos, err := p.example(ctx, s)
	if err != nil {
		return err
	}
	d.IsExample = example == id
	if d.IsExample {
		return nil
	}
	for _, own := range papers.PublicPhotos(s.File) {
		for _, theirs := range photos {
			if own.View == theirs.View {
				at := showPath(id) + "/pictures/"
				d.Beside = &show.Pair{View: wording.Word(ctx, "view", own.View), This: at + own.Blob, That: at + theirs.Blob}
				return nil
			}
		}
	}
	return nil
}

// prices are the index of the family and the premium of the watch's metal over steel, as the market page has them.
func (p *showPages) prices(ctx context.Context, d *show.Data, s telling.Subject) error {
	set, err := p.shop.Settings(ctx)
	if err != nil {
		return err
	}
	prices, err := p.shop.PricesIn(ctx, p.shop.Now(), set.Currency)
	if err != nil || prices.Model == nil {
		return err
	}
	of := s.Opinion.Watch
	for _, scope := range []market.Data{{Maker: of.Maker, Family: of.Family}, {Maker: of.Maker}, {}} {
		scope.Of, scope.Over = of.Metal, plainMetal
		(&marketPages{p.site}).fillMarket(ctx, &scope, prices.Model)
		if len(d.Curves) == 0 {
			d.Curves = curve(ctx, d.Curves, scope.Index)
		}
		if !d.Premium && of.Metal != "" && of.Metal != plainMetal {
			n := len(d.Curves)
			d.Curves = curve(ctx, d.Curves, scope.Premium)
			d.Premium = len(d.Curves) > n
		}
	}
	return nil
}

// plainMetal is the metal over which others have their premium.
const plainMetal = "steel"

// curve adds a series that has points.
func curve(ctx context.Context, all []show.Curve, s market.Series) []show.Curve {
	if s.Problem != "" || len(s.Points) < 2 {
		return all
	}
	return append(all, show.Curve{Series: s.Series, Says: s.Says(ctx)})
}

// familyLine is the line of references to which a watch's own belongs, by the first month of making, with what
// changed from the one before and to the one after.
func familyLine(s telling.Subject) show.Family {
	of := s.Opinion.Watch
	m, own, ok := s.Book.Reference(of.Maker, of.Reference)
	if !ok {
		return show.Family{}
	}
	f := show.Family{Name: of.Family}
	var line []refbook.Reference
	for _, ref := range m.References {
		if ref.Family == own.Family {
			line = append(line, ref)
		}
	}
	slices.SortStableFunc(line, func(a, b refbook.Reference) int { return cmp.Compare(firstMade(a), firstMade(b)) })
	var before, after string
	for _, ref := range line {
		f.Line = append(f.Line, show.Reference{Name: ref.ID, Made: wording.Span(ref.Made.String()), Own: ref.ID == own.ID})
		switch {
		case firstMade(ref) < firstMade(*own):
			before = ref.ID
		case firstMade(ref) > firstMade(*own) && after == "":
			after = ref.ID
		}
	}
	if before != "" {
		f.Changes = append(f.Changes, changed(s.Book, m.ID, before, own.ID))
	}
	if after != "" {
		f.Changes = append(f.Changes, changed(s.Book, m.ID, own.ID, after))
	}
	f.Changes = slices.DeleteFunc(f.Changes, func(c show.Change) bool { return len(c.Lines) == 0 })
	return f
}

// firstMade is the first month in which a reference was made.
func firstMade(ref refbook.Reference) int {
	first, _ := ref.Made.FirstMonth()
	return int(first)
}

// changesShown is how many changes of a line are named, the most telling first.
const changesShown = 5

func changed(book *refbook.Book, maker, from, to string) show.Change {
	c := show.Change{From: from, To: to}
	found, err := refbook.Compare(book, maker, from, maker, to)
	if err != nil {
		return c // both are in the book
	}
	for _, x := range found.Differences[:min(len(found.Differences), changesShown)] {
		c.Lines = append(c.Lines, show.Changed{Feature: say.Capital(x.Feature), From: x.A, To: x.B})
	}
	return c
}
