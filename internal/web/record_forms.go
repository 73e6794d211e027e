package web

import (
	"net/http"

	"midcase/condition"
	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop/intake"
	"midcase/internal/web/form"
	"midcase/internal/web/pages/record"
	"midcase/money"
	"midcase/refbook"
)

// The forms of the kinds of evidence. Each has the members of its kind, so that it converts to it; what nobody
// types has no name.
type (
	fittedForm struct {
		Slot        evidence.Slot `form:"slot,needed" label:"Part" kind:"hidden"`
		Variant     string        `form:"variant" label:"Version" hint:"“unknown” if you cannot identify it"`
		Confidence  float64       `form:"confidence" label:"How sure?" unit:"%" hint:"leave empty for 95" min:"0" max:"100"`
		Description string        `form:"description" label:"Description" kind:"area"`
		Metal       string        `form:"metal" label:"Metal, as marked or tested" kind:"choice"`
		Absent      bool          `form:"absent" label:"Missing"`
		Photo       evidence.ID
	}
	findingForm struct {
		Slot     evidence.Slot `form:"slot,needed" label:"Part" kind:"hidden"`
		Term     string        `form:"term,needed" label:"Term" kind:"choice" want:"a term"`
		Severity int           `form:"severity,needed" label:"Severity" choices:"0=good point / none found|1=1 slight|2=2 obvious|3=3 severe|4=4 beyond repair"`
		Extent   float64       `form:"extent" label:"Extent" unit:"% of the part" hint:"leave empty if not judged" min:"0" max:"100"`
		Where    string        `form:"where" label:"Where" hint:"such as: at 4, lower left lug"`
		Plots    []int
		Note     string `form:"note" label:"Note" kind:"area"`
		Photo    evidence.ID
		At       [2]float64
		RadiusPx float64
	}
	markForm struct {
		What       string        `form:"what,needed" label:"Kind of mark" kind:"choice"`
		Slot       evidence.Slot `form:"slot" label:"On which part" kind:"choice"`
		Where      string        `form:"where" label:"Where on the part" hint:"such as: inside, at 6"`
		Device     string        `form:"device" label:"Picture, for a hallmark" hint:"such as: head in an oval"`
		Text       string        `form:"text,needed" label:"As it reads" hint:"? for a character you cannot read" want:"the mark as it reads on the watch"`
		Confidence float64       `form:"confidence" label:"How sure?" unit:"%" hint:"leave empty for 98" min:"0" max:"100"`
		Photo      evidence.ID
	}
	sizeForm struct {
		What         string  `form:"what,needed" label:"Size" kind:"choice"`
		MM           float64 `form:"mm,needed" label:"Millimetres" want:"a size in mm, for example 36.4"`
		PlusMinusMM  float64 `form:"plus_minus_mm" label:"±" unit:"mm" hint:"leave empty for 0.05"`
		Instrument   string  `form:"instrument" label:"Instrument" hint:"such as caliper 1"`
		FreeLengthMM float64 `form:"free_length_mm" label:"Free length" unit:"mm" hint:"for a bracelet's droop"`
		Links        int     `form:"links" label:"Links measured" hint:"for a length under pull"`
		PullN        float64 `form:"pull_n" label:"Pull" unit:"N" hint:"a 500 g weight pulls 4.9 N"`
		Photo        evidence.ID
		Picks        evidence.Picks
	}
	weightForm struct {
		What       string  `form:"what,needed" label:"What was weighed" kind:"choice"`
		G          float64 `form:"g,needed" label:"Grams" want:"a weight in grams, for example 62.4"`
		In         string  `form:"in" label:"In" choices:"air|water=water (bare parts only, never a watch or movement)"`
		PlusMinusG float64 `form:"plus_minus_g" label:"±" unit:"g" hint:"leave empty for 0.02"`
		WaterTempC float64 `form:"water_temp_c" label:"Water" unit:"°C" hint:"leave empty for 20"`
		Instrument string  `form:"instrument" label:"Instrument"`
		Photo      evidence.ID
	}
	rateForm struct {
		Position       string  `form:"position,needed" label:"Position" kind:"choice"`
		SecPerDay      float64 `form:"s_per_day,needed" label:"Rate" unit:"s/day" hint:"plus if it gains" want:"a rate in s/day, for example +4"`
		SecPerDaySE    float64
		AmplitudeDeg   float64  `form:"amplitude_deg" label:"Amplitude" unit:"°"`
		BeatErrorMS    *float64 `form:"beat_error_ms" label:"Beat error" unit:"ms" hint:"half the difference of successive beats"`
		LiftAngleDeg   float64  `form:"lift_angle_deg" label:"Lift angle" unit:"°"`
		HoursSinceWind float64  `form:"hours_since_wind" label:"Hours since winding"`
		TempC          float64  `form:"temp_c" label:"Temperature" unit:"°C"`
		Recording      evidence.ID
		Instrument     string `form:"instrument" label:"Instrument"`
		AmplitudeDegSE float64
		BeatErrorMSSE  float64
		ClockSE        float64
		Clock          string
	}
	documentForm struct {
		What      string    `form:"what,needed" label:"Document" kind:"choice"`
		Date      edtf.Date `form:"date" label:"Dated" hint:"such as 1968-05-17, 1968 or 1965~"`
		Serial    string    `form:"serial" label:"Serial number on it"`
		Reference string    `form:"reference" label:"Reference on it"`
		MadeDate  edtf.Date `form:"made_date" label:"Date of manufacture on it" hint:"from an archive extract"`
		Country   string    `form:"country" label:"Country of delivery on it" hint:"two letters, such as US"`
		Text      string    `form:"text" label:"What it says" kind:"area"`
		Blob      string
	}
	claimForm struct {
		About string      `form:"about,needed" label:"About" hint:"such as price, polishing, owner" want:"what the claim is about"`
		Text  string      `form:"text,needed" label:"In the seller's words" kind:"area" want:"what the seller said"`
		From  string      `form:"from" label:"From"`
		Price money.Money `form:"price" label:"Price asked" hint:"such as 6500 EUR"`
		Told  evidence.Told
	}
	workDoneForm struct {
		What     string    `form:"what,needed" label:"Work" hint:"such as service" want:"what was done"`
		By       string    `form:"done_by" label:"Done by"`
		Date     edtf.Date `form:"date" label:"Date" hint:"such as 2019-11 or 2015~"`
		Replaced []evidence.Replaced
		Cost     money.Money `form:"cost" label:"Cost" hint:"such as 450 EUR"`
		Text     string      `form:"text" label:"Details" kind:"area"`
	}
	checkForm struct {
		Register  string    `form:"register,needed" label:"Register"`
		Date      edtf.Date `form:"date,needed" label:"Checked on" hint:"such as 2026-03-01" want:"the day of the check, for example 2026-03-01"`
		Result    string    `form:"result,needed" label:"Result" choices:"clear|match|unclear"`
		Reference string    `form:"reference" label:"The register's number"`
	}
	trialForm struct {
		What       string        `form:"what,needed" label:"What was tried" choices:"function|power_reserve=power reserve|pressure=pressure test|ultraviolet=ultraviolet light|radiation|looked_over=looked over, nothing more"`
		Slot       evidence.Slot `form:"slot" label:"On which part" kind:"choice"`
		Of         string        `form:"of" label:"Function" hint:"such as chronograph reset, hand setting, date change, alarm"`
		Result     string        `form:"result" label:"Result" choices:"=not said|ok=works / tight|fails|glows=glows and goes on|fades=glows and fades|none=does not glow"`
		Value      float64       `form:"value" label:"Figure read"`
		Unit       string        `form:"unit" label:"Unit" choices:"=none|bar|h=hours|uSv/h=µSv/h|cps=counts a second"`
		Date       edtf.Date     `form:"date" label:"Day" hint:"needed for a pressure test"`
		Instrument string        `form:"instrument" label:"Instrument"`
		Note       string        `form:"note" label:"Note" kind:"area"`
	}
	needForm struct {
		What string        `form:"what,needed" label:"Work needed" hint:"such as service, new crystal" want:"the work, for example service"`
		Slot evidence.Slot `form:"slot" label:"On which part" kind:"choice"`
		Cost money.Money   `form:"cost" label:"Estimate" hint:"such as 450 EUR; counts in what to pay"`
		Note string        `form:"note" label:"Note" kind:"area"`
	}
	ownershipForm struct {
		Owner string    `form:"owner,needed" label:"Owner" hint:"such as first owner, heirs; no names of living people: evidence cannot be erased" want:"who it was, for example first owner"`
		How   string    `form:"how" label:"How it came" hint:"such as bought new, inherited"`
		From  edtf.Date `form:"from" label:"From"`
		Until edtf.Date `form:"until" label:"Until"`
		Shown string    `form:"shown" label:"Shown by" hint:"such as receipt, letter, word of mouth"`
		Note  string    `form:"note" label:"Note" kind:"area"`
	}
	comparisonForm struct {
		Slot   evidence.Slot `form:"slot" label:"Part" kind:"choice"`
		Other  string        `form:"other,needed" label:"Beside" kind:"choice"`
		Named  string        // written by the shop
		Result string        `form:"result,needed" label:"This one is" choices:"better|same|worse"`
		Note   string        `form:"note" label:"Note" kind:"area"`
	}
	photoForm struct {
		Picture form.File `form:"picture,needed,broad" label:"Picture" want:"a picture" hint:"JPEG, PNG, WebP, AVIF, HEIC or TIFF, up to 60 megapixels. The original is kept; location data is never published." accept:"image/jpeg,image/png,image/webp,image/avif,image/heic,image/tiff"`
		View    string    `form:"view" label:"It shows" kind:"choice"`
		Caption string    `form:"caption" label:"Caption"`
	}
	byForm struct {
		By string `form:"by" label:"Recorded by" auto:"name"`
	}
)

