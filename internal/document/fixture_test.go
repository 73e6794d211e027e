package document

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/estimate"
	"midcase/evidence"
	"midcase/market"
	"midcase/money"
	"midcase/opinion"
	"midcase/say"
)

// The fixture is an invented watch of an invented maker.

func ptr[T any](v T) *T { return &v }

func day(d int) time.Time { return time.Date(2026, 2, d, 10, 0, 0, 0, time.UTC) }

func item(n, d int, data evidence.Data) evidence.Item {
	return evidence.Item{ID: evidence.ID(fmt.Sprintf("ev_01KH%03dQ7", n)), At: day(d), By: "A. Ferrand", Data: data}
}

func ev(n ...int) []evidence.ID {
	var out []evidence.ID
	for _, k := range n {
		out = append(out, evidence.ID(fmt.Sprintf("ev_01KH%03dQ7", k)))
	}
	return out
}

func book(path string) opinion.Basis { return opinion.Basis{Source: estimate.Book, ID: path} }

func richItems() []evidence.Item {
	return []evidence.Item{
		item(24, 20, &evidence.Check{Register: "register of lost watches", Date: edtf.MustParse("2026-02-20"),
			Result: "clear", Reference: "R-5821"}),
		item(23, 19, &evidence.Photo{Blob: "a", View: "front", Caption: "The watch from the front"}),
		item(22, 19, &evidence.Photo{Blob: "b", View: "movement"}),
		item(21, 19, &evidence.Photo{Blob: "c", View: "case_back_inside",
			Caption: "Inside of the case back with the date stamp"}),
		item(20, 19, &evidence.Photo{Blob: "d", View: "clasp"}),
		item(19, 18, &evidence.Rate{Position: "6H", SecPerDay: -4.2, AmplitudeDeg: 244, BeatErrorMS: new(0.5),
			LiftAngleDeg: 51, HoursSinceWind: 0.5}),
		item(18, 18, &evidence.Rate{Position: "3H", SecPerDay: 1.1, AmplitudeDeg: 249, BeatErrorMS: new(0.4),
			LiftAngleDeg: 51, HoursSinceWind: 0.5}),
		item(17, 18, &evidence.Rate{Position: "9H", SecPerDay: 6.8, AmplitudeDeg: 240, BeatErrorMS: new(0.6),
			LiftAngleDeg: 51, HoursSinceWind: 0.5}),
		item(16, 18, &evidence.Rate{Position: "FH", SecPerDay: 9.4, AmplitudeDeg: 281, BeatErrorMS: new(0.3),
			LiftAngleDeg: 51, HoursSinceWind: 0.5}),
		item(15, 18, &evidence.Rate{Position: "CH", SecPerDay: 8.0, AmplitudeDeg: 284, BeatErrorMS: new(0.3),
			LiftAngleDeg: 51, HoursSinceWind: 0.5}),
		item(14, 17, &evidence.Weighing{What: "bracelet", G: 41.32, In: "air", PlusMinusG: 0.02}),
		item(13, 17, &evidence.Weighing{What: "bracelet", G: 36.17, In: "water", PlusMinusG: 0.02, WaterTempC: 21}),
		item(12, 16, &evidence.Dimension{What: "bracelet_droop", MM: 31, PlusMinusMM: 2, FreeLengthMM: 80, Links: 9}),
		item(11, 16, &evidence.Dimension{What: "lug_width", MM: 19.0, PlusMinusMM: 0.1, Instrument: "caliper"}),
		item(10, 16, &evidence.Dimension{What: "mid_case_diameter", MM: 33.82, PlusMinusMM: 0.05,
			Instrument: "caliper"}),
		item(9, 15, &evidence.Finding{Slot: evidence.Bracelet, Term: "stretch", Severity: 3,
			Note: "play in every link"}),
		item(8, 15, &evidence.Finding{Slot: evidence.Dial, Term: "lume_loss", Severity: 1, Extent: 0.08,
			Where: "at 9"}),
		item(7, 15, &evidence.Finding{Slot: evidence.Case, Term: "polished", Severity: 2, Where: "upper lugs"}),
		item(6, 14, &evidence.Fitted{Slot: evidence.Clasp, Variant: "clasp-b", Confidence: 0.9,
			Description: "folding, stamped 3/74"}),
		item(5, 14, &evidence.Fitted{Slot: evidence.Hands, Variant: "unknown",
			Description: "batons without luminous paint"}),
		item(4, 14, &evidence.Fitted{Slot: evidence.Dial, Variant: "dial-2", Confidence: 0.97,
			Description: "silvered, applied batons"}),
		item(3, 14, &evidence.Mark{What: evidence.MarkDateStamp, Slot: evidence.CaseBack,
			Text: say.Verbatim("II 68").String(), Confidence: 0.95}),
		item(2, 14, &evidence.Mark{What: evidence.MarkSerial, Slot: evidence.Case,
			Text: say.Verbatim("1 204 417").String(), Confidence: 0.98}),
		item(1, 13, &evidence.Claim{About: "price", Text: say.Verbatim("I would like seven thousand").String(),
			From: say.Verbatim("the seller").String(), Price: money.MustParse("7000", "EUR")}),
	}
}

