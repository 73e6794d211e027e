package origin

import "midcase/edtf"

// Unknown is the value of Slot.Seen for a part that was looked at and is in no
// entry of the book. It is no valid variant id.
const Unknown = "unknown"

// Subject is all that bears on the origin of one watch of known reference.
type Subject struct {
	Span    Span     // production span of the reference
	Serials []Serial // numbers read, each with its curve
	Stamps  []Stamp  // date stamps on parts
	Papers  []Papers // papers dated when the watch was sold
	Stated  []Stated // archive extracts: the maker's own record
	Slots   []Slot   // parts, looked at or not
	// Delivered is where the watch may have been delivered when new, with the chance of
	// each place by the documents; what is missing to 1 is the chance of any other
	// place. It matters where windows hold for some markets only.
	Delivered []Delivery
}

// Delivery is a place of delivery.
type Delivery struct {
	Market string  // as in Window.Markets
	P      float64 // 0–1
}

// Span is the production span of a reference, both months included.
type Span struct {
	First, Last edtf.Month
	SoftMonths  float64 // scale of the logistic edges, months, 0–240; 0 means hard edges
}

// Serial is one number that was read.
type Serial struct {
	ID     string // evidence id
	Number int64  // 1 or more
	Curve  *Curve // which months the numbers belong to
	// ScatterMonths is the scale, 0 or more, of how far the making of a watch strays
	// from the curve.
	ScatterMonths float64
	// DegreesOfFreedom of the Student t, above 0; 0 means 4.
	DegreesOfFreedom float64
	// OutlierShare, 0–1, is the share of numbers that follow no curve: reused, out of
	// order, from another series.
	OutlierShare float64
	// Confidence, 0–1, that the number was read right; 0 means not stated and counts
	// as 1.
	Confidence float64
	// Readings, where there are any, stand in place of Number, Curve, ScatterMonths and
	// DegreesOfFreedom: what the number may be, of which one is true. A number that two
	// runs claim has a reading for each; one with figures that cannot be read has ranges.
	Readings []Reading
	// Slot is the slot of the part that carries the number, as in Stamp.
	Slot string
}

// Reading is one thing that a number may be: any number from First to Last, each as
// likely, of one run.
type Reading struct {
	First, Last      int64 // 1 or more
	Curve            *Curve
	ScatterMonths    float64 // as in Serial
	DegreesOfFreedom float64
	Weight           float64 // beside the other readings; 0 means 1
}

// Stamp is a date on a part, which was made before the watch was finished.
type Stamp struct {
	ID           string
	First, Last  edtf.Month // the period that the stamp means, both months included
	LagMonths    float64    // mean time from stamp to finished watch, 0 or more
	OutlierShare float64    // 0–1, share of stamps that say nothing
	Confidence   float64    // 0–1 that it was read right; 0 means not stated and counts as 1
	// Slot is the slot of the part. If Subject.Slots lists it, the stamp tells about
	// the watch only as far as the part is original. Otherwise the part is taken to
	// be original.
	Slot string
}

// Papers are dated when the watch was sold, so the watch was made before. First 0
// means an open beginning. Several papers speak of one first sale: the earliest right
// one dates it, later ones were written at or after it.
type Papers struct {
	ID           string
	First, Last  edtf.Month // the date on the papers, both months included
	LagMonths    float64    // mean time from finished watch to sale, 0 or more
	OutlierShare float64    // 0–1, share of papers that belong to another watch or are misdated
}

// Stated is the maker's own record of when the watch was made.
type Stated struct {
	ID           string
	First, Last  edtf.Month // both months included
	OutlierShare float64    // 0–1, share of records that are wrong
}

// Window is a time in which the factory fitted a variant. First or Last 0 means
// open on that side.
type Window struct {
	First, Last edtf.Month
	SoftMonths  float64 // scale of the logistic edges, months; 0 means hard edges
	Share       float64 // weight beside the other variants; 0 means 1
	// Markets are the places of delivery for which the window holds; empty means all.
	Markets []string
}

// Variant is one known version of a part. A variant that is no service part and
// has no window is taken to be fitted at any time.
type Variant struct {
	ID      string
	Windows []Window
	// Service marks a part made for repairs. It was supplied from ServiceFirst to
	// ServiceLast; 0 means open on that side.
	Service                   bool
	ServiceFirst, ServiceLast edtf.Month
}

// Slot is a place on the watch that holds a part.
type Slot struct {
	Name     string
	Replaced float64 // chance, 0–1, that this part of a watch in the trade is not the first one
	Variants []Variant
	// Seen is the id of the variant seen, Unknown for a part that the book does not
	// have, or "" where nobody has looked.
	Seen       string
	Confidence float64 // 0–1 that the variant was named right; 0 means not stated and counts as 1
	ID         string  // evidence id of what was seen
	// Recorded says that somebody wrote down that the part was replaced; nil where
	// nobody did.
	Recorded *Replacement
}

// Replacement is a record, such as a service bill, that a part was replaced.
type Replacement struct {
	// Right, 0–1, is how likely the record is right and the old part never came back.
	Right float64
	// Variant is the id of the variant that was put in; "" where the record does not
	// say.
	Variant string
}
