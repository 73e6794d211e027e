package document

import (
	"time"

	"midcase/evidence"
	"midcase/opinion"
)

// Report is everything that a document prints.
type Report struct {
	Opinion opinion.Opinion
	Items   []evidence.Item // in force, latest first; numbered in this order
	Photos  []Photo         // a front or dial view becomes the main picture, else the first
	Traces  []Trace         // recordings of the tick as read, latest first; the latest is drawn
	Number  string          // the shop's file number
	Paper   string          // the number of this paper, where it has one
	Shop    Shop

	Issued     time.Time // the day on the paper
	ValidUntil time.Time // the zero time means that the paper states no end

	Purpose      string // what the report is for, such as "private sale"
	IntendedUser string // who may rely on it
	LogHead      string // optional signed head of the evidence log, printed small
	Code         string // what the square code on the front says, by which the paper is checked; empty for none

	// Assigned is what a valuation is made for; nil leaves a sheet of figures that is no valuation.
	Assigned *Assignment

	// Language is one of say.Languages; empty for English, in which the shop's own copy always is. Free words stay as
	// they were typed.
	Language string

	// Annex adds the grounds of every figure: all items of evidence, the adjustments of each
	// comparable, the rules of the book. Without it the report has at most six pages.
	Annex bool

	// ForShop marks the shop's own copy: it also prints what to pay, what the
	// seller asks and what work cost. Never hand that copy to a buyer.
	ForShop bool
}

// Shop is who issues the document.
type Shop struct {
	Name     string
	Lines    []string // address, telephone, web: one line each
	SignedBy string   // the person who signs
}

// Photo is one picture as it came: JPEG, PNG, WebP, AVIF or HEIC. It is turned upright;
// what the file says about camera and place is not carried into the document.
type Photo struct {
	Evidence evidence.ID
	View     string // one of evidence.PhotoViews
	Caption  string
	Data     []byte
}
