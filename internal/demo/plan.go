package demo

import (
	"midcase/edtf"
	"midcase/internal/shop"
)

// Problem is something planted in a watch for the program to find.
type Problem string

// What is planted in the watches.
const (
	WrongPeriodHands   Problem = "wrong_period_hands"
	SwappedBracelet    Problem = "swapped_bracelet"
	RefinishedDial     Problem = "refinished_dial"
	SerialDoesNotFit   Problem = "serial_does_not_fit"
	PolishedCase       Problem = "polished_case"
	WrongKaratBracelet Problem = "wrong_karat_bracelet"
	WrongCalibre       Problem = "wrong_calibre"
	EndPiecesDoNotFit  Problem = "end_pieces_do_not_fit"
	LateClasp          Problem = "late_clasp"
	ServiceDial        Problem = "service_dial"
	Relume             Problem = "relume"
	WaterDamage        Problem = "water_damage"
	PapersDoNotMatch   Problem = "papers_do_not_match"
)

// planned is one watch of the stock before chance has had its say.
type planned struct {
	maker, reference string
	made             string // month; "" leaves it to chance
	set              string // watch, papers or full
	wear             int    // 0 next to none to 3 heavy
	state            shop.State
	problems         []Problem
	part             string // the bracelet, end piece, calibre or case back that is planted
	works            string // the works that fitted the case back, which is then right
}

func (p planned) has(problem Problem) bool {
	for _, q := range p.problems {
		if q == problem {
			return true
		}
	}
	return false
}

func (p planned) month() (edtf.Month, bool) {
	if p.made == "" {
		return 0, false
	}
	m, err := edtf.ParseMonth(p.made)
	return m, err == nil
}

func problems(p ...Problem) []Problem { return p }

