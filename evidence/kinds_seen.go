package evidence

import "midcase/edtf"

// What a mark can be.
const (
	MarkSerial          = "serial"
	MarkMovementNumber  = "movement_number"
	MarkReferenceNumber = "reference_number"
	MarkCalibre         = "calibre"
	MarkDateStamp       = "date_stamp"
	MarkHallmark        = "hallmark"
	MarkMaker           = "maker_mark"
	MarkOther           = "other"
)

// MarkKinds lists what a mark can be.
func MarkKinds() []string {
	return []string{MarkSerial, MarkMovementNumber, MarkReferenceNumber, MarkCalibre, MarkDateStamp, MarkHallmark,
		MarkMaker, MarkOther}
}

// Mark is something stamped, engraved or printed, read off the watch.
type Mark struct {
	What string `json:"what" jsonschema:"enum=serial,enum=movement_number,enum=reference_number,enum=calibre,enum=date_stamp,enum=hallmark,enum=maker_mark,enum=other"`
	Slot Slot   `json:"slot,omitempty"`
	// Where is the place on the part: "inside, at 6", "left lug".
	Where string `json:"where,omitempty"`
	// Device describes a pictorial hallmark, such as a head in an oval; Text then holds its
	// letters or figures, or says what is seen.
	Device string `json:"device,omitempty"`
	Text   string `json:"text"` // as read, with ? for a character that cannot be read
	// Confidence is the chance, 0–1, that the text was read right; 0 means not stated
	// and counts as 0.98.
	Confidence float64 `json:"confidence,omitempty"`
	Photo      ID      `json:"photo,omitempty"`
}

// Kind implements Data.
func (*Mark) Kind() Kind { return KindMark }

// Check implements Data.
func (m *Mark) Check() (p Problems) {
	oneOf(&p, "what", m.What, MarkKinds())
	checkSlot(&p, m.Slot, false)
	p.need("text", m.Text, "the mark as it reads on the watch")
	p.within("confidence", m.Confidence, 0, 1, "")
	return p
}

// Unknown is the variant of a part that the observer could not place.
const Unknown = "unknown"

// Fitted says which variant of a part sits in a slot.
type Fitted struct {
	Slot    Slot   `json:"slot"`
	Variant string `json:"variant"` // a variant id of the reference book, or "unknown"
	// Confidence is the chance, 0–1, that the variant was named right; 0 means not
	// stated and counts as 0.95.
	Confidence  float64 `json:"confidence,omitempty"`
	Description string  `json:"description,omitempty" typed:"text"`
	Metal       string  `json:"metal,omitempty"`  // as marked or tested, a metal id of the book
	Absent      bool    `json:"absent,omitempty"` // the slot was looked at and is empty
	Photo       ID      `json:"photo,omitempty"`
}

// Kind implements Data.
func (*Fitted) Kind() Kind { return KindFitted }

// Check implements Data.
func (f *Fitted) Check() (p Problems) {
	checkSlot(&p, f.Slot, true)
	if !f.Absent {
		p.need("variant", f.Variant, `a variant of the reference book, or "unknown"`)
	} else if f.Variant != "" {
		p.add("variant", quote(f.Variant), "no variant where the slot is empty (absent)")
	}
	p.within("confidence", f.Confidence, 0, 1, "")
	return p
}

// Finding is a defect or a good point seen on a slot. Severity 0 is a good point or
// a check that found nothing; 4 is beyond repair.
type Finding struct {
	Slot     Slot   `json:"slot"`
	Term     string `json:"term"` // from the controlled list of package condition
	Severity int    `json:"severity" jsonschema:"minimum=0,maximum=4"`
	// Extent is the share of the part that is affected, 0–1; 0 means not stated.
	Extent float64 `json:"extent,omitempty"`
	Where  string  `json:"where,omitempty"` // "at 4", "lower left lug"
	// Plots are the hours of the luminous plots that are affected, 1–12.
	Plots []int  `json:"plots,omitempty"`
	Note  string `json:"note,omitempty" typed:"text"`
	Photo ID     `json:"photo,omitempty"`
	// At and RadiusPx place the finding on the photo: a circle in pixels from the top
	// left of the upright picture. A radius of 0 means not placed.
	At       [2]float64 `json:"at,omitzero"`
	RadiusPx float64    `json:"radius_px,omitempty"`
}

