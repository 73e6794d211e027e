package opinion_test

import (
	"slices"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/opinion"
	"midcase/refbook"
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

// hardBook is a book of one maker whose numbers were counted anew in 1966, and whose
// second dial was delivered to one country only.
func hardBook(t *testing.T) *refbook.Book {
	t.Helper()
	m := edtf.MonthOf
	made := func(s string) []refbook.Window { return []refbook.Window{{Made: edtf.MustParse(s)}} }
	maker := refbook.Maker{Schema: 1, ID: "tarn", Name: "Tarn", Serials: []refbook.Serial{
		{ID: "first", Mark: "serial", ScatterMonths: 4, Anchors: []refbook.Anchor{{Number: 1000, Month: m(1960, 1)},
			{Number: 900_000, Month: m(1966, 6)}}},
		{ID: "second", Mark: "serial", ScatterMonths: 4, Anchors: []refbook.Anchor{{Number: 1000, Month: m(1966, 7)},
			{Number: 900_000, Month: m(1972, 12)}}},
		{ID: "movements", Mark: "movement_number", ScatterMonths: 4, Anchors: []refbook.Anchor{
			{Number: 1000, Month: m(1960, 1)}, {Number: 900_000, Month: m(1972, 12)}}},
	}, Stamps: []refbook.Stamp{{ID: "back", Slot: evidence.CaseBack, Form: "quarter-year", LagMonths: 4}},
		Metals:   []refbook.Metal{{ID: "steel", Name: "steel"}},
		Families: []refbook.Family{{ID: "t", Name: "T", Kind: "time_only"}},
		Calibres: []refbook.Calibre{{ID: "c1", BeatsPerHour: 18000}},
		References: []refbook.Reference{{ID: "T1", Family: "t", Calibres: []string{"c1"}, Made: edtf.MustParse("1960/1972"), Metal: "steel",
			Serial: []string{"first", "second", "movements"}, Slots: []refbook.Slot{
				{Slot: evidence.Dial, Replaced: 0.1, Variants: []refbook.Variant{
					{ID: "d1", Name: "first dial", Windows: made("1960/1972")},
					{ID: "d2", Name: "other wording", Windows: []refbook.Window{{Made: edtf.MustParse("1962/1972"),
						Markets: []string{"JP"}}}}}},
				{Slot: evidence.Hands, Replaced: 0.1, Variants: []refbook.Variant{
					{ID: "h1", Name: "first hands", Windows: []refbook.Window{{Made: edtf.MustParse("1960/1965")},
						{Made: edtf.MustParse("1966/1968"), Share: 0.15, Note: "The northern works used them up until 1968."}}},
					{ID: "h2", Name: "second hands", Windows: made("1966/1972")}}},
				{Slot: evidence.Movement, Replaced: 0.1, Variants: []refbook.Variant{
					{ID: "c1", Name: "calibre 1", Windows: made("1960/1972")}}},
			}, Rules: []refbook.Rule{{ID: "jp", Says: "Watches for Japan have the other wording.", Slot: evidence.Dial,
				Only: []string{"d2"}, Markets: []string{"JP"}}}},
			{ID: "T2", Family: "t", Calibres: []string{"c1"}, Made: edtf.MustParse("1960/1972"), Metal: "steel", Slots: []refbook.Slot{
				{Slot: evidence.Dial, Replaced: 0.1, Variants: []refbook.Variant{{ID: "t2-dial", Name: "dial of the T2",
					Windows: made("1960/1972")}}}}}},
	}
	b, err := refbook.New(maker)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// onHardBook is the opinion on a watch of the hard book.
func onHardBook(t *testing.T, data ...evidence.Data) opinion.Opinion {
	t.Helper()
	w := watchOf("T1", data...)
	w.Maker = "Tarn"
	o, err := opinion.Form(evidence.Fold(w, day(100)), hardBook(t), nil, opinion.Settings{}, day(100))
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// inRanges reports whether a month is in one of the ranges.
func inRanges(d opinion.Dating, m string) bool {
	for _, r := range d.Ranges {
		if r.Interval[0] <= month(m) && month(m) <= r.Interval[1] {
			return true
		}
	}
	return false
}

func TestNumberThatTwoRunsClaim(t *testing.T) {
	o := onHardBook(t, serial("450000"))
	d := o.Dating
	if len(d.Ranges) != 2 || !inRanges(d, "1963-04") || !inRanges(d, "1969-10") {
		t.Fatalf("450000 was used in 1963 and in 1969: %v", d.Ranges)
	}
	if p := d.Ranges[0].P; p < 0.3 || p > 0.6 {
		t.Errorf("the first range has %.2f", p)
	}
	if says := o.Summary.Sentence.String(); !strings.Contains(says, " or ") || !strings.Contains(says, "%") {
		t.Errorf("%s", says)
	}
	stamped := onHardBook(t, serial("450000"),
		&evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: "III 69"}).Dating
	if len(stamped.Ranges) != 1 || stamped.Interval90[0] < month("1969-06") || stamped.Interval90[1] > month("1970-12") {
		t.Errorf("with a stamp of 1969: %v, %v", stamped.Interval90, stamped.Ranges)
	}
}

func TestHalfRangeLiesWithinTheWide(t *testing.T) {
	for _, number := range []string{"5000", "200000", "450000", "450xxx", "895000", "77"} {
		d := onHardBook(t, serial(number)).Dating
		if d.Interval50[0] < d.Interval90[0] || d.Interval50[1] > d.Interval90[1] {
			t.Errorf("%s: 50 %% %v outside 90 %% %v", number, d.Interval50, d.Interval90)
		}
	}
}

func TestPartialNumberIsARange(t *testing.T) {
	part := onHardBook(t, serial("45xxxx"), fitted(evidence.Hands, "h2")).Dating
	if len(part.Items) != 2 || part.Median < month("1969-01") || part.Median > month("1970-06") {
		t.Errorf("45xxxx and the second hands: %v", part.Median)
	}
	papers := &evidence.Document{What: "papers", Date: edtf.MustParse("1970-03"), Serial: "451234"}
	o := onHardBook(t, serial("45xxxx"), papers)
	for _, r := range o.Rules {
		if r.Broken {
			t.Errorf("%s: %s", r.Rule, r.Reason)
		}
	}
	if says := o.Dating.Items[0].Says.String(); !strings.Contains(says, "451234") {
		t.Errorf("not completed from the papers: %s", says)
	}
	wrong := *papers
	wrong.Serial = "461234"
	if o := onHardBook(t, serial("45xxxx"), &wrong); !slices.ContainsFunc(o.Rules,
		func(r opinion.Rule) bool { return r.Broken }) {
		t.Error("papers of another number agree")
	}
}

func TestTwoSerialsAreSaid(t *testing.T) {
	one, two := onHardBook(t, serial("100000")), onHardBook(t, serial("800000"), serial("100000"))
	if !slices.ContainsFunc(say.Strings(two.Unknown), func(s string) bool {
		return strings.Contains(s, "100000") && strings.Contains(s, "800000")
	}) {
		t.Errorf("the two numbers are not named: %v", say.Strings(two.Unknown))
	}
	if len(two.Dating.Ranges) <= len(one.Dating.Ranges) {
		t.Errorf("with two numbers %v, with one %v", two.Dating.Ranges, one.Dating.Ranges)
	}
	same := onHardBook(t, serial("100 000"), serial("100000"))
	if jsonOf(t, same.Dating.Months) != jsonOf(t, one.Dating.Months) {
		t.Error("one number read twice counts twice")
	}
}

func TestPapersAndReceiptOfOneSaleAreOneEvent(t *testing.T) {
	papers := &evidence.Document{What: "papers", Date: edtf.MustParse("1968-05")}
	receipt := &evidence.Document{What: "receipt", Date: edtf.MustParse("1968-05-17")}
	width := func(d opinion.Dating) int { return int(d.Interval90[1] - d.Interval90[0]) }
	one, both, twice := onHardBook(t, papers).Dating, onHardBook(t, papers, receipt).Dating,
		onHardBook(t, papers, papers).Dating
	if width(both) < width(one)*7/10 {
		t.Errorf("papers %v, with the receipt of the sale %v", one.Interval90, both.Interval90)
	}
	if twice.Interval90 != one.Interval90 {
		t.Errorf("papers %v, recorded twice %v", one.Interval90, twice.Interval90)
	}
}

func TestMovementNumberIsTiedToItsMovement(t *testing.T) {
	number := &evidence.Mark{What: evidence.MarkMovementNumber, Text: "850000"}
	work := &evidence.Work{What: "repair", Date: edtf.MustParse("1980"),
		Replaced: []evidence.Replaced{{Slot: evidence.Movement}}}
	own, other := onHardBook(t, number).Dating, onHardBook(t, number, work).Dating
	if own.Interval90[0] < month("1969-01") || other.Interval90[0] > month("1963-01") {
		t.Errorf("its own movement %v, a movement replaced in 1980 %v", own.Interval90, other.Interval90)
	}
}

func TestExtractWithoutABookEntryDates(t *testing.T) {
	w := watchOf("T99", &evidence.Document{What: "archive_extract", MadeDate: edtf.MustParse("1967-03")})
	o, err := opinion.Form(evidence.Fold(w, day(100)), hardBook(t), nil, opinion.Settings{}, day(100))
	if err != nil {
		t.Fatal(err)
	}
	if d := o.Dating; !d.Known || d.Median != month("1967-03") || !d.CannotTell.IsZero() {
		t.Errorf("known %v, %v, %s", d.Known, d.Median, d.CannotTell)
	}
}

func TestPlaceOfDeliveryIsEvidence(t *testing.T) {
	dial := func(variant, country string) opinion.Part {
		data := []evidence.Data{serial("450000"), fitted(evidence.Dial, variant)}
		if country != "" {
			data = append(data, &evidence.Document{What: "papers", Country: country})
		}
		return verdictOf(t, onHardBook(t, data...), evidence.Dial)
	}
	jp, us, open := dial("d2", "JP"), dial("d2", "US"), dial("d2", "")
	if jp.Verdict != opinion.Fits || !opinion.IsTrouble(us.Verdict) || !(*jp.POriginal > *open.POriginal &&
		*open.POriginal > *us.POriginal) {
		t.Errorf("for Japan %s %.3f, for the US %s %.3f, no document %s %.3f", jp.Verdict, *jp.POriginal, us.Verdict,
			*us.POriginal, open.Verdict, *open.POriginal)
	}
	if !strings.Contains(reasons(us), "JP only") {
		t.Errorf("%s", reasons(us))
	}
	if p := dial("d1", "JP"); p.Verdict != opinion.DoesNotBelong {
		t.Errorf("the rule for Japan: %s", p.Verdict)
	}
	if p := dial("d1", "US"); p.Verdict != opinion.Fits {
		t.Errorf("the rule for Japan on a watch for the US: %s: %s", p.Verdict, reasons(p))
	}
}

// What the book says of late parts is said, whatever the chance.
func TestCarriedOverPartIsSaidInWords(t *testing.T) {
	at := func(number, stamp string) opinion.Part {
		return verdictOf(t, onHardBook(t, serial(number),
			&evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack, Text: stamp},
			fitted(evidence.Hands, "h1")), evidence.Hands)
	}
	listed := at("80000", "I 67")
	if listed.Verdict == opinion.DoesNotBelong || !strings.Contains(reasons(listed), "northern works") ||
		strings.Contains(reasons(listed), "just possible") {
		t.Errorf("with the book's line: %s at %.2f: %s", listed.Verdict, *listed.POriginal, reasons(listed))
	}
	late := at("450000", "IV 69")
	if *late.POriginal > 0.05 && late.Verdict == opinion.DoesNotBelong {
		t.Errorf("%.2f and %s: %s", *late.POriginal, late.Verdict, reasons(late))
	}
}

func TestDialOfAnotherReferenceIsNamed(t *testing.T) {
	p := verdictOf(t, onHardBook(t, serial("450000"), fitted(evidence.Dial, "t2-dial")), evidence.Dial)
	if !strings.Contains(reasons(p), "T2") || *p.POriginal > 0.5 {
		t.Errorf("%s: %s", p.Verdict, reasons(p))
	}
}

// A date that was marked approximate or uncertain (~, ?, % of EDTF) says less than one that was not.
func TestVagueDatesWiden(t *testing.T) {
	t.Parallel()
	width := func(made string) int {
		o := opinionOn(t, watchOf("KR-1", &evidence.Document{What: "archive_extract", MadeDate: edtf.MustParse(made)}), nil)
		return int(o.Dating.Interval90[1] - o.Dating.Interval90[0])
	}
	exact := width("1968")
	for _, vague := range []string{"1968~", "1968?", "1968%"} {
		if got := width(vague); got < exact+12 {
			t.Errorf("%s: 90 %% range of %d months, %d for 1968", vague, got, exact)
		}
	}
}
