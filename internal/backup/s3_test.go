package backup

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
)

// fakeS3 answers the few requests of S3 that a place makes, out of memory. It checks no signature.
type fakeS3 struct {
	mu      sync.Mutex
	objects map[string][]byte
	refuse  bool
}

func (f *fakeS3) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	f.mu.Lock()
	defer f.mu.Unlock()
	bucket, key, _ := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	content, there := f.objects[key]
	switch {
	case f.refuse || bucket != "copies":
		w.WriteHeader(http.StatusForbidden)
		fmt.Fprint(w, `<Error><Code>AccessDenied</Code><Message>no</Message></Error>`)
	case r.URL.Query().Has("location"):
		fmt.Fprint(w, `<LocationConstraint></LocationConstraint>`)
	case r.Method == http.MethodGet && key == "":
		f.list(w, r.URL.Query().Get("prefix"))
	case r.Method == http.MethodPut:
		b, err := body(r)
		if err != nil {
			w.WriteHeader(http.StatusBadRequest)
			return
		}
		f.objects[key] = b
		w.Header().Set("ETag", `"1"`)
	case r.Method == http.MethodDelete:
		delete(f.objects, key)
		w.WriteHeader(http.StatusNoContent)
	case !there:
		w.WriteHeader(http.StatusNotFound)
		if r.Method != http.MethodHead {
			fmt.Fprint(w, `<Error><Code>NoSuchKey</Code></Error>`)
		}
	default:
		w.Header().Set("ETag", `"1"`)
		w.Header().Set("Last-Modified", "Mon, 02 Mar 2026 09:00:00 GMT")
		w.Header().Set("Content-Length", strconv.Itoa(len(content)))
		w.Write(content)
	}
}

func (f *fakeS3) list(w io.Writer, prefix string) {
	type object struct {
		Key  string
		Size int
	}
	out := struct {
		XMLName  xml.Name `xml:"ListBucketResult"`
		Contents []object
	}{}
	for key, b := range f.objects {
		if strings.HasPrefix(key, prefix) {
			out.Contents = append(out.Contents, object{key, len(b)})
		}
	}
	slices.SortFunc(out.Contents, func(a, b object) int { return strings.Compare(a.Key, b.Key) })
	xml.NewEncoder(w).Encode(out)
}

// body reads what was sent, in signed chunks or plain.
func body(r *http.Request) ([]byte, error) {
	if !strings.HasPrefix(r.Header.Get("X-Amz-Content-Sha256"), "STREAMING-") {
		return io.ReadAll(r.Body)
	}
	in, out := bufio.NewReader(r.Body), bytes.Buffer{}
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return nil, err
		}
		size, _, _ := strings.Cut(strings.TrimSpace(line), ";")
		n, err := strconv.ParseInt(size, 16, 64)
		if err != nil || n == 0 {
			return out.Bytes(), err
		}
		if _, err := io.CopyN(&out, in, n); err != nil {
			return nil, err
		}
		if _, err := in.Discard(2); err != nil { // the end of the chunk's line
			return nil, err
		}
	}
}

// places are a folder and S3 storage, both empty.
func places(t *testing.T, run func(t *testing.T, p Place)) {
	t.Run("folder", func(t *testing.T) { run(t, folder(t.TempDir())) })
	t.Run("s3", func(t *testing.T) {
		server := httptest.NewServer(&fakeS3{objects: map[string][]byte{}})
		t.Cleanup(server.Close)
		p, err := newBucket(strings.TrimPrefix(server.URL, "http://"), "copies", "shop/one", &minio.Options{
			Creds: credentials.NewStaticV4("key", "secret", ""), BucketLookup: minio.BucketLookupPath})
		if err != nil {
			t.Fatal(err)
		}
		run(t, p)
	})
}

func TestPlaces(t *testing.T) {
	t.Parallel()
	places(t, func(t *testing.T, p Place) {
		ctx := t.Context()
		if _, err := p.Get(ctx, "snapshots/none.json"); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("a file that is not there: %v", err)
		}
		big := bytes.Repeat([]byte("midcase "), 20_000)
		for name, b := range map[string][]byte{"objects/ab/abc": big, "objects/ab/empty": {},
			"snapshots/1.json": []byte("{}")} {
			if err := p.Put(ctx, name, bytes.NewReader(b), int64(len(b))); err != nil {
				t.Fatal(err)
			}
		}
		names, err := p.List(ctx, objects)
		slices.Sort(names)
		if err != nil || !slices.Equal(names, []string{"objects/ab/abc", "objects/ab/empty"}) {
			t.Errorf("listed %q, %v", names, err)
		}
		r, err := p.Get(ctx, "objects/ab/abc")
		if err != nil {
			t.Fatal(err)
		}
		if b, err := io.ReadAll(r); err != nil || !bytes.Equal(b, big) {
			t.Errorf("%d bytes came back of %d, %v", len(b), len(big), err)
		}
		r.Close()
		if err := p.Remove(ctx, "objects/ab/abc"); err != nil {
			t.Fatal(err)
		}
		if names, err := p.List(ctx, objects); err != nil || len(names) != 1 {
			t.Errorf("after one was removed: %q, %v", names, err)
		}
	})
}

func TestS3RefusedSaysWhatToCheck(t *testing.T) {
	t.Parallel()
	server := httptest.NewServer(&fakeS3{refuse: true})
	t.Cleanup(server.Close)
	p, err := newBucket(strings.TrimPrefix(server.URL, "http://"), "copies", "", &minio.Options{
		Creds: credentials.NewStaticV4("key", "secret", ""), BucketLookup: minio.BucketLookupPath, Region: "x"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.List(t.Context(), objects); err == nil || !strings.Contains(err.Error(), s3KeyVariable) {
		t.Errorf("%v; want it to name %s", err, s3KeyVariable)
	}
}
