package blobs

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"midcase/internal/shop"
	"midcase/internal/storetest"
)

const limit = 1 << 20

func openFolder(t *testing.T, path string) *Folder {
	t.Helper()
	f, err := Dir(path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func put(t *testing.T, f *Folder, text string) string {
	t.Helper()
	sha, _, err := f.Put(t.Context(), strings.NewReader(text), limit)
	if err != nil {
		t.Fatal(err)
	}
	return sha
}

// files lists the regular files in the folder, with their paths.
func files(t *testing.T, dir string) (out []string) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, _ := filepath.Rel(dir, path)
			out = append(out, filepath.ToSlash(rel))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestConformance(t *testing.T) {
	storetest.RunBlobs(t, func(t *testing.T) shop.BlobStore { return openFolder(t, t.TempDir()) })
}

func TestLayout(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "blobs")
	f := openFolder(t, dir)
	sha := put(t, f, "abc")
	put(t, f, "abc")
	want := sha[:2] + "/" + sha[2:4] + "/" + sha
	if got := files(t, dir); len(got) != 1 || got[0] != want {
		t.Errorf("files %v; want %s alone", got, want)
	}
	if info, err := os.Stat(filepath.Join(dir, want)); err != nil || info.Mode().Perm() != 0o600 &&
		runtime.GOOS != "windows" {
		t.Errorf("mode %v, %v; want it private", info.Mode(), err)
	}
	again := openFolder(t, dir)
	if err := again.Verify(t.Context(), sha); err != nil {
		t.Errorf("opened again: %v", err)
	}
}

func TestRefusedLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	f := openFolder(t, dir)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for what, err := range map[string]error{
		"too large": errOf(f.Put(t.Context(), strings.NewReader("123456"), 5)),
		"broken": errOf(f.Put(t.Context(), io.MultiReader(strings.NewReader("a"),
			iotest.ErrReader(io.ErrUnexpectedEOF)), limit)),
		"cancelled": errOf(f.Put(ctx, strings.NewReader("a"), limit)),
	} {
		if err == nil {
			t.Errorf("%s: taken", what)
		}
	}
	if left := files(t, dir); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

func errOf(_ string, _ int64, err error) error { return err }

func TestVerifyAndHeal(t *testing.T) {
	dir := t.TempDir()
	f := openFolder(t, dir)
	sha := put(t, f, "abc")
	for _, damage := range []string{"abd", "ab", ""} {
		if err := os.WriteFile(filepath.Join(dir, place(sha)), []byte(damage), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := f.Verify(t.Context(), sha); !errors.Is(err, ErrDamaged) {
			t.Errorf("bytes %q: %v; want %v", damage, err, ErrDamaged)
		}
		put(t, f, "abc")
		if err := f.Verify(t.Context(), sha); err != nil {
			t.Errorf("stored again: %v", err)
		}
	}
	if err := f.Verify(t.Context(), strings.Repeat("0", 64)); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("no such blob: %v", err)
	}
}

func TestSweep(t *testing.T) {
	dir := t.TempDir()
	openFolder(t, dir)
	for name, age := range map[string]time.Duration{"old": 2 * abandoned, "at work": time.Minute} {
		path := filepath.Join(dir, incoming, name)
		if err := os.WriteFile(path, []byte("half a pic"), 0o600); err != nil {
			t.Fatal(err)
		}
		at := time.Now().Add(-age)
		if err := os.Chtimes(path, at, at); err != nil {
			t.Fatal(err)
		}
	}
	f := openFolder(t, dir)
	if got := files(t, dir); len(got) != 1 || got[0] != incoming+"/at work" {
		t.Errorf("after opening: %v; want only what is at work", got)
	}
	for e, err := range f.List(t.Context()) {
		t.Errorf("listed %v, %v; want nothing", e, err)
	}
}

func TestList(t *testing.T) {
	dir := t.TempDir()
	f := openFolder(t, dir)
	want := map[string]int64{}
	for _, text := range []string{"", "a", "abc", strings.Repeat("x", 5000)} {
		want[put(t, f, text)] = int64(len(text))
	}
	sha := put(t, f, "abc")
	for _, stray := range []string{"notes.txt", sha[:2] + "/README", sha, "00/11/" + sha} {
		path := filepath.Join(dir, stray)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte("stray"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	last := ""
	for e, err := range f.List(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		if size, known := want[e.SHA]; !known || size != e.Size || e.SHA <= last {
			t.Errorf("listed %v after %s", e, last)
		}
		last = e.SHA
		delete(want, e.SHA)
	}
	if len(want) > 0 {
		t.Errorf("not listed: %v", want)
	}
	for range f.List(t.Context()) {
		break
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, err := range f.List(ctx) {
		if !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled: %v", err)
		}
	}
}

// A file of which one bit flipped is not handed out; storing the bytes again mends it.
func TestOpenRefusesDamage(t *testing.T) {
	dir := t.TempDir()
	f := openFolder(t, dir)
	sha := put(t, f, "abc")
	if err := os.WriteFile(filepath.Join(dir, place(sha)), []byte("abb"), 0o600); err != nil {
		t.Fatal(err)
	}
	if file, err := f.Open(t.Context(), sha); !errors.Is(err, shop.ErrDamaged) {
		t.Errorf("%v, %v; want it to be damaged", file, err)
	}
	put(t, f, "abc")
	file, err := f.Open(t.Context(), sha)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if b, err := io.ReadAll(file); err != nil || string(b) != "abc" {
		t.Errorf("read %q, %v from its beginning", b, err)
	}
}

// A symbolic link in the folder does not lead out of it.
func TestLinksDoNotLeadOut(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "secret")
	if err := os.WriteFile(outside, []byte("secret"), 0o600); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	f := openFolder(t, dir)
	sha := strings.Repeat("a", 64)
	if err := os.MkdirAll(filepath.Join(dir, "aa", "aa"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(dir, place(sha))); err != nil {
		t.Skip("no symbolic links here")
	}
	if file, err := f.Open(t.Context(), sha); err == nil {
		file.Close()
		t.Error("a link out of the folder was followed")
	}
}

func TestDirErrors(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"", file} {
		if f, err := Dir(path); err == nil {
			f.Close()
			t.Errorf("Dir(%q) succeeded", path)
		}
	}
}

func FuzzNames(f *testing.F) {
	for _, s := range []string{"", "..", strings.Repeat("a", 64), strings.Repeat("A", 64),
		"../" + strings.Repeat("a", 61)} {
		f.Add(s)
	}
	folder, err := Dir(f.TempDir())
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { folder.Close() })
	f.Fuzz(func(t *testing.T, name string) {
		if file, err := folder.Open(t.Context(), name); !errors.Is(err, shop.ErrNotFound) {
			t.Errorf("%q: %v, %v; want not found in an empty folder", name, file, err)
		}
	})
}
