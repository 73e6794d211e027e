package wording

import (
	"context"

	"midcase/say"
)

// Capital is a statement with a capital letter to begin with.
func Capital(ctx context.Context, s say.Statement) string {
	return say.Writer{Catalogue: say.InEnglish(), Locale: ReaderOf(ctx).Locale}.Capital(s)
}

// Say writes a statement for the reader of a request: in English, with figures and days in
// the form of his country.
func Say(ctx context.Context, s say.Statement) string {
	if s.IsZero() {
		return ""
	}
	return say.Writer{Catalogue: say.InEnglish(), Locale: ReaderOf(ctx).Locale}.Text(s).String()
}
