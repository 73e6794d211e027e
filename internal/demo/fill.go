package demo

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rooms"
	"midcase/money"
	"midcase/opinion"
)

// WriteBook writes the reference book into the folder of a shop.
func (w *World) WriteBook(dir string) error {
	names, err := fs.Glob(w.Book, "*.yaml")
	if err != nil {
		return fmt.Errorf("list the reference book: %w", err)
	}
	for _, n := range names {
		b, err := fs.ReadFile(w.Book, n)
		if err != nil {
			return err
		}
		if err := write(filepath.Join(dir, n), b); err != nil {
			return err
		}
	}
	return nil
}

// Fill puts the world into a shop: settings, sales, clients and watches with all
// evidence that is no picture or sound, and takes the watches through their lives, with the
// money that was booked. What is there already is left alone, so a filling that was cut short is
// finished by the next.
func (w *World) Fill(ctx context.Context, s *rooms.Shop) error {
	if err := w.fillSettings(ctx, s); err != nil {
		return err
	}
	var sales strings.Builder
	if err := w.WriteSales(&sales); err != nil {
		return err
	}
	if _, err := s.ImportSales(ctx, strings.NewReader(sales.String()), "sales.csv"); err != nil {
		return err
	}
	for _, c := range w.Clients {
		if _, err := s.People.Add(ctx, c); err != nil && !errors.Is(err, shop.ErrExists) {
			return err
		}
	}
	for _, x := range w.Watches {
		if err := fillWatch(ctx, s, x); err != nil && !errors.Is(err, shop.ErrExists) {
			return err
		}
	}
	if err := w.fillLives(ctx, s); err != nil {
		return err
	}
	return w.fillShowings(ctx, s)
}

func (w *World) fillSettings(ctx context.Context, s *rooms.Shop) error {
	set, err := s.Settings(ctx)
	if err != nil {
		return err
	}
	var rates strings.Builder
	if err := w.WriteRates(&rates); err != nil {
		return err
	}
	set.RatesCSV = rates.String()
	set.Spots = nil
	for _, metal := range []string{"gold", "silver", "platinum"} {
		price, err := money.Round(w.Spot(metal, today), set.Currency)
		if err != nil {
			return fmt.Errorf("spot price of %s: %w", metal, err)
		}
		set.Spots = append(set.Spots, opinion.SpotPrice{Element: metal, PerTroyOunce: price,
			Date: today.Format("2006-01-02")})
	}
	return s.SetSettings(ctx, set)
}

// fillWatch takes a watch in as offered; its life in the shop follows.
func fillWatch(ctx context.Context, s *rooms.Shop, x Watch) error {
	in := intake.Arrival{ID: shop.WatchID(x.Evidence.ID), Maker: x.Evidence.Maker, Reference: x.Evidence.Reference,
		Serial: x.Serial, State: x.State, Place: x.Place,
		Cost: x.Cost, Asked: x.Asked, Asking: x.Asking, Acquired: x.Acquired, Client: x.Client, Note: x.Note}
	if x.State != shop.Offered {
		in.State, in.Place, in.Cost, in.Acquired, in.Client = shop.Offered, x.firstPlace(), money.Money{},
			edtf.Date{}, ""
	}
	for _, it := range x.Evidence.Evidence {
		if !hasBlob(it) {
			in.Evidence = append(in.Evidence, it)
		}
	}
	_, err := s.Intake.TakeIn(ctx, in, "")
	return err
}

func hasBlob(it evidence.Item) bool {
	return it.Kind() == evidence.KindPhoto || it.Kind() == evidence.KindRecording
}

// FillPictures records the pictures and sounds of the watches. Those that the shop
// has are left alone; those that lie in the plain files of dir are taken from there,
// and those that do not are made and put there. progress, if not nil, is told how
// many are done.
func (w *World) FillPictures(ctx context.Context, s *rooms.Shop, dir string, progress func(done, total int)) error {
	var jobs []blobJob
	for _, x := range w.Watches {
		there, err := s.Log(ctx, shop.WatchID(x.Evidence.ID))
		if err != nil {
			return err
		}
		jobs = append(jobs, x.blobJobs(there, filepath.Join(dir, "plain"))...)
	}
	return each(len(jobs), progress, func(i int) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		return jobs[i].run(ctx, s)
	})
}

// blobJob is one picture or sound to make and record.
type blobJob struct {
	watch shop.WatchID
	item  evidence.Item
	make  func() ([]byte, error)
}

func (x Watch) blobJobs(there evidence.Watch, plain string) []blobJob {
	made := map[evidence.ID]bool{}
	for _, it := range there.Evidence {
		made[it.ID] = true
	}
	makers := map[evidence.ID]func() ([]byte, error){}
	for _, p := range x.Photos {
		makers[p.Item] = once(filepath.Join(plain, "pictures", p.File), p.Draw)
	}
	for _, p := range x.Sounds {
		makers[p.Item] = once(filepath.Join(plain, "sounds", p.File), p.Make)
	}
	var out []blobJob
	for _, it := range x.Evidence.Evidence {
		if m, ok := makers[it.ID]; ok && hasBlob(it) && !made[it.ID] {
			out = append(out, blobJob{shop.WatchID(x.Evidence.ID), it, m})
		}
	}
	return out
}

func (j blobJob) run(ctx context.Context, s *rooms.Shop) error {
	b, err := j.make()
	if err != nil {
		return err
	}
	sha, err := s.Intake.KeepBlob(ctx, b)
	if err != nil {
		return err
	}
	switch d := j.item.Data.(type) {
	case *evidence.Photo:
		c := *d
		c.Blob = sha
		j.item.Data = &c
	case *evidence.Recording:
		c := *d
		c.Blob = sha
		j.item.Data = &c
	}
	if err := s.Intake.Adopt(ctx, j.watch, j.item); err != nil && !errors.Is(err, shop.ErrExists) {
		return err
	}
	return nil
}

// once takes a file that is there, and makes and keeps one that is not.
func once(path string, make func() ([]byte, error)) func() ([]byte, error) {
	return func() ([]byte, error) {
		b, err := os.ReadFile(path)
		if err == nil || !errors.Is(err, fs.ErrNotExist) {
			return b, err
		}
		if b, err = make(); err != nil {
			return nil, err
		}
		return b, write(path, b)
	}
}
