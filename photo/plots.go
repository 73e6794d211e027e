package photo

import (
	"fmt"
	"image"
	"math"
	"slices"

	"midcase/say"
)

// PlotReport is what Plots found.
type PlotReport struct {
	Plots     []PlotFigure    `json:"plots"`
	Hands     []HandFigure    `json:"hands,omitempty"`
	Pattern   Pattern         `json:"pattern"`
	Reasons   []say.Statement `json:"reasons"`
	MedianLab Lab             `json:"median_lab"`
	LightFall float64         `json:"light_fall"` // across the dial, as a share; taken out before odd_p
	GreyCard  bool            `json:"grey_card"`  // colours were corrected by a grey card
	Dial      *DialTone       `json:"dial,omitempty"`
	Found     bool            `json:"found,omitempty"` // by Find, not picked by a person
	Sure      float64         `json:"sure,omitempty"`  // that the dial was found rightly
}

// PlotFigure is one luminous plot.
type PlotFigure struct {
	Hour       int           `json:"hour"`
	Lab        Lab           `json:"lab"`
	SE         float64       `json:"se"` // of the colour, ΔE
	FromMedian float64       `json:"de00_from_median"`
	EvenLight  float64       `json:"de00_in_even_light"` // from the median of its class, the fall of light taken out
	OddP       float64       `json:"odd_p"`              // share of dials ageing alike that have a plot as unlike
	ChanceOdd  float64       `json:"chance_odd"`         // that the plot is odd
	At         Point         `json:"at"`
	RadiusPx   float64       `json:"radius_px"`
	Kept       float64       `json:"kept"`          // share of the inner area of one colour
	Note       say.Statement `json:"note,omitzero"` // why it was left out
	Sure       float64       `json:"sure,omitempty"`
}

// HandFigure is the luminous mass of a hand against the plots.
type HandFigure struct {
	Name      string  `json:"name"`
	Lab       Lab     `json:"lab"`
	FromPlots float64 `json:"de00_from_plots"`
	OddP      float64 `json:"odd_p"`
	ChanceOdd float64 `json:"chance_odd"`
}

// Pattern is how the colours of the plots lie.
type Pattern string

// The patterns.
const (
	EvenAgeing      Pattern = "even ageing"
	UnmarkedWorse   Pattern = "plots without an applied marker aged more"
	UnmarkedBetter  Pattern = "plots without an applied marker aged less"
	OnePlotUnlike   Pattern = "one plot unlike the others"
	SomePlotsUnlike Pattern = "some plots unlike the others"
	HandsUnlike     Pattern = "hands unlike the plots"
	TooFewPlots     Pattern = "too few plots to judge"
	NoPlots         Pattern = "no luminous plots found"
)

const (
	oddBelow    = 0.05 // odd_p below which a plot is called unlike the others
	classBelow  = 0.02 // chance below which classes of plots are called different
	fewestPlots = 5
)