var recordedBy = form.Define[byForm]("recorded by")

// recordStart is what is known before a form is filled in.
type recordStart struct {
	slot       evidence.Slot
	maker      *refbook.Maker
	ref        *refbook.Reference
	instrument string        // of the last reading of this kind
	other      string        // the watch to compare with
	others     []form.Option // what it can be compared with
}

// evidenceKind is a kind of evidence that can be typed in, with its form.
type evidenceKind struct {
	record.Kind
	show func(*http.Request, recordStart) *form.View
	read func(*http.Request, recordStart) (*form.View, evidence.Data, error)
}

// kindOf makes a kind of what turns its form into evidence, and of what fits the form to the watch.
func kindOf[T any](id evidence.Kind, name, says string, data func(T) evidence.Data,
	fit func(*form.Form[T], recordStart)) evidenceKind {
	d := form.Define[T]("record " + string(id))
	return evidenceKind{record.Kind{ID: id, Name: name, Says: says},
		func(r *http.Request, in recordStart) *form.View {
			var none T
			f := d.Of(r.Context(), none)
			fit(f, in)
			return &f.View
		},
		func(r *http.Request, in recordStart) (*form.View, evidence.Data, error) {
			var none T
			f, err := d.Read(r, none)
			if err != nil {
				return nil, nil, err
			}
			fit(f, in)
			return &f.View, data(f.V), nil
		}}
}

