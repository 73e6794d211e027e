package bank

import (
	"fmt"
	"io"
	"regexp"
	"strings"

	"github.com/beevik/etree"
	"golang.org/x/text/encoding/ianaindex"

	"midcase/money"
)

// readXML reads CAMT.053 of any version: elements are found by their local names (ISO 20022, Bank to customer
// statement).
func readXML(b []byte) ([]Statement, error) {
	doc := etree.NewDocument()
	doc.ReadSettings.CharsetReader = func(label string, in io.Reader) (io.Reader, error) {
		enc, err := ianaindex.IANA.Encoding(label)
		if err != nil || enc == nil {
			return nil, fmt.Errorf("the encoding %q is not known", label)
		}
		return enc.NewDecoder().Reader(in), nil
	}
	if err := doc.ReadFromBytes(b); err != nil {
		return nil, fmt.Errorf("%w: it is not well-formed XML: %w", ErrStatement, err)
	}
	body := doc.Root()
	if body != nil && body.Tag == "Document" {
		body = child(body, "BkToCstmrStmt")
	}
	if body == nil || body.Tag != "BkToCstmrStmt" {
		return nil, fmt.Errorf("%w: it is no CAMT.053 (BkToCstmrStmt)", ErrStatement)
	}
	var out []Statement
	for _, e := range children(body, "Stmt") {
		s, err := camtStatement(e)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: it has no statement (Stmt)", ErrStatement)
	}
	return out, nil
}

func children(e *etree.Element, tag string) []*etree.Element {
	if e == nil {
		return nil
	}
	var out []*etree.Element
	for _, c := range e.ChildElements() {
		if c.Tag == tag {
			out = append(out, c)
		}
	}
	return out
}

// child is the first element at the end of a path such as Acct/Id/IBAN, nil for none.
func child(e *etree.Element, path string) *etree.Element {
	for tag := range strings.SplitSeq(path, "/") {
		all := children(e, tag)
		if len(all) == 0 {
			return nil
		}
		e = all[0]
	}
	return e
}

// text is the text at the first of the paths that has one.
func text(e *etree.Element, paths ...string) string {
	for _, p := range paths {
		if c := child(e, p); c != nil {
			if s := strings.Join(strings.Fields(c.Text()), " "); s != "" {
				return s
			}
		}
	}
	return ""
}

func camtStatement(e *etree.Element) (Statement, error) {
	s := Statement{ID: text(e, "Id"), Account: text(e, "Acct/Id/IBAN", "Acct/Id/Othr/Id")}
	for _, b := range children(e, "Bal") {
		m, err := camtAmount(b, "Amt")
		if err != nil {
			return s, err
		}
		switch text(b, "Tp/CdOrPrtry/Cd") {
		case "OPBD", "PRCD":
			if s.Opening.IsZero() {
				s.Opening = m
			}
		case "CLBD":
			s.Closing = m
		}
	}
	pending := 0
	for _, n := range children(e, "Ntry") {
		if state := text(n, "Sts/Cd", "Sts"); state != "" && state != "BOOK" {
			pending++
			continue
		}
		lines, err := camtEntry(n)
		if err != nil {
			return s, err
		}
		s.Lines = append(s.Lines, lines...)
	}
	if pending > 0 {
		s.Says = append(s.Says, fmt.Sprintf("%d movements are not booked by the bank yet and are left out.", pending))
	}
	return s, nil
}

// camtAmount reads an amount; the mark of debit beside it makes it a payment out.
func camtAmount(e *etree.Element, path string) (money.Money, error) {
	a := child(e, path)
	if a == nil {
		return money.Money{}, nil
	}
	m, err := money.Parse(strings.TrimSpace(a.Text()), a.SelectAttrValue("Ccy", ""))
	if err != nil {
		return m, fmt.Errorf("%w: %s: %w", ErrStatement, path, err)
	}
	if text(e, "CdtDbtInd") == "DBIT" {
		m = m.Neg()
	}
	return m, nil
}

// isoDay finds the day in a date or in a date with time.
var isoDay = regexp.MustCompile(`^\d{4}-\d{2}-\d{2}`)

