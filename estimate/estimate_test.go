package estimate

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestPercentNeverClaimsCertainty(t *testing.T) {
	for p, want := range map[float64]string{0: "under 1 %", 0.0099: "under 1 %", 0.01: "1 %", 0.434: "43 %",
		0.99: "99 %", 0.9901: "over 99 %", 1: "over 99 %"} {
		if got := Percent(p); got != want {
			t.Errorf("%g: %s, want %s", p, got, want)
		}
	}
}

func TestFigureJSON(t *testing.T) {
	tests := []struct {
		f    Figure
		want string
	}{
		{Known(38.5, "mm", Basis{Evidence, "ev_1"}),
			`{"value":38.5,"unit":"mm","basis":[{"source":"evidence","id":"ev_1"}]}`},
		{Known(0, ""), `{"value":0}`},
		{Between(7.5, 6.8, 8.1, 0.9, ""), `{"value":7.5,"interval":[6.8,8.1],"level":0.9}`},
		{CannotTell("no dial photo"), `{"value":null,"cannot_tell":"no dial photo"}`},
	}
	for _, tt := range tests {
		b, err := json.Marshal(tt.f)
		if err != nil || string(b) != tt.want {
			t.Errorf("%s %v, want %s", b, err, tt.want)
		}
		var back Figure
		if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(back, tt.f) {
			t.Errorf("%s read back as %+v %v", b, back, err)
		}
	}
	if b, _ := json.Marshal(Figure{}); string(b) != `{"value":null,"cannot_tell":"nothing recorded"}` {
		t.Errorf("the zero figure: %s", b)
	}
	for _, bad := range []string{`[]`, `{"value":"5"}`, `{"value":5,"interval":[1]}`,
		`{"value":5,"interval":[1,2,3]}`} {
		var f Figure
		if err := json.Unmarshal([]byte(bad), &f); err == nil {
			t.Errorf("%s was read", bad)
		}
	}
}

// A figure that is not finite says that it cannot be told, and does not spoil the
// document around it.
func TestFigureNotFinite(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		b, err := json.Marshal([]Figure{Known(v, "g")})
		if err != nil || !strings.Contains(string(b), "cannot_tell") {
			t.Errorf("%g: %s %v", v, b, err)
		}
	}
}

func TestFigureRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e9, 1e9).Draw(t, "value")
		f := Between(v, v-rapid.Float64Range(0, 10).Draw(t, "below"), v+rapid.Float64Range(0, 10).Draw(t, "above"), 0.9,
			"g", Basis{Book, "corvane/KR-1"})
		f.Reasons = []string{rapid.String().Draw(t, "reason")}
		b, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		var back Figure
		if err := json.Unmarshal(b, &back); err != nil {
			t.Fatal(err)
		}
		if !back.Told() || back.Value != f.Value || back.Interval != f.Interval || back.Level != f.Level ||
			!back.Interval.Contains(v) {
			t.Fatalf("%s read back as %+v", b, back)
		}
	})
}

func TestIntervalOpenEnds(t *testing.T) {
	b, err := json.Marshal(Interval{math.Inf(-1), 5})
	if err != nil || string(b) != "[null,5]" {
		t.Fatalf("%s %v", b, err)
	}
	var i Interval
	if err := json.Unmarshal(b, &i); err != nil || !math.IsInf(i.Low(), -1) || i.High() != 5 || !i.Contains(-1e300) ||
		i.Contains(6) {
		t.Errorf("read back as %v %v", i, err)
	}
}

func TestBasis(t *testing.T) {
	if s := (Basis{Sale, "s1"}).String(); s != "sale:s1" {
		t.Error(s)
	}
}