func asIs[T any](*form.Form[T], recordStart) {}

// offerLast offers what was typed last time.
func offerLast[T any, S ~string](f *form.Form[T], field *S, last S) {
	if !f.Sent {
		*field = last
		f.Show(field)
	}
}

// evidenceKinds lists the kinds that can be typed in, the commonest first.
var evidenceKinds = []evidenceKind{
	kindOf(evidence.KindFitted, "Part", "which version is fitted",
		func(f fittedForm) evidence.Data { return (*evidence.Fitted)(&f) }, fitFitted),
	kindOf(evidence.KindFinding, "Finding", "a defect or a good point of a part",
		func(f findingForm) evidence.Data { return (*evidence.Finding)(&f) }, fitFinding),
	kindOf(evidence.KindMark, "Mark", "a number, stamp or hallmark as read",
		func(f markForm) evidence.Data { return (*evidence.Mark)(&f) }, fitMark),
	kindOf(evidence.KindDimension, "Size", "a length in millimetres",
		func(f sizeForm) evidence.Data { return (*evidence.Dimension)(&f) }, fitSize),
	kindOf(evidence.KindWeighing, "Weighing", "a weight in grams, in air or water",
		func(f weightForm) evidence.Data { return (*evidence.Weighing)(&f) }, fitWeight),
	kindOf(evidence.KindRate, "Rate", "how it runs in one position",
		func(f rateForm) evidence.Data { return (*evidence.Rate)(&f) }, fitRate),
	kindOf(evidence.KindPhoto, "Photograph", "a picture of the watch", func(f photoForm) evidence.Data { return nil },
		fitPhoto),
	kindOf(evidence.KindDocument, "Document", "papers, receipt, archive extract",
		func(f documentForm) evidence.Data { return (*evidence.Document)(&f) }, fitDocument),
	kindOf(evidence.KindClaim, "Claim", "what the seller says; never counted as fact",
		func(f claimForm) evidence.Data { return (*evidence.Claim)(&f) }, asIs),
	kindOf(evidence.KindWork, "Work", "a service or repair",
		func(f workDoneForm) evidence.Data { return (*evidence.Work)(&f) }, asIs),
	kindOf(evidence.KindTrial, "Trial", "a function tried, a pressure test, ultraviolet light, radiation, power reserve",
		func(f trialForm) evidence.Data { return (*evidence.Trial)(&f) }, fitTrial),
	kindOf(evidence.KindNeed, "Work needed", "what still has to be done, with an estimate",
		func(f needForm) evidence.Data { return (*evidence.Need)(&f) }, fitNeed),
	kindOf(evidence.KindOwnership, "Owner", "one link in the chain of owners",
		func(f ownershipForm) evidence.Data { return (*evidence.Ownership)(&f) }, asIs),
	kindOf(evidence.KindCheck, "Register", "a check in a register of lost and stolen watches",
		func(f checkForm) evidence.Data { return (*evidence.Check)(&f) }, asIs),
	kindOf(evidence.KindComparison, "Comparison", "this watch compared with another",
		func(f comparisonForm) evidence.Data { return (*evidence.Comparison)(&f) }, fitComparison),
}

