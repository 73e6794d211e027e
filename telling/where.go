package telling

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"midcase/say"
)

// places are the places on a part that each catalogue has a word for. Other words that
// somebody typed are not told: they would stay in one language, and nobody has looked
// at what else they say.
var places = []string{"along_the_edge", "near_the_middle", "at_the_edge", "in_the_centre", "all_over", "all_four_lugs",
	"upper_left_lug", "upper_right_lug", "lower_left_lug", "lower_right_lug", "upper_lugs", "lower_lugs", "left_flank",
	"right_flank", "inside", "outside", "near_the_crown", "round_the_centre", "keyless_works_and_balance_cock_screws"}

// Places lists the places that a text can name.
func Places() []string { return slices.Clone(places) }

var (
	hoursForm = regexp.MustCompile(`^(?:at )?((?:1[0-2]|[1-9])(?:(?:, | and | & )(?:1[0-2]|[1-9]))*)(?: o'?clock)?$`)
	spanForm  = regexp.MustCompile(`^(?:between|from) (1[0-2]|[1-9]) (?:and|to) (1[0-2]|[1-9])(?: o'?clock)?$`)
	hourForm  = regexp.MustCompile(`1[0-2]|[1-9]`)
)

// PlaceOf reads where on a part a finding is; false where no word is known for it.
func PlaceOf(typed string) (say.Statement, bool) { return place(typed) }

// place reads where on a part a finding is; false where no word is known for it.
func place(typed string) (say.Statement, bool) {
	text := strings.ToLower(strings.Join(strings.Fields(typed), " "))
	if m := spanForm.FindStringSubmatch(text); m != nil {
		from, _ := strconv.Atoi(m[1])
		to, _ := strconv.Atoi(m[2])
		return say.That("tell.between-hours", say.Count("from", from), say.Count("to", to)), true
	}
	if m := hoursForm.FindStringSubmatch(text); m != nil {
		var hours []say.Value
		for _, h := range hourForm.FindAllString(m[1], -1) {
			n, _ := strconv.Atoi(h)
			hours = append(hours, say.Number(n))
		}
		return say.That("tell.at-hours", say.All("hours", hours...)), true
	}
	if id := strings.ReplaceAll(text, " ", "_"); slices.Contains(places, id) {
		return say.That("tell.place", say.Term("place", "place", id, "")), true
	}
	return say.Statement{}, false
}
