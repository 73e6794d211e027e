// Package refbook is the reference book: what is known about makers, references,
// calibres and parts, kept as YAML that people write and check.
//
// What goes in: a folder of YAML files, one a maker, read strictly by Load. What
// comes out: a Book of plain values to look things up in; Compare, which tells two
// references apart; Learn, which finds the windows of variants from examples seen.
//
// It refuses a file with anything wrong in it: unknown keys, empty or overlapping
// windows, anchors out of order and references to nothing are each reported with
// file, line and a hint. Every fact may name its source; a book without sources is
// allowed and says so.
//
// Read Reference first, then Load. The YAML is described in
// docs/schema/refbook.schema.json, which an editor can use.
package refbook
