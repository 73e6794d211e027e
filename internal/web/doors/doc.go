// Package doors decides which requests come in before anybody is asked for a name.
//
// In go the names under which the shop is served and the key of this run; out come handlers to put
// in front of the pages. They refuse a request for a host that is not the shop's (421), so that a
// page of another site which was pointed at this machine finds nothing, and one without the key
// (401) where nobody signs in.
//
// Read Hosts first, then Key.
package doors
