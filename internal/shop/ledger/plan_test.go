package ledger

import (
	"strings"
	"testing"

	"github.com/govalues/decimal"
	"pgregory.net/rapid"

	"midcase/money"
)

// 100,000 at 6 % a year over 360 months are 599.55 a month, as tables of annuities have it (from memory; the formula
// gives 599.5505…). The first month's interest is 500.00.
func TestPlanAgainstAnAnnuityTable(t *testing.T) {
	p, err := NewPlan(eur("100000"), dec("0.06"), 360, "2026-01-31")
	if err != nil {
		t.Fatal(err)
	}
	first, second, last := p.Instalments[0], p.Instalments[1], p.Instalments[359]
	if first.Amount.Amount() != "599.55" || first.Interest.Amount() != "500.00" || first.Left.Amount() != "99900.45" {
		t.Errorf("first %+v", first)
	}
	if second.Day != "2026-02-28" || second.Interest.Amount() != "499.50" || last.Day != "2055-12-31" || last.Left.Sign() != 0 {
		t.Errorf("second %+v, last %+v", second, last)
	}
}

// 1,200.00 at 12 % in three: i = 0.01, 1200 · 0.01 / (1 − 1.01^−3) = 408.03. Interest 12.00, then 8.04 (of 803.97) and
// 4.04 (of 403.98); the last payment is 408.02. Worked by hand.
func TestPlanByHand(t *testing.T) {
	p, err := NewPlan(eur("1200"), dec("0.12"), 3, "2026-03-15")
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, one := range p.Instalments {
		said = append(said, one.Day+" "+one.Amount.Amount()+" "+one.Interest.Amount()+" "+one.Left.Amount())
	}
	if got := strings.Join(said, "; "); got != "2026-03-15 408.03 12.00 803.97; 2026-04-15 408.03 8.04 403.98; "+
		"2026-05-15 408.02 4.04 0.00" {
		t.Error(got)
	}
	interest, price, err := p.Parts(eur("408.03"), eur("10"))
	if err != nil || interest.Amount() != "8.04" || price.Amount() != "1.96" {
		t.Errorf("10.00 after the first: %s and %s, %v", interest, price, err)
	}
	interest, price, err = p.PayOff(eur("408.03"), "2026-04-01")
	if err != nil || interest.Amount() != "8.04" || price.Amount() != "803.97" {
		t.Errorf("paid off in the second month: %s and %s, %v", interest, price, err)
	}
	if _, _, err := p.Parts(eur("408.03"), eur("816.06")); err == nil || !strings.Contains(err.Error(), "816.05") {
		t.Errorf("more than is left: %v", err)
	}
	st, err := p.Standing(eur("400"), "2026-04-16")
	if err != nil || st.Overdue.Amount() != "416.06" || st.Since != "2026-03-15" || st.Due.Amount() != "8.03" {
		t.Errorf("overdue: %+v, %v", st, err)
	}
	for _, wrong := range []func() (Plan, error){
		func() (Plan, error) { return NewPlan(eur("0.01"), dec("0"), 3, "2026-03-15") },
		func() (Plan, error) { return NewPlan(eur("100"), dec("6"), 3, "2026-03-15") },
		func() (Plan, error) { return NewPlan(eur("100"), dec("0.06"), 1, "2026-03-15") },
		func() (Plan, error) { return NewPlan(eur("100"), dec("0.06"), 3, "soon") }} {
		if _, err := wrong(); err == nil {
			t.Error("taken")
		}
	}
}

// The payments of any plan are the price and its interest to the cent, however they come.
func TestPlansAddUp(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := rapid.SampledFrom([]money.Currency{"EUR", "JPY", "KWD"}).Draw(rt, "currency")
		d, _ := decimal.New(rapid.Int64Range(1000, 9_999_999).Draw(rt, "price"), c.MinorUnits())
		price, _ := amount(d, c)
		p, err := NewPlan(price, dec(rapid.SampledFrom([]string{"0", "0.035", "0.0999", "0.24"}).Draw(rt, "rate")),
			rapid.IntRange(2, 60).Draw(rt, "n"), "2026-01-31")
		if err != nil {
			rt.Fatal(err)
		}
		total, err := p.Interest()
		if err != nil {
			rt.Fatal(err)
		}
		paid, _ := amount(decimal.Zero, c)
		interests, prices := paid, paid
		for _, one := range p.Instalments {
			half, _ := one.Amount.Decimal().Quo(decimal.MustNew(2, 0))
			first, _ := amount(money.ToMinor(half, c), c)
			rest, _ := one.Amount.Add(first.Neg())
			for _, m := range []money.Money{first, rest} {
				i, x, err := p.Parts(paid, m)
				if err != nil {
					rt.Fatal(err)
				}
				interests, _ = interests.Add(i)
				prices, _ = prices.Add(x)
				paid, _ = paid.Add(m)
			}
		}
		if interests.Decimal().Cmp(total.Decimal()) != 0 || prices.Decimal().Cmp(price.Decimal()) != 0 {
			rt.Fatalf("paid %s and %s; want %s and %s", interests, prices, total, price)
		}
	})
}
