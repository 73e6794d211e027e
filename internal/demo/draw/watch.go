package draw

// Watch is what to draw. Sizes are in mm; a size of 0 takes the usual one for
// the kind. The zero Watch draws a plain steel three-hand watch.
type Watch struct {
	MidCaseMM    float64 // case without crown, guards or lugs
	LugWidthMM   float64 // between the lugs
	LugToLugMM   float64 // tip to tip
	BezelMM      float64 // outer diameter of the bezel
	DialMM       float64 // diameter of dial to be seen
	CrownMM      float64 // diameter of the crown
	ThicknessMM  float64
	Metal        string // steel, gold14, gold18, rose, two_tone
	Kind         string // time_only, diver, chronograph, dress, moon_age
	DialColour   string // black, blue, silver, cream, white, grey, green, brown, or #rrggbb; "" by the finish
	DialFinish   string // matt, gilt, sunray, cream
	DialVariant  string // another lay-out of the same dial: "", railway, crosshair, sector
	Print        Print
	Registers    int    // 0, 2 or 3 small dials of a chronograph; 1 is small seconds at 6
	SmallDials   string // colour of the small dials; "" is that of the dial
	Moon         string // scale of a moon dial at 6: "", days, quarters
	Reserve      bool   // an arc at 9 shows how long the watch will run on
	DateWindow   bool
	Plots        [12]Plot // the luminous plots by hour: index 0 is 12, 1 is 1 and so on
	PlotStyle    string   // round, bar, square, none; "" by the kind
	Hands        Hands
	Bezel        string // plain, fluted, dive, tachy, ring: a turning ring under the crystal
	TwiceThirty  bool   // a dive or ring scale counts thirty minutes twice
	InsertColour string // of a dive or tachy bezel; "" is black
	InsertFade   float64
	Crystal      string // acrylic, flat
	CrownStyle   string // coin, fine, onion
	Guards       bool   // shoulders beside the crown
	SecondCrown  bool   // at 2, turns the ring under the crystal
	Pushers      string // "", pump, screwed: of a chronograph
	Ageing       Ageing
	Scratches    float64 // 0 to 1
	Polish       float64 // 0 sharp edges and wide bevels, 1 soft and worn
	Band         Band
	Back         Back
	Calibre      Calibre
	Papers       Papers
	Seed         uint64

	bandAlone bool // no case lies over the end piece
}

// Papers is the sheet that came with the watch.
type Papers struct {
	Title  string      // "" for Certificate of origin
	Fields [][2]string // label and what is written in
	Stamp  []string    // lines of the round shop stamp, invented
	Worn   float64     // 0 to 1: creases and yellowing
}

// Print is the lettering of a dial.
type Print struct {
	Maker  string   // an invented name
	Model  string   // a line under it
	Lower  []string // lines above 6
	Foot   string   // along the edge at 6
	Colour string   // white, gilt, black, silver, red, or #rrggbb; "" by the dial
	Face   string   // lettering of the maker's name: serif, italic, sans
}

// Plot is the luminous plot at one hour.
type Plot struct {
	Absent  bool
	Lab     Lab     // its true colour in CIELAB (D65); all zero takes a warm cream
	Marker  bool    // an applied metal marker stands beside it
	Damage  float64 // 0 to 1: share of the plot that is chipped away
	Texture float64 // grain in L*, standard deviation; 0 takes 1.0
}

// Hands describes the hands.
type Hands struct {
	Style     string  // baton, dauphine, leaf, alpha, sword, pencil
	Metal     string  // steel, gold, black, white
	Lume      *Lab    // luminous filling, nil for none
	HourMM    float64 // length from the middle, 0 by the dial
	MinuteMM  float64
	SecondsMM float64 // below 0 for none
	Hour      float64 // time shown, in hours; 0 shows 10.125
	Seconds   float64 // of the seconds hand; 0 shows 37
}

// Ageing is what time did to the dial.
type Ageing struct {
	Fade       float64 // 0 to 1, paler or browner from the edge to the middle
	FadeColour string  // "" is brown
	Spots      int
	Cracks     float64 // 0 to 1 spider cracks in the lacquer
	Patina     float64 // 0 to 1 unevenness of tone
}

// Band is the bracelet or strap.
type Band struct {
	Kind        string   // riveted, hollow, folded, solid, strap, none; "" is strap
	TaperMM     float64  // width at the clasp, 0 for 4 mm less than the lug width
	Colour      string   // of a strap: brown, black, tan, grey
	PitchMM     float64  // length of a link, 0 for 6.8
	StretchMM   float64  // play per link
	LengthLinks int      // 0 for 12
	DroopMM     float64  // droop of the free end when held out level by the case side
	Stamps      []string // stamped inside the clasp, one a line: maker, reference, date stamp
}

// Back is the case back.
type Back struct {
	Lines   []string // engraved inside or outside, invented
	Serial  string   // between the lugs or on the back
	Marks   []string // fineness marks such as 750
	Screwed bool     // notches for a key
	Screws  bool     // four screws hold it
}

// Calibre is the movement, drawn in a style of our own.
type Calibre struct {
	DiameterMM float64 // 0 for 0.75 of the mid-case
	Rotor      bool
	Chrono     bool
	Name       string // invented
	Gilt       bool
}

