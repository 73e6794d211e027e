package web

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/accounts"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/internal/web/form"
	page "midcase/internal/web/pages/ledger"
	"midcase/money"
	"midcase/say"
)

// The forms of the books, each sent with what it does.
type (
	periodForm struct {
		Month string `form:"month,needed" label:"Month" kind:"choice" want:"the month"`
		To    string `form:"to" label:"It is" choices:"filed=filed: the return was handed in|locked=locked for good: nothing may change|open=open again, with all months after it"`
	}
	depositForm struct {
		Deposit string `form:"deposit" label:"Is tax due when a deposit comes in?" choices:"=not answered yet, none is booked|yes|no"`
		Kept    string `form:"kept" label:"Is tax due on a deposit that the shop keeps?" choices:"=not answered yet, none is booked|yes|no"`
	}
	closeForm struct {
		Year string `form:"year,needed" label:"Year" kind:"choice" want:"the year"`
	}
	carryForm struct {
		Carry string `form:"carry" label:"Money goes out" choices:"fifo=first in, first out|average=at the weighted average"`
	}
	revalueForm struct {
		Day   string `form:"day,needed" label:"Last day of the period" kind:"day" want:"the last day of the period"`
		Rates string `form:"rates,broad" kind:"area" label:"Closing rates" hint:"one a line, such as USD = 0.95; leave empty to use our table"`
	}
)

var (
	settingPeriod  = form.Define[periodForm]("set a period")
	settingDeposit = form.Define[depositForm]("tax on deposits")
	closingYear    = form.Define[closeForm]("close a year")
	settingCarry   = form.Define[carryForm]("carry money")
	revaluing      = form.Define[revalueForm]("revalue")
)

// prepared is a form, as it stands or as it was sent.
func prepared[T any](d *form.Definition[T], r *http.Request, sent bool, v T) (*form.Form[T], error) {
	if sent {
		return d.Read(r, v)
	}
	return d.Of(r.Context(), v), nil
}

// periodForms are the forms of the page of periods; does names the one that was sent.
type periodForms struct {
	period  *form.Form[periodForm]
	deposit *form.Form[depositForm]
	year    *form.Form[closeForm]
}

func (s *ledgerPages) periodsData(r *http.Request, does string) (page.PeriodsData, periodForms, error) {
	ctx := r.Context()
	d, f := page.PeriodsData{Head: s.ledgerHead("periods", "Periods")}, periodForms{}
	rules, err := s.shop.Trade.BookRules(ctx)
	if err != nil {
		return d, f, err
	}
	var rows []ledger.VATRow
	first := s.shop.Now().Format("2006-01")
	err = s.shop.Accounts.Books(ctx, func(b *ledger.Books) (err error) {
		if rows, err = b.VAT("", ""); err == nil {
			first = b.FirstMonth(first)
		}
		return err
	})
	if err != nil {
		return d, f, err
	}
	d.Months = monthsOf(first, s.shop.Now(), rules, rows)
	if d.Years, err = s.years(r, first); err != nil {
		return d, f, err
	}
	d.Deposit, d.Kept = rules.DepositTax, rules.KeptTax
	if d.Opening = r.FormValue("opening"); d.Opening != "" {
		if d.Balances, err = s.opening(r, d.Opening); err != nil {
			return d, f, err
		}
	}
	if f.period, err = prepared(settingPeriod, r, does == "period", periodForm{To: "filed"}); err != nil {
		return d, f, err
	}
	f.period.Offer(&f.period.V.Month, page.MonthsToClose(d.Months)...)
	answers := depositForm{yesOrNo(rules.DepositTax), yesOrNo(rules.KeptTax)}
	if f.deposit, err = prepared(settingDeposit, r, does == "deposit", answers); err != nil {
		return d, f, err
	}
	if f.year, err = prepared(closingYear, r, does == "year", closeForm{}); err != nil {
		return d, f, err
	}
	f.year.Offer(&f.year.V.Year, page.YearsToClose(d.Years)...)
	d.Period, d.DepositForm, d.Close = &f.period.View, &f.deposit.View, &f.year.View
	return d, f, nil
}