// Plots reads the colour of each luminous plot and judges how the plots agree. The
// dial must be picked; plots are found where none are given. Colours are CIELAB (D65),
// corrected by the grey card where one is picked.
func Plots(img image.Image, picks Picks) (PlotReport, error) {
	l, err := newLight(img)
	if err != nil {
		return PlotReport{}, err
	}
	if err := picks.check(); err != nil {
		return PlotReport{}, err
	}
	f, err := l.newDialFrame(picks.DialPicks, "")
	if err != nil {
		return PlotReport{}, err
	}
	gain, err := l.greyGain(picks.Grey)
	if err != nil {
		return PlotReport{}, err
	}
	spots, err := l.placePlots(f, picks.Plots)
	if err != nil {
		return PlotReport{}, err
	}
	r := PlotReport{Plots: []PlotFigure{}, GreyCard: picks.Grey != nil, Reasons: []say.Statement{}}
	if len(spots) == 0 {
		r.Pattern, r.Reasons = NoPlots, append(r.Reasons, say.That("plots.none"))
		tone := l.dialTone(f, nil, gain, picks.Dial.MM)
		r.Dial = &tone
		return r, nil
	}
	for i, p := range spots {
		fig, err := l.readPlot(p, gain, fmt.Sprintf("plots[%d]", i))
		if err != nil {
			return PlotReport{}, err
		}
		r.Plots = append(r.Plots, fig)
	}
	if err := r.enough(len(picks.Plots) > 0); err != nil {
		return PlotReport{}, err
	}
	if r.Hands, err = l.readHands(picks.Hands, gain); err != nil {
		return PlotReport{}, err
	}
	if r.allBare() {
		r.Pattern, r.Reasons = NoPlots, append(r.Reasons, say.That("plots.none"))
	} else {
		bare, said := unmarked(spots, picks.Markers)
		r.judge(f, bare, said)
	}
	tone := l.dialTone(f, r.Plots, gain, picks.Dial.MM)
	r.Dial = &tone
	r.Reasons = append(r.Reasons, tone.reasons()...)
	if f.upright {
		r.Reasons = append(r.Reasons, say.That("plots.upright"))
	}
	if !r.GreyCard {
		r.Reasons = append(r.Reasons, say.That("plots.no-grey-card"))
	}
	return r, nil
}

// GreyGain is by what the three channels of linear light are multiplied so that a grey
// card in the picture takes its true colour.
func GreyGain(img image.Image, g GreyPick) (Linear, error) {
	l, err := newLight(img)
	if err != nil {
		return Linear{}, err
	}
	if err := (Picks{Grey: &g}).check(); err != nil {
		return Linear{}, err
	}
	return l.greyGain(&g)
}

// greyGain is what each channel of linear light is multiplied by.
func (l light) greyGain(g *GreyPick) (Linear, error) {
	if g == nil {
		return Linear{1, 1, 1}, nil
	}
	if err := l.need("grey.at", g.At); err != nil {
		return Linear{}, err
	}
	s := l.sampleDisc(g.At, 0.9*g.RadiusPx)
	if s.clipped > 0.05 {
		return Linear{}, pickError("grey", "a grey card that is not overexposed", "%.0f %% of it is at the white end",
			100*s.clipped)
	}
	want := g.Lab.Linear()
	var gain Linear
	for k := range gain {
		if !(s.colour[k] > 0.002) || !(want[k] > 0) {
			return Linear{}, pickError("grey", "a grey card in the light", "it is black in the picture")
		}
		gain[k] = want[k] / s.colour[k]
	}
	if r := max(gain[0], gain[1], gain[2]) / min(gain[0], gain[1], gain[2]); r > 4 {
		return Linear{}, pickError("grey.at", "the middle of a grey card", "what lies there is strongly coloured")
	}
	return gain, nil
}

// placePlots takes the plots as picked or finds them.
func (l light) placePlots(f dialFrame, picked []PlotPick) ([]PlotPick, error) {
	for i, p := range picked {
		if err := l.need(fmt.Sprintf("plots[%d].at", i), p.At); err != nil {
			return nil, err
		}
	}
	if len(picked) > 0 {
		return picked, nil
	}
	var out []PlotPick
	for _, p := range l.findPlots(f) {
		out = append(out, PlotPick{Hour: p.hour, At: f.toPx.Apply(p.at), RadiusPx: p.radius * f.scaleAt(p.at)})
	}
	return out, nil
}

// readPlot samples the inner part of a plot.
func (l light) readPlot(p PlotPick, gain Linear, field string) (PlotFigure, error) {
	inner := max(0.75*p.RadiusPx, p.RadiusPx-6)
	if p.RadiusPx < 8 {
		inner = max(1, 0.65*p.RadiusPx)
	}
	s := l.sampleDisc(p.At, inner)
	if s.n < 4 {
		return PlotFigure{}, pickError(field+".radius_px", "a plot of a few pixels", "only %s in it",
			countOf(s.n, "pixel"))
	}
	fig := PlotFigure{Hour: p.Hour, At: p.At, RadiusPx: p.RadiusPx, Kept: s.kept, SE: s.se, OddP: 1,
		Lab: corrected(s.colour, gain)}
	switch {
	case s.clipped > 0.3:
		fig.Note = say.That("plots.overexposed", say.Fixed("share", 100*s.clipped, say.Percent, 0))
	case s.kept < 0.3:
		fig.Note = say.That("plots.broken")
	case l.bareAt(p, s.lab):
		fig.Note = say.That("plots.bare")
	}
	return fig, nil
}

