package backup

import (
	"context"
	"time"

	"midcase/internal/shop"
)

// Last is when the shop was backed up last, and where to; the zero value where it never was.
type Last struct {
	At time.Time `json:"at"`
	To string    `json:"to"`
}

const (
	lastName = "last backup"
	lastWhat = "last backup"
)

// LastOf returns what Note noted last.
func LastOf(ctx context.Context, s *shop.Shop) (l Last, err error) {
	_, err = s.ReadSetting(ctx, lastName, lastWhat, &l)
	return l, err
}

// Note notes that a backup was made just now.
func Note(ctx context.Context, s *shop.Shop, to string) error {
	return s.WriteSetting(ctx, lastName, lastWhat, Last{At: s.Now().UTC(), To: to})
}
