package demo

import (
	"strings"

	"midcase/evidence"
	"midcase/internal/demo/draw"
)

// look says how a specimen looks, for drawing.
func (x *specimen) look(seed uint64) draw.Watch {
	w := draw.Watch{MidCaseMM: x.nominal("mid_case_diameter") - x.lossMM, LugWidthMM: x.nominal("lug_width"),
		LugToLugMM: x.nominal("lug_to_lug"),
		BezelMM:    x.nominal("bezel_diameter"), CrownMM: x.nominal("crown_diameter"),
		ThicknessMM: x.nominal("thickness"),
		Metal:       x.ref.Metal, Kind: x.kind(), Crystal: "acrylic", Scratches: float64(x.plan.wear) / 3,
		Polish: min(1, x.lossMM/0.45), Seed: seed}
	if x.ref.Metal == "gold_filled" {
		w.Metal = "gold14"
	}
	w.SecondCrown = strings.HasSuffix(x.ref.Features["crown"], "a second one at two")
	w.DateWindow = strings.HasPrefix(x.ref.Features["date"], "at")
	x.lookDial(&w)
	x.lookPlots(&w, newStream(seed, "plots"))
	x.lookHands(&w)
	x.lookBezel(&w)
	x.lookBand(&w)
	x.lookBack(&w)
	return w
}

func (x *specimen) kind() string {
	f, ok := x.maker.Family(x.ref.Family)
	if !ok {
		return "time_only"
	}
	return f.Kind
}

// grounds are the colours and finishes of dials.
var grounds = map[string][2]string{"silver": {"silver", "sunray"}, "black": {"black", "matt"},
	"gilt": {"black", "gilt"}, "reverse": {"black", "matt"},
	"contrast": {"silver", "matt"}, "linen": {"silver", "matt"}, "salmon": {"#c9957a", "matt"},
	"cream": {"cream", "cream"}, "blue": {"blue", "sunray"}, "white": {"white", "matt"}}

// smallDials are the colours of small dials that differ from the dial.
var smallDials = map[string]string{"contrast": "black", "reverse": "silver"}

// footings are what stands along the edge at six, by the maker's country.
var footings = map[string]string{"CH": "SWISS", "FR": "FRANCE", "SE": "SWEDEN", "GB": "ENGLAND"}

func (x *specimen) lookDial(w *draw.Watch) {
	ground := "silver"
	if p := x.parts[evidence.Dial]; p != nil && p.variant != nil {
		ground = p.variant.Traits["ground"]
		if strings.HasPrefix(p.id, "dial-2") || strings.HasPrefix(p.id, "dial-3") {
			w.DialVariant = "railway"
		}
		if ground == "linen" {
			w.DialVariant = "crosshair"
		}
	}
	g := grounds[ground]
	w.DialColour, w.DialFinish = g[0], g[1]
	f, _ := x.maker.Family(x.ref.Family)
	w.Print = draw.Print{Maker: x.maker.Name, Model: f.Name, Foot: footings[x.maker.Country],
		Face: map[string]string{"dress": "italic", "diver": "sans"}[w.Kind]}
	if c, ok := x.maker.Calibre(x.parts[evidence.Movement].id); ok && c.Winding == "automatic" {
		w.Print.Lower = []string{"AUTOMATIC"}
	}
	switch {
	case strings.HasPrefix(x.ref.Features["counters"], "two"):
		w.Registers = 2
	case strings.HasPrefix(x.ref.Features["seconds"], "small"):
		w.Registers = 1
	}
	if moon := x.ref.Features["moon"]; moon != "" {
		w.Moon = "days"
		if strings.HasPrefix(moon, "quarters") {
			w.Moon = "quarters"
		}
	}
	w.Reserve = x.ref.Features["reserve"] != ""
	w.SmallDials = smallDials[ground]
	for _, f := range x.faults[evidence.Dial] {
		s := float64(f.severity)
		switch f.term {
		case "patina":
			w.Ageing.Patina = 0.25 * s
		case "faded":
			w.Ageing.Fade = 0.25 * s
		case "spotting":
			w.Ageing.Spots = int(12 * s)
		case "moisture":
			w.Ageing.Spots, w.Ageing.Patina = 40, 0.6
		}
	}
	if x.refin {
		w.Ageing = draw.Ageing{}
		w.Print.Face = "sans" // the reprint used another lettering
	}
}

// plotColour is how a luminous compound looks today, in CIELAB.
var plotColour = map[string]draw.Lab{"radium": {62, 9, 33}, "tritium": {78, 4, 26}, "promethium": {80, 1, 15}}