// bareAt reports whether a place has the colour of the dial all about it: no plot is there.
func (l light) bareAt(p PlotPick, own Lab) bool {
	var about []Lab
	for k := range 48 {
		s, c := math.Sincos(2 * math.Pi * float64(k) / 48)
		for _, r := range [2]float64{1.7, 2.1} {
			about = append(about, l.linearNear(p.At.add(Point{r * p.RadiusPx * c, r * p.RadiusPx * s})).Lab())
		}
	}
	return CIEDE2000(medianLab(about), own) < 2
}

func corrected(c, gain Linear) Lab {
	return Linear{c[0] * gain[0], c[1] * gain[1], c[2] * gain[2]}.Lab()
}

// enough refuses a report in which no plot can be read.
func (r PlotReport) enough(picked bool) error {
	usable := 0
	first := ""
	for _, p := range r.Plots {
		if p.Note.IsZero() {
			usable++
		} else if first == "" {
			first = p.Note.String()
		}
	}
	if usable > 0 || r.allBare() {
		return nil
	}
	field := "dial"
	if picked {
		field = "plots"
	}
	return pickError(field, "a picture exposed for the plots", "no plot can be read; the first is %s", first)
}

// allBare reports whether no plot stands at any place that was looked at.
func (r PlotReport) allBare() bool {
	for _, p := range r.Plots {
		if p.Note.Kind != "plots.bare" {
			return false
		}
	}
	return true
}

func (l light) readHands(picks []SpotPick, gain Linear) ([]HandFigure, error) {
	var out []HandFigure
	for i, p := range picks {
		field := fmt.Sprintf("hands[%d]", i)
		if err := l.need(field+".at", p.At); err != nil {
			return nil, err
		}
		s := l.sampleDisc(p.At, max(1, 0.7*p.RadiusPx))
		if s.clipped > 0.3 {
			return nil, pickError(field, "a hand that is not overexposed", "%.0f %% of the spot is at the white end",
				100*s.clipped)
		}
		name := p.Name
		if name == "" {
			name = fmt.Sprintf("hand %d", i+1)
		}
		out = append(out, HandFigure{Name: name, Lab: corrected(s.colour, gain)})
	}
	return out, nil
}

// unmarked tells the plots without an applied marker beside them: as picked, as
// markers has the hours with one, or 3, 6 and 9, where that is common practice.
func unmarked(spots []PlotPick, markers []int) (bare map[int]bool, known bool) {
	out := map[int]bool{}
	said := false
	for _, p := range spots {
		if p.Marker != nil {
			said = true
			out[p.Hour] = !*p.Marker
		}
	}
	if !said && len(markers) > 0 {
		for hour := 1; hour <= 12; hour++ {
			out[hour] = !slices.Contains(markers, hour)
		}
		return out, true
	}
	if !said {
		return map[int]bool{3: true, 6: true, 9: true}, false
	}
	return out, true
}

