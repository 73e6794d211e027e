package v1

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"slices"

	"midcase/internal/shop"
)

// Paging is how a list is asked for page by page.
type Paging struct {
	Limit  int    `query:"limit" minimum:"1" maximum:"500" default:"100" doc:"How many entries at most."`
	Cursor string `query:"cursor" maxLength:"400" doc:"Where the page before ended: its \"next\"."`
}

// place is where a page ended: at the entry of this name, in the order of the list.
type place struct {
	N  int64  `json:"n,omitempty"`
	ID string `json:"id,omitempty"`
	On string `json:"on,omitempty"`
}

func (p place) text() string {
	b, _ := json.Marshal(p) // two strings and a number
	return base64.RawURLEncoding.EncodeToString(b)
}

// after is the place that a cursor names; started is false on the first page.
func (p Paging) after() (at place, started bool, err error) {
	if p.Cursor == "" {
		return at, false, nil
	}
	b, err := base64.RawURLEncoding.DecodeString(p.Cursor)
	if err == nil {
		err = json.Unmarshal(b, &at)
	}
	if err != nil {
		return at, false, shop.Refuse("list", "cursor", fmt.Sprintf("%.40q", p.Cursor),
			"the next of the page before, as it is")
	}
	return at, true, nil
}

// cut is the page of a whole list: what comes after the entry of a cursor, in an order that key follows upwards.
func cut[T any](p Paging, all []T, key func(T) int64) (page []T, next string, err error) {
	at, started, err := p.after()
	if err != nil {
		return nil, "", err
	}
	from := 0
	if started {
		from, _ = slices.BinarySearchFunc(all, at.N+1, func(x T, n int64) int { return int(key(x) - n) })
	}
	to := min(len(all), from+p.Limit)
	if to < len(all) && to > from {
		next = place{N: key(all[to-1])}.text()
	}
	return all[from:to], next, nil
}
