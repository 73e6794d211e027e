package opinion_test

import (
	"slices"
	"strings"
	"testing"

	"midcase/edtf"
	"midcase/evidence"
)

// Each kind of contradiction is one sentence with both its sides; what goes together is none.
func TestDisagreements(t *testing.T) {
	changed := &evidence.Work{What: "service", Date: edtf.MustParse("1996"),
		Replaced: []evidence.Replaced{{Slot: evidence.Crown}}}
	lab := func(l, a, b float64) *[3]float64 { return &[3]float64{l, a, b} }
	for name, c := range map[string]struct {
		items []evidence.Data
		says  string // empty: nothing disagrees
	}{
		"claim against finding": {[]evidence.Data{&evidence.Claim{About: "polishing", Text: "never polished"},
			&evidence.Finding{Slot: "case", Term: "polished", Severity: 2}},
			"Told: “never polished”. Found on the case: polished, severity 2 of 4."},
		"claim that holds": {[]evidence.Data{&evidence.Claim{About: "polishing", Text: "never polished"},
			&evidence.Finding{Slot: "case", Term: "scratches", Severity: 1}}, ""},
		"claim against size": {[]evidence.Data{&evidence.Claim{About: "case", Text: "unpolished"},
			&evidence.Dimension{What: "mid_case_diameter", MM: 34.0}},
			"Told: “unpolished”. The mid-case diameter is"},
		"finding against size": {[]evidence.Data{&evidence.Finding{Slot: "case", Term: "unpolished"},
			&evidence.Dimension{What: "mid_case_diameter", MM: 34.0}},
			"Recorded as “unpolished”, but the mid-case diameter is"},
		"finding against finding": {[]evidence.Data{&evidence.Finding{Slot: "dial", Term: "lume_intact"},
			&evidence.Finding{Slot: "dial", Term: "relume", Severity: 3}},
			"The dial: recorded as “lume intact” and as “relumed”."},
		"two severities": {[]evidence.Data{&evidence.Finding{Slot: "dial", Term: "spotting", Severity: 0},
			&evidence.Finding{Slot: "dial", Term: "spotting", Severity: 3}}, "spotting recorded with severity"},
		"finding against picture": {[]evidence.Data{&evidence.Finding{Slot: "dial", Term: "even_ageing"},
			&evidence.Reading{Photo: "ev_p", Slot: "dial", What: "plot 3", Lab: lab(80, 0, 20)},
			&evidence.Reading{Photo: "ev_p", Slot: "dial", What: "plot 9", Lab: lab(60, 4, 45)}}, "differ in colour"},
		"even picture": {[]evidence.Data{&evidence.Finding{Slot: "dial", Term: "even_ageing"},
			&evidence.Reading{Photo: "ev_p", Slot: "dial", What: "plot 3", Lab: lab(80, 0, 20)},
			&evidence.Reading{Photo: "ev_p", Slot: "dial", What: "plot 9", Lab: lab(79, 0, 21)}}, ""},
		"two sizes": {[]evidence.Data{&evidence.Dimension{What: "thickness", MM: 11.2},
			&evidence.Dimension{What: "thickness", MM: 12.1}}, "Two readings of the thickness"},
		"two lugs": {[]evidence.Data{&evidence.Dimension{What: "lug_thickness", MM: 2.7},
			&evidence.Dimension{What: "lug_thickness", MM: 2.45}}, ""},
		"two weighings": {[]evidence.Data{&evidence.Weighing{What: "bracelet", G: 55, In: "air"},
			&evidence.Weighing{What: "bracelet", G: 49, In: "air"}}, "Two weighings of the bracelet"},
		"two rates": {[]evidence.Data{&evidence.Rate{Position: "CH", SecPerDay: 4},
			&evidence.Rate{Position: "CH", SecPerDay: 44}}, "Two readings within two days"},
		"papers against number": {[]evidence.Data{&evidence.Mark{What: "serial", Text: "414459"},
			&evidence.Document{What: "papers", Serial: "414495"}},
			"The papers say serial number 414495, the watch 414459."},
		"papers with a figure not read": {[]evidence.Data{&evidence.Mark{What: "serial", Text: "414459"},
			&evidence.Document{What: "papers", Serial: "41445?"}}, ""},
		"told year": {[]evidence.Data{&evidence.Mark{What: "serial", Text: "414459"},
			&evidence.Claim{About: "year", Text: "1961", Told: evidence.Told{Year: 1961}}}, "Told: made in 1961."},
		"told original, another replaced": {[]evidence.Data{&evidence.Claim{About: "seller",
			Text: "original dial, crown replaced"}, changed}, ""},
		"told original and replaced": {[]evidence.Data{&evidence.Claim{About: "seller", Text: "dial and crown original"},
			changed}, "“dial and crown original”"},
		"told set": {[]evidence.Data{&evidence.Fitted{Slot: "papers", Absent: true},
			&evidence.Claim{About: "set", Text: "full set", Told: evidence.Told{Set: "full"}}},
			"it comes with papers. Checked: missing."},
		"two numbers": {[]evidence.Data{&evidence.Mark{What: "serial", Text: "414459"},
			&evidence.Mark{What: "serial", Text: "414951"}}, "Two serial numbers are recorded"},
		"papers before a stamp": {[]evidence.Data{&evidence.Mark{What: "date_stamp", Slot: "case_back",
			Text: "III 68"},
			&evidence.Document{What: "papers", Date: edtf.MustParse("1967-02")}},
			"but the stamp III 68 on the case back"},
	} {
		o := opinionOn(t, watchOf("KR-1", c.items...), nil)
		var all []string
		for _, d := range o.Disagreements {
			all = append(all, d.Says.String())
			if d.One == d.Other || d.One.ID == "" || d.Other.ID == "" {
				t.Errorf("%s: sides %v and %v", name, d.One, d.Other)
			}
		}
		has := slices.ContainsFunc(all, func(s string) bool { return strings.Contains(s, c.says) })
		if c.says == "" && len(all) > 0 || c.says != "" && !has {
			t.Errorf("%s: %q, want %q", name, all, c.says)
		}
	}
}
