package v1

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"strings"
	"time"

	"midcase/internal/shop/rights"
	"midcase/internal/web/reply"
)

// unlessKnown answers 304 where the answer that whoever asks has already is still the answer. Its tag follows from how
// far the shop has come, from the day, and from who asks, so that nothing is formed to find that out. The stock list
// is told by its bytes: opinions that are formed in the background change it and nothing else.
func (a *API) unlessKnown(w http.ResponseWriter, r *http.Request) {
	tag, err := a.tag(r)
	if err == nil && tag != "" && knows(r.Header.Get("If-None-Match"), tag) {
		w.Header().Set("ETag", tag)
		w.WriteHeader(http.StatusNotModified)
		return
	}
	is := reply.Hold()
	a.mux.ServeHTTP(is, r)
	if is.Status == http.StatusOK {
		if tag == "" {
			sum := sha256.Sum256(is.Body.Bytes())
			tag = quoted(sum[:])
		}
		if w.Header().Get("ETag") == "" && is.Head.Get("ETag") == "" {
			is.Head.Set("ETag", tag)
		}
		if knows(r.Header.Get("If-None-Match"), is.Head.Get("ETag")) {
			w.Header().Set("ETag", is.Head.Get("ETag"))
			w.WriteHeader(http.StatusNotModified)
			return
		}
	}
	is.Send(w)
}

// byBytes are the addresses of which the revision does not tell all.
func byBytes(path string) bool {
	rest := strings.TrimPrefix(path, Prefix)
	return rest == "/stock" || rest == "/webhooks" || strings.HasPrefix(rest, "/webhooks/") || oneWatch(rest)
}

// oneWatch reports whether a path is that of one watch's record, whose tag is its version (see watchTag).
func oneWatch(rest string) bool {
	id, ok := strings.CutPrefix(rest, "/watches/")
	return ok && !strings.Contains(id, "/")
}

func (a *API) tag(r *http.Request) (string, error) {
	if byBytes(r.URL.Path) {
		return "", nil
	}
	rev, err := a.shop.Revision(r.Context())
	if err != nil {
		return "", err
	}
	h := sha256.New()
	fmt.Fprintf(h, "%s\n%+v\n%s\n", r.URL.RequestURI(), rev, a.now().Format(time.DateOnly))
	for _, right := range rights.Rights() {
		fmt.Fprintf(h, "%t ", rights.May(r.Context(), right))
	}
	return quoted(h.Sum(nil)), nil
}

func quoted(sum []byte) string { return `"` + hex.EncodeToString(sum[:12]) + `"` }

// knows reports whether a list of tags has one; weak ones count, as something in front may have compressed the answer.
func knows(list, tag string) bool {
	for _, one := range strings.Split(list, ",") {
		one = strings.TrimPrefix(strings.TrimSpace(one), "W/")
		if one != "" && (one == "*" || one == tag) {
			return true
		}
	}
	return false
}