// lookPlots colours the plots; those without an applied marker beside them have aged
// a little more. A relumed dial has fresh plots at the quarters.
func (x *specimen) lookPlots(w *draw.Watch, s stream) {
	p := x.parts[evidence.Dial]
	if !x.lumed() {
		w.PlotStyle = "none"
		return
	}
	marked := map[int]bool{}
	for _, h := range p.variant.Markers {
		marked[h%12] = true
	}
	base := plotColour[p.variant.Lume]
	for i := range w.Plots {
		lab := base
		lab[0] += 1.2 * s.NormFloat64()
		lab[1] += 0.4 * s.NormFloat64()
		lab[2] += 1.0 * s.NormFloat64()
		if len(marked) > 0 && !marked[i] {
			lab[0] -= 3
			lab[2] += 2
		}
		w.Plots[i] = draw.Plot{Lab: lab, Marker: marked[i], Texture: 1.5}
		if x.relumed && i%3 == 0 {
			w.Plots[i] = draw.Plot{Lab: draw.Lab{89 + s.NormFloat64(), -3, 17 + s.NormFloat64()},
				Marker: marked[i], Texture: 0.4}
		}
	}
	hours := map[string]int{"at 3": 3, "at 5": 5, "at 6": 6, "at 9": 9}
	for _, f := range x.faults[evidence.Dial] {
		if h, ok := hours[f.where]; ok && f.term == "lume_loss" {
			w.Plots[h].Damage = 0.35 * float64(f.severity)
		}
	}
	if w.Registers > 1 {
		w.Plots[3].Absent, w.Plots[9].Absent = true, true
	}
}

// handStyles are the drawn shapes of the book's hands, by the end of the variant's id.
var handStyles = map[string]string{"pencil": "pencil", "baton": "baton", "sword": "sword", "leaf": "leaf",
	"dauphine": "dauphine", "stick": "baton", "lance": "alpha", "paddle": "sword"}

func (x *specimen) lookHands(w *draw.Watch) {
	p := x.parts[evidence.Hands]
	if p == nil {
		return
	}
	id := p.id[strings.LastIndexByte(p.id, '-')+1:]
	w.Hands.Style = handStyles[id]
	if x.lumed() {
		lab := plotColour["tritium"]
		if p.variant != nil {
			if c, ok := plotColour[p.variant.Lume]; ok {
				lab = c
			}
		}
		if x.relumed {
			lab = draw.Lab{89, -3, 17}
		}
		w.Hands.Lume = &lab
	}
}

func (x *specimen) lookBezel(w *draw.Watch) {
	about := x.ref.Features["bezel"]
	switch {
	case w.Kind == "diver":
		w.Bezel = "dive"
		w.TwiceThirty = strings.Contains(about, "twice thirty")
		if strings.Contains(about, "under the crystal") {
			w.Bezel = "ring"
		}
	default:
		w.Bezel = "plain"
	}
	if w.Kind == "chronograph" {
		w.Pushers = "pump"
	}
	for _, f := range x.faults[evidence.Bezel] {
		if f.term == "faded" {
			w.InsertFade = 0.3 * float64(f.severity)
		}
	}
}

// builds are the drawn kinds of bracelets.
var builds = map[string]string{"hollow": "hollow", "folded": "folded", "solid": "solid", "woven": "folded",
	"expanding": "folded"}

func (x *specimen) lookBand(w *draw.Watch) {
	w.Band = draw.Band{Kind: "strap", Colour: "brown"}
	p := x.parts[evidence.Bracelet]
	if p == nil {
		return
	}
	b, ok := x.maker.Bracelet(p.id)
	if !ok {
		return
	}
	w.Band = draw.Band{Kind: builds[b.Build], TaperMM: b.ClaspMM, PitchMM: b.PitchMM, LengthLinks: b.Links}
	for _, f := range x.faults[evidence.Bracelet] {
		if f.term == "stretch" {
			w.Band.StretchMM = 0.08 * float64(f.severity)
			w.Band.DroopMM = 8 * float64(f.severity)
		}
	}
}

func (x *specimen) lookBack(w *draw.Watch) {
	w.Back = draw.Back{Lines: []string{strings.ToUpper(x.maker.Name), x.ref.ID}, Serial: serialText(x.serial),
		Screwed: w.Kind == "diver" || w.Kind == "chronograph",
		Screws:  strings.Contains(x.ref.Features["case_back"], "screws")}
	if m := fineness(x.ref.Metal); m != "" {
		w.Back.Marks = []string{m}
	}
	p := x.parts[evidence.Movement]
	if c, ok := x.maker.Calibre(p.id); ok {
		w.Calibre = draw.Calibre{Rotor: c.Winding == "automatic",
			Chrono: strings.HasPrefix(c.Complication, "chronograph"), Name: c.ID, Gilt: x.made.Year() < 1955}
	}
}
