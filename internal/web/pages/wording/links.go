package wording

import (
	"context"
	"time"

	"midcase/internal/shop"
	"midcase/say"
)

// LinkState says how often a private link was opened, and until when it opens.
func LinkState(ctx context.Context, l shop.Link, now time.Time) string {
	opened := say.That("clients.link-unopened")
	if l.Views > 0 {
		opened = say.That("clients.link-opened", say.Count("n", l.Views), say.Day("last", lastOf(l.Seen)))
	}
	switch {
	case !l.Ended.IsZero():
		return Capital(ctx, say.That("clients.link-ended", say.Saying("state", opened),
			say.Day("day", l.Ended.Format(time.DateOnly))))
	case !l.Opens(now):
		return Capital(ctx, say.That("clients.link-over", say.Saying("state", opened), say.Day("day", l.Until)))
	}
	return Capital(ctx, say.That("clients.link-until", say.Saying("state", opened), say.Day("day", l.Until)))
}

// LinksOpened says of all private links to a watch how often they were opened; empty where there are none.
func LinksOpened(ctx context.Context, all []shop.Link) string {
	if len(all) == 0 {
		return ""
	}
	views, last := 0, ""
	for _, l := range all {
		views, last = views+l.Views, max(last, lastOf(l.Seen))
	}
	opened := say.That("clients.link-unopened")
	if views > 0 {
		opened = say.That("clients.link-opened", say.Count("n", views), say.Day("last", last))
	}
	return Capital(ctx, say.That("clients.links-opened", say.Count("links", len(all)), say.Saying("state", opened)))
}

// lastOf is the day of the last of some times; empty for none.
func lastOf(seen []time.Time) string {
	if len(seen) == 0 {
		return ""
	}
	return seen[len(seen)-1].Format(time.DateOnly)
}

var languages = map[string]string{"en": "English", "de": "German", "fr": "French", "it": "Italian"}

// Language is the name of a language in which buyers are told of watches.
func Language(tag string) string { return languages[tag] }
