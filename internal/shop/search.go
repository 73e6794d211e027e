package shop

import (
	"context"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// letters that carry a stroke or are joined do not decompose in Unicode.
var letters = strings.NewReplacer("ø", "o", "ł", "l", "đ", "d", "æ", "ae", "œ", "oe", "ı", "i")

// SearchKey is the form in which text is searched: without regard to case and accents,
// with single spaces.
func SearchKey(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(s) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(letters.Replace(cases.Fold().String(b.String()))), " ")
}

// searchKeys are the search keys of the watches, made anew where a watch changed.
type searchKeys struct {
	mu  sync.Mutex
	all map[WatchID]searchKey
}

type searchKey struct {
	version int
	key     string
}

func (k *searchKeys) of(w Watch) string {
	if have, ok := k.all[w.ID]; ok && have.version == w.Version {
		return have.key
	}
	key := SearchKey(strings.Join([]string{w.Title, w.Maker, w.Reference, w.Serial, w.Place, w.Holder, w.Note}, "\n"))
	if k.all == nil {
		k.all = map[WatchID]searchKey{}
	}
	k.all[w.ID] = searchKey{w.Version, key}
	return key
}

// Search keeps the watches in which all words of a text are found: in title, maker,
// reference, serial number, place, holder or note, or in the name of the client.
func (s *Shop) Search(ctx context.Context, all []Brief, text string) ([]Brief, error) {
	words := strings.Fields(SearchKey(text))
	if len(words) == 0 {
		return all, nil
	}
	clients, err := s.ClientList(ctx)
	if err != nil {
		return nil, err
	}
	names := make(map[string]string, len(clients))
	for _, c := range clients {
		if c.Erased.IsZero() {
			names[c.ID] = SearchKey(c.Name)
		}
	}
	k := &s.searching
	k.mu.Lock()
	defer k.mu.Unlock()
	var out []Brief
	for _, b := range all {
		if holdsAll(words, k.of(b.Watch), names[b.Watch.Client], names[b.Watch.Holder]) {
			out = append(out, b)
		}
	}
	return out, nil
}

func holdsAll(words []string, in ...string) bool {
	for _, w := range words {
		found := false
		for _, s := range in {
			found = found || strings.Contains(s, w)
		}
		if !found {
			return false
		}
	}
	return true
}
