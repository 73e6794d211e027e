package examples

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
)

// Example is one watch that was seen.
type Example struct {
	ID        string // where it stands, such as "seen.csv, line 4"
	Maker     string
	Reference string
	Serial    string
	Made      edtf.Date // by papers, an extract or a stamp; zero where only the number dates it
	DatedBy   string    // papers, extract, stamp or other; empty where not said
	Source    string    // where it was seen
	Place     string    // how it reached us: fair, print …; Own for a watch of the shop
	Country   string    // where it was delivered, ISO 3166; empty where not known
	Metal     string
	Sure      float64 // that the parts were named right, 0 to 1; 0 where not said
	Parts     map[evidence.Slot]string
	Key       string // the id of its record, of the watch where Place is Own
}

// Own is the place of a watch of the shop.
const Own = "own"

// KeptOut is an example that cannot be learned from.
type KeptOut struct {
	ID     string `json:"example"`
	Reason string `json:"reason"`
}

// Read reads a table with a row of headings, its cells parted by commas, semicolons or tabs. maker, reference, serial,
// made, dated_by, source, place, country, metal and sure are known; every other heading is a slot (dial, hands, bezel
// …), and its cells name the version seen. Rows that cannot be read are returned with their lines; a table without
// what is needed is an error.
func Read(in io.Reader, name, maker, reference string) ([]Example, []KeptOut, error) {
	buffered := bufio.NewReader(in)
	r := csv.NewReader(buffered)
	r.Comma = separator(buffered)
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	head, err := r.Read()
	if err != nil {
		return nil, nil, fmt.Errorf("%s: no row of headings: %w", name, err)
	}
	columns, err := headings(name, head)
	if err != nil {
		return nil, nil, err
	}
	var out []Example
	var bad []KeptOut
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, bad, nil
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := r.FieldPos(0)
		id := fmt.Sprintf("%s, line %d", name, line)
		e, err := row(id, columns, cells)
		if err != nil {
			bad = append(bad, KeptOut{id, err.Error()})
			continue
		}
		if e.Maker == "" {
			e.Maker = maker
		}
		if e.Reference == "" {
			e.Reference = reference
		}
		if len(e.Parts) > 0 || e.Serial != "" {
			out = append(out, e)
		}
	}
}

// separator is what parts the cells of a table: the sign that its first line has most of.
func separator(in *bufio.Reader) rune {
	head, _ := in.Peek(4096)
	head, _, _ = bytes.Cut(head, []byte("\n"))
	best := ','
	for _, sign := range ";\t" {
		if bytes.Count(head, []byte(string(sign))) > bytes.Count(head, []byte(string(best))) {
			best = sign
		}
	}
	return best
}

// known are the headings that are no slots.
var known = []string{"maker", "reference", "serial", "made", "dated_by", "source", "place", "country", "metal",
	"sure"}

func headings(name string, head []string) ([]string, error) {
	var columns []string
	slots := 0
	for i, h := range head {
		h = strings.ToLower(strings.Join(strings.Fields(strings.TrimPrefix(h, "\ufeff")), "_"))
		switch {
		case slices.Contains(known, h):
		case slices.Contains(evidence.Slots(), evidence.Slot(h)):
			slots++
		default:
			return nil, fmt.Errorf("%s: column %d is called “%s”. Call it %s, or by a slot such as dial or bezel", name, i+1,
				head[i], strings.Join(known, ", "))
		}
		columns = append(columns, h)
	}
	if slots == 0 {
		return nil, fmt.Errorf("%s: no column of a part. Add one, such as dial, with the version seen on each watch", name)
	}
	return columns, nil
}

func row(id string, columns, cells []string) (Example, error) {
	e := Example{ID: id, Parts: map[evidence.Slot]string{}}
	for i, text := range cells {
		text = strings.TrimSpace(text)
		if i >= len(columns) || text == "" {
			continue
		}
		switch columns[i] {
		case "maker":
			e.Maker = text
		case "reference":
			e.Reference = text
		case "serial":
			e.Serial = text
		case "source":
			e.Source = text
		case "dated_by":
			e.DatedBy = strings.ToLower(text)
		case "place":
			e.Place = strings.ToLower(text)
		case "country":
			e.Country = strings.ToUpper(text)
		case "metal":
			e.Metal = text
		case "sure":
			p, err := chance(text)
			if err != nil {
				return e, err
			}
			e.Sure = p
		case "made":
			d, err := edtf.Parse(text)
			if err != nil {
				return e, fmt.Errorf("“%s” is no date of manufacture. Write it as 1968, 1968-05 or 1967/1969", text)
			}
			e.Made = d
		default:
			e.Parts[evidence.Slot(columns[i])] = text
		}
	}
	return e, nil
}

// chance reads how sure somebody was: 0.9, 90 or 90 %.
func chance(text string) (float64, error) {
	figure, percent := strings.CutSuffix(text, "%")
	p, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(figure), ",", ".", 1), 64)
	if err == nil && (percent || p > 1) {
		p /= 100
	}
	if err != nil || !(p > 0 && p <= 1) {
		return 0, fmt.Errorf("“%s” is not how sure one can be. Write it as 90 %% or 0.9", text)
	}
	return p, nil
}

// Of is the example that a watch file makes: its number, what an extract says, and the parts that were named.
func Of(id string, f evidence.File) Example {
	e := Example{ID: id, Maker: f.Maker, Reference: f.Reference, Source: f.Title, Place: Own, Key: f.ID,
		Parts: map[evidence.Slot]string{}}
	for _, m := range evidence.All[*evidence.Mark](f) {
		if m.Data.What == evidence.MarkSerial && e.Serial == "" {
			e.Serial = m.Data.Text
		}
	}
	for _, d := range evidence.All[*evidence.Document](f) {
		if d.Data.What == "archive_extract" && e.Made.IsZero() { // the latest first
			e.Made, e.DatedBy = d.Data.MadeDate, "extract"
		}
		if e.Country == "" {
			e.Country = d.Data.Country
		}
	}
	seen := map[evidence.Slot]bool{}
	for _, p := range evidence.All[*evidence.Fitted](f) {
		if !seen[p.Data.Slot] && !p.Data.Absent && p.Data.Variant != "" {
			e.Parts[p.Data.Slot] = p.Data.Variant
		}
		seen[p.Data.Slot] = true
	}
	return e
}
