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
	mux.Handle("GET /book/{maker}/{reference}/guide", p.page(p.guidePage))
	mux.Handle("GET /watches/{id}/show/start", p.page(p.startPage))
	mux.Handle("POST /watches/{id}/show/start", p.page(p.start))
	mux.Handle("GET /watches/{id}/show/end", p.page(p.endPage))
	mux.Handle("POST /watches/{id}/show/end", p.page(p.end))
	mux.Handle("GET /watches/{id}/show/pictures/{sha}", p.page(p.showPicture))
}

// subject is a watch as it is told to those who may buy it; it errs for one that may not be told of.
func (p *showPages) subject(ctx context.Context, id shop.WatchID, language string) (telling.Subject, telling.Told,
	error) {
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
	told, err := papers.Tell(s, telling.Talk, language, 0)
	return s, told, err
}

// languageOf is the language in which a client is shown a watch: the one asked for, else English.
func languageOf(r *http.Request) string { return say.LanguageOf(r.FormValue("language")) }

func (p *showPages) showPage(w http.ResponseWriter, r *http.Request) error {
	ctx, id, language := r.Context(), shop.WatchID(r.PathValue("id")), languageOf(r)
	s, told, err := p.subject(ctx, id, language)
	if err != nil {
		return err
	}
	d := show.Data{Frame: p.frame("", told.Title), Watch: "/watches/" + string(id), Title: told.Title,
		Held: p.shown(ctx).watch != "", Dating: s.Opinion.Dating, Language: language}
	d.Frame.Lang, d.Frame.Notices = language, nil
	d.W, _ = say.In(language)
	d.Languages = tongues()
	d.Pictures = pictured(d.W, showPath(id), s)
	for _, b := range told.Blocks {
		divide(&d, s, b)
	}
	whole, err := papers.Tell(s, telling.Page, language, 0)
	if err != nil {
		return err
	}
	for _, b := range whole.Blocks {
		if b.Sentences[0].Section == telling.Dating {
			d.Dated = append(d.Dated, grouped(d.W, s, b))
		}
	}
	d.Family = familyLine(d.W, s)
	d.Guide, err = papers.GuideOn(ctx, p.shop, s.Opinion.Watch.Maker, s.Opinion.Watch.Reference, language)
	if err != nil {
		return err
	}
	if err := p.besideExample(ctx, &d, s, id); err != nil {
		return err
	}
	if err := p.prices(ctx, &d, s); err != nil {
		return err
	}
	return show.Page(d).Render(ctx, w)
}

// tongues are the languages that buyers are told in, each by its own name.
func tongues() (out []show.Tongue) {
	for _, l := range say.Languages() {
		w, _ := say.In(l)
		out = append(out, show.Tongue{Tag: l, Name: w.Capital(say.That("site.language"))})
	}
	return out
}

// guidePage is a reference for readers.
func (p *showPages) guidePage(w http.ResponseWriter, r *http.Request) error {
	ctx, language := r.Context(), languageOf(r)
	g, err := papers.GuideOn(ctx, p.shop, r.PathValue("maker"), r.PathValue("reference"), language)
	if err != nil {
		return err
	}
	d := show.GuideData{Frame: p.frame("", g.Title), Language: language, Languages: tongues(), Guide: g,
		Book: strings.TrimSuffix(r.URL.EscapedPath(), "/guide")}
	d.Frame.Lang, d.Frame.Notices = language, nil
	d.W, _ = say.In(language)
	return show.GuidePage(d).Render(ctx, w)
}

// viewName is a view of a picture in a language.
func viewName(w say.Writer, view string) string { return w.Value(say.Noun{Set: "view", ID: view}, "") }

// pictured are the pictures that everybody may see. A fault whose place in one of them is known is marked there; the
// others stand beside the picture that shows their part best.
func pictured(w say.Writer, at string, s telling.Subject) []show.Picture {
	photos := papers.PublicPhotos(s.File)
	out := make([]show.Picture, len(photos))
	for i, photo := range photos {
		out[i] = show.Picture{At: at + "/pictures/" + photo.Blob, View: viewName(w, photo.View), Width: photo.WidthPx,
			Height: photo.HeightPx}
	}
	n := 0
	for _, slot := range evidence.Slots() {
		best := -1 // the picture that shows the part best
		for _, view := range telling.ViewsOf(slot) {
			if best < 0 {
				best = slices.IndexFunc(photos, func(p *evidence.Photo) bool { return p.View == view })
			}
		}
		for _, g := range s.Faults(slot) {
			says := tied(w.Capital(g.Says))
			if i, f := placed(s.File, photos, g); i >= 0 && out[i].Place(n+1, f.At, f.RadiusPx, says) {
				n++
			} else if best >= 0 {
				out[best].Findings = append(out[best].Findings, says)
			}
		}
	}
	return out
}

// placed is the picture in which somebody placed a fault, with the finding; -1 where nobody did, or not in one that
// everybody may see.
func placed(file evidence.File, photos []*evidence.Photo, g telling.Ground) (int, *evidence.Finding) {
	for _, f := range evidence.All[*evidence.Finding](file) {
		if !slices.Contains(g.Evidence, f.Item.ID) || f.Data.RadiusPx <= 0 {
			continue
		}
		for _, p := range evidence.All[*evidence.Photo](file) {
			if p.Item.ID == f.Data.Photo {
				return slices.Index(photos, p.Data), f.Data
			}
		}
	}
	return -1, nil
}