// partsToChoose are the parts of a watch, after one for none where it may be left out.
func partsToChoose(none string) []form.Option {
	var out []form.Option
	if none != "" {
		out = append(out, form.Option{Value: "", Text: none})
	}
	for _, s := range evidence.Slots() {
		out = append(out, form.Option{Value: string(s), Text: s.Name()})
	}
	return out
}

// fitFitted offers the book's versions of the part as cards.
func fitFitted(f *form.Form[fittedForm], in recordStart) {
	offerLast(f, &f.V.Slot, in.slot)
	variant := f.Field(&f.V.Variant)
	variant.Needed = true
	if in.ref != nil && in.slot != "" {
		if s, ok := in.ref.Slot(in.slot); ok {
			var offered []form.Option
			for _, v := range s.Variants {
				offered = append(offered, form.Option{Value: v.ID, Text: v.Name, Says: v.Look})
			}
			variant.Kind, variant.Hint, variant.Broad = form.Radio, "", true
			variant.Options = append(offered, form.Option{Value: evidence.Unknown, Text: "none of these",
				Says: "say what you see under Description"})
		}
	}
	metals := []form.Option{{Value: "", Text: "not marked, not tested"}}
	if in.maker != nil {
		for _, m := range in.maker.Metals {
			metals = append(metals, form.Option{Value: m.ID, Text: m.Name})
		}
	}
	f.Offer(&f.V.Metal, metals...)
	if f.V.Variant == "" && !f.V.Absent && f.Sent {
		f.Wrong(&f.V.Variant, "Choose the version, or tick “Missing”.")
	}
}

func fitFinding(f *form.Form[findingForm], in recordStart) {
	offerLast(f, &f.V.Slot, in.slot)
	f.Offer(&f.V.Term, termsOf(in.slot)...)
}