func yesOrNo(yes *bool) string {
	switch {
	case yes == nil:
		return ""
	case *yes:
		return "yes"
	}
	return "no"
}

// monthsOf are the months from the first to the one of now, the latest first, with their state and figures.
func monthsOf(first string, now time.Time, rules trade.BookRules, rows []ledger.VATRow) []page.Month {
	var out []page.Month
	last := time.Date(now.Year(), now.Month(), 1, 0, 0, 0, 0, time.UTC)
	for t := last; t.Format("2006-01") >= first; t = t.AddDate(0, -1, 0) {
		m := page.Month{Month: t.Format("2006-01"), State: string(rules.State(t.Format("2006-01"))),
			Over: !t.AddDate(0, 1, 0).After(now)}
		if i := slices.IndexFunc(rows, func(r ledger.VATRow) bool { return r.Month == m.Month }); i >= 0 {
			m.Due, m.Corrections = rows[i].Due, rows[i].Corrections
		}
		out = append(out, m)
	}
	return out
}

// years are the years that are over, the latest first.
func (s *ledgerPages) years(r *http.Request, first string) ([]page.Year, error) {
	closed, err := s.shop.Accounts.Journal(r.Context(), accounts.JournalQuery{Account: ledger.Retained, Rows: 500})
	if err != nil {
		return nil, err
	}
	var out []page.Year
	for y := s.shop.Now().Year() - 1; strconv.Itoa(y) >= first[:4]; y-- {
		one := page.Year{Year: strconv.Itoa(y)}
		for _, e := range closed.Entries {
			if e.Kind == ledger.KindClose && e.Day[:4] == one.Year {
				one.Entry = e.ID
			}
		}
		out = append(out, one)
	}
	return out, nil
}

// opening is what stands on the accounts of the balance at the beginning of a year.
func (s *ledgerPages) opening(r *http.Request, year string) ([]ledger.Balance, error) {
	t, err := time.Parse("2006", year)
	if err != nil {
		return nil, fmt.Errorf("opening balances of %q: %w", year, shop.ErrNotFound)
	}
	books, err := s.shop.Accounts.BooksAsOf(r.Context(), t.AddDate(0, 0, -1).Format(time.DateOnly))
	if err != nil {
		return nil, err
	}
	all, err := books.Balances()
	return slices.DeleteFunc(all, func(b ledger.Balance) bool { return b.Amount.Sign() == 0 && b.Base.Sign() == 0 }), err
}

func (s *ledgerPages) periodsPage(w http.ResponseWriter, r *http.Request) error {
	d, _, err := s.periodsData(r, "")
	if err != nil {
		return err
	}
	d.Note = map[string]string{"period": "Saved.", "deposit": "Saved.", "year": "The year is closed."}[r.FormValue("done")]
	return page.Periods(d).Render(r.Context(), w)
}

func (s *ledgerPages) changePeriods(w http.ResponseWriter, r *http.Request) error {
	ctx, does := r.Context(), r.FormValue("does")
	d, f, err := s.periodsData(r, does)
	if err != nil {
		return err
	}
	var v *form.View
	switch does {
	case "period":
		if v = d.Period; v.OK() {
			_, err = s.shop.Trade.SetPeriod(ctx, f.period.V.Month, trade.PeriodState(f.period.V.To))
		}
	case "deposit":
		if v = d.DepositForm; v.OK() {
			_, err = s.shop.Trade.ChangeBookRules(ctx, func(b *trade.BookRules) {
				b.DepositTax, b.KeptTax = answered(f.deposit.V.Deposit), answered(f.deposit.V.Kept)
			})
		}
	case "year":
		if v = d.Close; v.OK() {
			_, err = s.shop.Trade.CloseYear(ctx, f.year.V.Year, s.user(ctx))
		}
	default:
		return fmt.Errorf("what is to be done with the periods: %w", shop.ErrNotFound)
	}
	if err != nil && !v.Refused(err, nil) {
		return err
	}
	if !v.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return page.Periods(d).Render(ctx, w)
	}
	http.Redirect(w, r, "/ledger/periods?done="+does, http.StatusSeeOther)
	return nil
}

