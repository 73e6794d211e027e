// Package publish makes the pages that others read: a static site of what is for sale, with a list, a page for each
// watch in each language, feeds, a sitemap and data of schema.org. The words are those of package telling, so that a
// page says every fault that the listing says.
//
// In come watches with what is told of them and their pictures; out come files by path. Write brings a folder up to
// date: what is the same stays as it is, and what is no longer for sale goes. It refuses a folder that holds files it
// did not write. Read Site first, then Write.
package publish