func bell(centre edtf.Month, sd float64, from, to edtf.Month) []opinion.MonthChance {
	var out []opinion.MonthChance
	sum := 0.0
	for m := from; m <= to; m++ {
		z := float64(m-centre) / sd
		p := math.Exp(-z * z / 2)
		out = append(out, opinion.MonthChance{Month: m, P: p})
		sum += p
	}
	for i := range out {
		out[i].P /= sum
	}
	return out
}

func skewed(from, to edtf.Month, peak edtf.Month) []opinion.MonthChance {
	var out []opinion.MonthChance
	for m := from; m <= to; m++ {
		p := math.Exp(-float64(m-peak) / 40)
		if m < peak {
			p = math.Exp(float64(m-peak) / 4)
		}
		out = append(out, opinion.MonthChance{Month: m, P: p})
	}
	return out
}

func rich(t testing.TB) Report {
	m := edtf.MonthOf
	from, to := m(1962, 1), m(1976, 12)
	o := opinion.Opinion{
		Schema: opinion.SchemaVersion, AsOf: "2026-02-21",
		Watch: opinion.Watch{ID: "w_0107", Title: "Askelund Skerry KR-1", Maker: "Askelund", Reference: "KR-1",
			Family: "Skerry", Name: "Skerry", Metal: "steel",
			Serial: "1 204 417", Calibre: "A 72", InBook: true, Set: "papers",
			Basis: []opinion.Basis{book("makers/askelund/references/KR-1")}},
		Summary: opinion.Summary{
			Sentence: say.Verbatim("Made between March 1967 and November 1969; hands probably replaced; worth " +
				"8,470 to 11,000 EUR at retail; pay no more than 6,900 EUR"),
			Clauses: []opinion.Clause{{Section: "dating", Text: say.Verbatim("Made between March 1967 and " +
				"November 1969")}, {Section: "parts", Text: say.Verbatim("hands probably replaced")},
				{Section: "value", Text: say.Verbatim("worth 8,470 to 11,000 EUR at retail")}, {Section: "deal",
					Text: say.Verbatim("pay no more than 6,900 EUR")}},
		},
		Dating: opinion.Dating{
			Known: true, Median: m(1968, 5), Interval50: [2]edtf.Month{m(1968, 1),
				m(1968, 10)}, Interval90: [2]edtf.Month{m(1967, 3), m(1969, 11)}, EDTF: "1967-03/1969-11",
			Months: bell(m(1968, 5), 8, from, to),
			Items: []opinion.DatingItem{
				{Evidence: ev(2)[0], Kind: "mark", Says: say.Verbatim("serial 1 204 417: about June 1968"),
					SurpriseP: 0.61, Alone: bell(m(1968, 6), 13, from, to), Without: [2]edtf.Month{m(1966, 11),
						m(1970, 2)}, Basis: []opinion.Basis{book("makers/askelund/serials/main")}},
				{Evidence: ev(3)[0], Kind: "mark", Says: say.Verbatim("date stamp II 68 inside the case back: " +
					"cased some months after February 1968"), SurpriseP: 0.44, Alone: skewed(from, to, m(1968, 3)),
					Without: [2]edtf.Month{m(1966, 9), m(1970, 1)},
					Basis:   []opinion.Basis{book("makers/askelund/stamps/roman")}},
				{Evidence: ev(4)[0], Kind: "fitted", Says: say.Verbatim("dial of the second kind: 1966 to 1971"),
					SurpriseP: 0.83, Alone: bell(m(1968, 9), 20, from, to), Without: [2]edtf.Month{m(1967, 2),
						m(1969, 12)}, Basis: []opinion.Basis{book("makers/askelund/families/skerry/dial")}},
				{Evidence: ev(6)[0], Kind: "fitted", Says: say.Verbatim("clasp stamped 3/74: from 1974"),
					SurpriseP: 0.006, Disagrees: true, Alone: bell(m(1974, 5), 9, from,
						to), Without: [2]edtf.Month{m(1967, 3), m(1969,
						11)}, Basis: []opinion.Basis{book("makers/askelund/families/skerry/clasp")}},
			},
			PriorMonths: bell(m(1969, 1), 40, from, to),
		},
		Unknown: []say.Statement{say.Verbatim("water resistance"),
			say.Verbatim("whether the case was polished more than once"),
			say.Verbatim("what the luminous paint is made of"), say.Verbatim("the movement under the dial")},
		Cautions: []say.Statement{say.Verbatim("The luminous paint is of an age at which radium or tritium was " +
			"used. Do not open the case, scrape the paint or eat beside the watch."),
			say.Verbatim("Water resistance was not tested; treat the watch as not water resistant.")},
	}
	o.Parts = richParts()
	o.Rules = []opinion.Rule{
		{Rule: say.Verbatim("End pieces must fit the bracelet"), Slot: evidence.EndPieces,
			Reason: say.Verbatim("End pieces E-5 go with bracelet B-12"), Evidence: ev(9),
			Basis: []opinion.Basis{book("bracelets/B-12")}},
		{Rule: say.Verbatim("The calibre must be one that the reference had"), Slot: evidence.Movement,
			Reason: say.Verbatim("Calibre A 72 is listed for KR-1"), Evidence: ev(22),
			Basis: []opinion.Basis{book("makers/askelund/references/KR-1")}},
		{Rule: say.Verbatim("The lug width must be that of the reference"), Slot: evidence.Case, Broken: true,
			Reason: say.Verbatim("Measured 19.0 mm where the book has 20 mm; a strap or bracelet of 20 mm will " +
				"not go in"), Evidence: ev(11), Basis: []opinion.Basis{book("makers/askelund/references/KR-1/sizes")}},
	}
	o.Condition = opinion.Condition{Overall: ptr(6.8), Interval: [2]float64{6.2, 7.4},
		Words: say.Verbatim("good, with a worn bracelet"), Held: "bracelet", Rank: &opinion.Rank{Better: 23, Of: 37,
			P:        0.81,
			Interval: [2]float64{10, 19}},
		Slots: []opinion.SlotGrade{
			{Slot: evidence.Case, Grade: ptr(7.0), Interval: [2]float64{6.5, 7.5}, Words: say.Verbatim("very good"),
				Reasons: []say.Statement{say.Verbatim("lightly polished once on the upper lugs"),
					say.Verbatim("edges of the lower lugs sharp")}, Evidence: ev(7, 10)},
			{Slot: evidence.Dial, Grade: ptr(8.2), Interval: [2]float64{7.8, 8.6}, Words: say.Verbatim("excellent"),
				Reasons: []say.Statement{say.Verbatim("luminous paint lost on 8 % of the plot at 9"),
					say.Verbatim("no sign of refinishing")}, Evidence: ev(8)},
			{Slot: evidence.Hands, Words: say.Verbatim("not graded"),
				Reasons: []say.Statement{say.Verbatim("their variant could not be placed")}, Evidence: ev(5)},
			{Slot: evidence.Bracelet, Grade: ptr(4.1), Interval: [2]float64{3.6, 4.6}, Words: say.Verbatim("worn"),
				Reasons: []say.Statement{say.Verbatim("droop of 31 mm over 80 mm held level"),
					say.Verbatim("play in every link")}, Evidence: ev(9, 12)},
			{Slot: evidence.Movement, Grade: ptr(7.5), Interval: [2]float64{6.9, 8.1}, Words: say.Verbatim("very good"),
				Reasons: []say.Statement{say.Verbatim("clean, no rust"),
					say.Verbatim("screws with light marks of a driver")}, Evidence: ev(22)},
		}}
	o.Measured = []opinion.Measure{
		{What: "mid_case_diameter", Name: say.Verbatim("mid-case"), MM: 33.82, Interval: [2]float64{33.78, 33.86},
			NominalMM: ptr(34.0), Difference: ptr(-0.18), SpokenMM: ptr(35.0), PRemoved: ptr(0.86),
			Says: say.Verbatim("a little metal was taken off in polishing"), Evidence: ev(10),
			Basis: []opinion.Basis{book("makers/askelund/references/KR-1/sizes")}},
		{What: "lug_width", Name: say.Verbatim("lug width"), MM: 19.0, Interval: [2]float64{18.92, 19.08},
			NominalMM: ptr(20.0), Difference: ptr(-1.0), Says: say.Verbatim("differs from the reference"),
			Evidence: ev(11)},
		{What: "bracelet_droop", Name: say.Verbatim("bracelet, droop"), MM: 31, Interval: [2]float64{29.3, 32.7},
			Says: say.Verbatim("much stretched"), Evidence: ev(12)},
	}
	o.Metal = opinion.Metal{Name: "steel", Says: say.Verbatim("The bracelet is steel by its density; no precious " +
		"metal"), Density: &opinion.Density{Part: say.Verbatim("bracelet"), GPerCM3: 8.01,
		Interval: [2]float64{7.95, 8.07}, Agrees: []string{"stainless steel"},
		Says: say.Verbatim("a solid part weighed in air and in water"),
		Basis: []opinion.Basis{{Source: estimate.Evidence, ID: string(ev(13)[0])}, {Source: estimate.Evidence,
			ID: string(ev(14)[0])}, book("metals/steel")}}}
	o.Running = richRunning()
	o.Value = richValue(7)
	o.Deal = opinion.Deal{Known: true, HighestPrice: ptr(money.MustParse("6900", "EUR")), ChanceOfLoss: ptr(0.08),
		ExpectedProfit: ptr(money.MustParse("1640", "EUR")), ProfitInterval: [2]float64{-420, 3710},
		MonthsToSell: ptr(estimate.Between(4.2, 1, 11, 0.9, "month")), WantedMargin: 0.15, Confidence: 0.8,
		Costs: []opinion.Cost{{Name: say.Verbatim("service"), Mean: 420, Interval: [2]float64{350, 520}}},
		Says:  []say.Statement{say.Verbatim("The clasp can be changed for one of the period for about 300 EUR")}}
	return Report{
		Opinion: o, Items: richItems(), Photos: richPhotos(t), Number: "107",
		Shop: Shop{Name: "Marrow Lane Watches", Lines: []string{"14 Marrow Lane, Port Ansel",
			"Tuesday to Saturday, 10 to 6"}, SignedBy: "Anouk Ferrand"},
		Issued: time.Date(2026, 2, 21, 0, 0, 0, 0, time.UTC), ValidUntil: time.Date(2026, 5, 21, 0, 0, 0, 0,
			time.UTC), Purpose: "private sale", IntendedUser: "the buyer named on the invoice",
		LogHead: "midcase log 107, 24 items, 9f2c4d7a11c2f8a0b7", Annex: true,
	}
}

