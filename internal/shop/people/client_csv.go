package people

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"midcase/internal/shop"
	"midcase/money"
	"midcase/typed"
)

// clientFields are what a column of a client file can hold, with further names by which
// a header is known.
var clientFields = map[string][]string{
	"name": {"full name", "display name"}, "email": {"e-mail", "email address", "mail"}, "phone": {"telephone", "tel",
		"mobile"}, "country": {"country code"},
	"kind": {"type"}, "language": {}, "note": {"notes", "remarks"}, "street": {"address"}, "city": {"town"}, "region": {"state", "county"}, "post_code": {"zip", "postcode", "postal code"},
	"want_maker": {}, "want_reference": {}, "want_family": {}, "want_metal": {}, "want_budget": {},
}

// ClientFields lists what a column of a client file can hold.
func CSVFields() []string { return slices.Sorted(maps.Keys(clientFields)) }

// ReadClientCSV reads a client file: UTF-8 with a header row. mapping names the column of a
// field, for files with headers of their own; a field without one is found by its name. Bad
// rows are told with their line.
func ReadCSV(r io.Reader, mapping map[string]string) ([]shop.Client, []ImportProblem, error) {
	in, head, err := clientCSV(r)
	if err != nil {
		return nil, nil, err
	}
	columns, err := clientColumns(head, mapping)
	if err != nil {
		return nil, nil, err
	}
	var out []shop.Client
	var bad []ImportProblem
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			return out, bad, nil
		}
		if err != nil {
			return nil, nil, fmt.Errorf("client file: %w", err)
		}
		for i, cell := range row {
			row[i] = typed.FromCell(cell)
		}
		line, _ := in.FieldPos(0)
		c, err := clientRow(columns, row)
		if err == nil {
			err = checkClient("row", c)
		}
		if err != nil {
			bad = append(bad, ImportProblem{line, err.Error()})
			continue
		}
		out = append(out, c)
	}
}

// clientCSV begins to read a client file: its columns are divided by the comma, the
// semicolon or the tab, whichever the header row holds most of.
func clientCSV(r io.Reader) (*csv.Reader, []string, error) {
	b := bufio.NewReader(r)
	start, err := b.Peek(4096)
	if len(start) == 0 {
		return nil, nil, fmt.Errorf("the client file is empty; give one with a row of headings: %w", err)
	}
	line, _, _ := strings.Cut(string(start), "\n")
	in := csv.NewReader(b)
	in.FieldsPerRecord = -1
	for _, c := range ";\t" {
		if strings.Count(line, string(c)) > strings.Count(line, string(in.Comma)) {
			in.Comma = c
		}
	}
	head, err := in.Read()
	if err != nil {
		return nil, nil, fmt.Errorf("client file: header row: %w", err)
	}
	for i, h := range head {
		head[i] = strings.TrimSpace(strings.TrimPrefix(strings.ToValidUTF8(h, "\uFFFD"), "\uFEFF"))
	}
	return in, head, nil
}

// ClientCSVColumns reads the header row of a client file and the first row under it, and
// tells which column each field is found in by its name.
func CSVColumns(r io.Reader) (head, first []string, found map[string]string, err error) {
	in, head, err := clientCSV(r)
	if err != nil {
		return nil, nil, nil, err
	}
	if first, err = in.Read(); err != nil && !errors.Is(err, io.EOF) {
		return nil, nil, nil, fmt.Errorf("client file: %w", err)
	}
	found = map[string]string{}
	for field, i := range columnsByName(columnPlaces(head)) {
		found[field] = head[i]
	}
	return head, first, found, nil
}

func columnPlaces(head []string) map[string]int {
	place := map[string]int{}
	for i, h := range head {
		place[strings.ToLower(h)] = i
	}
	return place
}

// columnsByName finds the fields whose column has their name.
func columnsByName(place map[string]int) map[string]int {
	out := map[string]int{}
	for field, also := range clientFields {
		for _, name := range append([]string{field, strings.ReplaceAll(field, "_", " ")}, also...) {
			if i, ok := place[name]; ok && !has(out, field) {
				out[field] = i
			}
		}
	}
	return out
}

// clientColumns finds the column of each field. A field that is mapped to no column is
// left out.
func clientColumns(head []string, mapping map[string]string) (map[string]int, error) {
	place := columnPlaces(head)
	out := columnsByName(place)
	for field, column := range mapping {
		if _, ok := clientFields[field]; !ok {
			return nil, fmt.Errorf("client file: field %q: want one of %s", field, strings.Join(CSVFields(), ", "))
		}
		if column == "" {
			delete(out, field)
			continue
		}
		i, ok := place[strings.ToLower(strings.TrimSpace(column))]
		if !ok {
			return nil, fmt.Errorf("client file: column %q for %s: not in the header row: %s", column, field,
				strings.Join(head, ", "))
		}
		out[field] = i
	}
	if !has(out, "name") {
		return nil, fmt.Errorf("client file: no column for the name in the header row: %s", strings.Join(head, ", "))
	}
	return out, nil
}

func has(m map[string]int, k string) bool { _, ok := m[k]; return ok }

func clientRow(columns map[string]int, row []string) (shop.Client, error) {
	get := func(field string) string {
		if i, ok := columns[field]; ok && i < len(row) {
			return strings.TrimSpace(strings.ToValidUTF8(row[i], "\uFFFD"))
		}
		return ""
	}
	c := shop.Client{Name: oneLine(get("name")), Email: get("email"), Phone: get("phone"), Country: strings.ToUpper(get("country")), Kind: strings.ToLower(get("kind")), Language: get("language"), Note: get("note"),
		Address: shop.Address{Street: get("street"), City: get("city"), Region: get("region"),
			PostCode: get("post_code")}}
	w := shop.Want{Maker: get("want_maker"), Reference: get("want_reference"), Family: get("want_family"),
		Metal: get("want_metal")}
	if b := get("want_budget"); b != "" {
		amount, currency, ok := strings.Cut(b, " ")
		m, err := money.Parse(amount, currency)
		if !ok || err != nil {
			return c, fmt.Errorf("want_budget: “%s” will not do; give an amount such as 5000 EUR", b)
		}
		w.Budget = m
	}
	if w != (shop.Want{}) {
		c.Wants = []shop.Want{w}
	}
	return c, nil
}
