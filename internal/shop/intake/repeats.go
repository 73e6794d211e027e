package intake

import (
	"context"

	"midcase/internal/shop"
	"midcase/photo"
)

// Pictures that were kept from contact sheets are remembered by what they look like, the latest so many, so that a
// picture that comes again is seen to, scaled or saved anew as well.
const (
	keptSetting, keptWhat = "pictures-kept", "pictures kept before"

	mostLikenesses = 40_000
	markedBy       = 16 // figures of a SHA-256
)

// KeptPicture is what is remembered of a picture.
type KeptPicture struct {
	Like  string       `json:"l"`
	SHA   string       `json:"s"` // its beginning
	Watch shop.WatchID `json:"w"`

	like photo.Likeness
}

// KeptPictures are the pictures kept before.
type KeptPictures []KeptPicture

// KeptOf is what is remembered of a shot that was kept with a watch.
func KeptOf(s Shot, id shop.WatchID) KeptPicture {
	return KeptPicture{Like: s.Like.String(), SHA: s.SHA[:min(len(s.SHA), markedBy)], Watch: id}
}

// KeptPictures reads what is remembered.
func (r *Room) KeptPictures(ctx context.Context) (KeptPictures, error) {
	var all KeptPictures
	if _, err := r.shop.ReadSetting(ctx, keptSetting, keptWhat, &all); err != nil {
		return nil, err
	}
	out := all[:0]
	for _, k := range all {
		if like, err := photo.ParseLikeness(k.Like); err == nil {
			k.like = like
			out = append(out, k)
		}
	}
	return out, nil
}

// NoteKept remembers pictures that were kept.
func (r *Room) NoteKept(ctx context.Context, kept KeptPictures) error {
	if len(kept) == 0 {
		return nil
	}
	var all KeptPictures
	return r.shop.ChangeSetting(ctx, keptSetting, keptWhat, &all, func() error {
		all = append(all, kept...)
		all = all[max(0, len(all)-mostLikenesses):]
		return nil
	})
}

// Repeated is the watch with which a picture was kept before: the same file, else one in whose likeness no more than
// within signs differ, the nearest.
func (k KeptPictures) Repeated(s Shot, within int) (id shop.WatchID, same, ok bool) {
	sha, nearest := s.SHA[:min(len(s.SHA), markedBy)], within+1
	for _, x := range k {
		if x.SHA == sha {
			return x.Watch, true, true
		}
		if d := x.like.Apart(s.Like); d < nearest {
			id, nearest, ok = x.Watch, d, true
		}
	}
	return id, false, ok
}
