package tables

import "testing"

// Numbers in words, as the languages form them (common practice, no published source).
func TestAmountsInWords(t *testing.T) {
	for text, want := range map[string]string{
		"twelve hundred": "1200", "two grand": "2000", "four and a half thousand": "4500", "three and a half k": "3500",
		"four thousand five hundred pounds": "4500", "zwölfhundert": "1200", "viertausendfünfhundert Euro": "4500",
		"viereinhalbtausend": "4500", "tausend": "1000", "fünfzehnhundert": "1500", "dreihundertfünfundzwanzig": "325",
		"anderthalbtausend": "1500", "deux mille cinq cents": "2500", "mille deux cents euros": "1200",
		"quinze cents": "1500", "quatre mille et demi": "4500", "quatre-vingt-dix mille": "90000", "mille": "1000",
		"millequattrocento": "1400", "quattromilacinquecento": "4500", "duemila": "2000", "milleduecento euro": "1200",
		"quattromila e mezzo": "4500", "seicentocinquanta": "650", "ottocentoventuno": "821",
	} {
		if a, ok := vocabulary().amountOf(text); !ok || a.Amount != want {
			t.Errorf("%q is %+v, %v; want %s", text, a, ok, want)
		}
	}
	for _, text := range []string{"a few hundred", "mille grazie", "gift", "sechs Monate", "cent fois", "two", "Tausch", "sei"} {
		if a, ok := vocabulary().amountOf(text); ok {
			t.Errorf("%q is %+v; want no amount", text, a)
		}
	}
}
