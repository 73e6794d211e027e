package shop_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"midcase/evidence"
	"midcase/internal/blobs"
	"midcase/internal/bookdir"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
)

func Example() {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "shop")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	st, err := store.Open(ctx, "sqlite:"+filepath.Join(dir, "shop.db"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer st.Close()
	pictures, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		fmt.Println(err)
		return
	}
	defer pictures.Close()
	n := 0
	s, err := rooms.Open(ctx, shop.On(st, pictures, bookdir.Fixed(nil)), shop.Options{
		Now:   func() time.Time { return time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC) },
		NewID: func(prefix string) string { n++; return fmt.Sprintf("%s_%d", prefix, n) },
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	w, err := s.Intake.TakeIn(ctx, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: "414459"}, "Ines")
	fmt.Println(w.Number, w.Title, w.State, err)
	_, err = s.Intake.Record(ctx, w.ID, "Ines", &evidence.Weighing{What: "bracelet", In: "air", G: -5})
	fmt.Println(err)
	// Output:
	// 1 Corvane KR-1 offered <nil>
	// add weighing: g: -5 will not do; give a figure between 0.01 and 2000 g
}