func answered(text string) *bool {
	if text == "" {
		return nil
	}
	yes := text == "yes"
	return &yes
}

// moneyForms are the forms of the page of other currencies.
type moneyForms struct {
	carry   *form.Form[carryForm]
	revalue *form.Form[revalueForm]
}

func (s *ledgerPages) moneyData(r *http.Request, does string) (page.MoneyData, moneyForms, error) {
	ctx := r.Context()
	d, f := page.MoneyData{Head: s.ledgerHead("money", "Other currencies"), At: pageOf(r)}, moneyForms{}
	rules, err := s.shop.Trade.BookRules(ctx)
	if err != nil {
		return d, f, err
	}
	d.Average = rules.Carry == ledger.WeightedAverage
	if d.Lots, err = s.shop.Trade.Lots(ctx); err != nil {
		return d, f, err
	}
	if d.Differences, err = s.shop.Accounts.Journal(ctx, accounts.JournalQuery{Account: ledger.ExchangeDiff, Page: d.At,
		Rows: journalRows}); err != nil {
		return d, f, err
	}
	err = s.shop.Accounts.Books(ctx, func(b *ledger.Books) error { d.Fixed = b.Posted() > 0; return nil })
	if err != nil {
		return d, f, err
	}
	if f.carry, err = prepared(settingCarry, r, does == "carry", carryForm{rules.Carry}); err != nil {
		return d, f, err
	}
	if f.revalue, err = prepared(revaluing, r, does == "revalue", revalueForm{}); err != nil {
		return d, f, err
	}
	d.Carry, d.Revalue = &f.carry.View, &f.revalue.View
	return d, f, nil
}

func (s *ledgerPages) moneyPage(w http.ResponseWriter, r *http.Request) error {
	d, _, err := s.moneyData(r, "")
	if err != nil {
		return err
	}
	d.Note = map[string]string{"carry": "Saved.", "revalue": "Booked, with its opposite on the day after.",
		"nothing": "Nothing to book: what stands in other currencies is at these rates already."}[r.FormValue("done")]
	return page.Money(d).Render(r.Context(), w)
}

func (s *ledgerPages) changeMoney(w http.ResponseWriter, r *http.Request) error {
	ctx, does := r.Context(), r.FormValue("does")
	d, f, err := s.moneyData(r, does)
	if err != nil {
		return err
	}
	v := d.Carry
	switch does {
	case "carry":
		if v.OK() {
			_, err = s.shop.Trade.ChangeBookRules(ctx, func(b *trade.BookRules) { b.Carry = f.carry.V.Carry })
		}
	case "revalue":
		v = d.Revalue
		var booked []ledger.Entry
		rates := closingRates(f.revalue, form.ReaderOf(ctx).Locale)
		if v.OK() {
			if booked, err = s.shop.Trade.Revalue(ctx, f.revalue.V.Day, rates, s.user(ctx)); len(booked) == 0 {
				does = "nothing"
			}
		}
	default:
		return fmt.Errorf("what is to be done with money in other currencies: %w", shop.ErrNotFound)
	}
	if err != nil && !v.Refused(err, map[string]string{"rate": "rates"}) {
		return err
	}
	if !v.OK() {
		w.WriteHeader(http.StatusUnprocessableEntity)
		return page.Money(d).Render(ctx, w)
	}
	http.Redirect(w, r, "/ledger/money?done="+does, http.StatusSeeOther)
	return nil
}