func richParts() []opinion.Part {
	fits := func(slot evidence.Slot, name string, p float64, e []evidence.ID, reasons ...string) opinion.Part {
		return opinion.Part{Slot: slot, Variant: string(slot) + "-2", VariantName: name, POriginal: ptr(p),
			Words: say.Likelihood(p), Verdict: opinion.Fits, Reasons: say.Quoted(reasons), Evidence: e,
			Basis: []opinion.Basis{book("makers/askelund/families/skerry/" + string(slot))}}
	}
	return []opinion.Part{
		fits(evidence.Case, "second case, drilled lugs", 0.99, ev(2, 7), "the serial number runs with the date stamp"),
		fits(evidence.Bezel, "polished, plain", 0.93, ev(23), "of the kind fitted throughout"),
		{Slot: evidence.Crystal, Verdict: opinion.CannotTell, Words: say.Likelihood(0.5),
			Reasons: []say.Statement{say.Verbatim("crystals are changed at every other service and carry no date")}},
		fits(evidence.Dial, "silvered, second signature", 0.97, ev(4, 8), "fitted from 1966 to 1971",
			"luminous paint aged like that of its time"),
		{Slot: evidence.Hands, Variant: "unknown", VariantName: "batons without luminous paint",
			POriginal: ptr(0.12), Words: say.Likelihood(0.12), Verdict: opinion.ProbablyReplaced,
			Reasons: []say.Statement{say.Verbatim("the dial has luminous plots and the hands have none"),
				say.Verbatim("no batons of this kind are known on the reference before 1972")},
			Expected: []opinion.Expectation{{Variant: "h1", Name: "luminous batons", P: 0.88}, {Variant: "h2",
				Name: "dauphines", P: 0.09}}, Evidence: ev(5),
			Basis: []opinion.Basis{book("makers/askelund/families/skerry/hands")}},
		fits(evidence.Crown, "signed, 6 mm", 0.71, ev(23),
			"of the kind fitted, and also supplied as a spare until 1985"),
		fits(evidence.CaseBack, "screwed, stamped II 68", 0.98, ev(3, 21),
			"its stamp precedes the serial number's date by four months"),
		fits(evidence.Movement, "calibre A 72", 0.96, ev(22), "its number lies within the range cased in 1968"),
		fits(evidence.Bracelet, "hollow links B-12", 0.84, ev(9, 14),
			"old style, delivered by the second factory until 1970"),
		fits(evidence.EndPieces, "E-5", 0.9, ev(23), "they go with the bracelet"),
		{Slot: evidence.Clasp, Variant: "clasp-b", VariantName: "folding, stamped 3/74", POriginal: ptr(0.004),
			Words: say.Likelihood(0.004), Verdict: opinion.DoesNotBelong, Service: true,
			Reasons: []say.Statement{say.Verbatim("stamped 3/74, five years after the latest date at which the " +
				"watch was made")}, Expected: []opinion.Expectation{{Variant: "clasp-a", Name: "folding, first kind",
				P: 0.95}}, Evidence: ev(6, 20), Basis: []opinion.Basis{book("makers/askelund/families/skerry/clasp")}},
		{Slot: evidence.Box, Verdict: opinion.Missing,
			Reasons: []say.Statement{say.Verbatim("no box came with the watch")}},
		fits(evidence.Papers, "guarantee dated May 1969", 0.95, nil, "the serial number on it is that of the case"),
	}
}

