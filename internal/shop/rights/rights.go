package rights

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// Role is what somebody is in the shop.
type Role string

// The roles.
const (
	Owner      Role = "owner"
	Specialist Role = "specialist" // examines, dates, values, takes in
	Sales      Role = "sales"      // sells, knows the clients
	Bookkeeper Role = "bookkeeper" // keeps the ledger
	Viewer     Role = "viewer"     // looks at the watches
)

// Roles are all roles, the one that may most first.
func Roles() []Role { return []Role{Owner, Specialist, Sales, Bookkeeper, Viewer} }

// Is reports whether there is such a role.
func (r Role) Is() bool { return slices.Contains(Roles(), r) }

// Right is something that somebody may see or do.
type Right string

// The rights.
const (
	See      Right = "see watches, the market and the reference book"
	Record   Right = "record evidence and change watch files"
	Cost     Right = "see what watches cost and what to pay"
	Buy      Right = "value over the counter and take watches in"
	Trade    Right = "buy, sell and move watches"
	Clients  Right = "see and change clients"
	Ledger   Right = "see the ledger and book money"
	Papers   Right = "issue papers"
	Import   Right = "add past sales"
	EditBook Right = "edit the reference book"
	Settings Right = "change settings"
	People   Right = "say who may sign in"
)

// Rights are all rights, in the order of the table.
func Rights() []Right {
	return []Right{See, Record, Cost, Buy, Trade, Clients, Ledger, Papers, Import, EditBook, Settings, People}
}

// table is the one place where it is said which role has which right. An owner has all.
var table = map[Right][]Role{
	See:      {Owner, Specialist, Sales, Bookkeeper, Viewer},
	Record:   {Owner, Specialist, Sales},
	Cost:     {Owner, Specialist, Bookkeeper}, // who sells knows the price asked, not what it was bought for
	Buy:      {Owner, Specialist},
	Trade:    {Owner, Sales},
	Clients:  {Owner, Sales},
	Ledger:   {Owner, Bookkeeper},
	Papers:   {Owner, Specialist, Sales, Bookkeeper},
	Import:   {Owner, Specialist},
	EditBook: {Owner, Specialist},
	Settings: {Owner},
	People:   {Owner},
}

// May reports whether a role has a right. No role at all is that of the program itself.
func (r Role) May(right Right) bool { return r == "" || slices.Contains(table[right], r) }

// Who are the roles that have a right.
func Who(right Right) []Role { return slices.Clone(table[right]) }

type roleKey struct{}

// With returns a context in which things are done by somebody of a role.
func With(ctx context.Context, r Role) context.Context { return context.WithValue(ctx, roleKey{}, r) }

// Of is the role of whoever does things in a context; empty for the program itself.
func Of(ctx context.Context) Role {
	r, _ := ctx.Value(roleKey{}).(Role)
	return r
}

type limitKey struct{}

// Limited returns a context in which a program does things for somebody: no more than these rights, whatever the role.
func Limited(ctx context.Context, to []Right) context.Context {
	return context.WithValue(ctx, limitKey{}, to)
}

// May reports whether whoever does things in a context has a right.
func May(ctx context.Context, right Right) bool {
	limit, limited := ctx.Value(limitKey{}).([]Right)
	return Of(ctx).May(right) && (!limited || slices.Contains(limit, right))
}

// Check errs with *Denied where whoever does things in a context lacks a right.
func Check(ctx context.Context, right Right) error {
	if r := Of(ctx); !r.May(right) {
		return &Denied{Role: r, Right: right}
	}
	if !May(ctx, right) {
		return &Denied{Right: right}
	}
	return nil
}

// Denied says that a role lacks a right, and who has it.
type Denied struct {
	Role  Role // empty where a token lacks it
	Right Right
}

func (d *Denied) Error() string {
	if d.Role == "" {
		return fmt.Sprintf("this token is not for this: to %s", d.Right)
	}
	var who []string
	for _, r := range table[d.Right] {
		who = append(who, string(r))
	}
	return fmt.Sprintf("your role is %s; to %s you need to be %s", d.Role, d.Right, strings.Join(who, " or "))
}
