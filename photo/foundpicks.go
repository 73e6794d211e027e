package photo

import (
	"image"
	"math"
	"slices"

	"midcase/say"
)

// Picks are the proposals as if a person had pointed at them.
func (f Found) Picks() Picks {
	p := Picks{DialPicks: f.dialPicks()}
	if f.Square != nil {
		p.Scale = &ScalePick{Kind: "square", Corners: f.Square.Corners, MM: f.Square.MM}
	}
	for _, q := range f.Plots {
		p.Plots = append(p.Plots, PlotPick{Hour: q.Hour, At: q.At, RadiusPx: q.RadiusPx})
	}
	for _, c := range f.Circles {
		p.Circles = append(p.Circles, CirclePick{Name: c.Name, Through: c.Through})
	}
	for _, s := range f.Lengths {
		p.Lengths = append(p.Lengths, LengthPick{Name: s.Name, A: s.A, B: s.B, HeightMM: lugHeightMM,
			HeightPlusMM: lugHeightPlusMM})
	}
	return p
}

// Over are the picks of a person with proposals where there are none.
func (p Picks) Over(found Picks) Picks {
	if p.Scale == nil {
		p.Scale = found.Scale
	}
	if p.Dial == nil {
		p.Dial = found.Dial
	}
	if p.Twelve == nil {
		p.Twelve = found.Twelve
	}
	if len(p.Plots) == 0 {
		p.Plots = found.Plots
	}
	circles, lengths := slices.Clone(p.Circles), slices.Clone(p.Lengths)
	for _, c := range found.Circles {
		if !slices.ContainsFunc(p.Circles, func(q CirclePick) bool { return q.Name == c.Name }) {
			circles = append(circles, c)
		}
	}
	for _, c := range found.Lengths {
		if !slices.ContainsFunc(p.Lengths, func(q LengthPick) bool { return q.Name == c.Name }) {
			lengths = append(lengths, c)
		}
	}
	p.Circles, p.Lengths = circles, lengths
	return p
}

// MeasureFound measures what Find finds, with what a person picked besides. Without a
// scale it measures nothing and its notes say why.
func MeasureFound(img image.Image, ask Ask, picks Picks) (Measurement, error) {
	f, err := Find(img, ask)
	if err != nil {
		return Measurement{}, err
	}
	all := picks.Over(f.Picks())
	if all.Scale == nil {
		return Measurement{Lengths: []LengthFigure{}, Circles: []CircleFigure{}, Notes: f.Notes}, nil
	}
	m, err := Measure(img, all)
	if err != nil {
		return m, err
	}
	m.Found = true
	if picks.Scale == nil {
		m.Scale.Sure = f.Square.Sure
	}
	for i := range m.Circles {
		for _, c := range f.Circles {
			if c.Name == m.Circles[i].Name && i >= len(picks.Circles) {
				m.Circles[i].Sure = c.Sure
			}
		}
	}
	for i := range m.Lengths {
		for _, c := range f.Lengths {
			if c.Name == m.Lengths[i].Name && i >= len(picks.Lengths) {
				m.Lengths[i].Sure = c.Sure
				m.Lengths[i].doubt(foundEndMM)
			}
		}
	}
	if len(m.Circles)+len(m.Lengths) == 0 {
		m.Notes = append(m.Notes, say.That("found.nothing-to-measure"))
	}
	m.Notes = append(m.Notes, f.Notes...)
	return m, nil
}

// Lugs stand above what the watch lies on, nobody has said how much, and the metal that is seen does not begin where
// the lug does. From the study.
const (
	lugHeightMM, lugHeightPlusMM = 3, 3
	foundEndMM                   = 0.17 // standard error
)

// doubt widens the range of a length by a standard error in mm.
func (l *LengthFigure) doubt(se float64) {
	l.SE = math.Hypot(l.SE, se)
	l.Interval90 = around(l.MM, l.SE)
}

// PlotsFound judges the plots of a dial that Find finds. Without a dial or plots it
// judges nothing and its reasons say why.
func PlotsFound(img image.Image, ask Ask, picks Picks) (PlotReport, error) {
	f, err := Find(img, ask)
	if err != nil {
		return PlotReport{}, err
	}
	all := picks.Over(f.Picks())
	if all.Dial == nil || len(all.Plots) == 0 {
		return PlotReport{Plots: []PlotFigure{}, Pattern: NoPlots, Reasons: f.Notes}, nil
	}
	r, err := Plots(img, all)
	if err != nil {
		return r, err
	}
	r.Found = true
	if picks.Dial == nil {
		r.Sure = f.Dial.Sure
	}
	if len(picks.Plots) == 0 {
		for i := range r.Plots {
			r.Plots[i].Sure = f.Plots[i].Sure
		}
	}
	return r, nil
}
