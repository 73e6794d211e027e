// Package document puts an opinion on paper: the report on condition and
// originality, the valuation alone, the listing and the identification sheet.
//
// What goes in: a Report, which holds the opinion, the evidence in force, the
// photos and the facts about the shop and the paper itself. What comes out: an A4
// PDF, or the same words as Markdown. Both are written from one list of sections,
// so they cannot say different things. Charts and drawings are drawn as lines, not
// as pictures; the tables beside them say the same.
//
// It refuses to compute: no figure is formed here, only rounded to what its
// interval allows. It refuses to print a file's inside to the outside: what to
// pay, what a seller asks and what work cost are left out unless Report.ForShop is
// set. It keeps no clock: the same Report gives the same bytes.
//
// The contents follow the published contents of appraisal reports and the Object
// ID checklist; docs/methods/report.md lists them page by page with the sources.
//
// Read WritePDF first, then sections.
package document
