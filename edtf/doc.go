// Package edtf reads and writes dates that may be vague, in the Extended
// Date/Time Format, level 1 (Library of Congress, 2019; ISO 8601-2), and counts
// months.
//
// What goes in: a string such as "1968", "1968-05", "196X", "1965~",
// "1962/1965" or "1962/..". What comes out: a Date that keeps its text as
// written and knows the first and the last day that it may mean. A vague date is
// never made sharper than it was written.
//
// It refuses level 2 forms (sets, per-component qualifiers, significant digits),
// times of day, years before 0000 or of more than four digits, and the superseded
// forms of 2012 (u, ?~, unknown, open), each with an error that says what would be
// right.
//
// Read Parse first. Month, a count of months, is what the computing packages
// calculate with.
package edtf
