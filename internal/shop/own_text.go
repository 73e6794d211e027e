package shop

import (
	"context"
	"fmt"
	"time"
)

// OwnText is a listing, message or post in the dealer's own words, as it was kept once.
// Versions are only ever added; the last of a watch and Of holds. One that is empty goes
// back to what the program tells.
type OwnText struct {
	Seq   int64     `json:"seq"` // set by the store
	Watch WatchID   `json:"watch"`
	Of    TextOf    `json:"of"`
	N     int       `json:"n"` // from 1, without a gap
	At    time.Time `json:"at"`
	By    string    `json:"by"`
	Base  string    `json:"base,omitempty" typed:"text"` // what the program told then
	Text  string    `json:"text,omitempty" typed:"text"`
}

// TextOf says which text of a watch it is. Length counts for a post alone.
type TextOf struct {
	Form     string `json:"form"`
	Language string `json:"language"`
	Length   int    `json:"length,omitempty"`
}

// Key names the text among those of a watch.
func (o TextOf) Key() string { return fmt.Sprintf("%s/%s/%d", o.Form, o.Language, o.Length) }

// MostText is how many characters a text of one's own may have.
const MostText = 20_000

// TextStore keeps texts in the dealer's own words. None is ever changed or deleted.
type TextStore interface {
	// KeepText adds a version. N that is not the next of its watch and Of is ErrConflict.
	// It sets Seq and returns the version as kept.
	KeepText(ctx context.Context, t OwnText) (OwnText, error)
	// Texts returns the versions of one text of a watch, the latest first; of all texts of
	// the watch where of is the zero TextOf.
	Texts(ctx context.Context, id WatchID, of TextOf) ([]OwnText, error)
}

// KeepText keeps what somebody wrote in place of what the program tells; after is the
// version that it follows, 0 for the first.
func (s *Shop) KeepText(ctx context.Context, t OwnText, after int) (OwnText, error) {
	if n := len([]rune(t.Text)); n > MostText {
		return OwnText{}, Refuse("keep a text", "text", fmt.Sprintf("%d characters", n),
			fmt.Sprintf("at most %d", MostText))
	}
	t.N, t.At = after+1, s.Now()
	kept, err := s.stores.Texts.KeepText(ctx, t)
	if err != nil {
		return OwnText{}, fmt.Errorf("keep a text: %w", err)
	}
	return kept, nil
}

// OwnText is the text that holds; false where what the program tells does. The version is
// returned in both cases.
func (s *Shop) OwnText(ctx context.Context, id WatchID, of TextOf) (OwnText, bool, error) {
	all, err := s.stores.Texts.Texts(ctx, id, of)
	if err != nil || len(all) == 0 {
		return OwnText{}, false, err
	}
	return all[0], all[0].Text != "", nil
}