func position(p string, rate, amplitude, beat float64, item int) opinion.PositionRate {
	return opinion.PositionRate{Position: p, SecPerDay: rate, AmplitudeDeg: amplitude, BeatErrorMS: &beat,
		HoursSinceWind: 0.5, Evidence: ev(item)[0]}
}

func adjustment(feature, subject, comparable string, share, amount float64) opinion.Adjustment {
	return opinion.Adjustment{Feature: feature, Subject: subject, Comparable: comparable, Percent: 100 * share,
		Amount: amount}
}

func contribution(feature, level string, percent, low, high float64) opinion.Contribution {
	return opinion.Contribution{Feature: feature, Level: level, Percent: percent, Interval: [2]float64{low, high}}
}

func richRunning() opinion.Running {
	return opinion.Running{Known: true, Mean: ptr(4.22), Delta: ptr(13.6), VerticalMinusHorizontal: ptr(-7.5),
		Amplitude: ptr(259.6), BeatError: ptr(0.42), LiftAngleDeg: 51,
		LiftAngleFrom: say.Verbatim("the reference book, for calibre A 72"),
		Positions: []opinion.PositionRate{position("CH", 8, 284, 0.3, 15), position("FH", 9.4, 281, 0.3, 16),
			position("9H", 6.8, 240, 0.6, 17), position("3H", 1.1, 249, 0.4, 18), position("6H", -4.2, 244, 0.5, 19)},
		Compared: []opinion.Limit{{Criterion: "mean rate, s/d", Movement: "over 20 mm", Value: 4.2,
			Limits: [2]float64{-4, 6}, Within: true}, {Criterion: "6H minus CH, s/d",
			Movement: "over 20 mm", Value: -7.5, Limits: [2]float64{-6, 8}}},
		Says: []say.Statement{say.Verbatim("Runs well for its age; the amplitude is healthy lying and a little " +
			"low standing")}, ServiceExpected: ptr(false), Basis: []opinion.Basis{book("calibres/a72")}}
}

