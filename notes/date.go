package notes

import (
	"fmt"
	"strconv"
	"strings"

	"midcase/edtf"
)

// said is a date found in the text.
type saidDate struct {
	date        edtf.Date
	first, last int
}

// dateNear finds the first date in the few tokens from i on, in the same sentence.
func (r *reader) dateNear(i, ahead int, recent bool) (saidDate, bool) {
	for j := i; j < len(r.all) && j < i+ahead; j++ {
		if r.ends(j) {
			return saidDate{}, false
		}
		if k := r.at[j]; k >= 0 && j > i && r.ev[k].role == isSlot && r.opensAt(k) {
			return saidDate{}, false
		}
		if d, ok := r.dateAt(j, recent); ok {
			return d, true
		}
	}
	return saidDate{}, false
}

// dateAt reads a date that begins at token j: "14 May 1964", "fourteenth of may nineteen
// sixty four", "june sixty five", "Apr '60", "11/24", "1965". A year of two figures is one
// of this century only where something recent is dated and it has begun.
func (r *reader) dateAt(j int, recent bool) (saidDate, bool) {
	t := r.all[j]
	if m, ok := r.Months[t.norm]; ok && t.kind == word {
		return r.afterMonth(j, j, 0, m, recent)
	}
	if d, ok := r.Ordinals[t.norm]; ok || t.kind == figure {
		k := j + 1
		if t.kind == figure {
			d, _ = strconv.Atoi(t.text)
			if k < len(r.all) && r.all[k].joined && strings.Contains(" st nd rd th ", " "+r.all[k].norm+" ") {
				k++
			}
		} else if u, is := r.Ordinals[r.at0(k)]; is && d >= 20 {
			d, k = d+u, k+1
		}
		for r.at0(k) == "of" || r.at0(k) == "." {
			k++
		}
		if m, is := r.Months[r.at0(k)]; is && d >= 1 && d <= 31 {
			return r.afterMonth(j, k, d, m, recent)
		}
	}
	if t.norm == "twenty" || t.norm == "thirty" { // "twenty first of june"
		if u, is := r.Ordinals[r.at0(j+1)]; is && r.at0(j+2) == "of" {
			if m, is := r.Months[r.at0(j+3)]; is {
				d := u + 20
				if t.norm == "thirty" {
					d = u + 30
				}
				return r.afterMonth(j, j+3, d, m, recent)
			}
		}
	}
	if month, year, ok := strings.Cut(t.text, "."); ok && t.kind == figure && r.monthAndYear(j) && onlyDigits(year) {
		if d, ok := r.monthYear(month, year, recent); ok {
			return saidDate{d, j, j}, true
		}
	}
	sep := r.at0(j + 1)
	if t.kind == figure && onlyDigits(t.text) && (sep == "/" || sep == "-" || sep == ".") && j+2 < len(r.all) &&
		r.all[j+2].kind == figure && r.all[j+1].joined &&
		r.all[j+2].joined {
		if d, ok := r.monthYear(t.text, r.all[j+2].text, recent); ok {
			return saidDate{d, j, j + 2}, true
		}
	}
	if strings.ContainsAny(t.text, "'’") && t.kind == mark && r.all[min(j+1, len(r.all)-1)].joined { // "'71"
		if y, last, ok := r.yearAt(j+1, recent, true); ok {
			return made(fmt.Sprintf("%04d", y), j, last)
		}
	}
	if y, last, ok := r.yearAt(j, recent, false); ok {
		return made(fmt.Sprintf("%04d", y), j, last)
	}
	return saidDate{}, false
}

func (r *script) at0(i int) string {
	if i < 0 || i >= len(r.all) {
		return ""
	}
	return r.all[i].norm
}

// afterMonth reads the year behind a month.
func (r *reader) afterMonth(first, monthAt, day, month int, recent bool) (saidDate, bool) {
	k := monthAt + 1
	for k < len(r.all) && r.all[k].kind == mark && strings.Contains(".,'’", r.all[k].text) {
		k++
	}
	y, last, ok := r.yearAt(k, recent, true)
	if !ok {
		return saidDate{}, false
	}
	if day > 0 {
		return made(fmt.Sprintf("%04d-%02d-%02d", y, month, day), first, last)
	}
	return made(fmt.Sprintf("%04d-%02d", y, month), first, last)
}

func made(text string, first, last int) (saidDate, bool) {
	d, err := edtf.Parse(text)
	return saidDate{d, first, last}, err == nil
}

func (r *reader) monthYear(a, b string, recent bool) (edtf.Date, bool) {
	m, errM := strconv.Atoi(a)
	y, errY := strconv.Atoi(b)
	if errM != nil || errY != nil || m < 1 || m > 12 {
		return edtf.Date{}, false
	}
	if len(b) == 2 {
		y = r.century(y, recent)
	} else if len(b) != 4 {
		return edtf.Date{}, false
	}
	d, ok := made(fmt.Sprintf("%04d-%02d", y, m), 0, 0)
	return d.date, ok
}

// yearAt reads a year: four figures, or two where a month stands before them.
func (r *reader) yearAt(j int, recent, short bool) (year, last int, ok bool) {
	if j >= len(r.all) {
		return 0, 0, false
	}
	n, ok := numberAt(r.all, j)
	if !ok || !n.whole() {
		return 0, 0, false
	}
	v, err := strconv.Atoi(n.digits())
	if err != nil {
		return 0, 0, false
	}
	if n.spoken && len(n.pieces) > 2 { // "sixty four no box": the year alone was meant
		return 0, 0, false
	}
	switch {
	case v >= 1850 && v <= 2099 && len(n.digits()) == 4:
		return v, n.last, true
	case short && v >= 10 && v <= 99 && len(n.pieces) == 1:
		return r.century(v, recent), n.last, true
	case short && n.spoken && len(n.pieces) == 2 && len(n.pieces[0]) == 2: // "sixty five number agrees" cannot be
		return 0, 0, false
	}
	return 0, 0, false
}

// century makes a year of two figures whole.
func (r *reader) century(y int, recent bool) int {
	this := r.opt.Year % 100
	if r.opt.Year == 0 {
		this = 40
	}
	if recent && y <= this {
		return 2000 + y
	}
	return 1900 + y
}
