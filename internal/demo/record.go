package demo

import (
	"fmt"
	"math"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/money"
)

// The people of the invented shop.
const (
	owner      = "Ines Vahlgren"
	buyer      = "Tomas Arkwell"
	watchmaker = "J. Pellborn"
)

// record takes down the evidence of one specimen, item by item, in the order in
// which the shop comes by it.
type record struct {
	s      stream
	x      *specimen
	index  int
	ids    *int // counts items over the whole world, so that every id is unique
	at     time.Time
	items  []evidence.Item
	photos []PhotoSpec
	sounds []SoundSpec
	asked  money.Money
	peers  []*specimen            // of the same reference, examined before
	shot   map[string]evidence.ID // photo item by view
}

func newRecord(s stream, x *specimen, index int, ids *int) *record {
	start := time.Date(2026, 1, 12, 9, 0, 0, 0, time.UTC).AddDate(0, 0, s.IntN(225))
	for start.Weekday() == time.Saturday || start.Weekday() == time.Sunday {
		start = start.AddDate(0, 0, 1)
	}
	return &record{s: s, x: x, index: index, ids: ids, at: start.Add(time.Duration(s.IntN(120)) * time.Minute),
		shot: map[string]evidence.ID{}}
}

// add records one item a little later than the one before.
func (r *record) add(by string, data evidence.Data, note string) evidence.ID {
	*r.ids++
	r.at = r.at.Add(time.Duration(1+r.s.IntN(4)) * time.Minute)
	id := evidence.ID(fmt.Sprintf("ev_%04d", *r.ids))
	r.items = append(r.items, evidence.Item{ID: id, At: r.at, By: by, Note: note, Data: data})
	return id
}

// later lets days pass.
func (r *record) later(days int) { r.at = r.at.AddDate(0, 0, days).Truncate(time.Hour) }

// observe takes everything down.
func (r *record) observe(t Truth) {
	r.claims(t)
	r.picture()
	r.marks()
	r.fitted()
	r.findings()
	r.dimensions()
	r.later(1)
	r.weighings()
	r.rates()
	r.documents()
	r.readings()
	r.corrections()
	r.comparisons()
	r.history()
	r.tried()
}

// triedAt is the one watch of the demo on which functions were tried and the chain of owners is known.
const triedAt = 59

// tried records what was tried, what work is needed, and who had the watch.
func (r *record) tried() {
	if r.index != triedAt {
		return
	}
	r.add(watchmaker, &evidence.Trial{What: evidence.TrialFunction, Of: "hand setting", Result: "ok"}, "")
	r.add(watchmaker, &evidence.Need{What: "new crown gasket", Slot: evidence.Crown, Cost: euros(40)}, "")
	r.add(buyer, &evidence.Ownership{Owner: "first owner", Until: edtf.MustParse("1994~"), Shown: "word of mouth"}, "")
	r.add(buyer, &evidence.Ownership{Owner: "heirs", From: edtf.MustParse("1994~"), Shown: "letter"}, "")
}

// watch is the record as a watch of the stock.
func (r *record) watch(file string) Watch {
	x := r.x
	return Watch{File: file, Serial: serialText(x.serial), Asked: r.asked, Photos: r.photos, Sounds: r.sounds,
		Evidence: evidence.Watch{ID: r.watchID(), Schema: evidence.SchemaVersion,
			Title: fmt.Sprintf("%s %s %s", x.maker.Name, x.ref.ID, x.ref.Name), Maker: x.maker.Name,
			Reference: x.ref.ID, Evidence: r.items}}
}

// claims are what the seller says and asks.
func (r *record) claims(t Truth) {
	price := rounded(t.PriceMedian * r.s.between(0.60, 0.85))
	if r.index%11 == 3 {
		price = rounded(t.PriceMedian * 1.25) // now and then somebody asks too much
	}
	r.asked = euros(price)
	r.add(buyer, &evidence.Claim{About: "price", Text: "asks " + r.asked.Amount() + " EUR", From: "seller",
		Price: r.asked}, "")
	if r.s.chance(0.5) {
		about := pick(r.s, [2]string{"ownership", "one owner from new"}, [2]string{"polished", "never polished"},
			[2]string{"parts", "all original"}, [2]string{"service", "serviced a few years ago"})
		r.add(buyer, &evidence.Claim{About: about[0], Text: about[1], From: "seller"}, "")
	}
}

