package evidence_test

import (
	"fmt"
	"log"
	"strings"
	"time"

	"midcase/evidence"
)

const watchFile = `{
  "maker": "Corvane", "reference": "KR-1",
  "evidence": [
    {"id": "ev_1", "kind": "mark", "at": "2026-02-01T10:00:00Z", "by": "R. Aldous", "data": {"what": "serial", "text": "1234567"}},
    {"id": "ev_2", "kind": "mark", "at": "2026-02-01T10:05:00Z", "by": "R. Aldous", "data": {"what": "serial", "text": "1234561"}},
    {"id": "ev_3", "kind": "withdrawal", "at": "2026-02-02T09:00:00Z", "by": "R. Aldous", "data": {"of": "ev_1", "reason": "last figure misread"}}
  ]
}`

// A watch file folds into what was known at a moment.
func ExampleFold() {
	now := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	w, err := evidence.ReadWatch(strings.NewReader(watchFile), "watch.json", now)
	if err != nil {
		log.Fatal(err)
	}
	for _, asOf := range []time.Time{time.Date(2026, 2, 1, 12, 0, 0, 0, time.UTC), now} {
		f := evidence.Fold(w, asOf)
		for _, m := range evidence.All[*evidence.Mark](f) {
			fmt.Println(asOf.Format(time.DateOnly), m.Item.ID, m.Data.Text)
		}
		for _, x := range f.Withdrawn {
			fmt.Println(asOf.Format(time.DateOnly), x.Item.ID, "withdrawn by", x.Withdrawal.ID)
		}
	}
	// Output:
	// 2026-02-01 ev_2 1234561
	// 2026-02-01 ev_1 1234567
	// 2026-03-01 ev_2 1234561
	// 2026-03-01 ev_1 withdrawn by ev_3
}

// An error says where, what was found and what would be right.
func ExampleReadWatch() {
	bad := strings.Replace(watchFile, `"ev_1", "reason"`, `"ev_9", "reason"`, 1)
	_, err := evidence.ReadWatch(strings.NewReader(bad), "watch.json", time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC))
	fmt.Println(err)
	// Output:
	// watch.json: evidence[2] (ev_3) data.of: “ev_9” will not do; give the id of an earlier item
}