// stock is what the shop holds. The order is that of the file numbers.
var stock = []planned{
	{"corvane", "KR-1", "1968-05", "papers", 1, shop.Listed, nil, "back-b", "main"},
	{"corvane", "KR-1", "1964-08", "watch", 2, shop.Bought, problems(WrongPeriodHands), "hands-baton", ""},
	{"corvane", "KR-2", "1965-09", "watch", 1, shop.Listed, problems(SwappedBracelet), "B-325", ""},
	{"corvane", "KR-1", "1965-02", "watch", 3, shop.Offered, problems(PolishedCase), "", ""},
	{"corvane", "KR-8-18", "1967-03", "full", 1, shop.Listed, problems(WrongKaratBracelet), "B-314", ""},
	{"corvane", "KV-1", "1974-10", "watch", 1, shop.AtWorkshop, problems(WrongCalibre), "C-41B", ""},
	{"corvane", "KR-2", "1969-06", "watch", 2, shop.Offered, problems(EndPiecesDoNotFit), "E-18", ""},
	{"corvane", "KR-8-14", "1965-11", "watch", 1, shop.Consigned, problems(LateClasp), "", ""},
	{"halmstedt-roy", "611", "1966-10", "watch", 1, shop.Listed, problems(RefinishedDial), "", ""},
	{"ostrel", "OS-11", "1968-04", "watch", 2, shop.Bought, problems(SerialDoesNotFit), "", ""},
	{"ostrel", "OS-10", "1964-03", "watch", 1, shop.Listed, problems(ServiceDial), "", ""},
	{"lindqvarn", "L-220", "1968-02", "watch", 1, shop.Listed, problems(Relume), "", ""},
	{"halmstedt-roy", "620", "1973-05", "watch", 2, shop.AtWorkshop, problems(WaterDamage), "", ""},
	{"ostrel", "OS-20", "1989-03", "full", 0, shop.Listed, problems(PapersDoNotMatch), "", ""},
	{"brackwell", "880", "1963-02", "watch", 3, shop.Offered, problems(PolishedCase, WrongPeriodHands),
		"hands-baton", ""},
	{"corvane", "KR-1", "1969-03", "full", 0, shop.Listed, nil, "back-a", "northern"},
	{"corvane", "KR-1", "1963-11", "watch", 1, shop.Bought, nil, "", ""},
	{"corvane", "KR-1", "1966-06", "watch", 2, shop.Listed, nil, "", ""},
	{"corvane", "KR-2", "1967-10", "papers", 0, shop.Reserved, nil, "", ""},
	{"corvane", "KR-2", "1970-02", "watch", 1, shop.Listed, nil, "", ""},
	{"corvane", "KR-8-18", "1966-01", "watch", 2, shop.Listed, nil, "", ""},
	{"corvane", "KR-8-18", "1970-05", "full", 1, shop.Consigned, nil, "", ""},
	{"corvane", "KR-8-14", "1967-07", "watch", 1, shop.Listed, nil, "", ""},
	{"corvane", "KV-1", "1971-09", "watch", 1, shop.Sold, nil, "", ""},
	{"corvane", "KV-1", "1977-02", "full", 0, shop.Listed, nil, "", ""},
	{"corvane", "KV-3", "1975-06", "watch", 2, shop.Offered, nil, "", ""},
	{"corvane", "KD-1", "", "watch", 1, shop.Listed, nil, "", ""},
	{"corvane", "KD-2", "", "watch", 2, shop.Photographed, nil, "", ""},
	{"corvane", "KD-5", "", "watch", 1, shop.Listed, nil, "", ""},
	{"halmstedt-roy", "610", "1959-08", "watch", 1, shop.Listed, nil, "", ""},
	{"halmstedt-roy", "610", "1958-03", "papers", 2, shop.OnMemo, nil, "", ""},
	{"halmstedt-roy", "611", "1964-05", "watch", 1, shop.Listed, nil, "", ""},
	{"halmstedt-roy", "611", "1968-01", "watch", 2, shop.Offered, nil, "", ""},
	{"halmstedt-roy", "620", "1970-04", "full", 0, shop.Listed, nil, "", ""},
	{"halmstedt-roy", "620", "1975-11", "watch", 1, shop.Sold, nil, "", ""},
	{"halmstedt-roy", "628", "1973-09", "papers", 1, shop.Listed, nil, "", ""},
	{"halmstedt-roy", "205", "", "watch", 1, shop.Sold, nil, "", ""},
	{"halmstedt-roy", "206", "", "watch", 2, shop.Offered, nil, "", ""},
	{"halmstedt-roy", "210", "1959-05", "watch", 0, shop.Listed, nil, "", ""},
	{"ostrel", "OS-10", "1961-09", "watch", 2, shop.Listed, nil, "", ""},
	{"ostrel", "OS-11", "1971-08", "watch", 1, shop.Reserved, nil, "", ""},
	{"ostrel", "OS-11", "1967-02", "papers", 1, shop.Listed, nil, "", ""},
	{"ostrel", "OS-13", "", "watch", 2, shop.Bought, nil, "", ""},
	{"ostrel", "OS-20", "1993-06", "full", 0, shop.Listed, nil, "", ""},
	{"ostrel", "330", "", "watch", 2, shop.Offered, nil, "", ""},
	{"ostrel", "332", "", "watch", 1, shop.Sold, nil, "", ""},
	{"ostrel", "340", "", "watch", 1, shop.AtWorkshop, nil, "", ""},
	{"quillard", "QC-1", "1943-05", "watch", 2, shop.Listed, nil, "", ""},
	{"quillard", "QC-2", "1946-02", "watch", 1, shop.Consigned, nil, "", ""},
	{"quillard", "QC-5", "1955-10", "watch", 1, shop.Listed, nil, "", ""},
	{"quillard", "QB-2", "1938-07", "watch", 2, shop.PartShare, nil, "", ""},
	{"quillard", "QB-4", "", "papers", 1, shop.Sold, nil, "", ""},
	{"lindqvarn", "L-101", "", "watch", 2, shop.Offered, nil, "", ""},
	{"lindqvarn", "L-102", "", "watch", 1, shop.Listed, nil, "", ""},
	{"lindqvarn", "L-221", "1977-08", "watch", 1, shop.Listed, nil, "", ""},
	{"lindqvarn", "L-224", "1987-04", "full", 0, shop.Listed, nil, "", ""},
	{"brackwell", "850", "1940-02", "watch", 3, shop.Bought, nil, "", ""},
	{"brackwell", "852", "", "watch", 1, shop.Sold, nil, "", ""},
	{"brackwell", "881", "1972-06", "watch", 1, shop.Sold, nil, "", ""},
	{"brackwell", "888", "1969-11", "full", 1, shop.Consigned, nil, "", ""},
}