// marks are the numbers, stamps and hallmarks read off the watch.
func (r *record) marks() {
	x := r.x
	r.mark(evidence.MarkReferenceNumber, evidence.Case, x.ref.ID, 0.99)
	if x.serial > 0 {
		r.mark(evidence.MarkSerial, evidence.Case, serialText(x.serial), 0.98)
	}
	if x.movement > 0 {
		r.mark(evidence.MarkMovementNumber, evidence.Movement, serialText(x.movement), 0.98)
	}
	if p := x.parts[evidence.Movement]; p != nil {
		r.mark(evidence.MarkCalibre, evidence.Movement, p.id, 0.97)
	}
	r.mark(evidence.MarkMaker, evidence.CaseBack, strings.ToUpper(x.maker.Name), 0.99)
	for _, slot := range []evidence.Slot{evidence.CaseBack, evidence.Clasp} {
		if p := x.parts[slot]; p != nil && p.stamp != nil {
			if text, ok := stampText(p.stamp, p.stamped); ok {
				r.mark(evidence.MarkDateStamp, slot, text, 0.95)
			}
		}
	}
	if text := fineness(x.ref.Metal); text != "" {
		r.mark(evidence.MarkHallmark, evidence.CaseBack, text, 0.98)
	}
	if p := x.parts[evidence.Bracelet]; p != nil && fineness(p.metal) != "" {
		r.mark(evidence.MarkHallmark, evidence.Bracelet, fineness(p.metal), 0.97)
	}
}

func (r *record) mark(what string, slot evidence.Slot, text string, confidence float64) {
	m := &evidence.Mark{What: what, Slot: slot, Text: text, Confidence: confidence}
	if slot == evidence.CaseBack || slot == evidence.Case {
		m.Photo = r.shot["back"]
	}
	r.add(owner, m, "")
}

// fineness is the mark of a gold alloy, "" for others.
func fineness(metal string) string {
	switch metal {
	case "gold18":
		return "750"
	case "gold14":
		return "585"
	}
	return ""
}

// fitted names the variant in every slot.
func (r *record) fitted() {
	x := r.x
	for _, slot := range partSlots {
		p, ok := x.parts[slot]
		if !ok {
			if slot == evidence.EndPieces || slot == evidence.Clasp {
				if _, listed := x.ref.Slot(slot); listed {
					r.add(owner, &evidence.Fitted{Slot: slot, Absent: true, Description: "on a strap"}, "")
				}
			}
			continue
		}
		r.add(owner, r.fit(slot, p), "")
	}
	r.add(owner, &evidence.Fitted{Slot: evidence.Case, Variant: evidence.Unknown, Confidence: 0.9, Metal: x.ref.Metal,
		Description: "as the reference asks"}, "")
	for _, slot := range []evidence.Slot{evidence.Box, evidence.Papers} {
		have := x.plan.set == "full" || (slot == evidence.Papers && x.plan.set == "papers")
		if have {
			r.add(owner, &evidence.Fitted{Slot: slot, Variant: evidence.Unknown, Confidence: 0.8,
				Description: map[evidence.Slot]string{evidence.Box: "green card box with inner cushion",
					evidence.Papers: "guarantee paper, stamped by a dealer"}[slot]}, "")
			continue
		}
		r.add(owner, &evidence.Fitted{Slot: slot, Absent: true}, "")
	}
}

func (r *record) fit(slot evidence.Slot, p *part) *evidence.Fitted {
	f := &evidence.Fitted{Slot: slot, Variant: p.id, Confidence: to(r.s.between(0.9, 0.98), 0.01),
		Photo: r.shot["front"]}
	if slot == evidence.Movement || slot == evidence.CaseBack {
		f.Photo = r.shot["back"]
	}
	if p.variant != nil {
		f.Description = p.variant.Look
	}
	switch {
	case slot == evidence.Dial && r.x.refin:
		f.Variant, f.Confidence = evidence.Unknown, 0.9
		f.Description = "ground as the book has it; the printing matches no known version"
	case slot == evidence.Bracelet && p.id == "strap":
		f.Description = "later leather strap"
	case slot == evidence.Bracelet || slot == evidence.EndPieces:
		f.Metal = p.metal
		f.Description = "number " + p.id + " stamped inside"
	}
	return f
}

// findings are taken down as they truly are, some severities one off.
func (r *record) findings() {
	for _, slot := range append([]evidence.Slot{evidence.Case}, partSlots...) {
		for _, f := range r.x.faults[slot] {
			d := &evidence.Finding{Slot: slot, Term: f.term, Severity: f.severity, Extent: math.Min(1, f.extent),
				Where: f.where, Note: f.note, Photo: r.shot["front"]}
			if slot == evidence.CaseBack || slot == evidence.Movement {
				d.Photo = r.shot["back"]
			}
			if slot == evidence.Bracelet || slot == evidence.EndPieces || slot == evidence.Clasp {
				d.Photo = r.shot["bracelet"]
			}
			r.add(owner, d, "")
		}
	}
	if r.x.plan.set == "full" || r.x.plan.set == "papers" {
		term, severity := "matching", 0
		if r.x.plan.has(PapersDoNotMatch) {
			term, severity = "not_matching", 3
		}
		r.add(owner, &evidence.Finding{Slot: evidence.Papers, Term: term, Severity: severity}, "")
	}
}