// termsOf are the controlled terms, of a part where one is given.
func termsOf(slot evidence.Slot) []form.Option {
	list := condition.Terms()
	if slot.Valid() {
		list = condition.TermsFor(string(slot))
	}
	var out []form.Option
	for _, t := range list {
		out = append(out, form.Option{Value: t.ID, Text: t.Name})
	}
	return out
}

func fitMark(f *form.Form[markForm], in recordStart) {
	f.Offer(&f.V.What, form.Plain(evidence.MarkKinds()...)...)
	f.Offer(&f.V.Slot, partsToChoose("not said")...)
	offerLast(f, &f.V.Slot, in.slot)
}

func fitSize(f *form.Form[sizeForm], in recordStart) {
	f.Offer(&f.V.What, form.Plain(evidence.DimensionKinds()...)...)
	offerLast(f, &f.V.Instrument, in.instrument)
}

func fitWeight(f *form.Form[weightForm], in recordStart) {
	whole := []form.Option{{Value: "watch", Text: "whole watch"}, {Value: "head", Text: "head, without bracelet"},
		{Value: "case_parts", Text: "all case parts"}}
	f.Offer(&f.V.What, append(whole, partsToChoose("")...)...)
	offerLast(f, &f.V.Instrument, in.instrument)
}

func fitRate(f *form.Form[rateForm], in recordStart) {
	f.Offer(&f.V.Position, positions()...)
	offerLast(f, &f.V.Instrument, in.instrument)
}

func fitPhoto(f *form.Form[photoForm], _ recordStart) {
	f.Offer(&f.V.View, form.Plain(evidence.PhotoViews()...)...)
}

func fitDocument(f *form.Form[documentForm], _ recordStart) {
	f.Offer(&f.V.What, form.Plain(evidence.DocumentKinds()...)...)
}

func fitTrial(f *form.Form[trialForm], in recordStart) {
	f.Offer(&f.V.Slot, partsToChoose("not said")...)
	offerLast(f, &f.V.Slot, in.slot)
}

func fitNeed(f *form.Form[needForm], in recordStart) {
	f.Offer(&f.V.Slot, partsToChoose("not said")...)
	offerLast(f, &f.V.Slot, in.slot)
}

func fitComparison(f *form.Form[comparisonForm], in recordStart) {
	f.Offer(&f.V.Slot, partsToChoose("the whole watch")...)
	offerLast(f, &f.V.Slot, in.slot)
	f.Offer(&f.V.Other, in.others...)
	offerLast(f, &f.V.Other, in.other)
}

// positions names the positions of ISO 3158 in words too.
func positions() []form.Option {
	says := map[string]string{"CH": "CH, dial up", "FH": "FH, dial down", "3H": "3H, 3 uppermost (crown up)", "6H": "6H, 6 uppermost (crown left)", "9H": "9H, 9 uppermost (crown down)", "12H": "12H, 12 uppermost (crown right)"}
	out := form.Plain(evidence.Positions()...)
	for i, p := range out {
		if s, ok := says[p.Value]; ok {
			out[i].Text = s
		}
	}
	return out
}

// intakeForm is by what a watch comes into the shop.
type intakeForm struct {
	Maker     string      `form:"maker" label:"Maker" hint:"as in the reference book" list:"makers"`
	Reference string      `form:"reference" label:"Reference" list:"references"`
	Serial    string      `form:"serial" label:"Serial number" hint:"? for a character you cannot read"`
	Asked     money.Money `form:"asked" label:"Price asked" hint:"such as 6500 EUR"`
	Place     string      `form:"place" label:"Place" hint:"such as safe, tray 3"`
	Note      string      `form:"note" label:"Note"`
}

var takingIn = form.Define[intakeForm]("take in")

func (f intakeForm) intake() intake.Arrival {
	return intake.Arrival{Maker: f.Maker, Reference: f.Reference, Serial: f.Serial, Asked: f.Asked, Place: f.Place,
		Note: f.Note}
}
