package web

import (
	"net/http"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/web/form"
	"midcase/refbook"
)

// versionForm adds a version of a part to a reference.
type versionForm struct {
	Slot    evidence.Slot `form:"slot,needed" label:"Part" kind:"choice" id:"version-slot"`
	ID      string        `form:"id,needed" label:"Short id" hint:"small letters and digits, such as dial-3" id:"version-id"`
	Name    string        `form:"name,needed" label:"Name" hint:"such as Silver dial, mark 3" id:"version-name"`
	Look    string        `form:"look" label:"How to recognise it" kind:"area" id:"version-look"`
	Made    edtf.Date     `form:"made" label:"Fitted" hint:"such as 1966-05/1970-12; leave empty for a service part" want:"when it was fitted, such as 1966-05/1970-12, or tick service part" id:"version-made"`
	Share   float64       `form:"share" label:"Share beside others" hint:"0 to 1; leave empty if it was the only one" min:"0" max:"1" id:"version-share"`
	Service bool          `form:"service" label:"A service part, made for repairs" id:"version-service"`
	Source  string        `form:"source" label:"Source" hint:"where this is known from" id:"version-source"`
	Why     string        `form:"why,needed,broad" label:"Reason for the change" hint:"such as: seen on three dated watches" id:"version-why"`
}

// pairForm adds a number of which the month is known.
type pairForm struct {
	Serial string     `form:"serial,needed" label:"Series of numbers" kind:"choice" id:"pair-serial"`
	Number int        `form:"number,needed" label:"Number" hint:"digits only" want:"a number in digits, such as 298000" min:"1" id:"pair-number"`
	Month  edtf.Month `form:"month,needed" label:"Month" hint:"such as 1968-05" want:"a month such as 1968-05" id:"pair-month"`
	Source string     `form:"source" label:"Source" hint:"such as: archive extract of a watch seen" id:"pair-source"`
	Why    string     `form:"why,needed,broad" label:"Reason for the change" id:"pair-why"`
}

// reasonForm says why the text of the book is changed.
type reasonForm struct {
	Why string `form:"why,broad" label:"Reason for the change" hint:"kept with the version, beside your name and the day" id:"why"`
}

var (
	reasoning     = form.Define[reasonForm]("reason for a change of the book")
	addingVersion = form.Define[versionForm]("add a version to the book")
	addingPair    = form.Define[pairForm]("add a number and its month to the book")
)

// versionView is the empty form for a version; nil where the reference has no parts.
func versionView(r *http.Request, ref *refbook.Reference) *form.View {
	if len(ref.Slots) == 0 {
		return nil
	}
	f := addingVersion.Of(r.Context(), versionForm{})
	offerSlots(f, ref)
	return &f.View
}

func offerSlots(f *form.Form[versionForm], ref *refbook.Reference) {
	var slots []form.Option
	for _, s := range ref.Slots {
		slots = append(slots, form.Option{Value: string(s.Slot), Text: s.Slot.Name()})
	}
	f.Offer(&f.V.Slot, slots...)
}

// pairView is the empty form for a number and its month; nil where the maker has no series.
func pairView(r *http.Request, m *refbook.Maker) *form.View {
	if len(m.Serials) == 0 {
		return nil
	}
	f := addingPair.Of(r.Context(), pairForm{})
	offerSeries(f, m)
	return &f.View
}

func offerSeries(f *form.Form[pairForm], m *refbook.Maker) {
	var series []form.Option
	for _, s := range m.Serials {
		series = append(series, form.Option{Value: s.ID, Text: s.ID + ", " + strings.ReplaceAll(s.Mark, "_", " ")})
	}
	f.Offer(&f.V.Serial, series...)
}

// variant is the version that was typed.
func (f *versionForm) variant(v *form.View) refbook.Variant {
	out := refbook.Variant{ID: f.ID, Name: f.Name, Look: strings.Join(strings.Fields(f.Look), " "), Service: f.Service,
		Source: f.Source}
	if strings.ContainsAny(f.ID, "/ ") {
		v.Wrong(&f.ID, "“"+f.ID+"” has a space or a slash in it. Enter a short id, for example dial-3.")
	}
	if f.Made.IsZero() && !f.Service {
		v.Missing(&f.Made)
	}
	switch {
	case f.Service:
		out.Supplied = f.Made // of a service part: when it was supplied
	case !f.Made.IsZero():
		out.Windows = []refbook.Window{{Made: f.Made, Share: f.Share}}
	}
	return out
}
