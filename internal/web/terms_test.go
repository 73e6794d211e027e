package web_test

import (
	"strings"
	"testing"

	"midcase/condition"
	"midcase/evidence"
)

func TestWordsLeadToTheirMeaning(t *testing.T) {
	s := look(t)
	p := s.page("/terms")
	links := s.page(watchPath(goldWatch)).Find("a.term")
	if links.Length() < 8 {
		t.Errorf("%d words lead to their meaning", links.Length())
	}
	links.Each(func(_ int, a elements) {
		id := strings.TrimPrefix(a.AttrOr("href", ""), "/terms#")
		if p.Find("[id='"+id+"']").Length() != 1 || a.AttrOr("title", "") == "" {
			t.Errorf("%q leads to %q, titled %q", a.Text(), id, a.AttrOr("title", ""))
		}
	})
	form := s.page(watchPath(goldWatch) + "/record?kind=finding&slot=dial")
	want(t, form.Find("details.figures dl"), condition.TermsFor(string(evidence.Dial))[0].Definition)
}

func TestKeysAreUnique(t *testing.T) {
	s := look(t)
	for _, path := range []string{"/", watchPath(goldWatch), "/terms"} {
		seen := map[string]bool{}
		s.page(path).Find("[accesskey]").Each(func(_ int, e elements) {
			k := e.AttrOr("accesskey", "")
			if seen[k] {
				t.Errorf("%s has key %s twice", path, k)
			}
			seen[k] = true
		})
	}
	keys := s.page("/terms").Find("kbd")
	if keys.Length() < 5 {
		t.Errorf("%d keys are told", keys.Length())
	}
}
