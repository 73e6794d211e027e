package web_test

import (
	"net/http"
	"net/url"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/papers"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/rights"
	"midcase/internal/web"
	"midcase/money"
)

// Figures that stand on no page by chance.
var costFigures = []string{"6737.91", "213.47", "7111.13", "4321.09", "1234.57", "2848.83"}

// dealtIn is a shop with a watch that was bought and worked on, one consigned, one sold and one offered, each with a
// figure of its own; it returns what stands in the addresses that somebody may open.
func dealtIn(t *testing.T, s *site) (watches []shop.WatchID, made []shop.Paper) {
	t.Helper()
	amount := func(text string) money.Money {
		m, err := money.Parse(text, "EUR")
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	takeIn := func(serial, asked string, more ...evidence.Data) (shop.WatchID, string) {
		in := intake.Arrival{Maker: "Corvane", Reference: "KR-1", Serial: serial, Asked: amount(asked)}
		w, err := s.shop.Intake.TakeIn(t.Context(), in, "tester")
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range more {
			if _, err := s.shop.Intake.Record(t.Context(), w.ID, "tester", d); err != nil {
				t.Fatal(err)
			}
		}
		watches = append(watches, w.ID)
		return w.ID, watchPath(w.ID) + "/life"
	}
	person := []string{"client", "Selma Lund", "paper", "passport", "number", "X1", "day", "2026-03-02"}
	someone := append([]string{"new_client", "1", "client_kind", "person"}, person...)
	takeIn("290001", "7111.13", &evidence.Claim{About: "price", Text: "asks 7111.13 EUR", Price: amount("7111.13")})
	_, path := takeIn("290002", "6737.91", &evidence.Work{What: "service", Cost: amount("213.47")})
	s.step(path, "buy", append([]string{"amount", "6737.91", "document", "P-1"}, someone...)...)
	s.step(path, "work", "what", "service", "amount", "213.47", "client", "The Bench", "new_client", "1", "client_kind",
		"workshop", "day", "2026-03-20")
	s.step(path, "listed", "asking", "8900", "day", "2026-03-22")
	_, path = takeIn("290003", "4321.09")
	s.step(path, "consign", append([]string{"amount", "4321.09", "net", "4321.09"}, person...)...)
	sold, path := takeIn("290004", "1234.57")
	s.step(path, "buy", append([]string{"amount", "1234.57", "document", "P-2"}, person...)...)
	s.step(path, "sell", "amount", "4653.16", "client", "Selma Lund", "route", "private client", "day", "2026-03-28",
		"document", "S-1") // profit 3418.59 less the tax of 569.77
	for _, o := range []papers.Order{{Kind: shop.PaperPurchase, Watch: sold, By: "tester"},
		{Kind: shop.PaperConsignment, Watch: watches[2], By: "tester"},
		{Kind: shop.PaperInvoice, Watch: sold, By: "tester"}} {
		p, err := papers.Make(t.Context(), s.shop, o)
		if err != nil {
			t.Fatalf("%s: %v", o.Kind, err)
		}
		made = append(made, p)
	}
	return watches, made
}

var figureForm = regexp.MustCompile(`[0-9][0-9,.’'\x{a0}\x{202f}\x{2009}]*[0-9]`)

// figuresOf are the figures of a text without what groups them; those to the unit have no decimals.
func figuresOf(text string) map[string]bool {
	out := map[string]bool{}
	for _, f := range figureForm.FindAllString(text, -1) {
		out[strings.Map(func(c rune) rune {
			if c < '0' || c > '9' {
				return -1
			}
			return c
		}, f)] = true
	}
	return out
}

// shows lists the figures of cost that a text has, to the cent or to the unit.
func shows(text string) []string {
	have, out := figuresOf(text), []string(nil)
	for _, f := range costFigures {
		whole := strings.Split(f, ".")[0]
		if have[strings.ReplaceAll(f, ".", "")] || have[whole] || have[next(whole)] && f[len(whole)+1] >= '5' {
			out = append(out, f)
		}
	}
	return out
}

func next(whole string) string {
	b := []byte(whole)
	b[len(b)-1]++
	return string(b)
}

// What was paid, asked of us, promised to an owner or earned stands on no page and in no file of somebody who may not
// see costs, whatever the page is.
func TestWhoMaySeeNoCostsSeesNone(t *testing.T) {
	s := serveEmpty(t)
	watches, made := dealtIn(t, s)
	people := everyRole(s)
	seen := map[rights.Role]int{}
	for pattern := range web.Needs {
		method, path, _ := strings.Cut(pattern, " ")
		if method != http.MethodGet {
			continue
		}
		for _, at := range addresses(path, watches, made) {
			for _, role := range []rights.Role{rights.Sales, rights.Viewer, rights.Specialist} {
				a := people[role].get(at)
				if a.StatusCode != http.StatusOK {
					continue
				}
				body := inWords(t, a)
				found := shows(body)
				if rights.May(rights.With(t.Context(), role), rights.Cost) {
					seen[role] += len(found)
					continue
				}
				seen[role]++
				for _, f := range found {
					t.Errorf("GET %s shows %s to somebody in %s", at, f, role)
				}
				if strings.Contains(strings.ToLower(body), "pay no more than") {
					t.Errorf("GET %s says to somebody in %s what to pay", at, role)
				}
			}
		}
	}
	if seen[rights.Specialist] < 10 || seen[rights.Sales] < 60 || seen[rights.Viewer] < 40 {
		t.Errorf("%v: too little was looked at", seen)
	}
}

// byChance is what a page holds whose figures are those of chance: the picture of an app's secret, and marks.
var byChance = regexp.MustCompile(`data:image/[^"]*|data-mark="[^"]*"`)

// inWords is what an answer says; of a PDF what poppler, an independent reader, finds in it.
func inWords(t *testing.T, a answer) string {
	t.Helper()
	if !strings.HasPrefix(a.body, "%PDF-") {
		return byChance.ReplaceAllString(a.body, "")
	}
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Log("SKIPPED: pdftotext (poppler-utils) is not installed, so no PDF was read")
		return ""
	}
	read := exec.Command(tool, "-raw", "-", "-")
	read.Stdin = strings.NewReader(a.body)
	text, err := read.Output()
	if err != nil || len(text) == 0 {
		t.Fatalf("pdftotext of %d bytes: %v", len(a.body), err)
	}
	return string(text)
}

