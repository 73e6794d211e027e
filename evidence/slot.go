package evidence

// Slot is a place on a watch that holds a part.
type Slot string

// The slots, from the outside in and then what came with the watch.
const (
	Case      Slot = "case"
	Bezel     Slot = "bezel"
	Crystal   Slot = "crystal"
	Dial      Slot = "dial"
	Hands     Slot = "hands"
	Crown     Slot = "crown"
	Pushers   Slot = "pushers"
	CaseBack  Slot = "case_back"
	Movement  Slot = "movement"
	Bracelet  Slot = "bracelet" // bracelet or strap
	EndPieces Slot = "end_pieces"
	Clasp     Slot = "clasp"
	Box       Slot = "box"
	Papers    Slot = "papers"
)

// Slots lists all slots in reading order.
func Slots() []Slot {
	return []Slot{Case, Bezel, Crystal, Dial, Hands, Crown, Pushers, CaseBack, Movement, Bracelet, EndPieces, Clasp,
		Box, Papers}
}

// Valid reports whether s is one of the slots.
func (s Slot) Valid() bool {
	for _, t := range Slots() {
		if s == t {
			return true
		}
	}
	return false
}

// Name is the slot in words: "case back", "end pieces".
func (s Slot) Name() string {
	switch s {
	case CaseBack:
		return "case back"
	case EndPieces:
		return "end pieces"
	}
	return string(s)
}
