// Package bank reads bank statements and proposes which open sums their lines pay.
//
// Bytes of a CAMT.053 file (ISO 20022 XML, any version) or of a table (CSV, TSV, XLSX) go in, and Statements come out:
// days as ISO 8601, amounts above zero for money that came in. What does not add up is said, never mended. Match takes
// lines and open items and returns proposals, each with how sure it is and why. It records nothing and books nothing.
//
// Read first: Statement, Read, Match.
package bank
