package proof

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// log is a hash tree in memory.
type log struct{ hashes []tlog.Hash }

func (l *log) ReadHashes(at []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(at))
	for i, n := range at {
		out[i] = l.hashes[n]
	}
	return out, nil
}

// records is a log of so many records, its head, and the proof of every third.
func records(t *testing.T, size int64) (Head, []Record) {
	t.Helper()
	l := &log{}
	for n := range size {
		hashes, err := tlog.StoredHashes(n, fmt.Append(nil, "record ", n), l)
		if err != nil {
			t.Fatal(err)
		}
		l.hashes = append(l.hashes, hashes...)
	}
	root, err := tlog.TreeHash(size, l)
	if err != nil {
		t.Fatal(err)
	}
	var out []Record
	for n := int64(0); n < size; n += 3 {
		path, err := tlog.ProveRecord(size, n, l)
		if err != nil {
			t.Fatal(err)
		}
		r := Record{Index: n, Hash: tlog.RecordHash(fmt.Append(nil, "record ", n)).String(), Path: []string{}}
		for _, h := range path {
			r.Path = append(r.Path, h.String())
		}
		out = append(out, r)
	}
	return Head{size, root.String()}, out
}

func page(t *testing.T) []byte {
	t.Helper()
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetCompression(false)
	pdf.AddPage()
	pdf.SetFont("Helvetica", "", 12)
	pdf.Text(20, 20, "A report")
	var b bytes.Buffer
	if err := pdf.Output(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func key(t *testing.T) Key {
	t.Helper()
	k, _, err := NewKey()
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func signed(t *testing.T, k Key) (file []byte, h Head) {
	t.Helper()
	h, all := records(t, 20)
	file, err := k.Sign(page(t), "R-2026-0001", h, all)
	if err != nil {
		t.Fatal(err)
	}
	return file, h
}

func TestAPaperSpeaksForItself(t *testing.T) {
	k := key(t)
	file, h := signed(t, k)
	again, _ := signed(t, k)
	if !bytes.Equal(file, again) {
		t.Error("the same paper was signed to other bytes")
	}
	for _, public := range []string{"", k.Public()} {
		p, err := Verify(file, public)
		if err != nil || p.Number != "R-2026-0001" || p.Head != h || p.Items != 7 || p.Key != k.Public() {
			t.Errorf("%+v, %v", p, err)
		}
	}
	if _, err := Verify(file, key(t).Public()); err == nil {
		t.Error("another shop's key holds")
	}
	if _, err := Verify(page(t), ""); !errors.Is(err, ErrNoProof) {
		t.Errorf("a paper without a proof: %v", err)
	}
}

// No byte of the file can be changed, taken away or added.
func TestNoByteCanBeChanged(t *testing.T) {
	k := key(t)
	file, _ := signed(t, k)
	random := rand.New(rand.NewPCG(3, 4))
	for range 3000 {
		b := slices.Clone(file)
		at := random.IntN(len(b))
		b[at] ^= 1 << random.IntN(8)
		if p, err := Verify(b, k.Public()); err == nil {
			t.Errorf("byte %d flipped: %+v", at, p)
		}
	}
	for _, b := range [][]byte{file[:len(file)-1], append(slices.Clone(file), '\n'), append([]byte{'%'}, file...),
		append(slices.Clone(file), file...), nil} {
		if p, err := Verify(b, k.Public()); err == nil {
			t.Errorf("%d bytes instead of %d: %+v", len(b), len(file), p)
		}
	}
}

// A proof made for another record, another head or another paper does not hold.
func TestProofsAreBound(t *testing.T) {
	k := key(t)
	h, all := records(t, 20)
	other, _ := records(t, 21)
	wrong := slices.Clone(all)
	wrong[0].Index = 1
	for name, sign := range map[string]func() ([]byte, error){
		"a head of another log": func() ([]byte, error) { return k.Sign(page(t), "1", other, all) },
		"another record":        func() ([]byte, error) { return k.Sign(page(t), "1", h, wrong) },
	} {
		file, err := sign()
		if err != nil {
			t.Fatal(err)
		}
		if p, err := Verify(file, k.Public()); err == nil {
			t.Errorf("%s: %+v", name, p)
		}
	}
	file, _ := signed(t, k)
	_, p, err := detach(file)
	if err != nil {
		t.Fatal(err)
	}
	moved, err := attach(append(page(t), '\n'), p)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Verify(moved, k.Public()); !errors.Is(err, ErrAltered) {
		t.Errorf("a proof on another paper: %v", err)
	}
}

// A signed head is a note that the library alone reads.
func TestAHeadIsANote(t *testing.T) {
	k, secret, err := NewKey()
	if err != nil {
		t.Fatal(err)
	}
	text, err := k.SignHead(Head{12, "cm9vdA=="})
	if err != nil {
		t.Fatal(err)
	}
	v, err := note.NewVerifier(k.Public())
	if err != nil {
		t.Fatal(err)
	}
	n, err := note.Open([]byte(text), note.VerifierList(v))
	if err != nil || !strings.HasSuffix(n.Text, "\n12\ncm9vdA==\n") {
		t.Errorf("%+v, %v", n, err)
	}
	if h, err := OpenHead(text, k.Public()); err != nil || h.String() != "12:cm9vdA==" {
		t.Errorf("%v, %v", h, err)
	}
	if again, err := ReadKey(secret + "\n"); err != nil || again.Public() != k.Public() {
		t.Errorf("the key read again is %v, %v", again, err)
	}
	for _, bad := range []string{"", "x", k.Public(), secret[:len(secret)-4]} {
		if _, err := ReadKey(bad); err == nil {
			t.Errorf("%q was read as a key", bad)
		}
	}
}

func FuzzVerify(f *testing.F) {
	f.Add([]byte("%PDF-1.4 trailer << /Size 1 /Root 1 0 R >> startxref 0 %%EOF"))
	f.Add([]byte("/Type /MidcaseProof /Of 1 /Length 9 >>\nstream\n{}"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if p, err := Verify(b, ""); err == nil {
			t.Errorf("%q verifies as %+v", b, p)
		}
	})
}
