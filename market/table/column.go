package table

import (
	"strings"
)

// Words is a column of free text with few distinct values: each row holds a code
// into the list of spellings seen. Code 0 is the empty text.
type Words struct {
	Code     []uint32
	Spelling []string
	hash     []uint64 // of the folded spelling, so that case does not make a new sale
	index    map[string]uint32
	last     uint32 // code of the row before, which is often the same
}

func newWords() Words {
	return Words{Spelling: []string{""}, hash: []uint64{textHash("")}, index: map[string]uint32{"": 0}}
}

// lookup gives the code of a trimmed text, adding it when it is new.
func (w *Words) lookup(b []byte) uint32 {
	if len(b) == 0 {
		return 0
	}
	if s := w.Spelling[w.last]; len(s) == len(b) && s == string(b) {
		return w.last
	}
	c, ok := w.index[string(b)]
	if !ok {
		s := string(b)
		c = uint32(len(w.Spelling))
		w.Spelling = append(w.Spelling, s)
		w.hash = append(w.hash, textHash(Fold(s)))
		w.index[s] = c
	}
	w.last = c
	return c
}

// At is the text of row i.
func (w *Words) At(i int) string { return w.Spelling[w.Code[i]] }

// Fold is the form in which category values are compared.
func Fold(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

// texts is a column whose values are mostly distinct, such as notes: one run of
// bytes with the end of each row's share.
type texts struct {
	bytes []byte
	end   []uint64
}

// add appends the text of the next row; as long as all are empty nothing is kept.
func (t *texts) add(b []byte, row int) {
	if t.end == nil {
		if len(b) == 0 {
			return
		}
		t.end = make([]uint64, row, max(row+1, 1024))
	}
	t.bytes = append(t.bytes, b...)
	t.end = append(t.end, uint64(len(t.bytes)))
}

func (t *texts) at(i int) string {
	if t.end == nil {
		return ""
	}
	var from uint64
	if i > 0 {
		from = t.end[i-1]
	}
	return string(t.bytes[from:t.end[i]])
}

// textHash is 64-bit FNV-1a followed by a finalising mix; it is stable, so that
// sale identifiers may be kept.
func textHash[T string | []byte](s T) uint64 {
	h := uint64(14695981039346656037)
	for i := 0; i < len(s); i++ {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return mix(h)
}

// mix is the finaliser of SplitMix64 (Steele, Lea and Flood 2014).
func mix(h uint64) uint64 {
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return h ^ h>>31
}

func chain(h, v uint64) uint64 { return mix(h*0x9e3779b97f4a7c15 + v) }

// hashSet is an open-addressing set of row hashes.
type hashSet struct {
	slot []uint64
	n    int
	zero bool
}

// add reports whether h was new.
func (s *hashSet) add(h uint64) bool {
	if h == 0 {
		was := s.zero
		s.zero = true
		return !was
	}
	if 2*(s.n+1) > len(s.slot) {
		s.grow()
	}
	if !s.insert(h) {
		return false
	}
	s.n++
	return true
}

func (s *hashSet) insert(h uint64) bool {
	mask := uint64(len(s.slot) - 1)
	for i := h & mask; ; i = (i + 1) & mask {
		switch s.slot[i] {
		case 0:
			s.slot[i] = h
			return true
		case h:
			return false
		}
	}
}

func (s *hashSet) grow() { s.resize(max(1024, 2*len(s.slot))) }

// resize makes room; n is a power of two.
func (s *hashSet) resize(n int) {
	old := s.slot
	s.slot = make([]uint64, n)
	for _, h := range old {
		if h != 0 {
			s.insert(h)
		}
	}
}