// divide puts a block of the talk sheet where it belongs. What not to claim is for whoever talks.
func divide(d *show.Data, s telling.Subject, b telling.Block) {
	first := b.Sentences[0]
	switch {
	case b.Inside:
	case first.Section == "" && !b.Asked:
		d.Opening = first.Text
	case b.Asked:
		d.Questions = append(d.Questions, grouped(d.W, s, b))
	case first.Section == telling.Doubts, first.Section == telling.Condition:
		d.Condition = append(d.Condition, grouped(d.W, s, b))
	default:
		d.Points = append(d.Points, grouped(d.W, s, b))
	}
}

func grouped(w say.Writer, s telling.Subject, b telling.Block) show.Group {
	g := show.Group{Heading: b.Heading}
	for _, x := range b.Sentences {
		g.Points = append(g.Points, show.Point{Text: tied(x.Aloud()), Grounds: show.Grounds(w, s, x)})
	}
	return g
}

// tied keeps a figure and its sign on one line.
func tied(text string) string { return strings.ReplaceAll(text, " %", "\u00a0%") }

// showPicture is a picture of the presentation: of this watch or of the reference example beside it.
func (p *showPages) showPicture(w http.ResponseWriter, r *http.Request) error {
	ctx, sha := r.Context(), r.PathValue("sha")
	s, _, err := p.subject(ctx, shop.WatchID(r.PathValue("id")), "en")
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
	return p.small.send(w, r, p.site, sha)
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

// besideExample sets the watch beside the reference example, in each view of which both have a picture.
func (p *showPages) besideExample(ctx context.Context, d *show.Data, s telling.Subject, id shop.WatchID) error {
	example, photos, err := p.example(ctx, s)
	if err != nil {
		return err
	}
	d.IsExample = example == id
	if d.IsExample {
		return nil
	}
	at, seen := showPath(id)+"/pictures/", ""
	for _, own := range papers.PublicPhotos(s.File) {
		i := slices.IndexFunc(photos, func(p *evidence.Photo) bool { return p.View == own.View })
		if i >= 0 && own.View != seen {
			d.Beside = append(d.Beside, show.Pair{View: viewName(d.W, own.View), This: at + own.Blob,
				That: at + photos[i].Blob})
			seen = own.View
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
	for i, scope := range []market.Data{{Maker: of.Maker, Family: of.Family}, {Maker: of.Maker}, {}} {
		name := say.That("show.index", say.Name("name", strings.TrimSpace(of.Maker+" "+[]string{of.Family, "", ""}[i])))
		if i == 2 {
			name = say.That("show.index-all")
		}
		scope.Of, scope.Over = of.Metal, plainMetal
		(&marketPages{p.site}).fillMarket(ctx, &scope, prices.Model)
		if len(d.Curves) == 0 {
			d.Curves = curve(d.W, d.Curves, scope.Index, name, say.That("show.unit-index"))
		}
		if !d.Premium && of.Metal != "" && of.Metal != plainMetal {
			n := len(d.Curves)
			d.Curves = curve(d.W, d.Curves, scope.Premium, say.That("show.premium", say.Term("metal", "metal", of.Metal,
				of.Metal)), say.That("show.unit-percent"))
			d.Premium = len(d.Curves) > n
		}
	}
	return nil
}

// plainMetal is the metal over which others have their premium.
const plainMetal = "steel"

// curve adds a series that has points, under a name in the language of the client.
func curve(w say.Writer, all []show.Curve, s market.Series, name, unit say.Statement) []show.Curve {
	if s.Problem != "" || len(s.Points) < 2 {
		return all
	}
	sign := say.None
	if s.Unit == "per cent" {
		sign = "%"
	}
	end, named := s.Points[len(s.Points)-1], s.Series
	named.Name, named.Unit = tied(w.Capital(name)), w.Capital(unit)
	return append(all, show.Curve{Series: named,
		Label: tied(w.Capital(say.That("show.curve", say.Name("name", named.Name)))),
		Says: tied(w.Capital(say.That("show.reading", say.Fixed("value", end.Value, sign, 0),
			say.Name("quarter", end.Quarter), say.Fixed("low", end.Low, sign, 0),
			say.Fixed("high", end.High, sign, 0))))})
}

// familyLine is the line of references to which a watch's own belongs, by the first month of making, with what
// changed from the one before and to the one after.
func familyLine(w say.Writer, s telling.Subject) show.Family {
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
		f.Line = append(f.Line, show.Reference{Name: ref.ID, Made: made(w, ref), Own: ref.ID == own.ID})
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

// made is when a reference was made.
func made(w say.Writer, ref refbook.Reference) string {
	first, ok := ref.Made.FirstMonth()
	last, known := ref.Made.LastMonth()
	if !ok || !known {
		return ref.Made.String()
	}
	return w.Capital(say.That("show.made", say.Span("made", first, last)))
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
