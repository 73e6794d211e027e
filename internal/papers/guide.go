package papers

import (
	"context"
	"fmt"
	"strings"

	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/opinion"
	"midcase/say"
	"midcase/telling"
)

// GuideOn is the guide to a reference for readers, in a language; shop.ErrNotFound where the book does not have it.
// Of the example that others are held against it tells the grade and the parts, and not whose it is.
func GuideOn(ctx context.Context, s *rooms.Shop, maker, reference, language string) (telling.Guide, error) {
	w, ok := say.In(language)
	if !ok {
		return telling.Guide{}, wrong("tell of the reference", "language", fmt.Sprintf("%q", language),
			"one of "+strings.Join(say.Languages(), ", "))
	}
	m, ref, ok := s.Book(ctx).Reference(maker, reference)
	if !ok {
		return telling.Guide{}, fmt.Errorf("reference %s/%s: %w", maker, reference, shop.ErrNotFound)
	}
	id, named, err := s.Intake.ReferenceExample(ctx, m.Name, ref.ID)
	if err != nil {
		return telling.Guide{}, err
	}
	var best *telling.Best
	if named {
		o, _, err := s.OpinionOn(ctx, id, s.Now(), opinion.Settings{})
		if err != nil {
			return telling.Guide{}, err
		}
		best = &telling.Best{Opinion: o}
	}
	g, _ := telling.GuideTo(w, language, s.Book(ctx), m.ID, ref.ID, best)
	return g, nil
}
