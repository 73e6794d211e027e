package market

import (
	"maps"
	"math"
	"slices"
	"time"

	"midcase/say"
)

// A feature that fewer sales name than this cannot be told: too few to see its effect
// beside that of the watches themselves. Our choice.
const (
	fewOfLevel  = 2 // sales of the very dial, set or country
	fewStating  = 5 // sales that state a grade or a year at all
	worthSaying = 1.03
)

// knownFeature is something that a subject may say of itself beside what it is.
type knownFeature struct {
	name  string
	given func(Subject) bool
	blank func(*Subject)
	// stated is how many sales tell its effect, and the number that is needed.
	stated func(*Model, Subject) (n, need int)
}

func ofLevel(f func(*Model) *factor, value func(Subject) string) func(*Model, Subject) (int, int) {
	return func(m *Model, s Subject) (int, int) {
		k := f(m).find(value(s))
		if k < 0 {
			return 0, fewOfLevel
		}
		return f(m).count[k], fewOfLevel
	}
}

var knownFeatures = []knownFeature{
	{onMetal, func(s Subject) bool { return s.Metal != "" }, func(s *Subject) { s.Metal = "" },
		func(m *Model, s Subject) (int, int) {
			if len(m.metal.named()) > 0 { // another metal has another price, however little is known of it
				return 1, 1
			}
			return 0, 1
		}},
	{onDial, func(s Subject) bool { return s.Dial != "" }, func(s *Subject) { s.Dial = "" },
		ofLevel(func(m *Model) *factor { return &m.dial }, func(s Subject) string { return s.Dial })},
	{onCompleteness, func(s Subject) bool { return s.Completeness != "" }, func(s *Subject) { s.Completeness = "" },
		ofLevel(func(m *Model) *factor { return &m.completeness }, func(s Subject) string { return s.Completeness })},
	{onCountry, func(s Subject) bool { return s.Country != "" }, func(s *Subject) { s.Country = "" },
		ofLevel(func(m *Model) *factor { return &m.country }, func(s Subject) string { return s.Country })},
	{onYear, func(s Subject) bool { return s.Year != 0 }, func(s *Subject) { s.Year, s.YearSD = 0, 0 },
		func(m *Model, _ Subject) (int, int) { return len(m.obs) - m.yearless, fewStating }},
	{onCondition, func(s Subject) bool { return s.Condition != nil },
		func(s *Subject) { s.Condition, s.ConditionSD = nil, 0 },
		func(m *Model, _ Subject) (int, int) { return int(m.pattern[0] + m.pattern[2]), fewStating }},
	{onOriginality, func(s Subject) bool { return s.Originality != nil },
		func(s *Subject) { s.Originality, s.OriginalitySD = nil, 0 },
		func(m *Model, _ Subject) (int, int) { return int(m.pattern[0] + m.pattern[1]), fewStating }},
}

// told leaves out of a subject what the sales cannot tell the effect of where it would
// only widen the range, and says so; what widens the range although the sales tell it is
// said too, with what would narrow it.
func (m *Model) told(s Subject, asOf time.Time, basis Basis) (Subject, []say.Statement, error) {
	bare := s
	for _, f := range knownFeatures {
		if f.given(s) {
			f.blank(&bare)
		}
	}
	var says []say.Statement
	silent := map[int]say.List{} // features whose effect cannot be told, by how many sales state them
	width, err := m.width(bare, asOf, basis)
	if err != nil {
		return s, nil, err
	}
	kept := bare
	for _, f := range knownFeatures {
		if !f.given(s) {
			continue
		}
		with := s
		for _, g := range knownFeatures {
			if !g.given(kept) && g.name != f.name {
				g.blank(&with)
			}
		}
		wider, err := m.width(with, asOf, basis)
		if err != nil {
			return s, nil, err
		}
		n, need := f.stated(m, s)
		switch {
		case n < need && wider > width:
			silent[n] = append(silent[n], say.Noun{Set: "feature", ID: f.name})
			continue
		case wider > worthSaying*width:
			says = append(says, say.That("market.widens", say.Term("feature", "feature", f.name, ""),
				say.Fixed("by", 100*(wider/width-1), say.Percent, 0)))
		}
		kept, width = with, wider
	}
	for _, n := range slices.Sorted(maps.Keys(silent)) {
		says = append(says, say.That("market.untold", say.All("features", silent[n]...), say.Count("n", n)))
	}
	return kept, says, nil
}

// width is how far the range of 90 % reaches above the median, in logs.
func (m *Model) width(s Subject, asOf time.Time, basis Basis) (float64, error) {
	p, err := m.pointOf(s, asOf, basis)
	if err != nil {
		return 0, err
	}
	v := m.valuation(&p, m.sys.PathOf(p.node))
	return math.Log(v.Interval[90][1] / v.Median), nil
}