// closingRates reads rates, one a line, as the reader writes figures.
func closingRates(f *form.Form[revalueForm], as say.Locale) map[money.Currency]decimal.Decimal {
	out := map[money.Currency]decimal.Decimal{}
	for line := range strings.Lines(f.V.Rates) {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		code, text, _ := strings.Cut(line, "=")
		currency, err := money.ParseCurrency(strings.TrimSpace(code))
		plain, err2 := as.ReadMeasure(text)
		rate, err3 := ledger.ParseRate(plain)
		if errors.Join(err, err2, err3) != nil {
			f.Wrong(&f.V.Rates, fmt.Sprintf("“%s” is not a rate. Write one a line, such as USD = 0.95.", line))
			continue
		}
		out[currency] = rate
	}
	return out
}

// returnData fills in the return asked for: of the last quarter that is over where none is.
func (s *ledgerPages) returnData(r *http.Request) (page.ReturnData, error) {
	d := page.ReturnData{Head: s.ledgerHead("return", "Tax return"), Forms: ledger.ReturnForms(),
		Period: strings.TrimSpace(r.FormValue("period")), Form: r.FormValue("form")}
	if d.Period == "" {
		now := s.shop.Now()
		last := time.Date(now.Year(), (now.Month()-1)/3*3+1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, -3, 0)
		d.Period = fmt.Sprintf("%d-Q%d", last.Year(), (last.Month()-1)/3+1)
	}
	f, ok := ledger.ReturnFormOf(d.Form)
	if !ok {
		f = d.Forms[0]
	}
	d.Form, d.Source, d.Name = f.ID, f.Source, f.Name
	from, to, ok := ledger.Span(d.Period)
	if !ok {
		d.Problem = fmt.Sprintf("“%s” is not a period. Enter a month, a quarter or a year: 2026-03, 2026-Q1 or 2026.", d.Period)
		return d, nil
	}
	rules, err := s.shop.Trade.BookRules(r.Context())
	if err != nil {
		return d, err
	}
	d.From, d.To, d.State = from, to, string(rules.State(to))
	err = s.shop.Accounts.Books(r.Context(), func(b *ledger.Books) error {
		if d.Boxes, err = b.Return(f, from, to); err != nil {
			return err
		}
		rows, err := b.VAT(from, to)
		d.Corrections = page.SumVAT(rows).Corrections
		return err
	})
	d.Query = "?" + url.Values{"period": {d.Period}, "form": {d.Form}}.Encode()
	return d, err
}

func (s *ledgerPages) returnPage(w http.ResponseWriter, r *http.Request) error {
	d, err := s.returnData(r)
	if err != nil {
		return err
	}
	if d.Problem != "" {
		w.WriteHeader(http.StatusUnprocessableEntity)
	}
	return page.Return(d).Render(r.Context(), w)
}

func (s *ledgerPages) returnCSV(w http.ResponseWriter, r *http.Request) error {
	d, err := s.returnData(r)
	if err != nil || d.Problem != "" {
		return errors.Join(err, s.returnPage(w, r))
	}
	rows := [][]string{{"form", "period", "box", "what", "amount", "currency"}}
	for _, b := range d.Boxes {
		rows = append(rows, []string{d.Form, d.Period, b.Box, b.Name, b.Amount.Amount(), string(s.shop.Currency())})
	}
	return sendRows(w, "return-"+d.Form+"-"+d.Period+".csv", rows)
}

func (s *ledgerPages) openingCSV(w http.ResponseWriter, r *http.Request) error {
	all, err := s.opening(r, r.FormValue("opening"))
	if err != nil {
		return err
	}
	rows := [][]string{{"account", "name", "amount", "currency", "base_amount", "base_currency"}}
	for _, b := range all {
		rows = append(rows, []string{string(b.Account), b.Name, b.Amount.Amount(), string(b.Amount.Currency()), b.Base.Amount(),
			string(s.shop.Currency())})
	}
	return sendRows(w, "opening-"+r.FormValue("opening")+".csv", rows)
}
