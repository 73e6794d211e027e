package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/govalues/decimal"

	"midcase/internal/einvoice"
	"midcase/money"
)

type readInvoiceCmd struct {
	output
	File string `arg:"" help:"XML file; - is standard input."`
}

// errBroken makes the command fail where an e-invoice breaks rules; they were printed.
var errBroken = errors.New("it breaks rules of EN 16931")

// Run prints what an e-invoice says.
func (c readInvoiceCmd) Run(a *app) error {
	b, err := a.readBytes(c.File, einvoice.MostBytes)
	if err != nil {
		return err
	}
	v, err := einvoice.Read(b)
	if err != nil {
		return fmt.Errorf("%s: %w", c.File, err)
	}
	broken := einvoice.Check(v)
	err = c.print(a, map[string]any{"invoice": v, "broken": filled(broken)}, nil, func() error {
		if err := a.table(invoiceRows(v)); err != nil {
			return err
		}
		for _, b := range broken {
			fmt.Fprintf(a.out, "breaks %s: %s\n", b.Rule, b.Says)
		}
		return nil
	})
	if err == nil && len(broken) > 0 {
		return errBroken
	}
	return err
}

// readBytes reads a file or standard input, at most so much.
func (a *app) readBytes(file string, most int64) ([]byte, error) {
	in := a.in
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	b, err := io.ReadAll(io.LimitReader(in, most+1))
	if err == nil && int64(len(b)) > most {
		err = fmt.Errorf("%s is larger than %d MB", file, most>>20)
	}
	return b, err
}

// invoiceRows is an e-invoice in rows of name and value.
func invoiceRows(v einvoice.Invoice) [][]string {
	kind := "Invoice"
	if v.Kind == einvoice.CreditNote {
		kind = "Credit note"
	}
	var out [][]string
	add := func(name, value string) {
		if value != "" {
			out = append(out, []string{name, value})
		}
	}
	in := func(d decimal.NullDecimal) string {
		if !d.Valid {
			return ""
		}
		if m, err := money.Parse(d.Decimal.String(), v.Currency); err == nil {
			return m.Amount() + " " + v.Currency
		}
		return d.Decimal.String() + " " + v.Currency
	}
	add(kind, fmt.Sprintf("%s of %s", v.Number, v.Issued))
	add("Takes back", strings.Join(v.Cancels, ", "))
	add("Seller", partyLine(v.Seller))
	add("Buyer", partyLine(v.Buyer))
	add("Supplied", v.Supplied)
	add("Delivered to", v.DeliveredTo)
	for _, l := range v.Lines {
		add("Line "+l.ID, strings.Join(strings.Fields(fmt.Sprintf("%s %s %s, %s", in(l.Net), l.Name, factsLine(l.Facts),
			category(l.Category, l.Rate))), " "))
	}
	for _, x := range v.Adjustments {
		name := "Allowance"
		if x.Charge {
			name = "Charge"
		}
		add(name, in(x.Amount)+" "+x.Reason)
	}
	for _, t := range v.Taxes {
		add("Tax", strings.TrimSpace(fmt.Sprintf("%s on %s, %s %s %s", in(t.Amount), in(t.Taxable),
			category(t.Category, t.Rate), t.WhyCode, t.Why)))
	}
	add("Without tax", in(v.Totals.Net))
	add("With tax", in(v.Totals.Gross))
	add("Paid", in(v.Totals.Prepaid))
	add("Rounding", in(v.Totals.Rounding))
	add("Due", in(v.Totals.Due))
	add("Due on", v.DueDay)
	add("Account", v.Account)
	add("Terms", v.PayBy)
	for _, n := range v.Notes {
		add("Note", n)
	}
	return out
}

func partyLine(p einvoice.Party) string {
	parts := append([]string{p.Name}, p.Street...)
	for _, s := range []string{strings.TrimSpace(p.PostCode + " " + p.City), p.Region, p.Country} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	for _, n := range []string{p.VAT, p.TaxNumber} {
		if n != "" {
			parts = append(parts, "tax number "+n)
		}
	}
	return strings.Join(parts, ", ")
}

func factsLine(facts []einvoice.Fact) string {
	var out []string
	for _, f := range facts {
		out = append(out, f.Name+" "+f.Value)
	}
	if len(out) == 0 {
		return ""
	}
	return "(" + strings.Join(out, ", ") + ")"
}

// category is a category of VAT in words.
func category(code string, rate decimal.NullDecimal) string {
	words := map[string]string{einvoice.Standard: "standard rate", einvoice.ZeroRated: "zero rate",
		einvoice.Exempt: "exempt", einvoice.ReverseCharge: "reverse charge", einvoice.Export: "export",
		einvoice.IntraCommunity: "supply within the Community", einvoice.OutOfScope: "not subject to tax"}[code]
	s := strings.TrimSpace(code + " " + words)
	if rate.Valid && !rate.Decimal.IsZero() {
		s += " " + rate.Decimal.Trim(0).String() + " %"
	}
	return s
}
