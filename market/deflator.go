package market

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"sort"
	"strings"
)

// Deflator is a price index by day, month or year, such as a consumer price index.
// Prices divided by it are in the money of its latest period.
type Deflator struct {
	day   []int32
	level []float64
}

// ReadDeflator reads a CSV with a header and two columns: the period (ISO 8601 day,
// month or year) and the level of the index.
func ReadDeflator(r io.Reader) (*Deflator, error) {
	in := csv.NewReader(r)
	in.FieldsPerRecord = 2
	if _, err := in.Read(); err != nil {
		if errors.Is(err, io.EOF) {
			err = errors.New("the file is empty; want a header and two columns, period and level")
		}
		return nil, fmt.Errorf("price index: %w", err)
	}
	d := &Deflator{}
	for {
		rec, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("price index: %w", err)
		}
		line, _ := in.FieldPos(0)
		day, precision, problem := parseDate([]byte(strings.TrimSpace(rec[0])))
		if problem != "" {
			return nil, fmt.Errorf("price index:%d: period %q: want %s", line, excerpt([]byte(rec[0])), problem)
		}
		v, err := parseRate(rec[1])
		if err != nil || v != v {
			return nil, fmt.Errorf("price index:%d: level %q: want a decimal above zero", line, excerpt([]byte(rec[1])))
		}
		d.day, d.level = append(d.day, firstDay(day, precision)), append(d.level, v)
	}
	if len(d.day) == 0 {
		return nil, errors.New("price index: no period in the file")
	}
	sort.Sort(d)
	for k := 1; k < len(d.day); k++ {
		if d.day[k] == d.day[k-1] {
			return nil, fmt.Errorf("price index: %s appears twice", dateText(d.day[k], dayDate))
		}
	}
	return d, nil
}

func (d *Deflator) Len() int           { return len(d.day) }
func (d *Deflator) Less(i, j int) bool { return d.day[i] < d.day[j] }
func (d *Deflator) Swap(i, j int) {
	d.day[i], d.day[j] = d.day[j], d.day[i]
	d.level[i], d.level[j] = d.level[j], d.level[i]
}

// factor is what a price of that day is multiplied by.
func (d *Deflator) factor(day int32) (float64, error) {
	k := sort.Search(len(d.day), func(k int) bool { return d.day[k] > day }) - 1
	if k < 0 {
		return 0, fmt.Errorf("the price index starts on %s", dateText(d.day[0], dayDate))
	}
	return d.level[len(d.level)-1] / d.level[k], nil
}
