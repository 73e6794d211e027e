package opinion_test

import (
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/say"
)

// reasons are the reasons of a part as one text.
func reasons(p opinion.Part) string { return strings.Join(say.Strings(p.Reasons), " ") }

// soundWatch is the rich watch with a dial of its time.
func soundWatch() evidence.Watch {
	w := richWatch()
	w.Evidence[3].Data = fitted(evidence.Dial, "dial-2-silver")
	return w
}

// serviced is a sound watch with a service on record.
func serviced(work *evidence.Work) evidence.Watch {
	w := soundWatch()
	w.Evidence = append(w.Evidence, evidence.Item{ID: "ev_work", At: day(1), By: "Ines", Data: work})
	return w
}

func TestRecordedReplacementCountsOnItsPart(t *testing.T) {
	plain := verdictOf(t, opinionOn(t, soundWatch(), nil), evidence.Dial)
	if plain.Verdict != opinion.Fits {
		t.Fatalf("without a record: %s", plain.Verdict)
	}
	work := &evidence.Work{What: "service", Date: edtf.MustParse("1996"),
		Replaced: []evidence.Replaced{{Slot: evidence.Dial}}}
	o := opinionOn(t, serviced(work), nil)
	p := verdictOf(t, o, evidence.Dial)
	if p.Verdict != opinion.ProbablyReplaced || *p.POriginal > 0.2 || !strings.Contains(reasons(p), "1996") {
		t.Errorf("replaced in 1996: %s at %.3f: %s", p.Verdict, *p.POriginal, reasons(p))
	}
	if last := p.Evidence[len(p.Evidence)-1]; last != "ev_work" {
		t.Errorf("the record is not cited: %v", p.Evidence)
	}
	if hands := verdictOf(t, o, evidence.Hands); hands.Verdict != opinion.Fits {
		t.Errorf("the hands, of which the record says nothing: %s", hands.Verdict)
	}
	kept := *work
	kept.Replaced = []evidence.Replaced{{Slot: evidence.Dial, Kept: true}}
	if k := verdictOf(t, opinionOn(t, serviced(&kept), nil), evidence.Dial); *k.POriginal <= *p.POriginal {
		t.Errorf("with the old dial kept %.3f, without %.3f", *k.POriginal, *p.POriginal)
	}
}

// The part that was put in is another one than the part seen, so the old one may be back.
func TestRecordOfAnotherVersionWeighsLess(t *testing.T) {
	record := func(variant string) float64 {
		p := verdictOf(t, opinionOn(t, serviced(&evidence.Work{What: "service",
			Replaced: []evidence.Replaced{{Slot: evidence.Dial, Variant: variant}}}), nil), evidence.Dial)
		return *p.POriginal
	}
	if same, other := record("dial-2-silver"), record("dial-1-silver"); same > 0.05 || other < 2*same {
		t.Errorf("the dial put in is seen: %.4f; another one was put in: %.4f", same, other)
	}
}

func TestRecordBeforeTheReferenceIsOfAnotherWatch(t *testing.T) {
	p := verdictOf(t, opinionOn(t, serviced(&evidence.Work{What: "service", Date: edtf.MustParse("1901"),
		Replaced: []evidence.Replaced{{Slot: evidence.Dial}}}), nil), evidence.Dial)
	if p.Verdict != opinion.Fits {
		t.Errorf("%s: %s", p.Verdict, reasons(p))
	}
}

func TestRecordSpeaksOfAPartNobodyLookedAt(t *testing.T) {
	p := verdictOf(t, opinionOn(t, serviced(&evidence.Work{What: "repair", Date: edtf.MustParse("2004-05"),
		Replaced: []evidence.Replaced{{Slot: evidence.Crystal}}}), nil), evidence.Crystal)
	if p.Verdict != opinion.ProbablyReplaced || p.POriginal == nil || *p.POriginal > 0.05 {
		t.Errorf("%s: %s", p.Verdict, reasons(p))
	}
}