var kindDefaults = map[string]Watch{
	"time_only": {MidCaseMM: 35, LugWidthMM: 18, ThicknessMM: 10.5, CrownMM: 5.4, Bezel: "plain",
		PlotStyle: "square"},
	"diver": {MidCaseMM: 39, LugWidthMM: 20, ThicknessMM: 13, CrownMM: 6.6, Bezel: "dive", PlotStyle: "round"},
	"chronograph": {MidCaseMM: 36.5, LugWidthMM: 19, ThicknessMM: 13, CrownMM: 6, Bezel: "plain", PlotStyle: "square",
		Pushers: "pump"},
	"moon_age": {MidCaseMM: 34, LugWidthMM: 19, ThicknessMM: 12, CrownMM: 5.4, Bezel: "plain", PlotStyle: "square"},
	"dress":    {MidCaseMM: 34, LugWidthMM: 18, ThicknessMM: 8.5, CrownMM: 5, Bezel: "plain", PlotStyle: "none"},
}

func orMM(v *float64, d float64) {
	if !(*v > 0) {
		*v = d
	}
}

func orText(v *string, d string) {
	if *v == "" {
		*v = d
	}
}

// complete fills what was left open.
func (w Watch) complete() Watch {
	orText(&w.Kind, "time_only")
	d, ok := kindDefaults[w.Kind]
	if !ok {
		w.Kind, d = "time_only", kindDefaults["time_only"]
	}
	orText(&w.Metal, "steel")
	orText(&w.Bezel, d.Bezel)
	orText(&w.PlotStyle, d.PlotStyle)
	orText(&w.CrownStyle, "coin")
	if w.Kind == "chronograph" {
		orText(&w.Pushers, d.Pushers)
	}
	orMM(&w.MidCaseMM, d.MidCaseMM)
	orMM(&w.LugWidthMM, d.LugWidthMM)
	orMM(&w.ThicknessMM, d.ThicknessMM)
	orMM(&w.CrownMM, d.CrownMM)
	orMM(&w.LugToLugMM, w.MidCaseMM*1.2)
	margin := map[string]float64{"dive": -0.6, "fluted": 0.8, "tachy": 0.8, "ring": -0.6}[w.Bezel]
	if margin == 0 {
		margin = 1.8
	}
	orMM(&w.BezelMM, w.MidCaseMM-margin)
	width := map[string]float64{"dive": 4.6, "tachy": 4.1, "fluted": 2.6, "ring": 4.6}[w.Bezel]
	if width == 0 {
		width = 1.9
	}
	orMM(&w.DialMM, w.BezelMM-2*width)
	w.Band.complete(w)
	w.Hands.complete(w)
	w.completeDial()
	return w
}

func (w *Watch) completeDial() {
	orText(&w.DialFinish, map[string]string{"dress": "sunray"}[w.Kind])
	orText(&w.DialFinish, "matt")
	orText(&w.DialColour, map[string]string{"matt": "black", "gilt": "black", "sunray": "silver",
		"cream": "cream"}[w.DialFinish])
	dark := w.darkDial()
	if w.DialFinish == "gilt" {
		orText(&w.Print.Colour, "gilt")
	}
	orText(&w.Print.Colour, map[bool]string{true: "white", false: "black"}[dark])
	orText(&w.Print.Maker, "Aldermoor")
	for i := range w.Plots {
		p := &w.Plots[i]
		if p.Lab == (Lab{}) {
			p.Lab = Lab{80, 3, 24}
		}
		if !(p.Texture > 0) {
			p.Texture = 1
		}
	}
	if w.Hands.Lume == nil && (w.Kind == "diver") {
		l := w.Plots[0].Lab
		w.Hands.Lume = &l
	}
}

func (b *Band) complete(w Watch) {
	orText(&b.Kind, "strap")
	orMM(&b.TaperMM, w.LugWidthMM-4)
	orMM(&b.PitchMM, 6.8)
	orText(&b.Colour, "brown")
	if b.LengthLinks <= 0 {
		b.LengthLinks = 12
	}
}

func (h *Hands) complete(w Watch) {
	style := map[string]string{"diver": "sword", "dress": "dauphine", "chronograph": "leaf"}[w.Kind]
	orText(&h.Style, style)
	orText(&h.Style, "baton")
	metal := "steel"
	if w.Metal != "steel" || w.DialFinish == "gilt" {
		metal = "gold"
	}
	orText(&h.Metal, metal)
	r := w.DialMM / 2
	orMM(&h.HourMM, 0.55*r)
	orMM(&h.MinuteMM, 0.84*r)
	if h.SecondsMM == 0 {
		h.SecondsMM = 0.88 * r
	}
	if h.Hour == 0 {
		h.Hour = 10.125
	}
	if h.Seconds == 0 {
		h.Seconds = 37
	}
}

var colourNames = map[string]uint32{
	"black": 0x1b1b1c, "blue": 0x1d3358, "silver": 0xcfccc4, "cream": 0xe9dcbf, "white": 0xeeebe4, "grey": 0x6d6e70,
	"green": 0x24402f, "brown": 0x4a2f1f, "gilt": 0xc9a45c, "red": 0xa9302a, "tan": 0xa8743f, "orange": 0xd9742b,
}

func colourOf(name string) rgb {
	if v, ok := colourNames[name]; ok {
		return hex(v)
	}
	var v uint32
	if len(name) == 7 && name[0] == '#' {
		for _, ch := range name[1:] {
			v <<= 4
			switch {
			case ch >= '0' && ch <= '9':
				v |= uint32(ch - '0')
			case ch >= 'a' && ch <= 'f':
				v |= uint32(ch - 'a' + 10)
			case ch >= 'A' && ch <= 'F':
				v |= uint32(ch - 'A' + 10)
			}
		}
		return hex(v)
	}
	return hex(0x808080)
}

func (w Watch) darkDial() bool {
	c := colourOf(w.DialColour)
	return 0.3*c[0]+0.6*c[1]+0.1*c[2] < 0.5
}
