package demo

import (
	"context"
	"slices"
	"time"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
)

// shown is what passed with clients lately, by the number of the watch's file. Offers are
// at the asking price; days is until when, from the making of the shop.
var shown = []struct {
	file         int
	client, kind string
	days         int
	channel      string
}{
	{16, "c_01", shop.Shown, 0, "email"},
	{16, "c_01", shop.Declined, 0, "email"},
	{18, "c_01", shop.Shown, 0, "in the shop"},
	{18, "c_01", shop.OfferedTo, 6, "email"},
	{25, "c_14", shop.Shown, 0, "in the shop"},
	{25, "c_14", shop.Promised, 4, "phone"},
	{12, "c_19", shop.Shown, 0, "email"},
	{36, "c_16", shop.Shown, 0, "in the shop"},
	{27, "c_20", shop.OfferedTo, 9, "email"},
	{57, "c_07", shop.Shown, 0, "message"},
	{57, "c_07", shop.Declined, 0, "message"},
	{55, "c_10", shop.Shown, 0, "in the shop"},
	{55, "c_10", shop.Promised, 2, "in the shop"},
	{50, "c_03", shop.Shown, 0, "message"},
}

// privately is the file of the watch that is shown privately first, and for how many days.
const (
	privately     = 44
	privatelyDays = 5
)

// fillShowings records what passed with clients, where nothing did yet.
func (w *World) fillShowings(ctx context.Context, s *rooms.Shop) error {
	past, err := s.People.Showings(ctx, "", "")
	if err != nil {
		return err
	}
	// sales note that the buyer accepted
	if slices.ContainsFunc(past, func(v shop.Showing) bool { return v.Kind != shop.Accepted }) {
		return nil
	}
	in := func(days int) edtf.Date { return edtf.MustParse(s.Now().AddDate(0, 0, days).Format(time.DateOnly)) }
	for _, x := range shown {
		if x.file > len(w.Watches) {
			continue
		}
		watch := w.Watches[x.file-1]
		v := shop.Showing{Watch: shop.WatchID(watch.Evidence.ID), Client: x.client, Kind: x.kind, Channel: x.channel}
		if x.days > 0 {
			v.Until, v.Price = in(x.days), watch.Asking
		}
		if _, err := s.People.Show(ctx, v, owner); err != nil {
			return err
		}
	}
	if privately > len(w.Watches) {
		return nil
	}
	_, err = s.People.PrivateFirst(ctx, shop.WatchID(w.Watches[privately-1].Evidence.ID), in(privatelyDays), owner)
	return err
}
