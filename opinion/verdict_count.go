package opinion

import "midcase/say"

// CountSays says of how many parts a verdict is given.
func CountSays(verdict string, n int) say.Statement {
	switch verdict {
	case Fits:
		return say.That("watches.fits", say.Count("n", n))
	case ProbablyOriginal:
		return say.That("watches.probably-original", say.Count("n", n))
	case Redone:
		return say.That("watches.surface-redone", say.Count("n", n))
	case ProbablyReplaced:
		return say.That("watches.probably-replaced", say.Count("n", n))
	case DoesNotBelong:
		return say.That("watches.does-not-belong", say.Count("n", n))
	case Missing:
		return say.That("watches.missing", say.Count("n", n))
	case NotExamined:
		return say.That("watches.not-examined", say.Count("n", n))
	case NotJudged:
		return say.That("watches.not-judged", say.Count("n", n))
	}
	return say.That("watches.cannot-tell", say.Count("n", n))
}
