package clients

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/a-h/templ"

	"midcase/estimate"
	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
)

// Path is the address of a client.
func Path(id string) string { return "/clients/" + id }

func safe(path string) templ.SafeURL { return templ.SafeURL(path) }

// day is a time's day in words, or that there was none.
func day(ctx context.Context, t time.Time) string {
	if t.IsZero() {
		return "never"
	}
	return wording.Day(ctx, t.Format(time.DateOnly))
}

// WantWords is a want in a line.
func WantWords(ctx context.Context, w shop.Want) string {
	var out []string
	add := func(s string) {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	add(strings.Join(strings.Fields(w.Maker+" "+w.Family+" "+w.Reference), " "))
	add(wording.Word(ctx, "sold_metal", w.Metal))
	if w.Dial != "" {
		add(w.Dial + " dial")
	}
	if w.Must != "" {
		add("must have: " + w.Must)
	}
	if w.MustNot != "" {
		add("must not have: " + w.MustNot)
	}
	if w.ConditionFloor > 0 {
		add(fmt.Sprintf("condition %.3g or better", w.ConditionFloor))
	}
	if w.OriginalityFloor > 0 {
		add(estimate.Percent(w.OriginalityFloor) + " original or more")
	}
	add(setWords[w.Set])
	add(yearWords(w))
	if !w.Budget.IsZero() {
		add("up to " + wording.Money(ctx, w.Budget))
	}
	add(w.Note)
	if len(out) == 0 {
		return "nothing in particular"
	}
	return strings.Join(out, ", ")
}

var setWords = map[string]string{"watch": "watch alone is enough", "papers": "with papers",
	"full": "with box and papers"}

func yearWords(w shop.Want) string {
	switch {
	case w.YearFrom != 0 && w.YearTo != 0 && w.YearFrom == w.YearTo:
		return fmt.Sprintf("made in %d", w.YearFrom)
	case w.YearFrom != 0 && w.YearTo != 0:
		return fmt.Sprintf("made %d to %d", w.YearFrom, w.YearTo)
	case w.YearFrom != 0:
		return fmt.Sprintf("made in %d or later", w.YearFrom)
	case w.YearTo != 0:
		return fmt.Sprintf("made in %d or earlier", w.YearTo)
	}
	return ""
}

// kindWords is what a client is, with the country.
func kindWords(c shop.Client) string {
	kind := c.Kind
	if kind == "" {
		kind = "person"
	}
	if c.Country != "" {
		kind += ", " + c.Country
	}
	return kind
}

// channelWords names the kinds of channel.
var channelWords = map[string]string{"email": "E-mail", "phone": "Telephone", "message": "Message", "post": "Post"}

// purposeWords names what is asked for.
var purposeWords = map[string]string{"offers": "Offers of watches", "news": "News of the shop",
	"keep": "Keeping data longer than the law requires"}

// consentWords is what was said of a purpose by a channel.
func consentWords(c shop.Client, purpose, channel string) string {
	switch given, asked := c.AllowsBy(purpose, channel); {
	case !asked:
		return "not asked"
	case given:
		return "allowed"
	}
	return "refused"
}

// answer is what was said of a purpose, and when and how.
type answer struct{ says, how string }

// answers are what was said of a purpose: one answer where it is the same by every way
// on record, else one a way.
func answers(ctx context.Context, c shop.Client, purpose string) []answer {
	if purpose == "keep" {
		return []answer{{consentWords(c, purpose, ""), consentHow(ctx, c, purpose, "")}}
	}
	var out []answer
	same := true
	for _, kind := range c.Reached() {
		a := answer{consentWords(c, purpose, kind), consentHow(ctx, c, purpose, kind)}
		same = same && (len(out) == 0 || a == out[0])
		out = append(out, a)
	}
	if same {
		return out[:1]
	}
	for i, kind := range c.Reached() {
		out[i].says = "by " + strings.ToLower(channelWords[kind]) + " " + out[i].says
	}
	return out
}

// consentHow is when and how the latest word on a purpose by a channel was given.
func consentHow(ctx context.Context, c shop.Client, purpose, channel string) string {
	var last shop.Consent
	for _, x := range c.Consents {
		if x.Purpose == purpose && (x.Channel == "" || x.Channel == channel) && !x.At.Before(last.At) {
			last = x
		}
	}
	if last.At.IsZero() {
		return ""
	}
	says := day(ctx, last.At)
	if last.How != "" {
		says += ", " + last.How
	}
	return says
}

// showingWords says what happened.
var showingWords = map[string]string{
	shop.Shown: "saw it", shop.OfferedTo: "was offered it", shop.Promised: "has first refusal",
	shop.Accepted: "takes it", shop.Declined: "does not want it",
	shop.Withdrawn: "offer or promise withdrawn", shop.Private: "shown privately",
}

// ShowingWords says what happened, with price and last day.
func ShowingWords(ctx context.Context, v shop.Showing) string {
	says := showingWords[v.Kind]
	if says == "" {
		says = v.Kind
	}
	if !v.Price.IsZero() {
		says += " at " + wording.Money(ctx, v.Price)
	}
	if !v.Until.IsZero() {
		says += ", until " + wording.Day(ctx, v.Until.String())
	}
	return says
}

// share is a share from 0 to 1 in words.
func share(p float64) string { return estimate.Percent(p) }
