package market

import (
	"fmt"
	"io"
	"math"
	"midcase/market/algebra"
	"slices"
	"time"

	"midcase/money"
)

func sortDays(d []int32) { slices.Sort(d) }

// converted is the price of a row in a currency.
func (t *Table) converted(i int, opt Options, to money.Currency) (float64, bool) {
	f, err := opt.Rates.factor(money.Currency(t.currency.at(i)), to, t.day[i])
	if err != nil {
		return 0, false
	}
	return t.price(i) * f, true
}

// subjectAt is the sale of a row as a subject, on its own venue and basis.
func (t *Table) subjectAt(i int) Subject {
	return Subject{
		Maker: t.maker.at(i), Family: t.family.at(i), Reference: t.reference.at(i), Metal: t.metal.at(i), Dial: t.dial.at(i),
		Year: float64(t.year[i]), Condition: given(t.cond[i]), Originality: given(t.orig[i]), Completeness: t.completeness.at(i),
		Country: t.country.at(i), Venue: t.venue.at(i), SaleBasis: t.basis.at(i),
	}
}

// ListedSubject is a row of a list of subjects.
type ListedSubject struct {
	Row     int // 1 is the first row after the header
	Line    int
	AsOf    time.Time // the row's date; zero where it gives none
	Subject Subject
}

// ReadSubjects reads a list of watches to be valued: a CSV with the columns of a
// sales file, of which only maker is required. The price is not read; the date, if
// given, is the day of the value. Rows that are not acceptable are returned as
// RowErrors.
func ReadSubjects(r io.Reader, name string) ([]ListedSubject, []RowError, error) {
	var out []ListedSubject
	var bad []RowError
	var ignored []string
	row := 0
	err := readRecords(r, name, []int{colMaker}, &ignored, func(f *[columnCount][]byte, at position) {
		line := at.line
		row++
		s, e := subjectRow(f)
		if e != nil {
			e.File, e.Line = name, line
			bad = append(bad, *e)
			return
		}
		s.Row, s.Line = row, line
		out = append(out, s)
	}, func(e RowError) { row++; bad = append(bad, e) })
	return out, bad, err
}

func subjectRow(f *[columnCount][]byte) (ListedSubject, *RowError) {
	for k := range f {
		f[k] = trim(f[k])
		if e := cleanText(k, f[k]); e != nil {
			return ListedSubject{}, e
		}
	}
	var out ListedSubject
	if len(f[colDate]) > 0 {
		day, _, problem := parseDate(f[colDate])
		if problem != "" {
			return out, wrong(colDate, f[colDate], problem)
		}
		out.AsOf = dayTime(day)
	}
	year, problem := parseYear(f[colYear])
	if problem != "" {
		return out, wrong(colYear, f[colYear], problem)
	}
	cond, ok := parseFigure(f[colCondition], 1, 10)
	if !ok {
		return out, wrong(colCondition, f[colCondition], "a grade from 1 to 10, or nothing")
	}
	orig, ok := parseFigure(f[colOriginality], 0, 1)
	if !ok {
		return out, wrong(colOriginality, f[colOriginality], "a share from 0 to 1, or nothing")
	}
	out.Subject = Subject{
		Maker: string(f[colMaker]), Family: string(f[colFamily]), Reference: string(f[colReference]), Metal: string(f[colMetal]),
		Dial: string(f[colDial]), Year: float64(year), Condition: given(cond), Originality: given(orig), Completeness: string(f[colCompleteness]),
		Country: string(f[colCountry]), Venue: string(f[colVenue]), SaleBasis: string(f[colBasis]),
	}
	return out, nil
}

// ReferenceFit is what the model found about one reference.
type ReferenceFit struct {
	Maker     string  `json:"maker"`
	Family    string  `json:"family"`
	Reference string  `json:"reference"`
	Sales     int     `json:"sales"`
	Percent   float64 `json:"percent"` // against the mean of the sales
	Low90     float64 `json:"low_90"`
	High90    float64 `json:"high_90"`
	Scale     float64 `json:"scale"` // of its residuals, log price
}

// Explanation is the model in figures.
type Explanation struct {
	Currency   money.Currency     `json:"currency"`
	Sales      int                `json:"sales"`
	From       string             `json:"from"`
	To         string             `json:"to"`
	DoF        float64            `json:"dof"`
	Variance   map[string]float64 `json:"variance"`
	Features   []Contribution     `json:"features"` // each level against the mean of the sales
	Curvature  CurvatureTest      `json:"condition_curvature"`
	References []ReferenceFit     `json:"references"`
}

// Explain lists what the model found: variances, the effect of each level of each
// feature, and each reference with its residual scale.
func (m *Model) Explain() Explanation {
	var rep FitReport
	m.fillReport(&rep)
	out := Explanation{Currency: m.currency, Sales: len(m.obs), DoF: m.dof, Variance: rep.Variance, Curvature: m.curve}
	out.From, out.To = m.Quarters()
	add := func(feature, level string, terms []term) {
		x := collect(terms)
		d, h := x.Dot(m.b), 1.645*math.Sqrt(math.Max(0, m.sys.Quadratic(x)))
		out.Features = append(out.Features, Contribution{feature, orUnknown(level), percent(d), percent(d - h), percent(d + h)})
	}
	for _, f := range []struct {
		name string
		feat int
		f    *factor
	}{{onDial, featDial, &m.dial}, {onCompleteness, featCompleteness, &m.completeness}, {onChannel, featChannel, &m.channel}, {onCountry, featCountry, &m.country}} {
		for k, level := range f.f.level {
			terms := []term{{m.dense[f.feat] + k, 1}}
			for _, t := range m.typical[f.name] {
				terms = append(terms, term{t.at, -t.x})
			}
			add(f.name, level, terms)
		}
	}
	last := m.last - m.first
	for k, level := range m.metal.level {
		add(onMetal, level+" now", m.metalTerms(k, last, nil))
	}
	add(onCondition, "one grade better", []term{{m.slope + slopeCondition, 1}})
	add(onOriginality, "a tenth more", []term{{m.slope + slopeOriginality, 0.1}})
	add(onYear, "ten years later", []term{{m.slope + slopeYear, 1}})
	for v, l := range m.nodes.level {
		if l != algebra.LevelReference {
			continue
		}
		d := m.theta[v] - m.mean.Theta
		h := 1.645 * math.Sqrt(m.sys.AgainstAverage(m.sys.PathOf(int32(v)), &m.mean))
		fam := m.nodes.parent[v]
		out.References = append(out.References, ReferenceFit{m.nodes.name[m.nodes.parent[fam]], familyTitle(m.nodes.name[fam]), m.nodes.name[v], m.nodes.count[v],
			percent(d), percent(d - h), percent(d + h), math.Exp(m.logScale[v])})
	}
	return out
}

func familyTitle(s string) string {
	if len(s) > 0 && s[0] == 0x1e {
		return ""
	}
	return s
}

// String names a row for messages.
func (s ListedSubject) String() string {
	return fmt.Sprintf("row %d: %s %s", s.Row, s.Subject.Maker, s.Subject.Reference)
}