func richValue(n int) opinion.Value {
	v := opinion.Value{Known: true, Kind: "retail", Definition: market.Retail.Definition(), Currency: "EUR",
		AsOf:   "2026-02-21",
		Median: ptr(9684.0), Mean: ptr(9731.0), Interval: map[string][2]float64{"50": {8974, 10421}, "80": {8466,
			11020}, "90": {8212, 11391}}, Reconciled: &opinion.Reconciled{Median: 9540, Range: [2]float64{8610,
			10480}}, SalesUsed: 11874, SalesOfReference: 143,
		Contributions: []opinion.Contribution{contribution("originality", "hands and clasp later", -11, -15, -7),
			contribution("condition", "6.8", -4, -6, -2), contribution("completeness", "papers", 7, 4, 10)},
		Says: []say.Statement{say.Verbatim("The comparables and the model agree to within 2 %"),
			say.Verbatim("Prices of steel examples have risen by about 3 % over the last four quarters")}}
	for i := range n {
		price := 9000 + 640*float64(i%5) - 190*float64(i%7)
		time, cond, orig := 0.02*float64(i%4), -0.015*float64(i%3), -0.03*float64(i%2)
		a1 := price * time
		a2 := (price + a1) * cond
		a3 := (price + a1 + a2) * orig
		v.Comparables = append(v.Comparables, opinion.Comparable{
			Sale: fmt.Sprintf("sale-%05d", 90211+i*37), Date: fmt.Sprintf("2025-%02d-%02d", 1+i%12, 3+i%25),
			Title: "Askelund Skerry KR-1, steel", Price: price, Currency: "EUR", SaleBasis: []string{"sold",
				"all-in", "asking"}[i%3], Venue: []string{"dealer", "auction", "dealer"}[i%3],
			Adjustments: []opinion.Adjustment{adjustment("time", "2026-02", "2025", time, a1),
				adjustment("condition", "6.8", "7.2", cond, a2), adjustment("originality", "0.84", "0.95", orig, a3)},
			Adjusted: price + a1 + a2 + a3, Weight: 1 / (1 + float64(i)*0.4), GrossPercent: 100 * (math.Abs(time) +
				math.Abs(cond) + math.Abs(orig)),
		})
	}
	return v
}

