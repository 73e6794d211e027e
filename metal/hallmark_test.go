package metal

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestReadHallmark(t *testing.T) {
	for _, c := range []struct {
		text     string
		permille int
		karat    float64
		elements []string
	}{
		{"750", 750, 0, []string{Gold}},
		{"0.750", 750, 0, []string{Gold}},
		{"0,750", 750, 0, []string{Gold}},
		{".585", 585, 0, []string{Gold}},
		{"18k", 750, 18, []string{Gold}},
		{"18 K", 750, 18, []string{Gold}},
		{"14 ct", 585, 14, []string{Gold}},
		{"9ct.", 375, 9, []string{Gold}},
		{"18 carats", 750, 18, []string{Gold}},
		{"K18", 750, 18, []string{Gold}},
		{"18K 0.750", 750, 18, []string{Gold}},
		{"583", 585, 0, []string{Gold}},
		{"Au750", 750, 0, []string{Gold}},
		{"750 Au", 750, 0, []string{Gold}},
		{"750Au", 750, 0, []string{Gold}},
		{"Ag 925", 925, 0, []string{Silver}},
		{"sterling", 925, 0, []string{Silver}},
		{"925", 925, 0, []string{Silver}},
		{"PT950", 950, 0, []string{Platinum}},
		{"Pd 950", 950, 0, []string{Palladium}},
		{"950", 950, 0, []string{Platinum, Palladium}},
		{"900", 900, 0, []string{Silver, Platinum}},
		{"999", 999, 0, []string{Gold, Silver, Platinum, Palladium}},
		{"or 750", 750, 0, []string{Gold}},
		{"gold", 0, 0, []string{Gold}},
		{"12 k", 500, 12, []string{Gold}},
	} {
		m, err := ReadHallmark(c.text)
		if err != nil || m.Permille != c.permille || m.Karat != c.karat || !slices.Equal(m.Elements, c.elements) ||
			m.Plated || m.Steel || m.Conflict || len(m.Unread) > 0 {
			t.Errorf("%q: %+v, %v", c.text, m, err)
		}
		if !slices.Contains(m.Says, "a mark is not an assay") {
			t.Errorf("%q does not say that a mark is not an assay: %q", c.text, m.Says)
		}
	}
}

func TestReadHallmarkKeepsTheRest(t *testing.T) {
	for _, c := range []struct {
		text   string
		check  func(Mark) bool
		unread []string
	}{
		{"head of a woman, 18K", func(m Mark) bool { return m.Permille == 750 }, []string{"head", "of", "a", "woman,"}},
		{"14K GF", func(m Mark) bool { return m.Plated && m.Permille == 585 }, nil},
		{"1/20 14K gold filled", func(m Mark) bool { return m.Plated && m.Karat == 14 }, []string{"1", "20"}},
		{"20 microns plaqué or", func(m Mark) bool { return m.Plated && m.Permille == 0 }, []string{"20"}},
		{"acier inoxydable", func(m Mark) bool { return m.Steel && m.Permille == 0 && m.Element() == "" }, nil},
		{"18K 585", func(m Mark) bool { return m.Conflict && m.Permille == 750 }, nil},
		{"Au Pt 950", func(m Mark) bool { return m.Conflict }, nil},
		{"123", func(m Mark) bool { return m.Permille == 0 && len(m.Elements) == 0 }, []string{"123"}},
		{"99k", func(m Mark) bool { return m.Karat == 0 }, []string{"99k"}},
		{"AB in a lozenge", func(m Mark) bool { return m.Permille == 0 }, []string{"AB", "in", "a", "lozenge"}},
	} {
		m, err := ReadHallmark(c.text)
		if err != nil || !c.check(m) || !slices.Equal(m.Unread, c.unread) {
			t.Errorf("%q: %+v, %v", c.text, m, err)
		}
	}
}

func TestReadHallmarkErrors(t *testing.T) {
	for _, text := range []string{"", "  ", strings.Repeat("7", 401)} {
		if _, err := ReadHallmark(text); !errors.Is(err, ErrInput) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzReadHallmark(f *testing.F) {
	for _, s := range []string{"18K 0.750", "Au750", "1/20 14K GF", "750‰", "14,5 ct", ".", "0.", "K", "Ⅷ 18"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := ReadHallmark(s)
		if err != nil {
			if !errors.Is(err, ErrInput) {
				t.Fatal(err)
			}
			return
		}
		if m.Permille < 0 || m.Permille > 999 || m.Karat < 0 || m.Karat > 24 {
			t.Fatalf("%q: %+v", s, m)
		}
		if m.Permille > 0 && len(m.Elements) == 0 {
			t.Fatalf("%q: a fineness of nothing", s)
		}
		for _, said := range m.Says {
			if utf8.ValidString(s) && !utf8.ValidString(said) {
				t.Fatalf("%q: says %q", s, said)
			}
		}
	})
}
