// Package proof signs what a shop hands out, so that somebody without the shop can tell whether it was altered.
//
// In go a head of the evidence log (size and root of its hash tree), the bytes of a paper, and the shop's key.
// Out come signed notes (golang.org/x/mod/sumdb/note, Ed25519) and a paper that carries them: who signed, the sum
// of its bytes, the head, and for each item of evidence that the head covers it (tlog.RecordProof).
//
// It refuses a paper that was changed in any byte, also behind its end, and a proof that does not hold. It cannot
// tell whose key it is: that must be known from elsewhere, such as the shop's site. Read Key, then Attach.
package proof
