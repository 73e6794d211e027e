package papers

import (
	"context"
	"fmt"
	"image"
	"slices"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/publish"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// Unpublished is a watch that is listed and may not be shown, with the reason.
type Unpublished struct {
	Watch shop.Watch
	Why   error
}

// publicViews are the views that are shown to everybody, in their order. Papers and details are not: they may show
// names and numbers.
var publicViews = []string{"front", "dial", "back", "crown_side", "off_side", "movement", "bracelet", "clasp", "box"}

const (
	picturesShown = 8
	smallSide     = 800
	largeSide     = 1600
)

// SiteOf gathers what a shop publishes: the watches that are listed or reserved, told in some languages. done is called
// after each watch.
func SiteOf(ctx context.Context, s *rooms.Shop, langs []string, address string,
	done func(i, of int)) (publish.Site, []Unpublished, error) {
	l, err := s.Letterhead(ctx)
	if err != nil {
		return publish.Site{}, nil, err
	}
	site := publish.Site{Name: l.Name, Lines: l.Lines, Address: address, Langs: langs}
	all, err := s.Stores().Watches.Watches(ctx, shop.Filter{})
	if err != nil {
		return site, nil, err
	}
	all = slices.DeleteFunc(all, func(w shop.Watch) bool { return w.State != shop.Listed && w.State != shop.Reserved })
	slices.SortFunc(all, func(a, b shop.Watch) int { return b.Number - a.Number })
	var left []Unpublished
	last := &decoded{shop: s}
	for i, w := range all {
		p, err := published(ctx, s, w, langs, last)
		switch {
		case NotTold(err):
			left = append(left, Unpublished{w, err})
		case err != nil:
			return site, left, fmt.Errorf("watch %d: %w", w.Number, err)
		default:
			p.Terms = l.Terms
			site.Watches = append(site.Watches, p)
		}
		done(i+1, len(all))
	}
	site.Guides, err = guides(ctx, s, site.Watches, langs)
	return site, left, err
}

// guides are those to the references of some watches, each once.
func guides(ctx context.Context, s *rooms.Shop, watches []publish.Watch, langs []string) (out []publish.Guide,
	err error) {
	for _, w := range watches {
		if slices.ContainsFunc(out, func(g publish.Guide) bool {
			return g.Maker == w.Maker && g.Reference == w.Reference
		}) {
			continue
		}
		g := publish.Guide{Maker: w.Maker, Reference: w.Reference, Told: map[string]telling.Guide{}}
		for _, lang := range langs {
			if g.Told[lang], err = GuideOn(ctx, s, w.Maker, w.Reference, lang); err != nil {
				return nil, err
			}
		}
		out = append(out, g)
	}
	return out, nil
}

// published is one watch of the site.
func published(ctx context.Context, s *rooms.Shop, w shop.Watch, langs []string, last *decoded) (publish.Watch, error) {
	o, file, err := s.OpinionOn(ctx, w.ID, s.Now(), opinion.Settings{})
	if err != nil {
		return publish.Watch{}, err
	}
	subject, err := SubjectOn(ctx, s, w, o, file)
	if err != nil {
		return publish.Watch{}, err
	}
	out := publish.Watch{Number: w.Number, Maker: w.Maker, Reference: w.Reference, Family: o.Watch.Family,
		Made: edtf.Shortest(o.Dating.EDTF), Metal: o.Watch.Metal, Price: w.Asking,
		Reserved: w.State == shop.Reserved, Changed: w.Changed, Told: map[string]telling.Told{},
		Pictures: pictures(ctx, file, last)}
	if _, err := telling.Make(subject); err != nil {
		return out, err
	}
	if o.Dating.Known {
		out.Year = o.Dating.Median.Year()
	}
	if !say.Lists("metal", out.Metal) {
		out.Metal = ""
	}
	for _, lang := range langs {
		e, err := EditionOf(ctx, s, w, subject, telling.Page, lang, 0)
		if err != nil {
			return out, fmt.Errorf("%s: %w", lang, err)
		}
		out.Told[lang] = e.Told
	}
	return out, nil
}

// pictures are the pictures of a watch that everybody may see, the best view first.
func pictures(ctx context.Context, file evidence.File, last *decoded) []publish.Picture {
	var out []publish.Picture
	for _, p := range PublicPhotos(file) {
		pic := publish.Picture{View: p.View, Name: p.Blob[:16]}
		for _, side := range []int{smallSide, largeSide} {
			pic.Sizes = append(pic.Sizes, publish.Size{Side: side, Make: func() ([]byte, error) {
				img, err := last.open(ctx, p.Blob)
				if err != nil {
					return nil, err
				}
				return picture.Listing{}.JPEG(img, side)
			}})
		}
		out = append(out, pic)
	}
	return out
}

// PublicPhotos are the pictures of a file that everybody may see, the best view first.
func PublicPhotos(file evidence.File) []*evidence.Photo {
	var out []*evidence.Photo
	for _, view := range publicViews {
		for _, p := range evidence.All[*evidence.Photo](file) {
			if p.Data.View == view && len(out) < picturesShown && len(p.Data.Blob) >= 16 {
				out = append(out, p.Data)
			}
		}
	}
	return out
}

// decoded keeps the picture that was opened last, since its sizes are made one after the other.
type decoded struct {
	shop *rooms.Shop
	blob string
	img  image.Image
}

func (d *decoded) open(ctx context.Context, blob string) (image.Image, error) {
	if d.blob == blob {
		return d.img, nil
	}
	b, err := d.shop.Picture(ctx, blob)
	if err != nil {
		return nil, err
	}
	img, _, err := picture.View(ctx, b)
	if err != nil {
		return nil, err
	}
	d.blob, d.img = blob, img
	return img, nil
}
