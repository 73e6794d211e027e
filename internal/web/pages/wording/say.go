package wording

import (
	"context"
	"strings"

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

// All writes statements one after the other.
func All(ctx context.Context, all []say.Statement) string {
	texts := make([]string, len(all))
	for i, s := range all {
		texts[i] = Say(ctx, s)
	}
	return strings.Join(texts, " ")
}

// Word is a word of the trade, by its set and id; one that the catalogue does not have
// is its id with spaces.
func Word(ctx context.Context, set, id string) string {
	return say.Writer{Catalogue: say.InEnglish(), Locale: ReaderOf(ctx).Locale}.Value(say.Noun{Set: set, ID: id}, "")
}
