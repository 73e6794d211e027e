// Package blobs keeps pictures and sound in a folder of files, each named by the
// SHA-256 of its bytes.
//
// What goes in: bytes from a reader, with a limit. What comes out: their name, and
// the bytes again. A name acknowledged by Put is whole and on the disk; a file that
// was interrupted is never seen under a name, and one that was damaged is not handed out.
//
// It refuses to change what is kept, since another content has another name, and
// names that are not 64 lower-case hexadecimal digits, so that no name leads out of
// the folder. It does not look into the bytes: what a picture is, is others' work.
//
// The file of blob abcdef… is FOLDER/ab/cd/abcdef…; FOLDER/incoming holds what is
// being written. SHA-256 is that of FIPS 180-4. Read Dir first, then Put.
package blobs
