package watch

import (
	"fmt"
	"net/url"
	"strings"

	"midcase/estimate"
	"midcase/evidence"
	"midcase/opinion"
)

func base(d Data) string { return "/watches/" + url.PathEscape(string(d.Watch.ID)) }

func asOfQuery(d Data) string {
	if d.AsOf == "" {
		return ""
	}
	return "?as-of=" + url.QueryEscape(d.AsOf)
}

// basisLink is where the thing that a figure stands on can be opened.
func basisLink(b opinion.Basis) string {
	switch b.Source {
	case estimate.Evidence:
		return "#" + b.ID
	case estimate.Sale:
		return "/sales/" + url.PathEscape(b.ID)
	case estimate.Book:
		path, anchor := b.ID, ""
		if parts := strings.SplitN(b.ID, "/", 3); len(parts) == 3 {
			path, anchor = parts[0]+"/"+parts[1], "#"+parts[2]
		}
		return "/book/" + path + anchor
	}
	return "/settings"
}

func count(n int) string {
	if n == 1 {
		return "1 basis"
	}
	return fmt.Sprintf("%d bases", n)
}

func verdictClass(v string) string { return strings.ReplaceAll(v, " ", "-") }

// clause writes a part of the summary; the first begins the sentence.
func clause(text string, i int) string {
	if i == 0 && text != "" {
		return strings.ToUpper(text[:1]) + text[1:]
	}
	return text
}

func stop(i, n int) string {
	if i == n-1 {
		return "."
	}
	return "; "
}

func comma(i, n int) string {
	if i == n-1 {
		return ""
	}
	return ", "
}

func reason(w evidence.Withdrawn) string {
	if d, ok := w.Withdrawal.Data.(*evidence.Withdrawal); ok {
		return d.Reason
	}
	return ""
}

func f1(v float64) string { return fmt.Sprintf("%.1f", v) }
