package document_test

import (
	"os"
	"time"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/opinion"
)

// The identification sheet of an invented watch about which little is known.
func ExampleWriteIdentificationMarkdown() {
	r := document.Report{
		Opinion: opinion.Opinion{Watch: opinion.Watch{Title: "Askelund Skerry KR-1", Maker: "Askelund",
			Reference: "KR-1", InBook: true, Set: "watch"}, AsOf: "2026-02-21"},
		Items: []evidence.Item{{ID: "ev_1", At: time.Date(2026, 2, 20, 9, 0, 0, 0, time.UTC), By: "A. Ferrand",
			Data: &evidence.Mark{What: evidence.MarkSerial, Slot: evidence.Case, Text: "1 204 417"}}},
		Number: "107", Shop: document.Shop{Name: "Marrow Lane Watches"}, Issued: time.Date(2026, 2, 21, 0, 0, 0, 0,
			time.UTC),
		Purpose: "register of property", IntendedUser: "the owner",
	}
	if err := document.WriteIdentificationMarkdown(os.Stdout, r); err != nil {
		panic(err)
	}
	// Output:
	// # Askelund Skerry KR-1
	//
	// **Identification sheet**
	//
	// Wristwatch: Askelund Skerry KR-1.
	//
	// | | |
	// | --- | --- |
	// | Serial number | “1 204 417” (case) |
	// | Reference | KR-1 |
	// | Made | cannot tell |
	// | File | 107 |
	// | As of | 21 Feb 2026 |
	// | Issued | 21 Feb 2026 |
	// | For the use of | the owner |
	// | Purpose | register of property |
	//
	// _A description by which the watch can be recognised. It states no value and proves no title._
	//
	// Marrow Lane Watches
	//
	// ## Identification
	//
	// **Wristwatch: Askelund Skerry KR-1.**
	//
	// | | |
	// | --- | --- |
	// | Type of object | wristwatch, mechanical |
	// | Materials, techniques | not stated |
	// | Measurements | not measured |
	// | Inscriptions, markings | serial number “1 204 417” (case) \[1\] |
	// | Distinguishing features | none recorded |
	// | Title | Askelund Skerry KR-1 |
	// | Date or period | cannot tell |
	// | Maker | Askelund |
	// | Description | not described |
	// | Inventory number | 107 |
	// | Related material | the watch alone |
	// | Date documented | 21 Feb 2026 |
	//
	// ## Photographs
	//
	// **No photographs.**
	//
	// ## What the figures rest on
	//
	// **The numbers in the margin refer to this list: plain numbers are evidence, B is the reference book, S sales, G given settings.**
	//
	// **Evidence, latest first**
	//
	// |  | What was seen, measured or received | Item | Recorded | By |
	// | ---: | --- | --- | --- | --- |
	// | 1 | Serial number on the case: “1 204 417”. | ev_1 | 20 Feb 2026 | A. Ferrand |
}