// disc is a drawn stand-in for a photograph of a dial.
func disc(w, h int, ground color.RGBA) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			dx, dy := float64(x-w/2), float64(y-h/2)
			r := math.Hypot(dx, dy) / float64(min(w, h))
			c := color.RGBA{uint8(60 + 40*y/h), uint8(56 + 40*y/h), uint8(50 + 40*y/h), 255}
			if r < 0.42 {
				c = color.RGBA{190, 190, 186, 255}
			}
			if r < 0.36 {
				c = ground
			}
			if a := math.Mod(math.Atan2(dy, dx)+math.Pi*2, math.Pi/6); r > 0.28 && r < 0.33 &&
				(a < 0.04 || a > math.Pi/6-0.04) {
				c = color.RGBA{40, 38, 36, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func jpegOf(t testing.TB, img image.Image) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 85}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, img image.Image) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func richPhotos(t testing.TB) []Photo {
	whole := jpegOf(t, disc(900, 700, color.RGBA{214, 210, 198, 255}))
	return []Photo{
		{Evidence: ev(23)[0], View: "front", Caption: "The watch from the front", Data: whole},
		{Evidence: ev(22)[0], View: "movement", Data: jpegOf(t, disc(640, 480, color.RGBA{180, 150, 120, 255}))},
		{Evidence: ev(21)[0], View: "case_back_inside", Caption: "Inside of the case back with the date stamp",
			Data: pngOf(t, disc(480, 640, color.RGBA{170, 175, 180, 255}))},
		{Evidence: ev(20)[0], View: "clasp", Data: whole[:len(whole)/3]},
	}
}

