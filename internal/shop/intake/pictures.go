package intake

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"image/jpeg"
	"slices"
	"sync"

	"midcase/evidence"
	"midcase/internal/picture"
	"midcase/internal/shop"
	"midcase/photo"
)

// Shot is a picture of many that came at once, as it is proposed before anything of it is kept.
type Shot struct {
	SHA   string // of its bytes
	Info  picture.Info
	Small []byte // an upright JPEG of at most ShotPx a side
	Like  photo.Likeness
	Look  photo.Look
}

// ShotPx is the longer side of the small picture of a shot.
const ShotPx = 320

// LookAt reads a picture whole and describes it. The error says what is wrong with the file.
func (r *Room) LookAt(ctx context.Context, b []byte) (Shot, error) {
	info, err := picture.Inspect(b)
	if err != nil {
		return Shot{}, err
	}
	small, err := picture.Small(ctx, b, ShotPx, 80)
	if err != nil {
		return Shot{}, err
	}
	sum := sha256.Sum256(b)
	s := Shot{SHA: hex.EncodeToString(sum[:]), Info: info, Small: small}
	img, err := jpeg.Decode(bytes.NewReader(small))
	if err != nil {
		return Shot{}, fmt.Errorf("small picture: %w", err)
	}
	s.Like, s.Look = photo.LikenessOf(img), photo.LookOf(img)
	return s, nil
}

// Pictures of the shop's own from which views are learned: the latest, so many of them at most; fewer than leastSorted,
// or of fewer than leastViews views, and the drawn ones serve.
const (
	mostSorted  = 240
	leastSorted = 24
	leastViews  = 3
	mostFiles   = 400 // watches whose files are looked through for them, the latest first
)

// sorted are the looks of pictures whose view a person has said, by their SHA-256.
type sorted struct {
	mu    sync.Mutex
	looks map[string]photo.Look
}

// ViewModel tells views apart: learned from own, the pictures of the shop whose view a person has said and of which the
// looks are known, else from the drawn pictures. own is how many it was learned from; 0 says the drawn ones.
func (r *Room) ViewModel(ctx context.Context) (m *photo.ViewModel, own int, err error) {
	all, err := r.viewsSaid(ctx)
	if err != nil {
		return nil, 0, err
	}
	var looks []photo.Look
	var views []string
	kinds := map[string]bool{}
	r.sorted.mu.Lock()
	for _, p := range all {
		if l, ok := r.sorted.looks[p.Blob]; ok {
			looks, views = append(looks, l), append(views, p.View)
			kinds[p.View] = true
		}
	}
	r.sorted.mu.Unlock()
	if len(looks) >= leastSorted && len(kinds) >= leastViews {
		if m, ok := photo.LearnViews(looks, views); ok {
			return m, len(looks), nil
		}
	}
	return photo.DrawnViews(), 0, nil
}

// viewsSaid are the latest pictures on record.
func (r *Room) viewsSaid(ctx context.Context) ([]*evidence.Photo, error) {
	watches, err := r.stores.Watches.Watches(ctx, shop.Filter{})
	if err != nil {
		return nil, fmt.Errorf("views of the shop's pictures: %w", err)
	}
	var out []*evidence.Photo
	for _, w := range slices.Backward(watches[max(0, len(watches)-mostFiles):]) {
		items, err := r.stores.Watches.Evidence(ctx, w.ID)
		if err != nil {
			return nil, fmt.Errorf("views of the shop's pictures: %w", err)
		}
		for _, it := range evidence.Fold(evidence.Watch{Evidence: items}, r.shop.Now()).Items {
			if p, ok := it.Data.(*evidence.Photo); ok {
				out = append(out, p)
			}
		}
		if len(out) >= mostSorted {
			break
		}
	}
	return out, nil
}

// LearnLooks reads the pictures of the shop whose looks are not known yet, one after the other, until the context ends.
// It is meant to run in the background; a picture that cannot be read is passed over.
func (r *Room) LearnLooks(ctx context.Context) {
	all, err := r.viewsSaid(ctx)
	if err != nil {
		return
	}
	for _, p := range all {
		r.sorted.mu.Lock()
		_, known := r.sorted.looks[p.Blob]
		r.sorted.mu.Unlock()
		if known || ctx.Err() != nil {
			continue
		}
		b, err := r.shop.Picture(ctx, p.Blob)
		if err != nil {
			continue
		}
		if s, err := r.LookAt(ctx, b); err == nil {
			r.learned(p.Blob, s.Look)
		}
	}
}

func (r *Room) learned(sha string, l photo.Look) {
	r.sorted.mu.Lock()
	defer r.sorted.mu.Unlock()
	if r.sorted.looks == nil {
		r.sorted.looks = map[string]photo.Look{}
	}
	r.sorted.looks[sha] = l
}

// HasPicture reports whether a watch has a picture, by the SHA-256 of its bytes.
func (r *Room) HasPicture(ctx context.Context, id shop.WatchID, sha string) (bool, error) {
	items, err := r.stores.Watches.Evidence(ctx, id)
	if err != nil {
		return false, err
	}
	return slices.ContainsFunc(evidence.Fold(evidence.Watch{Evidence: items}, r.shop.Now()).Items, func(it evidence.Item) bool {
		p, ok := it.Data.(*evidence.Photo)
		return ok && p.Blob == sha
	}), nil
}

// Pictures that were sorted on a contact sheet are remembered by the marks of their files, the latest so many, so that
// the same folder can be chosen again.
const (
	sortedSetting, sortedWhat = "pictures-sorted", "pictures sorted before"

	mostMarks = 40_000
)

// mark is what is kept of the name, size and day of a file.
func mark(file string) string {
	sum := sha256.Sum256([]byte(file))
	return base64.RawURLEncoding.EncodeToString(sum[:9])
}

// SortedBefore tells which files of pictures were sorted before, by what the browser says of each: name, size and day.
func (r *Room) SortedBefore(ctx context.Context, files []string) ([]bool, error) {
	var marks []string
	if _, err := r.shop.ReadSetting(ctx, sortedSetting, sortedWhat, &marks); err != nil {
		return nil, err
	}
	there := make(map[string]bool, len(marks))
	for _, m := range marks {
		there[m] = true
	}
	out := make([]bool, len(files))
	for i, f := range files {
		out[i] = there[mark(f)]
	}
	return out, nil
}

// NoteSorted remembers files of pictures as sorted.
func (r *Room) NoteSorted(ctx context.Context, files []string) error {
	var marks []string
	return r.shop.ChangeSetting(ctx, sortedSetting, sortedWhat, &marks, func() error {
		for _, f := range files {
			if f != "" {
				marks = append(marks, mark(f))
			}
		}
		marks = marks[max(0, len(marks)-mostMarks):]
		return nil
	})
}