// documents are papers, receipts and archive extracts.
func (r *record) documents() {
	x := r.x
	dated := x.made + 2 + edtf.Month(math.Min(40, 9*r.s.ExpFloat64()))
	switch x.plan.set {
	case "full":
		r.add(owner, &evidence.Document{What: "papers", Date: monthDate(dated), Serial: serialText(x.papers),
			Reference: x.ref.ID, Text: "guarantee, stamped by the selling dealer"}, "")
		r.add(owner, &evidence.Document{What: "receipt", Date: monthDate(dated),
			Text: "receipt of the first sale, price in pen"}, "")
	case "papers":
		r.add(owner, &evidence.Document{What: "papers", Date: monthDate(dated), Serial: serialText(x.papers),
			Reference: x.ref.ID, Text: "guarantee, stamped by the selling dealer"}, "")
	}
	if r.index%12 == 0 {
		r.add(owner, &evidence.Document{What: "archive_extract", Date: edtf.MustParse("2026-02"),
			MadeDate: monthDate(x.made), Serial: serialText(x.serial), Reference: x.ref.ID,
			Text: "extract from the maker's ledger"}, "")
	}
}

func monthDate(m edtf.Month) edtf.Date { return edtf.MustParse(m.String()) }

// corrections are items that were wrong and were taken back.
func (r *record) corrections() {
	switch r.index % 15 {
	case 2: // a figure of the serial number misread
		wrong := r.x.serial + 300
		for i, it := range r.items {
			if m, ok := it.Data.(*evidence.Mark); ok && m.What == evidence.MarkSerial {
				right := *m
				m.Text = serialText(wrong)
				r.items[i].Note = "read without a loupe"
				r.add(owner, &evidence.Withdrawal{Of: it.ID, Reason: "one figure misread; read again under the loupe"},
					"")
				r.add(owner, &right, "under the loupe")
				return
			}
		}
	case 7: // a size taken over the crown
		id := r.add(buyer, &evidence.Dimension{What: "mid_case_diameter",
			MM: to(r.x.nominal("mid_case_diameter")+1.6, 0.01), PlusMinusMM: 0.1, Instrument: "slide caliper"}, "")
		r.add(owner, &evidence.Withdrawal{Of: id, Reason: "measured over the crown, not across the mid-case"}, "")
	}
}

// history is work done before and since, and the look-up in a register.
func (r *record) history() {
	r.later(1)
	r.add(owner, &evidence.Check{Register: "loss register of the trade association",
		Date: edtf.MustParse(r.at.Format(time.DateOnly)), Result: "clear",
		Reference: fmt.Sprintf("LR-26-%04d", 1000+r.index*37)}, "")
	if r.s.chance(0.4) {
		w := &evidence.Work{What: "service", By: "as told by the seller",
			Date: edtf.MustParse(fmt.Sprintf("%d", 2012+r.s.IntN(12)))}
		for _, slot := range []evidence.Slot{evidence.Crystal, evidence.Crown} {
			if p := r.x.parts[slot]; p != nil && !p.original {
				w.Replaced = append(w.Replaced, evidence.Replaced{Slot: slot, Variant: p.id})
			}
		}
		r.add(owner, w, "invoice seen")
	}
	if r.x.drying {
		r.add(watchmaker, &evidence.Work{What: "estimate", By: watchmaker,
			Date: edtf.MustParse(r.at.Format(time.DateOnly)), Cost: euros(1450),
			Text: "rust in the keyless works; parts to be made"}, "")
	}
}

func (r *record) watchID() string { return fmt.Sprintf("w_demo%02d", r.index+1) }

// comparisons set case and dial beside those of watches of the same reference that
// were in the house before. The eye is not sure below half a grade.
func (r *record) comparisons() {
	for _, other := range r.peers {
		for _, slot := range []evidence.Slot{evidence.Case, evidence.Dial} {
			d := r.x.grades[slot] - other.grades[slot] + 0.25*r.s.NormFloat64()
			result := "same"
			switch {
			case d > 0.5:
				result = "better"
			case d < -0.5:
				result = "worse"
			}
			r.add(owner, &evidence.Comparison{Slot: slot, Other: other.id, Result: result}, "")
		}
	}
}
