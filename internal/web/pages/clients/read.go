package clients

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/change"
	"midcase/money"
)

// spareChannels is how many empty rows for channels the form offers.
const spareChannels = 2

// Values are a client's record as the form shows it.
func Values(c shop.Client) map[string]string {
	v := map[string]string{
		"name": c.Name, "kind": c.Kind, "email": c.Email, "phone": c.Phone, "country": c.Country, "language": c.Language, "note": c.Note,
		"street": c.Address.Street, "post_code": c.Address.PostCode, "city": c.Address.City, "region": c.Address.Region, "call_first": yes(c.CallFirst),
	}
	if c.Kind == "" {
		v["kind"] = "person"
	}
	for i := range len(c.Channels) + spareChannels {
		var x shop.Channel
		if i < len(c.Channels) {
			x = c.Channels[i]
		}
		n := strconv.Itoa(i)
		v["channel_kind_"+n], v["channel_value_"+n], v["channel_label_"+n], v["channel_preferred_"+n] = x.Kind, x.Value, x.Label, yes(x.Preferred)
	}
	for _, slot := range consentSlots() {
		v[slot.name()] = said(c, slot)
	}
	if c.Identity != nil {
		v["paper"], v["paper_number"], v["paper_issuer"] = c.Identity.Paper, c.Identity.Number, c.Identity.Issuer
	}
	return v
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// consentSlot is one answer that the form asks for.
type consentSlot struct{ purpose, channel string }

func (s consentSlot) name() string { return "consent_" + s.purpose + "_" + s.channel }

func consentSlots() []consentSlot {
	out := []consentSlot{{"keep", ""}}
	for _, purpose := range []string{"offers", "news"} {
		for _, kind := range shop.ChannelKinds() {
			out = append(out, consentSlot{purpose, kind})
		}
	}
	return out
}

func said(c shop.Client, s consentSlot) string {
	switch given, asked := c.AllowsBy(s.purpose, s.channel); {
	case !asked:
		return ""
	case given:
		return "yes"
	}
	return "no"
}

// channelRows counts the rows for channels in what was typed.
func channelRows(values map[string]string) int {
	n := 0
	for ; ; n++ {
		if _, ok := values["channel_kind_"+strconv.Itoa(n)]; !ok {
			return n
		}
	}
}

// Typed takes the fields of the form out of what was sent.
func Typed(get func(string) string, has func(string) bool) map[string]string {
	v := map[string]string{}
	for name := range Values(shop.Client{}) {
		if has(name) || !strings.HasPrefix(name, "consent_") { // an answer that was not asked for stays
			v[name] = strings.TrimSpace(get(name))
		}
	}
	for i := 0; has("channel_kind_" + strconv.Itoa(i)); i++ {
		for _, part := range []string{"kind", "value", "label", "preferred"} {
			name := "channel_" + part + "_" + strconv.Itoa(i)
			v[name] = strings.TrimSpace(get(name))
		}
	}
	v["how"] = strings.TrimSpace(get("how"))
	return v
}

// Read takes a form over the record. by is who saw an identity paper.
func Read(c shop.Client, v map[string]string, now time.Time, by string) (shop.Client, evidence.Problems) {
	var p evidence.Problems
	if v["kind"] == "person" && c.Kind == "" {
		v["kind"] = ""
	}
	c.Name, c.Kind, c.Email, c.Phone, c.Language, c.Note = v["name"], v["kind"], v["email"], v["phone"], v["language"], v["note"]
	c.Country = strings.ToUpper(v["country"])
	c.CallFirst = v["call_first"] == "yes"
	c.Address.Street, c.Address.PostCode, c.Address.City, c.Address.Region = v["street"], v["post_code"], v["city"], v["region"]
	if c.Name == "" {
		p = append(p, evidence.Problem{Field: "name", Found: "nothing", Want: "the client's name"})
	}
	if c.Country != "" && (len(c.Country) != 2 || strings.Trim(c.Country, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != "") {
		p = append(p, evidence.Problem{Field: "country", Found: strconv.Quote(v["country"]), Want: "two letters, such as CH"})
	}
	if c.Email != "" && !strings.Contains(c.Email, "@") {
		p = append(p, evidence.Problem{Field: "email", Found: strconv.Quote(c.Email), Want: "an address such as name@mail.example"})
	}
	c.Channels = nil
	for i := range channelRows(v) {
		n := strconv.Itoa(i)
		x := shop.Channel{Kind: v["channel_kind_"+n], Value: v["channel_value_"+n], Label: v["channel_label_"+n], Preferred: v["channel_preferred_"+n] == "yes"}
		switch {
		case x.Value == "" && x.Kind == "":
		case x.Kind == "":
			p = append(p, evidence.Problem{Field: "channel_kind_" + n, Found: "none", Want: "the way that goes with " + strconv.Quote(x.Value)})
		case x.Value == "":
			p = append(p, evidence.Problem{Field: "channel_value_" + n, Found: "nothing", Want: "an address or a number; or none as the way"})
		default:
			c.Channels = append(c.Channels, x)
		}
	}
	c.Consents = slices.Clone(c.Consents)
	for _, s := range consentSlots() {
		if answer, asked := v[s.name()]; !asked || answer == said(c, s) {
			continue
		}
		if v[s.name()] == "" {
			p = append(p, evidence.Problem{Field: s.name(), Found: "not asked", Want: purposeWords[s.purpose] + ": allowed or refused; what was once said cannot become unsaid"})
			continue
		}
		c.Consents = append(c.Consents, shop.Consent{Purpose: s.purpose, Channel: s.channel, Given: v[s.name()] == "yes", At: now, How: v["how"]})
	}
	c.Identity = readIdentity(c.Identity, v, now, by)
	return c, p
}

func readIdentity(old *shop.Identity, v map[string]string, now time.Time, by string) *shop.Identity {
	if v["paper"] == "" && v["paper_number"] == "" {
		return nil
	}
	if old != nil && old.Paper == v["paper"] && old.Number == v["paper_number"] && old.Issuer == v["paper_issuer"] {
		return old
	}
	return &shop.Identity{Paper: v["paper"], Number: v["paper_number"], Issuer: v["paper_issuer"], By: by, Seen: edtf.MustParse(now.Format(time.DateOnly))}
}

// fieldsOf are the names of the form's fields that show what is wrong with them.
func fieldsOf(d Form) map[string]bool {
	out := map[string]bool{}
	for name := range d.Values {
		out[name] = !strings.HasPrefix(name, "consent_")
	}
	return out
}

// WantValues are a want as the form shows it.
func WantValues(w shop.Want) map[string]string {
	v := map[string]string{
		"maker": w.Maker, "family": w.Family, "reference": w.Reference, "metal": w.Metal, "dial": w.Dial, "set": w.Set, "note": w.Note,
		"year_from": number(w.YearFrom), "year_to": number(w.YearTo), "until": w.Until.String(), "call_first": yes(w.CallFirst), "condition_floor": "", "originality_floor": "", "budget": "",
	}
	if w.ConditionFloor != 0 {
		v["condition_floor"] = fmt.Sprint(w.ConditionFloor)
	}
	if w.OriginalityFloor != 0 {
		v["originality_floor"] = strconv.FormatFloat(100*w.OriginalityFloor, 'f', -1, 64)
	}
	if !w.Budget.IsZero() {
		v["budget"] = w.Budget.String()
	}
	return v
}

func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// ReadWant makes a want of what was typed.
func ReadWant(v map[string]string, currency money.Currency) (shop.Want, evidence.Problems) {
	var p evidence.Problems
	w := shop.Want{Maker: v["maker"], Family: v["family"], Reference: v["reference"], Metal: v["metal"], Dial: v["dial"], Set: v["set"], Note: v["note"], CallFirst: v["call_first"] == "yes"}
	bad := func(name, want string) {
		p = append(p, evidence.Problem{Field: name, Found: strconv.Quote(v[name]), Want: want})
	}
	float := func(name string, least, most float64, want string) float64 {
		text := strings.TrimSpace(strings.TrimSuffix(v[name], "%"))
		if text == "" {
			return 0
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || !(x >= least && x <= most) {
			bad(name, want)
			return 0
		}
		return x
	}
	w.ConditionFloor = float("condition_floor", 1, 10, "a grade from 1 to 10")
	w.OriginalityFloor = float("originality_floor", 0, 100, "a share from 0 to 100 %") / 100
	w.YearFrom = int(float("year_from", 1800, 2200, "a year such as 1965"))
	w.YearTo = int(float("year_to", 1800, 2200, "a year such as 1969"))
	if w.YearFrom != 0 && w.YearTo != 0 && w.YearFrom > w.YearTo {
		bad("year_to", fmt.Sprintf("%d or later", w.YearFrom))
	}
	var err error
	if w.Budget, err = change.Money(v["budget"], currency); err != nil {
		bad("budget", "an amount above zero, such as 6500 or 6500 EUR")
	}
	if v["until"] != "" {
		if w.Until, err = edtf.Parse(v["until"]); err != nil {
			bad("until", "a day, month or year, such as 2027-03-01")
		}
	}
	if !w.Names() && w.Note == "" && len(p) == 0 {
		p = append(p, evidence.Problem{Field: "maker", Found: "nothing", Want: "at least one of maker, family, reference, metal, dial or years"})
	}
	return w, p
}