// An item that cannot be used is named; the dating goes on without it.
func TestOneBadItemCostsNoOther(t *testing.T) {
	for name, bad := range map[string]evidence.Data{
		"number 0":         serial("0"),
		"number 000":       serial("000"),
		"no figures":       serial("worn off"),
		"stamp of no year": &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.Clasp, Text: "V 99"},
		"papers of 0099":   &evidence.Document{What: "papers", Date: edtf.MustParse("0099")},
		"extract of 0099":  &evidence.Document{What: "archive_extract", MadeDate: edtf.MustParse("0099")},
	} {
		w := watchOf("KR-1", bad, &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "II 68"},
			fitted(evidence.CaseBack, "unknown"), fitted(evidence.Dial, "dial-2-silver"))
		o := opinionOn(t, w, nil)
		if !o.Dating.Known || verdictOf(t, o, evidence.Dial).POriginal == nil {
			t.Errorf("%s: dating known %v: %s", name, o.Dating.Known, o.Dating.CannotTell)
		}
		for _, u := range say.Strings(o.Unknown) {
			if strings.Contains(u, "serials[") || strings.Contains(u, "origin:") {
				t.Errorf("%s: an internal message: %s", name, u)
			}
		}
	}
}

func TestPapersWithAnOpenEndCount(t *testing.T) {
	open := opinionOn(t, watchOf("KR-1", &evidence.Document{What: "papers", Date: edtf.MustParse("1969/..")}), nil)
	none := opinionOn(t, watchOf("KR-1"), nil)
	if len(open.Dating.Items) != 1 || open.Dating.Median <= none.Dating.Median {
		t.Errorf("%d items; median %v, without the papers %v", len(open.Dating.Items), open.Dating.Median,
			none.Dating.Median)
	}
}

// The case carries another fineness than the reference; the bracelet is right.
func TestWrongCaseDoesNotBlameTheBracelet(t *testing.T) {
	o := opinionOn(t, watchOf("KR-8-18", fitted(evidence.Case, "gold14"), fitted(evidence.Bracelet, "B-318"),
		&evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.CaseBack, Text: "585"},
		&evidence.Mark{What: evidence.MarkHallmark, Slot: evidence.Bracelet, Text: "750"}), nil)
	for _, r := range o.Rules {
		if r.Broken && r.Slot == evidence.Bracelet {
			t.Errorf("%s: %s", r.Rule, r.Reason)
		}
	}
	if p := verdictOf(t, o, evidence.Case); p.Verdict != opinion.DoesNotBelong {
		t.Errorf("the case: %s", p.Verdict)
	}
}

func TestStrapWhereTheBookSaysStrap(t *testing.T) {
	for _, m := range theBook(t).Makers {
		for _, r := range m.References {
			if !r.Strap {
				continue
			}
			w := watchOf(r.ID, fitted(evidence.Bracelet, "strap"))
			w.Maker = m.ID
			o := opinionOn(t, w, nil)
			p := verdictOf(t, o, evidence.Bracelet)
			if strings.Contains(reasons(p), "no such version") || opinion.IsTrouble(p.Verdict) {
				t.Errorf("%s %s: %s: %s", m.ID, r.ID, p.Verdict, reasons(p))
			}
			return
		}
	}
	t.Error("no reference of the book was delivered on a strap")
}

// A number five years from everything else speaks against it, in words, and one that
// the book cannot place is given no month.
func TestNumberAgainstEverythingIsNamed(t *testing.T) {
	for name, number := range map[string]string{"five years early": "150000", "beyond all numbers": "99999999999"} {
		w := richWatch()
		w.Evidence[0].Data = serial(number)
		w.Evidence[10].Data.(*evidence.Document).Serial = ""
		for _, it := range opinionOn(t, w, nil).Dating.Items {
			if it.Kind != "serial" {
				continue
			}
			if !it.Disagrees || it.OutlierP < 0.5 || it.Doubt.IsZero() {
				t.Errorf("%s: outlier %.3f: %s", name, it.OutlierP, it.Doubt)
			}
			if strings.Contains(it.Says.String(), "about") && number == "99999999999" {
				t.Errorf("a month is given: %s", it.Says)
			}
		}
	}
}
