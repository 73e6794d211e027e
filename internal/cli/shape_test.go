package cli

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// run runs one command in this process and returns what it printed.
func run(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, errOut bytes.Buffer
	if code := runAt(scriptClock, args, strings.NewReader(""), &out, &errOut); code != done {
		t.Fatalf("midcase %s: exit code %d: %s", strings.Join(args, " "), code, errOut.String())
	}
	return out.Bytes()
}

func world(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := writeWorld(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

// decode reads one JSON document; numbers keep their spelling.
func decode(t *testing.T, b []byte, v any) {
	t.Helper()
	dec := json.NewDecoder(bytes.NewReader(b))
	if err := dec.Decode(v); err != nil {
		t.Fatalf("%v in %.300s", err, b)
	}
	if dec.More() {
		t.Fatal("more than one JSON document")
	}
}

type amountJSON struct {
	Amount   *string `json:"amount"`
	Currency *string `json:"currency"`
}

func (a *amountJSON) check(t *testing.T, what string) {
	t.Helper()
	if a == nil || a.Amount == nil || a.Currency == nil ||
		!regexp.MustCompile(`^-?\d+(\.\d+)?$`).MatchString(*a.Amount) || len(*a.Currency) != 3 {
		t.Errorf("%s: want an amount as a decimal string with a currency", what)
	}
}

// valueJSON is the value object as it is promised to other programs.
type valueJSON struct {
	Basis       *string           `json:"basis"`
	Currency    *string           `json:"currency"`
	Median      *float64          `json:"median"`
	Mean        *float64          `json:"mean"`
	Interval    map[string]*pair  `json:"interval"`
	Comparables *[]comparableJSON `json:"comparables"`
}

type pair [2]float64

type comparableJSON struct {
	Sale        *string  `json:"sale"`
	Price       *float64 `json:"price"`
	Adjusted    *float64 `json:"adjusted"`
	Weight      *float64 `json:"weight"`
	Adjustments *[]struct {
		Feature *string  `json:"feature"`
		Percent *float64 `json:"percent"`
	} `json:"adjustments"`
}

func (v valueJSON) check(t *testing.T) {
	t.Helper()
	if v.Basis == nil || v.Currency == nil || v.Median == nil || v.Mean == nil || v.Comparables == nil ||
		len(*v.Comparables) == 0 {
		t.Fatalf("value lacks a promised field: %+v", v)
	}
	inner := pair{*v.Median, *v.Median}
	for _, level := range []string{"50", "80", "90"} {
		i := v.Interval[level]
		if i == nil || i[0] > inner[0] || i[1] < inner[1] || i[0] <= 0 {
			t.Fatalf("interval %s: %v does not hold %v", level, i, inner)
		}
		inner = *i
	}
	for _, c := range *v.Comparables {
		if c.Sale == nil || c.Price == nil || c.Adjusted == nil || c.Weight == nil || c.Adjustments == nil {
			t.Fatalf("comparable lacks a promised field: %+v", c)
		}
		for _, a := range *c.Adjustments {
			if a.Feature == nil || a.Percent == nil {
				t.Fatalf("adjustment lacks a promised field: %+v", a)
			}
		}
	}
}

var (
	isoDay   = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}$`)
	isoMonth = regexp.MustCompile(`^\d{4}-(0[1-9]|1[0-2])$`)
	quarter  = regexp.MustCompile(`^\d{4}-Q[1-4]$`)
)

// TestOpinionHasThePromisedShape reads the opinion with nothing but the promised
// field names. Pointers tell a missing field from a zero.
func TestOpinionHasThePromisedShape(t *testing.T) {
	dir := world(t)
	var o struct {
		Watch  *map[string]any `json:"watch"`
		AsOf   *string         `json:"as_of"`
		Dating *struct {
			Median     *string    `json:"median"`
			Interval90 *[2]string `json:"interval_90"`
			Months     *[]struct {
				Month *string  `json:"month"`
				P     *float64 `json:"p"`
			} `json:"months"`
			Items *[]struct {
				Evidence  *string  `json:"evidence"`
				Kind      *string  `json:"kind"`
				SurpriseP *float64 `json:"surprise_p"`
			} `json:"items"`
		} `json:"dating"`
		Parts *[]struct {
			Slot      *string   `json:"slot"`
			POriginal *float64  `json:"p_original"`
			Verdict   *string   `json:"verdict"`
			Reasons   *[]string `json:"reasons"`
			Evidence  *[]string `json:"evidence"`
		} `json:"parts"`
		Rules *[]struct {
			Rule     *string   `json:"rule"`
			Broken   *bool     `json:"broken"`
			Reason   *string   `json:"reason"`
			Evidence *[]string `json:"evidence"`
		} `json:"rules"`
		Condition *struct {
			Overall *float64 `json:"overall"`
			Slots   *[]struct {
				Slot    *string   `json:"slot"`
				Grade   *float64  `json:"grade"`
				Reasons *[]string `json:"reasons"`
			} `json:"slots"`
		} `json:"condition"`
		Metal *struct {
			FineG     *float64    `json:"fine_g"`
			Fineness  *int        `json:"fineness"`
			MeltFloor *amountJSON `json:"melt_floor"`
		} `json:"metal"`
		Running *map[string]any `json:"running"`
		Value   *valueJSON      `json:"value"`
		Deal    *struct {
			HighestPrice   *amountJSON `json:"highest_price"`
			ChanceOfLoss   *float64    `json:"chance_of_loss"`
			ExpectedProfit *amountJSON `json:"expected_profit"`
		} `json:"deal"`
		Unknown  *[]string `json:"unknown"`
		Cautions *[]string `json:"cautions"`
	}
	decode(t, run(t, "appraise", filepath.Join(dir, "gold.json"), "--book", filepath.Join(dir, "book"), "--sales",
		filepath.Join(dir, "sales.csv"),
		"--as-of", "2026-10-31", "--spot", "gold=2938.10EUR@2026-02-27", "--json"), &o)

	if o.Watch == nil || o.AsOf == nil || *o.AsOf != "2026-10-31" || o.Running == nil || o.Unknown == nil ||
		o.Cautions == nil || len(*o.Cautions) == 0 {
		t.Fatal("a promised field is missing at the top")
	}
	d := o.Dating
	if d == nil || d.Median == nil || !isoMonth.MatchString(*d.Median) || d.Interval90 == nil ||
		!isoMonth.MatchString(d.Interval90[0]) || d.Months == nil || d.Items == nil {
		t.Fatalf("dating: %+v", d)
	}
	sum := 0.0
	for _, m := range *d.Months {
		if m.Month == nil || !isoMonth.MatchString(*m.Month) || m.P == nil {
			t.Fatal("dating.months lacks a promised field")
		}
		sum += *m.P
	}
	if sum < 0.999 || sum > 1.001 {
		t.Errorf("the months' chances sum to %g", sum)
	}
	for _, i := range *d.Items {
		if i.Evidence == nil || !strings.HasPrefix(*i.Evidence, "ev_") || i.Kind == nil || i.SurpriseP == nil ||
			*i.SurpriseP < 0 || *i.SurpriseP > 1 {
			t.Fatal("dating.items lacks a promised field")
		}
	}
	if o.Parts == nil || len(*o.Parts) == 0 || o.Rules == nil || len(*o.Rules) == 0 {
		t.Fatal("no parts or rules")
	}
	for _, p := range *o.Parts {
		if p.Slot == nil || p.Verdict == nil || p.Reasons == nil || p.Evidence == nil || p.POriginal != nil &&
			(*p.POriginal < 0 || *p.POriginal > 1) {
			t.Fatalf("part lacks a promised field: %+v", p)
		}
	}
	for _, r := range *o.Rules {
		if r.Rule == nil || r.Broken == nil || r.Reason == nil || r.Evidence == nil {
			t.Fatal("rule lacks a promised field")
		}
	}
	if o.Condition == nil || o.Condition.Overall == nil || o.Condition.Slots == nil ||
		(*o.Condition.Slots)[0].Slot == nil || (*o.Condition.Slots)[0].Reasons == nil {
		t.Fatal("condition lacks a promised field")
	}
	if o.Metal == nil || o.Metal.FineG == nil || o.Metal.Fineness == nil || *o.Metal.Fineness != 750 {
		t.Fatalf("metal: %+v", o.Metal)
	}
	o.Metal.MeltFloor.check(t, "metal.melt_floor")
	o.Value.check(t)
	if o.Deal == nil || o.Deal.ChanceOfLoss == nil {
		t.Fatal("deal.chance_of_loss is missing")
	}
	o.Deal.HighestPrice.check(t, "deal.highest_price")
	o.Deal.ExpectedProfit.check(t, "deal.expected_profit")
}

// TestMarketHasThePromisedShape does the same for the market's commands.
func TestMarketHasThePromisedShape(t *testing.T) {
	dir := world(t)
	in := func(name string) string { return filepath.Join(dir, name) }
	var fit struct {
		Read     *int                `json:"rows_read"`
		Used     *int                `json:"rows_used"`
		Rejected *int                `json:"rows_rejected"`
		Seconds  *float64            `json:"seconds"`
		Scale    *float64            `json:"residual_scale"`
		DoF      *float64            `json:"dof"`
		Variance map[string]*float64 `json:"variance"`
	}
	decode(t, run(t, "market", "fit", "--sales", in("few.csv"), "-o", in("fit"), "--json"), &fit)
	if fit.Read == nil || *fit.Read != 120 || fit.Used == nil || fit.Rejected == nil ||
		*fit.Used+*fit.Rejected != 120 || fit.Seconds == nil || fit.Scale == nil || fit.DoF == nil {
		t.Errorf("fit: %+v", fit)
	}
	for _, part := range []string{"maker", "family", "reference", "quarter"} {
		if fit.Variance[part] == nil {
			t.Errorf("fit: variance lacks %s", part)
		}
	}
	if err := os.WriteFile(in("subject.json"), []byte(`{"maker":"Corvane","reference":"KR-1","metal":"steel"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	var v valueJSON
	decode(t, run(t, "market", "value", "--fit", in("fit"), "--subject", in("subject.json"), "--as-of", "2026-03-01",
		"--basis", "retail", "--json"), &v)
	v.check(t)

	var premium []struct {
		Quarter  *string  `json:"quarter"`
		Premium  *float64 `json:"premium"`
		Interval *pair    `json:"interval_90"`
	}
	decode(t, run(t, "market", "premium", "--fit", in("fit"), "--feature", "metal", "--of", "gold18", "--over", "steel",
		"--json"), &premium)
	if len(premium) == 0 {
		t.Fatal("no premium")
	}
	for _, p := range premium {
		if p.Quarter == nil || !quarter.MatchString(*p.Quarter) || p.Premium == nil || p.Interval == nil ||
			p.Interval[0] > *p.Premium || p.Interval[1] < *p.Premium {
			t.Fatalf("premium: %+v", p)
		}
	}
	var index []struct {
		Quarter  *string  `json:"quarter"`
		Index    *float64 `json:"index"`
		Interval *pair    `json:"interval_90"`
	}
	decode(t, run(t, "market", "index", "--fit", in("fit"), "--maker", "corvane", "--json"), &index)
	if len(index) == 0 || index[0].Index == nil || *index[0].Index != 100 || index[0].Interval == nil ||
		!quarter.MatchString(*index[0].Quarter) {
		t.Fatalf("the index does not begin at 100: %+v", index)
	}
	var suspects []struct {
		Line     *int     `json:"line"`
		Reason   *string  `json:"reason"`
		Expected *float64 `json:"expected"`
		Found    *float64 `json:"found"`
	}
	decode(t, run(t, "market", "suspects", "--sales", in("few.csv"), "--json"), &suspects)
	for _, s := range suspects {
		if s.Line == nil || *s.Line < 2 || s.Reason == nil || s.Expected == nil || s.Found == nil {
			t.Fatalf("suspect: %+v", s)
		}
	}
	var back struct {
		N        *int                `json:"n"`
		MdAPE    *float64            `json:"mdape"`
		Bias     *float64            `json:"bias"`
		Coverage map[string]*float64 `json:"coverage"`
		COD      *float64            `json:"cod"`
		PRD      *float64            `json:"prd"`
		PRB      *float64            `json:"prb"`
	}
	decode(t, run(t, "market", "backtest", "--sales", in("few.csv"), "--json"), &back)
	if back.N == nil || *back.N == 0 || back.MdAPE == nil || back.Bias == nil || back.Coverage["50"] == nil ||
		back.Coverage["80"] == nil || back.Coverage["90"] == nil || back.COD == nil || back.PRD == nil ||
		back.PRB == nil {
		t.Errorf("backtest: %+v", back)
	}
}

// TestDatesInJSONAreISO walks a whole opinion: what is called a month or a day is one.
func TestDatesInJSONAreISO(t *testing.T) {
	dir := world(t)
	var o any
	decode(t, run(t, "appraise", filepath.Join(dir, "right.json"), "--book", filepath.Join(dir, "book"), "--json"), &o)
	var walk func(path string, v any)
	seen := 0
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, x := range v {
				s, isText := x.(string)
				if isText && k == "month" && !isoMonth.MatchString(s) || isText && k == "as_of" &&
					!isoDay.MatchString(s) {
					t.Errorf("%s.%s: %q", path, k, s)
				}
				if isText && (k == "month" || k == "as_of") {
					seen++
				}
				walk(path+"."+k, x)
			}
		case []any:
			for _, x := range v {
				walk(path+"[]", x)
			}
		}
	}
	walk("", o)
	if seen < 3 {
		t.Errorf("only %d dates seen", seen)
	}
}
