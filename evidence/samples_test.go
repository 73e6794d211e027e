package evidence

import (
	"time"

	"midcase/edtf"
	"midcase/money"
)

var noon = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

// samples holds one good item of every kind with every field given, in the order of
// Kinds.
func samples() []Item {
	lab := [3]float64{62.5, 3.1, 21.4}
	data := []Data{
		&Mark{What: MarkSerial, Slot: Case, Where: "between the lugs", Device: "none",
			Text: "1 234 5?7", Confidence: 0.9, Photo: "ev_8"},
		&Fitted{Slot: Dial, Variant: "matt-1", Confidence: 0.9, Description: "white print", Metal: "steel",
			Photo: "ev_8"},
		&Finding{Slot: Case, Term: "scratches", Severity: 2, Extent: 0.2, Where: "lower left lug",
			Plots: []int{3, 5}, Note: "fine",
			Photo: "ev_8", At: [2]float64{811, 240.5}, RadiusPx: 60},
		&Dimension{What: "bracelet_length_under_pull", MM: 84.2, PlusMinusMM: 0.1, Instrument: "caliper",
			FreeLengthMM: 90, Links: 12, PullN: 4.9, Photo: "ev_8", Picks: Picks(`{"scale":{"kind":"square"}}`)},
		&Weighing{What: "bracelet", G: 45.31, In: "water", PlusMinusG: 0.01, WaterTempC: 21.5, Instrument: "balance",
			Photo: "ev_8"},
		&Rate{Position: "6H", SecPerDay: -4.5, SecPerDaySE: 0.2, AmplitudeDeg: 271, BeatErrorMS: new(0.3),
			LiftAngleDeg:   52,
			HoursSinceWind: 1, TempC: 22, Recording: "ev_7", Instrument: "microphone",
			AmplitudeDegSE: 2.5, BeatErrorMSSE: 0.04, ClockSE: 0.2, Clock: "bench microphone"},
		&Recording{Blob: "tick.wav", Position: "CH", LiftAngleDeg: 52, BeatsPerHour: 18000, HoursSinceWind: 0.5,
			Seconds: 30, Recorder: "bench microphone", ClockPPM: -7.5, ClockPPMSE: 2},
		&Photo{Blob: "dial.jpg", View: "dial", Taken: edtf.MustParse("2026-02"), MMPerPx: 0.02, WidthPx: 4000,
			HeightPx: 3000, MediaType: "image/jpeg", Caption: "daylight"},
		&Reading{Photo: "ev_8", Slot: Dial, What: "plot 3", At: [2]float64{1200.5, 900}, RadiusPx: 12, Lab: &lab,
			LengthMM: 1.2, PlusMinus: 0.8, Picks: Picks(`{"twelve":[3,4]}`)},
		&Document{What: "archive_extract", Date: edtf.MustParse("2019-05-02"), Serial: "1234567", Reference: "KR-1",
			MadeDate: edtf.MustParse("1964-05~"), Country: "US", Text: "delivered 1964", Blob: "extract.pdf"},
		&Claim{About: "price", Text: "paid last year", From: "seller", Price: money.MustParse("4200.50", "EUR"),
			Told: Told{Grade: 7.5, Year: 1968, Set: "full", Metal: "steel"}},
		&Work{What: "service", By: "a workshop", Date: edtf.MustParse("2021"),
			Replaced: []Replaced{{Slot: Crown, Variant: "signed", Kept: true}}, Cost: money.MustParse("300.00", "CHF"),
			Text: "cleaned and oiled"},
		&Comparison{Slot: Case, Other: "w_2", Named: "file 2", Result: "better", Note: "sharper bevels"},
		&Check{Register: "a register of lost watches", Date: edtf.MustParse("2026-02-27"), Result: "clear",
			Reference: "A-17"},
		&Trial{What: TrialPressure, Slot: Case, Of: "screwed down", Result: "ok", Value: 3, Unit: "bar",
			Date: edtf.MustParse("2026-02-20"), Instrument: "chamber", Note: "dry"},
		&Need{What: "new crystal", Slot: Crystal, Cost: money.MustParse("80.00", "EUR"), Note: "cracked at 4"},
		&Ownership{Owner: "first owner", How: "bought new", From: edtf.MustParse("1968"), Until: edtf.MustParse("2019"),
			Shown: "receipt", Note: "kept in a drawer"},
		&Correction{Maker: "Orbenau", Reference: "T 218", WasMaker: "Orbenau", WasReference: "T 219",
			Reason: "read from the case back"},
		&Redacted{Was: KindClaim, Hash: "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="},
		&Withdrawal{Of: "ev_3", Reason: "seen on another watch",
			Redacts: "47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU="},
	}
	var out []Item
	for i, d := range data {
		out = append(out, Item{ID: ID("ev_" + string(rune('a'+i))), At: noon.Add(time.Duration(i) * time.Hour),
			By: "R. Aldous", Note: "by the window", Data: d})
	}
	out[len(out)-1].Data.(*Withdrawal).Of = "ev_c"
	return out
}
