// Package telling plans what a buyer is told of a watch: which statements, in which
// order, merged where they say the same of several parts.
//
// What goes in: an opinion, the evidence that it was formed from, the reference book and
// how the watch is offered. What comes out: a Plan of sentences in sections, each with
// the evidence that it stands on and what it discloses; Plan.Tell writes it in one form
// (page, catalogue entry, message, post, talk sheet) in the language of a say.Writer.
//
// Every finding of severity 1 or more, every part that does not fit, was probably
// replaced or cannot be told, every sign of polishing, measured loss and repair is
// disclosed. What has to be disclosed is listed apart from what the sentences disclose,
// and a text that leaves any of it out is refused. Text that somebody typed (notes,
// claims, captions, costs) is never told.
//
// It refuses a reference that the book lacks, a watch that nobody examined, one that is
// not for sale, and one that a register reports. Read Make and Plan.Tell first.
package telling
