// Package market says what a watch is worth, how sure that is, and what each
// feature adds, from records of past sales.
//
// In: a table of sales (ReadCSV, NewTable), exchange rates (ReadRates) and
// Options. Out: a Model (Fit), and from it a Valuation on a stated basis, a price
// index, premium curves, comparables with their adjustment grid, suspect rows and
// a back-test. The package has no clock, no file and no state; it never changes
// the table that it is given.
//
// The model is a linear mixed model of log price with Student-t errors: maker,
// family, reference and variant are nested random effects; the market by quarter
// and each metal against the commonest one are random walks; dial, completeness,
// venue with basis, and country are random effects; condition, originality and
// year of making are slopes. Variance components are restricted maximum
// likelihood estimates by the generalised Fellner-Schall update (Wood and
// Fasiolo 2017, from memory) on the working model of Fisher scoring for t errors (Lange,
// Little and Taylor 1989). docs/methods/market.md has the formulas.
//
// It refuses to value without sales, to mix currencies without a rate, and to
// drop a doubtful sale silently: such a sale weighs little and is listed by
// Suspects.
//
// Read Fit first, then Model.Value.
package market
