package intake

import (
	"context"
	"slices"
	"strings"
	"time"

	"midcase/internal/shop"
	"midcase/notes"
)

// OwnWord is what a word means in this shop's notes, and who said so.
type OwnWord struct {
	notes.Own
	By  string `json:"by"`
	Day string `json:"day"` // ISO 8601
}

const ownWordsName = "own words"

// OwnWords lists the words that this shop uses in its own way, by the alphabet.
func (r *Room) OwnWords(ctx context.Context) ([]OwnWord, error) {
	var out []OwnWord
	_, err := r.shop.ReadSetting(ctx, ownWordsName, "own words", &out)
	return out, err
}

// Own are the words of OwnWords as a reader of notes takes them.
func (r *Room) Own(ctx context.Context) ([]notes.Own, error) {
	all, err := r.OwnWords(ctx)
	out := make([]notes.Own, len(all))
	for i, w := range all {
		out[i] = w.Own
	}
	return out, err
}

// LearnWord keeps what a word means, in place of what it meant before.
func (r *Room) LearnWord(ctx context.Context, o notes.Own, by string) error {
	o.Say = strings.Join(strings.Fields(strings.ToLower(o.Say)), " ")
	if err := o.Check(); err != nil {
		return shop.Refuse("learn a word", "say", err.Error(), "words that mean a finding")
	}
	return r.changeOwnWords(ctx, func(all []OwnWord) ([]OwnWord, error) {
		all = slices.DeleteFunc(all, func(w OwnWord) bool { return w.Say == o.Say })
		return append(all, OwnWord{o, by, r.shop.Now().Format(time.DateOnly)}), nil
	})
}

// ForgetWord lets a word mean again what it means to others.
func (r *Room) ForgetWord(ctx context.Context, say string) error {
	return r.changeOwnWords(ctx, func(all []OwnWord) ([]OwnWord, error) {
		n := len(all)
		if all = slices.DeleteFunc(all, func(w OwnWord) bool { return w.Say == say }); len(all) == n {
			return nil, shop.NotFound("no word " + say + " of our own")
		}
		return all, nil
	})
}

func (r *Room) changeOwnWords(ctx context.Context, change func([]OwnWord) ([]OwnWord, error)) error {
	var all []OwnWord
	return r.shop.ChangeSetting(ctx, ownWordsName, "own words", &all, func() (err error) {
		if all, err = change(all); err != nil {
			return err
		}
		slices.SortFunc(all, func(a, b OwnWord) int { return strings.Compare(a.Say, b.Say) })
		return nil
	})
}
