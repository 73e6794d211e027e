package web

import (
	"net/http"

	"github.com/klauspost/compress/gzhttp"
)

// compressible are the types that become much smaller. Pictures, sounds and PDF are
// compressed in themselves and go out as they are, so that parts of them can be asked for.
var compressible = []string{"text/html", "text/css", "text/javascript", "application/javascript", "text/plain",
	"text/csv", "text/markdown", "text/calendar", "text/vcard",
	"text/yaml", "application/json", "application/ld+json", "application/x-ndjson", "image/svg+xml"}

// smallest is the size in bytes below which compressing does not pay.
const smallest = 1024

// compressed sends what is compressible as gzip to those who take it. Padding of random
// length keeps the size from telling what a page holds (the BREACH attack).
func compressed(next http.Handler) http.Handler {
	wrap, err := gzhttp.NewWrapper(gzhttp.ContentTypes(compressible), gzhttp.MinSize(smallest),
		gzhttp.RandomJitter(64, 0, false))
	if err != nil {
		panic(err) // the options are constants
	}
	return wrap(next)
}