func camtEntry(e *etree.Element) ([]Line, error) {
	amount, err := camtAmount(e, "Amt")
	if err != nil {
		return nil, err
	}
	whole := Line{Amount: amount,
		Day:     isoDay.FindString(text(e, "BookgDt/Dt", "BookgDt/DtTm", "ValDt/Dt", "ValDt/DtTm")),
		BankRef: text(e, "AcctSvcrRef", "NtryRef"), Text: text(e, "AddtlNtryInf"), Reversal: text(e,
			"RvslInd") == "true",
		BankFee: text(e, "BkTxCd/Domn/Fmly/SubFmlyCd") == "CHRG" || text(e, "BkTxCd/Domn/Fmly/SubFmlyCd") == "FEES"}
	if amount.IsZero() || whole.Day == "" {
		return nil, fmt.Errorf("%w: a movement (Ntry) has no amount or no day", ErrStatement)
	}
	details := children(child(e, "NtryDtls"), "TxDtls")
	for _, more := range children(e, "NtryDtls")[min(1, len(children(e, "NtryDtls"))):] {
		details = append(details, children(more, "TxDtls")...)
	}
	if len(details) == 0 {
		return []Line{whole}, nil
	}
	var out []Line
	sum := amount.Neg()
	for _, d := range details {
		l, err := camtDetail(whole, d, len(details) == 1)
		if err != nil {
			return nil, err
		}
		out = append(out, l)
		if sum.Currency() == l.Amount.Currency() {
			if sum, err = sum.Add(l.Amount); err != nil {
				return nil, fmt.Errorf("%w: %w", ErrStatement, err)
			}
		}
	}
	if len(details) > 1 && sum.Sign() != 0 { // a batch whose parts are not all told stays one movement
		return []Line{whole}, nil
	}
	return out, nil
}

// camtDetail is one transaction of a movement.
func camtDetail(whole Line, d *etree.Element, only bool) (Line, error) {
	l := whole
	var err error
	if !only {
		part, aerr := camtAmount(d, "Amt")
		if part.IsZero() && aerr == nil {
			part, aerr = camtAmount(d, "AmtDtls/TxAmt/Amt")
		}
		if aerr != nil {
			return l, aerr
		}
		if part.Sign() != 0 && part.Sign() != whole.Amount.Sign() && text(d, "CdtDbtInd") == "" {
			part = part.Neg()
		}
		l.Amount = part
	}
	if l.Original, err = camtAmount(d, "AmtDtls/InstdAmt/Amt"); err != nil {
		return l, err
	}
	if l.Original.IsZero() || l.Original.Currency() == l.Amount.Currency() {
		l.Original = money.Money{}
	} else if l.Original.Sign() != l.Amount.Sign() {
		l.Original = l.Original.Neg()
	}
	for _, c := range append(children(child(d, "Chrgs"), "Rcrd"), children(d, "Chrgs")...) {
		m, err := camtAmount(c, "Amt")
		if err == nil && m.Sign() < 0 && m.Currency() == l.Amount.Currency() && l.Charges.IsZero() {
			l.Charges = m.Neg()
		}
	}
	side := "Dbtr"
	if l.Amount.Sign() < 0 {
		side = "Cdtr"
	}
	l.Name = text(d, "RltdPties/"+side+"/Nm", "RltdPties/"+side+"/Pty/Nm", "RltdPties/Ultmt"+side+"/Nm")
	l.Account = text(d, "RltdPties/"+side+"Acct/Id/IBAN", "RltdPties/"+side+"Acct/Id/Othr/Id")
	l.Reference = text(d, "RmtInf/Strd/CdtrRefInf/Ref", "Refs/EndToEndId")
	if l.Reference == "NOTPROVIDED" {
		l.Reference = ""
	}
	if ref := text(d, "Refs/AcctSvcrRef", "Refs/TxId"); ref != "" {
		l.BankRef = ref
	}
	var said []string
	for _, u := range children(child(d, "RmtInf"), "Ustrd") {
		said = append(said, strings.Join(strings.Fields(u.Text()), " "))
	}
	if n := text(d, "RmtInf/Strd/RfrdDocInf/Nb"); n != "" {
		said = append(said, n)
	}
	if info := text(d, "AddtlTxInf"); len(said) == 0 && info != "" {
		said = append(said, info)
	}
	if len(said) > 0 {
		l.Text = strings.Join(said, " ")
	}
	return l, nil
}