// Kind implements Data.
func (*Finding) Kind() Kind { return KindFinding }

// Check implements Data.
func (f *Finding) Check() (p Problems) {
	checkSlot(&p, f.Slot, true)
	p.need("term", f.Term, "a term of the controlled list, such as scratches")
	p.within("severity", float64(f.Severity), 0, 4, "")
	p.within("extent", f.Extent, 0, 1, "")
	for _, h := range f.Plots {
		p.within("plots", float64(h), 1, 12, "the hour of a plot")
	}
	p.within("radius_px", f.RadiusPx, 0, 1e5, "pixels")
	if f.RadiusPx > 0 && f.Photo == "" {
		p.add("photo", "nothing", "the id of the photo item on which the finding is placed")
	}
	for _, v := range f.At {
		p.within("at", v, 0, 1e5, "pixels")
	}
	return p
}

// PhotoViews lists what a photo can show.
func PhotoViews() []string {
	return []string{"dial", "front", "back", "case_back_inside", "crown_side", "off_side", "lugs", "movement",
		"bracelet", "clasp", "end_pieces", "papers", "box", "detail"}
}

// Photo is a picture kept by the SHA-256 of its bytes.
type Photo struct {
	Blob      string    `json:"blob"` // sha256 in hex; or, in a plain file, a file name beside it
	View      string    `json:"view"`
	Taken     edtf.Date `json:"taken,omitzero"`
	MMPerPx   float64   `json:"mm_per_px,omitempty"`
	WidthPx   int       `json:"width_px,omitempty"`
	HeightPx  int       `json:"height_px,omitempty"`
	MediaType string    `json:"media_type,omitempty"`
	Caption   string    `json:"caption,omitempty" typed:"text"`
}

// Kind implements Data.
func (*Photo) Kind() Kind { return KindPhoto }

// Check implements Data.
func (f *Photo) Check() (p Problems) {
	p.need("blob", f.Blob, "the picture's SHA-256 or file name")
	oneOf(&p, "view", f.View, PhotoViews())
	p.within("mm_per_px", f.MMPerPx, 0, 10, "mm")
	p.within("width_px", float64(f.WidthPx), 0, 1e6, "pixels")
	p.within("height_px", float64(f.HeightPx), 0, 1e6, "pixels")
	return p
}

func (f *Photo) dates() []namedDate { return []namedDate{{"taken", f.Taken}} }

// Comparison says how a slot of this watch stands beside that of another watch.
type Comparison struct {
	Slot   Slot   `json:"slot,omitempty"`  // none for the whole watch
	Other  string `json:"other"`           // the id of the other watch, or of an example seen elsewhere
	Named  string `json:"named,omitempty"` // the other one in words, as it was called then
	Result string `json:"result" jsonschema:"enum=better,enum=same,enum=worse"`
	Note   string `json:"note,omitempty" typed:"text"`
}

// Kind implements Data.
func (*Comparison) Kind() Kind { return KindComparison }

// Check implements Data.
func (c *Comparison) Check() (p Problems) {
	checkSlot(&p, c.Slot, false)
	p.need("other", c.Other, "the id of the other watch")
	oneOf(&p, "result", c.Result, []string{"better", "same", "worse"})
	return p
}

func checkSlot(p *Problems, s Slot, needed bool) {
	if s == "" && !needed {
		return
	}
	oneOf(p, "slot", s, Slots())
}

// dated is data that carries dates of its own.
type dated interface{ dates() []namedDate }

type namedDate struct {
	field string
	date  edtf.Date
}
