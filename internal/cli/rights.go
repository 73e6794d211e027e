package cli

import (
	"context"
	"strings"

	"midcase/internal/shop/rights"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/staff"
)

// noShop marks commands that work on plain files, where nobody is asked.
const noShop rights.Right = ""

// commandNeeds says which right each command asks for, by its first words. It counts for those whom
// MIDCASE_USER or the system names as a person of the shop; whoever else works at the shop's own files is
// taken for its owner, since the files are open to them anyway. What is not listed is for owners alone.
var commandNeeds = map[string]rights.Right{
	"demo": rights.Settings, "serve": rights.Settings,
	"appraise": rights.Cost, "report": rights.See, "listing": rights.See, "publish": rights.Papers,
	"documents": rights.Papers, "documents letterhead": rights.Settings,
	"counter": rights.Buy, "deal": rights.Cost, "ladder": rights.Cost,
	"stock": rights.Trade, "stock list": rights.See,
	"stock worth": rights.Cost, "stock history": rights.Cost, "stock holds": rights.See,
	"stock private": rights.Clients, "stock offer": rights.Clients, "stock rules": rights.Settings,
	"stock where": rights.See,
	"ledger":      rights.Ledger, "ledger verify": rights.See,
	"clients": rights.Clients, "clients key": rights.Settings, "calendar": rights.Clients,
	"people": rights.People, "backup": rights.Settings, "setup": rights.Settings, "rates": rights.Settings,
	"watch": rights.See, "watch add": rights.Record, "watch correct": rights.Record, "evidence": rights.Record,
	"evidence redact": rights.Clients,
	"sales":           rights.See, "sales import": rights.Import,
	"sales own": rights.Import, "import": rights.Import, "batches": rights.Import,
	"check": rights.See, "clock": rights.See, "log": rights.See,
	"timing": rights.See, "timing clocks": rights.Record, "photo": rights.See, "book": rights.See,
	"example": rights.Record, "example list": rights.See,
	"book keep": rights.EditBook, "book lacks": rights.See, "book learn": rights.EditBook,

	"restore": noShop, "verify": noShop, "read": noShop, "market": noShop, "terms": noShop, "completion": noShop,
	"version": noShop, "licences": noShop, "api": noShop,
}

// commandRight is the right that a command asks for, by the longest of its beginnings that is listed.
func commandRight(command string) (right rights.Right, listed bool) {
	for words := strings.Fields(command); len(words) > 0; words = words[:len(words)-1] {
		if right, ok := commandNeeds[strings.Join(words, " ")]; ok {
			return right, true
		}
	}
	return rights.People, false
}

// inRole returns a context with the role of whoever runs a command, where the shop has such a person, and
// errs where the command is not for them.
func inRole(ctx context.Context, s *rooms.Shop, command string) (context.Context, error) {
	people, err := s.Staff.People(ctx)
	if err != nil {
		return ctx, err
	}
	p, ok := staff.Known(people, user(""))
	if !ok {
		return ctx, nil
	}
	ctx = rights.With(ctx, p.Role)
	if right, _ := commandRight(command); right != noShop {
		return ctx, rights.Check(ctx, right)
	}
	return ctx, nil
}
