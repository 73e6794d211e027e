package refbook

import (
	"midcase/edtf"
	"midcase/evidence"
)

// SchemaVersion is the version of the YAML form.
const SchemaVersion = 1

// Book is the whole reference book, one entry a maker, ordered by maker id.
type Book struct {
	Makers []Maker

	makers map[string]int // folded id, name or alias → place
}

// Maker is one file of the book.
type Maker struct {
	Schema     int         `yaml:"schema"`
	ID         string      `yaml:"id"`
	Name       string      `yaml:"name"`
	Aliases    []string    `yaml:"aliases,omitempty"`
	Country    string      `yaml:"country,omitempty"` // ISO 3166-1 alpha-2
	Note       string      `yaml:"note,omitempty"`
	Serials    []Serial    `yaml:"serials,omitempty"`
	Stamps     []Stamp     `yaml:"stamps,omitempty"`
	Metals     []Metal     `yaml:"metals,omitempty"`
	Calibres   []Calibre   `yaml:"calibres,omitempty"`
	Families   []Family    `yaml:"families,omitempty"`
	Bracelets  []Bracelet  `yaml:"bracelets,omitempty"`
	EndPieces  []EndPiece  `yaml:"end_pieces,omitempty"`
	References []Reference `yaml:"references,omitempty"`

	index *makerIndex // nil where the maker did not come through Load or New
}

// Serial is one run of numbers with the months in which they were used.
type Serial struct {
	ID      string   `yaml:"id"`
	Mark    string   `yaml:"mark"` // serial or movement_number
	Anchors []Anchor `yaml:"anchors"`
	// ScatterMonths is the scale of how far a watch's completion strays from the
	// curve; DegreesOfFreedom and OutlierShare shape its tails.
	ScatterMonths    float64 `yaml:"scatter_months"`
	DegreesOfFreedom float64 `yaml:"degrees_of_freedom,omitempty"` // 0 means 4
	OutlierShare     float64 `yaml:"outlier_share,omitempty"`      // 0 means 0.02
	Source           string  `yaml:"source,omitempty"`
}

// Anchor is one known pair of number and month.
type Anchor struct {
	Number int64      `yaml:"number"`
	Month  edtf.Month `yaml:"month"`
	Source string     `yaml:"source,omitempty"`
}

// Stamp is a scheme by which a part carries its date.
type Stamp struct {
	ID   string        `yaml:"id"`
	Slot evidence.Slot `yaml:"slot"`
	// Form tells how to read the stamp: "quarter-year" (III 62), "letter-year" (C7,
	// by Letters), "year-month" (68-05), or "table" (by Codes).
	Form    string            `yaml:"form"`
	Letters map[string]int    `yaml:"letters,omitempty"` // letter → year
	Codes   map[string]string `yaml:"codes,omitempty"`   // code → EDTF period
	Used    edtf.Date         `yaml:"used,omitempty"`    // when the scheme was in use, EDTF interval
	// LagMonths is the mean time from the stamp to the finished watch.
	LagMonths float64 `yaml:"lag_months"`
	Source    string  `yaml:"source,omitempty"`
}

// Metal is what a case or bracelet is made of.
type Metal struct {
	ID       string `yaml:"id"` // steel, gold18, gold14, two_tone, …
	Name     string `yaml:"name"`
	Fineness int    `yaml:"fineness,omitempty"` // ‰ of precious metal; 0 for base metal
	Element  string `yaml:"element,omitempty"`  // gold, silver, platinum
	Colour   string `yaml:"colour,omitempty"`   // yellow, white, rose
}

// Calibre is a movement type.
type Calibre struct {
	ID           string    `yaml:"id"`
	Name         string    `yaml:"name,omitempty"`
	BeatsPerHour int       `yaml:"beats_per_hour"`
	LiftAngleDeg float64   `yaml:"lift_angle_deg,omitempty"`
	Jewels       int       `yaml:"jewels,omitempty"`
	Winding      string    `yaml:"winding,omitempty"` // hand, automatic
	Complication string    `yaml:"complication,omitempty"`
	Made         edtf.Date `yaml:"made,omitempty"`
	Source       string    `yaml:"source,omitempty"`
}

// Family groups references that a buyer sees as one line.
type Family struct {
	ID   string `yaml:"id"`
	Name string `yaml:"name"`
	Kind string `yaml:"kind"` // diver, chronograph, dress, time_only, …
	Note string `yaml:"note,omitempty"`
}

// Reference is one of a maker's model numbers.
type Reference struct {
	ID         string            `yaml:"id"` // the number as people write it
	Family     string            `yaml:"family"`
	Name       string            `yaml:"name,omitempty"`
	Made       edtf.Date         `yaml:"made"` // production span, EDTF interval of months or years
	Metal      string            `yaml:"metal"`
	Markets    []string          `yaml:"markets,omitempty"` // ISO 3166-1, where the reference was sold only there
	Calibres   []string          `yaml:"calibres"`
	Serial     []string          `yaml:"serial"` // serial ids that apply
	Dimensions []Dimension       `yaml:"dimensions,omitempty"`
	Weights    []Weight          `yaml:"weights,omitempty"`
	Slots      []Slot            `yaml:"slots,omitempty"`
	Bracelets  []string          `yaml:"bracelets,omitempty"` // bracelets it was delivered on
	Strap      bool              `yaml:"strap,omitempty"`     // also delivered on a strap
	Rules      []Rule            `yaml:"rules,omitempty"`
	Features   map[string]string `yaml:"features,omitempty"` // what a buyer sees: bezel, crystal, date, lume …
	Note       string            `yaml:"note,omitempty"`
	Source     string            `yaml:"source,omitempty"`
}