// extreme is what no sane file holds: long reasons, many comparables, every
// slot, no date, and names in many scripts.
func extreme(t testing.TB) Report {
	r := rich(t)
	long := strings.Repeat("a reason that goes on about edges, screws and luminous paint, ", 7)[:400]
	r.Opinion.Watch.Title = "Åskelund Škerry Ὠμέγη Часы 時計 ⌚ de la " +
		"Très-Longue-Dénomination-Sans-Aucune-Fin-Visible-Dans-Le-Catalogue № KR-1"
	r.Opinion.Watch.Maker = "Ångström & Łukasiewicz Ďurď"
	r.Opinion.Dating = opinion.Dating{CannotTell: say.Verbatim("no serial number could be read")}
	r.Opinion.Parts = nil
	for i, s := range evidence.Slots() {
		verdicts := []string{opinion.Fits, opinion.ProbablyReplaced, opinion.DoesNotBelong, opinion.CannotTell,
			opinion.Missing}
		r.Opinion.Parts = append(r.Opinion.Parts, opinion.Part{Slot: s, VariantName: strings.Repeat("variant", 12),
			Verdict: verdicts[i%5], Reasons: []say.Statement{say.Verbatim(long), say.Verbatim(long)}, Evidence: ev(1, 2,
				3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23), POriginal: ptr(0.5), Words: say.Likelihood(0.5)})
	}
	r.Opinion.Value = richValue(60)
	r.Opinion.Unknown = []say.Statement{say.Verbatim(long), say.Verbatim("see https://example.org/" +
		strings.Repeat("averylongpath/", 30))}
	r.Opinion.Summary = opinion.Summary{
		Sentence: say.Verbatim(strings.TrimSpace(strings.Repeat("Made at a time that cannot be told. ", 30))),
	}
	r.Shop.Name = "Żółć & Sønner – Uhren, Ωρολόγια, Часы"
	r.Photos = append(r.Photos, Photo{Data: []byte("no picture")}, Photo{})
	return r
}

func minimal() Report { return Report{Annex: true} }
