package clients

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
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
		p = append(p, evidence.Problem{Field: "country", Found: strconv.Quote(v["country"]),
			Want: "two letters, such as CH"})
	}
	if c.Email != "" && !strings.Contains(c.Email, "@") {
		p = append(p, evidence.Problem{Field: "email", Found: strconv.Quote(c.Email),
			Want: "an address such as name@mail.example"})
	}
	c.Channels = nil
	for i := range channelRows(v) {
		n := strconv.Itoa(i)
		x := shop.Channel{Kind: v["channel_kind_"+n], Value: v["channel_value_"+n], Label: v["channel_label_"+n],
			Preferred: v["channel_preferred_"+n] == "yes"}
		switch {
		case x.Value == "" && x.Kind == "":
		case x.Kind == "":
			p = append(p, evidence.Problem{Field: "channel_kind_" + n, Found: "none",
				Want: "the way that goes with " + strconv.Quote(x.Value)})
		case x.Value == "":
			p = append(p, evidence.Problem{Field: "channel_value_" + n, Found: "nothing",
				Want: "an address or a number; or none as the way"})
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
			p = append(p, evidence.Problem{Field: s.name(), Found: "not asked",
				Want: purposeWords[s.purpose] + ": allowed or refused; what was once said cannot become unsaid"})
			continue
		}
		c.Consents = append(c.Consents, shop.Consent{Purpose: s.purpose, Channel: s.channel,
			Given: v[s.name()] == "yes", At: now, How: v["how"]})
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
	return &shop.Identity{Paper: v["paper"], Number: v["paper_number"], Issuer: v["paper_issuer"], By: by,
		Seen: edtf.MustParse(now.Format(time.DateOnly))}
}

// fieldsOf are the names of the form's fields that show what is wrong with them.
func fieldsOf(d Form) map[string]bool {
	out := map[string]bool{}
	for name := range d.Values {
		out[name] = !strings.HasPrefix(name, "consent_")
	}
	return out
}
