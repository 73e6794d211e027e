package market

import (
	"io"
	"math"
	"midcase/market/algebra"
	"midcase/market/table"
	"slices"
	"time"

	"midcase/money"
)

func sortDays(d []int32) { slices.Sort(d) }

// converted is the price of a row in a currency.
func converted(t *table.Table, i int, opt Options, to money.Currency) (float64, bool) {
	f, err := opt.Rates.factor(money.Currency(t.Currency.At(i)), to, t.Day[i])
	if err != nil {
		return 0, false
	}
	return t.Price(i) * f, true
}

// subjectAt is the sale of a row as a subject, on its own venue and basis.
func subjectAt(t *table.Table, i int) Subject {
	return Subject{
		Maker: t.Maker.At(i), Family: t.Family.At(i), Reference: t.Reference.At(i), Metal: t.Metal.At(i),
		Dial: t.Dial.At(i),
		Year: float64(t.Year[i]), Condition: table.Given(t.Cond[i]), Originality: table.Given(t.Orig[i]),
		Completeness: t.Completeness.At(i),
		Country:      t.Country.At(i), Venue: t.Venue.At(i), SaleBasis: t.Basis.At(i),
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
func ReadSubjects(r io.Reader, name string) ([]ListedSubject, []table.RowError, error) {
	rows, bad, err := table.ReadUnpriced(r, name)
	out := make([]ListedSubject, 0, len(rows))
	for _, x := range rows {
		s := x.Sale
		out = append(out, ListedSubject{Row: x.Row, Line: s.Line, AsOf: x.Day, Subject: Subject{
			Maker: s.Maker, Family: s.Family, Reference: s.Reference, Metal: s.Metal, Dial: s.Dial,
			Year:      float64(s.Year),
			Condition: s.Condition, Originality: s.Originality, Completeness: s.Completeness,
			Country: s.Country, Venue: s.Venue, SaleBasis: s.Basis,
		}})
	}
	return out, bad, err
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
		out.Features = append(out.Features, Contribution{feature, orUnknown(level), percent(d), percent(d - h),
			percent(d + h)})
	}
	for _, f := range []struct {
		name string
		feat int
		f    *factor
	}{{onDial, featDial, &m.dial}, {onCompleteness, featCompleteness, &m.completeness},
		{onChannel, featChannel, &m.channel}, {onCountry, featCountry, &m.country}} {
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
		out.References = append(out.References, ReferenceFit{m.nodes.name[m.nodes.parent[fam]],
			familyTitle(m.nodes.name[fam]), m.nodes.name[v], m.nodes.count[v],
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
