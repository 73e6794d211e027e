// Package notes reads what a dealer wrote or dictated about one watch and proposes
// items of evidence. It takes dictation as a telephone's keyboard writes it (no
// punctuation, figures in words, slips), typed shorthand, loose prose and the texts of
// catalogues, and the reference book for the names of versions. It returns proposals,
// each standing on words of the text, and lists the words that it did not read.
//
// It records nothing and guesses nothing: where the notes leave open what the record
// needs (the position of a rate, the severity of a finding), it asks. A fault that the
// notes deny is never proposed as that fault. What somebody else says becomes a claim.
//
// German, French and Italian are put into English word by word first (glossary.json) and
// read by the same rules.
//
// Negation and its reach follow NegEx (Chapman et al., Journal of Biomedical Informatics
// 34, 2001, 301–310), who says it and when follow ConText (Harkema et al., ibid. 42,
// 2009, 839–851), with rules of our own for text without punctuation.
//
// ReadBook does the same for what somebody wrote down about makers and references: it
// proposes entries of the reference book.
//
// Read first: Read, ReadBook.
package notes