// judge fills the differences, their chances, and the pattern with its reasons.
func (r *PlotReport) judge(f dialFrame, bare map[int]bool, said bool) {
	var labs []Lab
	var at []Point
	var class []bool
	var which, hours []int
	back := f.toPx.Inverse()
	for i, p := range r.Plots {
		if !p.Note.IsZero() {
			r.Reasons = append(r.Reasons, say.That("plots.left-out", say.Count("hour", p.Hour),
				say.Saying("why", p.Note)))
			continue
		}
		labs, at, which = append(labs, p.Lab), append(at, back.Apply(p.At)), append(which, i)
		hours = append(hours, p.Hour)
		class = append(class, bare[p.Hour])
	}
	r.MedianLab = medianLab(labs)
	for i := range r.Plots {
		r.Plots[i].FromMedian = CIEDE2000(r.Plots[i].Lab, r.MedianLab)
	}
	class, shift, size, chance, even, fall := bestClass(labs, at, hours, class, said)
	r.LightFall = fall
	worse := size >= 1 && chance < classBelow
	d, se := make([]float64, len(even)), make([]float64, len(even))
	middle := medianOfRest(even, class, worse)
	for i, c := range even {
		d[i], se[i] = CIEDE2000(c, middle), r.Plots[which[i]].SE
		if worse && class[i] {
			d[i] = offClass(c, middle, shift)
		}
	}
	for k, p := range oddChances(d, se) {
		q := &r.Plots[which[k]]
		q.EvenLight, q.OddP, q.ChanceOdd = d[k], p, chanceOdd(p)
	}
	r.judgeHands(d, se)
	r.name(len(labs), worse, shift, size, chance)
}

// judgeHands sets each hand beside the plots as one more of them.
func (r *PlotReport) judgeHands(d, se []float64) {
	for i := range r.Hands {
		h := &r.Hands[i]
		h.FromPlots = CIEDE2000(h.Lab, r.MedianLab)
		p := oddChances(append(slices.Clone(d), h.FromPlots), append(slices.Clone(se), minScatter))
		h.OddP = p[len(p)-1]
		h.ChanceOdd = chanceOdd(h.OddP)
	}
}

// name gives the pattern its word and says why.
func (r *PlotReport) name(n int, worse bool, shift Lab, size, chance float64) {
	tell := func(s say.Statement) { r.Reasons = append(r.Reasons, s) }
	if n < fewestPlots {
		r.Pattern = TooFewPlots
		tell(say.That("plots.too-few", say.Count("n", n), say.Count("least", fewestPlots)))
		return
	}
	r.Pattern = EvenAgeing
	if worse {
		tell(r.unmarked(shift, size, chance))
	}
	odd := 0
	for _, p := range r.Plots {
		if p.Note.IsZero() && p.OddP < oddBelow {
			odd++
			tell(say.That("plots.unlike", say.Count("hour", p.Hour), deltaE("by", p.EvenLight), rare("chance", p.OddP)))
		}
	}
	switch {
	case odd == 1:
		r.Pattern = OnePlotUnlike
	case odd > 1:
		r.Pattern = SomePlotsUnlike
	}
	unlike := false
	for _, h := range r.Hands {
		if h.OddP < oddBelow {
			unlike = true
			tell(say.That("plots.hand", say.Name("hand", h.Name), deltaE("by", h.FromPlots), rare("chance", h.OddP)))
		}
	}
	if unlike && r.Pattern == EvenAgeing {
		r.Pattern = HandsUnlike
	}
	if r.Pattern == EvenAgeing {
		tell(say.That("plots.even"))
	}
	if r.LightFall > 0 {
		tell(say.That("plots.light-falls", say.Fixed("by", 100*r.LightFall, say.Percent, 0)))
	}
}

// unmarked says how the plots without an applied marker differ from the others.
func (r *PlotReport) unmarked(shift Lab, size, chance float64) say.Statement {
	if shift[0] < 0 || shift[2] > math.Abs(shift[0]) {
		r.Pattern = UnmarkedWorse
		return say.That("plots.unmarked-darker", deltaE("by", size), rare("chance", chance))
	}
	r.Pattern = UnmarkedBetter
	return say.That("plots.unmarked-lighter", deltaE("by", size), rare("chance", chance))
}

// deltaE is a difference of colour by CIEDE2000.
func deltaE(name string, d float64) say.Arg { return say.Fixed(name, d, say.None, 1) }

// rare is a small chance in percent, to a tenth.
func rare(name string, p float64) say.Arg {
	if p < 0.001 {
		return say.Saying(name, say.That("phrase.under", say.Share("share", 0.001)))
	}
	return say.Saying(name, say.That("plots.chance", say.Fixed("percent", 100*p, say.Percent, 1)))
}