// addresses are those of a pattern, with each watch and paper that it may be about.
func addresses(path string, watches []shop.WatchID, made []shop.Paper) []string {
	var out []string
	switch {
	case strings.HasPrefix(path, "/documents/{id}"):
		for _, p := range made {
			for _, ending := range []string{"md", "json", "pdf"} {
				out = append(out, strings.NewReplacer("{id}", p.ID, "{ending}", ending).Replace(path))
			}
		}
	case strings.HasPrefix(path, "/clients/{id}"):
		for _, p := range made {
			out = append(out, filledIn.Replace(strings.Replace(path, "{id}", p.Client, 1)))
		}
	case strings.Contains(path, "/papers/{file}"):
		for _, id := range watches {
			for _, file := range []string{"purchase-statement.md", "consignment-note.md", "invoice.md", "valuation.md", "report.md"} {
				out = append(out, strings.NewReplacer("{id}", string(id), "{file}", file).Replace(path))
			}
		}
	case strings.Contains(path, "{id}"):
		for _, id := range watches {
			at := filledIn.Replace(strings.Replace(path, "{id}", string(id), 1))
			out = append(out, at)
			if strings.HasSuffix(at, "/life") {
				out = append(out, at+"?act=buy", at+"?act=sell", at+"?act=reserve")
			}
			if strings.HasSuffix(at, "/record") {
				out = append(out, at+"?kind=claim", at+"?kind=work")
			}
		}
	case path == "/documents" || path == "/compare":
		for _, id := range watches {
			out = append(out, path+"?watch="+string(id)+"&a="+string(id)+"&b="+string(watches[0]))
		}
	default:
		return []string{filledIn.Replace(path)}
	}
	return out
}

// What to pay for a watch in stock, and what it earns at the price asked, is not for those who sell.
func TestWhoSellsIsNotToldWhatToPay(t *testing.T) {
	s := serve(t)
	s.as(rights.Owner)
	sales, specialist := s.as(rights.Sales), s.as(rights.Specialist)
	for _, path := range []string{watchPath(goldWatch), "/api" + watchPath(goldWatch) + "/opinion"} {
		if says := strings.ToLower(specialist.get(path).body); !strings.Contains(says, "pay no more than") {
			t.Errorf("GET %s does not say what to pay to those who buy", path)
		}
		if says := strings.ToLower(sales.get(path).body); strings.Contains(says, "pay no more than") {
			t.Errorf("GET %s says what to pay to somebody in sales", path)
		}
	}
	sales.wantStatus(sales.get(watchPath(goldWatch)+"/deal"), http.StatusForbidden)
	if sales.page(watchPath(goldWatch)+"/change").Find("input[name=cost], input[name=asked]").Length() > 0 {
		t.Error("somebody in sales is asked what the watch cost")
	}
	before, err := s.shop.Watch(t.Context(), goldWatch)
	if err != nil {
		t.Fatal(err)
	}
	a := sales.post(watchPath(goldWatch)+"/change", url.Values{"state": {string(before.State)}, "place": {"window"},
		"cost": {"1 EUR"}, "version": {strconv.Itoa(before.Version)}})
	sales.wantStatus(a, http.StatusSeeOther)
	after, err := s.shop.Watch(t.Context(), goldWatch)
	if err != nil || after.Place != "window" || after.Cost != before.Cost || after.Asked != before.Asked {
		t.Errorf("%+v, %v; want the place alone changed", after, err)
	}
}