// Dimension is a nominal size with its tolerance when new.
type Dimension struct {
	What        string  `yaml:"what"` // as evidence.DimensionKinds
	MM          float64 `yaml:"mm"`
	ToleranceMM float64 `yaml:"tolerance_mm,omitempty"` // 0 means 0.1
	// SpokenMM is the size by which people name it, where that differs.
	SpokenMM float64 `yaml:"spoken_mm,omitempty"`
	Source   string  `yaml:"source,omitempty"`
}

// Weight is the nominal mass of one part, for the weight of its metal.
type Weight struct {
	Part       string  `yaml:"part"` // a slot, or "watch", "head"
	G          float64 `yaml:"g"`
	ToleranceG float64 `yaml:"tolerance_g,omitempty"`
	Metal      string  `yaml:"metal,omitempty"` // where it differs from the reference's
	// FineShare is the share of the part's mass that is of its metal (springs, pins
	// and the like are not); 0 means 1.
	FineShare float64 `yaml:"fine_share,omitempty"`
}

// Slot lists what the factory put in one slot of a reference, and what came later.
type Slot struct {
	Slot evidence.Slot `yaml:"slot"`
	// Replaced is the chance, 0–1, that this part of a watch in the trade is not the
	// one that it left the factory with.
	Replaced float64   `yaml:"replaced"`
	Variants []Variant `yaml:"variants"`
	// Source is where the chance of replacement comes from.
	Source string `yaml:"source,omitempty"`
}

// Variant is one known version of a part.
type Variant struct {
	ID   string `yaml:"id"`
	Name string `yaml:"name"`
	Look string `yaml:"look,omitempty"` // how to recognise it
	// Windows says when the factory fitted it. More than one, or one with a share,
	// says that it was fitted beside others, such as an old pattern that one works
	// went on delivering.
	Windows []Window `yaml:"windows,omitempty"`
	// Service marks a part made for repairs, in no window of production.
	Service  bool              `yaml:"service,omitempty"`
	Supplied edtf.Date         `yaml:"supplied,omitempty"` // when the service part was supplied
	Metal    string            `yaml:"metal,omitempty"`
	Stamp    string            `yaml:"stamp,omitempty"`   // stamp scheme that it carries
	Lume     string            `yaml:"lume,omitempty"`    // none, radium, tritium, promethium, later
	Markers  []int             `yaml:"markers,omitempty"` // hours at which an applied marker stands beside the plot
	Premium  string            `yaml:"premium,omitempty"` // what the market calls it in the dial column of sales
	Traits   map[string]string `yaml:"traits,omitempty"`
	Source   string            `yaml:"source,omitempty"`
}

// Window is a time in which a variant was fitted.
type Window struct {
	Made edtf.Date `yaml:"made"` // EDTF interval of months or years
	// SoftMonths is how gradually it came and went; 0 means 4.
	SoftMonths float64 `yaml:"soft_months,omitempty"`
	// Share is the weight of this variant beside the others in this window; 0 means 1.
	Share float64 `yaml:"share,omitempty"`
	Works string  `yaml:"works,omitempty"` // the factory or supplier, where it matters
	// Markets, ISO 3166-1, are where the watches so fitted were delivered; empty means
	// everywhere.
	Markets []string `yaml:"markets,omitempty"`
	Note    string   `yaml:"note,omitempty"`
}

// Bracelet is a bracelet by its number.
type Bracelet struct {
	ID        string    `yaml:"id"`
	Name      string    `yaml:"name,omitempty"`
	Metal     string    `yaml:"metal"`
	WidthMM   float64   `yaml:"width_mm"` // at the lugs
	ClaspMM   float64   `yaml:"clasp_mm"` // at the clasp: the taper's end
	Made      edtf.Date `yaml:"made,omitempty"`
	EndPieces []string  `yaml:"end_pieces,omitempty"` // end pieces that fit it
	WeightG   float64   `yaml:"weight_g,omitempty"`
	Links     int       `yaml:"links,omitempty"`
	PitchMM   float64   `yaml:"pitch_mm,omitempty"` // unworn length per link
	Build     string    `yaml:"build,omitempty"`    // riveted, folded, solid, …
	Source    string    `yaml:"source,omitempty"`
}

// EndPiece joins a bracelet to a case.
type EndPiece struct {
	ID         string   `yaml:"id"`
	LugWidthMM float64  `yaml:"lug_width_mm"`
	Fits       []string `yaml:"fits"` // references whose case it fits
	Metal      string   `yaml:"metal,omitempty"`
	Source     string   `yaml:"source,omitempty"`
}

// Rule is something that holds for every watch of the reference that is right.
type Rule struct {
	ID    string        `yaml:"id"`
	Says  string        `yaml:"says"` // in words, for the report
	Slot  evidence.Slot `yaml:"slot,omitempty"`
	Never []string      `yaml:"never,omitempty"` // variants, calibres or bracelets that never belong
	Only  []string      `yaml:"only,omitempty"`  // the only ones that do
	With  *With         `yaml:"with,omitempty"`  // variants that must go together
	// Markets, ISO 3166-1, are where the rule holds; empty means everywhere.
	Markets []string `yaml:"markets,omitempty"`
	Source  string   `yaml:"source,omitempty"`
}

// With says that a variant in the rule's slot demands one of some variants in
// another slot.
type With struct {
	Variant string        `yaml:"variant"`
	Slot    evidence.Slot `yaml:"slot"`
	OneOf   []string      `yaml:"one_of"`
}
