package opinion

import (
	"slices"

	"midcase/say"
)

// Verdicts on a part, always in these words. CannotTell is said of chances between 40 and
// 60 % alone; a part that nobody looked at, or of which no book speaks, is not judged.
const (
	Fits             = "fits"
	ProbablyOriginal = "probably original"
	CannotTell       = "cannot tell"
	ProbablyReplaced = "probably replaced"
	DoesNotBelong    = "does not belong"
	Redone           = "surface redone"
	Missing          = "missing"
	NotExamined      = "not examined"
	NotJudged        = "not judged"
)

// Verdicts lists the verdicts, the best first and what is open last.
func Verdicts() []string {
	return []string{Fits, ProbablyOriginal, Redone, CannotTell, ProbablyReplaced, DoesNotBelong, Missing, NotExamined,
		NotJudged}
}

// Troubles are the verdicts that a buyer has to hear of, the gravest first.
func Troubles() []string { return []string{DoesNotBelong, ProbablyReplaced, Redone, Missing} }

// IsTrouble reports whether a buyer has to hear of a verdict.
func IsTrouble(verdict string) bool { return slices.Contains(Troubles(), verdict) }

// VerdictSays is a verdict as a word of the trade.
func VerdictSays(verdict string) say.Statement {
	return say.That("phrase.word", say.Term("word", "verdict", verdict, verdict))
}

// The chances from which a verdict is given, the same everywhere.
const (
	fitsFrom      = 0.80
	probablyFrom  = 0.60
	maybeFrom     = 0.40
	doesNotFitTil = 0.05
	namedRightTil = 0.80 // below this chance that the name is right, look again
)

// verdictBy is the verdict by the chance that the part is the original one.
func verdictBy(chance float64) string {
	switch {
	case chance >= fitsFrom:
		return Fits
	case chance >= probablyFrom:
		return ProbablyOriginal
	case chance >= maybeFrom:
		return CannotTell
	}
	return ProbablyReplaced
}

// formerVerdicts are the words of opinions that were kept before the words changed.
var formerVerdicts = map[string]string{"probably later": ProbablyReplaced, "does not fit": DoesNotBelong}
