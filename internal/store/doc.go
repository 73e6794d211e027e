// Package store keeps the shop's records in one SQL database: the stock list, the
// evidence log, the sales, the clients, kept opinions and settings, on SQLite (one
// file, no server) or on PostgreSQL.
//
// What goes in: the records of package shop and items of package evidence. What
// comes out: the same, exactly as kept; a price keeps its decimals, an item its JSON
// bytes. A change is kept as a whole or not at all, and is on the disk when the method
// returns. There is one writer at a time; readers do not wait.
//
// It refuses to change or delete evidence: triggers make the log append-only, and its
// records form a Merkle tree in the shape of RFC 9162 (golang.org/x/mod/sumdb/tlog),
// so that Verify names a record that was changed or is missing. It refuses a stale
// version of a watch or client, and keeps every change in a history from which Rebuild
// makes the stock list again. It does not judge what the records say: that is package
// shop's.
//
// Read Open first, then Append. The tests of storetest say what every store must do;
// docs/decisions/0002-one-sql-two-engines.md and 0003-append-only-log.md say why.
package store
