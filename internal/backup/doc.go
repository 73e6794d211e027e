// Package backup keeps copies of a whole shop elsewhere, in a folder or in S3 storage, and makes a shop of
// them again.
//
// In go an open shop and a place; out comes a snapshot: a manifest that names every file (a consistent copy of
// the database, the pictures and sounds, the book with its history) by the SHA-256 of its bytes, with the head of
// the log and the counts of the records. A file that the place has already is not sent again. With a
// recipient of age, files are encrypted before they leave the machine. Old snapshots are removed by a fixed rule.
//
// Restore writes into a new folder and says done only after all of it was checked, against the manifest and
// by package check. Keys are not copied unless asked for, and then only encrypted: a key beside what it opens
// protects nothing.
//
// It refuses to restore over a shop, and a snapshot of which a file is missing or is not what its name
// says. A file that was damaged before the backup is named and left out. Read Make, then Restore.
package backup
