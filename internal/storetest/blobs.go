package storetest

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"testing/iotest"

	"midcase/internal/shop"
)

// RunBlobs tests the blob stores that open yields. Each call of open must give an
// empty one.
func RunBlobs(t *testing.T, open func(t *testing.T) shop.BlobStore) {
	for _, test := range []struct {
		name string
		run  func(*testing.T, shop.BlobStore)
	}{
		{"Put", testPut},
		{"Limit", testLimit},
		{"Names", testNames},
		{"BrokenReader", testBrokenReader},
		{"CancelledPut", testCancelledPut},
		{"ConcurrentPut", testConcurrentPut},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			test.run(t, open(t))
		})
	}
}

// Messages and their SHA-256 as FIPS 180-2, appendix B, prints them; the empty
// message's from the examples NIST publishes with the standard. From memory.
var published = map[string]string{
	"":    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
	"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
	"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
	strings.Repeat("a", 1_000_000):                             "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
}

func testPut(t *testing.T, s shop.BlobStore) {
	ctx := t.Context()
	for range 2 { // the second time changes nothing
		for text, want := range published {
			sha, size, err := s.Put(ctx, iotest.HalfReader(strings.NewReader(text)), 1<<20)
			ok(t, err)
			equal(t, "name", sha, want)
			equal(t, "size", size, int64(len(text)))
		}
	}
	for text, sha := range published {
		f, err := s.Open(ctx, sha)
		ok(t, err)
		equal(t, "same bytes", string(must(io.ReadAll(f))(t)) == text, true)
		if len(text) > 2 {
			must(f.Seek(-2, io.SeekEnd))(t)
			equal(t, "end", string(must(io.ReadAll(f))(t)), text[len(text)-2:])
		}
		ok(t, f.Close())
	}
}

func testLimit(t *testing.T, s shop.BlobStore) {
	ctx := t.Context()
	_, size, err := s.Put(ctx, strings.NewReader("12345"), 5)
	ok(t, err)
	equal(t, "size at the limit", size, 5)
	sha, _, err := s.Put(ctx, strings.NewReader("123456"), 5)
	wantErr(t, "one byte too many", err, shop.ErrTooLarge)
	equal(t, "name of what was refused", sha, "")
	if err != nil && !strings.Contains(err.Error(), "5 bytes") {
		t.Errorf("error %v; want it to say the limit", err)
	}
	_, err = s.Open(ctx, "8d969eef6ecad3c29a3a629280e686cf0c3f5d5a86aff3ca12020c923adc6c92") // of 123456
	wantErr(t, "what was refused", err, shop.ErrNotFound)
	_, _, err = s.Put(ctx, strings.NewReader("1"), 0)
	wantErr(t, "limit 0", err, shop.ErrTooLarge)
	if _, _, err = s.Put(ctx, strings.NewReader("1"), -1); err == nil {
		t.Error("a negative limit was taken")
	}
}

func testNames(t *testing.T, s shop.BlobStore) {
	ctx := t.Context()
	sha, _, err := s.Put(ctx, strings.NewReader("abc"), 10)
	ok(t, err)
	for _, name := range []string{"", ".", "..", "../../etc/passwd", "/etc/passwd", "ab/cd", sha[:63], sha + "0",
		strings.ToUpper(sha),
		sha[:62] + "/.", sha[:2] + "/" + sha[2:4] + "/" + sha, strings.Repeat(".", 64), strings.Repeat("/",
			64), sha[:63] + "\x00",
		strings.Repeat("0", 64), strings.Repeat("é", 32)} {
		if f, err := s.Open(ctx, name); err == nil {
			f.Close()
			t.Errorf("%q was opened", name)
		} else {
			wantErr(t, name, err, shop.ErrNotFound)
		}
	}
}

func testBrokenReader(t *testing.T, s shop.BlobStore) {
	broken := errors.New("line dropped")
	r := io.MultiReader(strings.NewReader("abc"), iotest.ErrReader(broken))
	_, _, err := s.Put(t.Context(), r, 10)
	wantErr(t, "put", err, broken)
	_, err = s.Open(t.Context(), published["abc"])
	wantErr(t, "open", err, shop.ErrNotFound)
}

func testCancelledPut(t *testing.T, s shop.BlobStore) {
	ctx, cancel := context.WithCancel(t.Context())
	r := io.MultiReader(strings.NewReader("abc"), readerFunc(func([]byte) (int, error) { cancel(); return 0, nil }),
		strings.NewReader("abc"))
	_, _, err := s.Put(ctx, r, 10)
	wantErr(t, "put", err, context.Canceled)
	_, err = s.Open(ctx, published["abc"])
	wantErr(t, "open", err, context.Canceled)
	_, err = s.Open(t.Context(), published["abc"])
	wantErr(t, "open", err, shop.ErrNotFound)
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(b []byte) (int, error) { return f(b) }

func testConcurrentPut(t *testing.T, s shop.BlobStore) {
	ctx := t.Context()
	var group sync.WaitGroup
	for worker := range 8 {
		group.Go(func() {
			for i := range 6 { // the same for all workers
				content := bytes.Repeat([]byte{byte(i)}, 10_000)
				sha, _, err := s.Put(ctx, bytes.NewReader(content), 1<<20)
				if err != nil {
					t.Errorf("worker %d: %v", worker, err)
					return
				}
				f, err := s.Open(ctx, sha)
				if err != nil {
					t.Errorf("worker %d: %v", worker, err)
					return
				}
				if got, err := io.ReadAll(f); err != nil || !bytes.Equal(got, content) {
					t.Errorf("worker %d read %d other bytes, %v", worker, len(got), err)
				}
				f.Close()
			}
		})
	}
	group.Wait()
}
