package pictures

import (
	"fmt"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/frame"
	assets "midcase/web"
)

// Data is the page on which pictures are dropped.
type Data struct {
	Frame   frame.Data
	Problem string
	Open    string // the sheet that the person has open
	Waiting int    // pictures on it
}

// Sheet is the contact sheet of the pictures that were dropped.
type Sheet struct {
	Frame  frame.Data
	Token  string
	Groups []Group
	Own    int // pictures of the shop's own from which views were learned; 0 for the drawn ones
	Broken []string
	Stock  []shop.Watch // offered while typing
	Wrong  int          // how many groups something is wrong with

	Here, Waiting int // pictures on this page, and on the whole sheet
}

// Group is the pictures of one watch.
type Group struct {
	N       int // from 1
	When    string
	Watch   string // as typed: a file number, or maker and reference
	Problem string
	Shots   []Shot
}

// Shot is a picture with what is proposed of it.
type Shot struct {
	N      int // its place among the pictures dropped
	Name   string
	View   string
	Sure   float64
	Same   string // what it repeats
	Keep   bool
	Chosen bool // the view was chosen by a person
}

// Done is what was kept.
type Done struct {
	Frame   frame.Data
	Files   []Kept
	Token   string
	Waiting int // pictures that are still to be sorted
}

// shownBroken is how many files that could not be read a sheet names.
const shownBroken = 40

// Kept is how many pictures a watch got.
type Kept struct {
	Watch   shop.Watch
	New     bool
	Added   int
	Already int
}

func views() []string { return evidence.PhotoViews() }

func viewName(v string) string { return strings.ReplaceAll(v, "_", " ") }

func percent(f float64) string { return fmt.Sprintf("%.0f %%", 100*f) }

// digit is the key that chooses a view.
func digit(i int) string { return "1234567890qwer"[i : i+1] }

func script() (string, bool) {
	return "/assets/pictures.js?v=" + assets.Version(), assets.Built("pictures.js")
}
