// Package hand keeps what a dealer writes with his own hand honest: it checks an edited
// listing, message or post against the evidence, and merges it with what the program
// would tell once the opinion has changed.
//
// What goes in: a telling.Subject, what telling tells of it in one form and language, and
// the edited text. Check gives marks (claims that nothing supports or that something
// contradicts, adjectives without a finding, rarity without a count, private matters),
// each with why and the evidence, and the disclosures that the text leaves out. Apply
// makes a telling.Told of the text. Merge joins three versions sentence by sentence.
//
// Claims in English are read by package notes, the one reader of what people write. In
// the other languages words, figures and disclosures are checked. A sentence as the
// program wrote it is never marked.
//
// It refuses nothing and changes no figure; a text with a disclosure left out, or with a
// private matter, is not fit to be published (Report.Fit). Read Check and Merge first.
package hand
