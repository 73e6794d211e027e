package ledger

import (
	"encoding/json"
	"testing"
)

func TestPack(t *testing.T) {
	for _, e := range journalBooks(t).entries {
		b, err := Pack(e)
		if err != nil {
			t.Fatal(err)
		}
		back, err := Unpack(b)
		if err != nil {
			t.Fatal(err)
		}
		got, err := json.Marshal(back)
		want, err2 := json.Marshal(e)
		if err != nil || err2 != nil || string(got) != string(want) {
			t.Errorf("came back as\n%s\nwant\n%s", got, want)
		}
		if err := back.Check(); err != nil {
			t.Error(err)
		}
	}
	for _, bad := range []string{``, `{`, `{"lines":[["a","x","EUR","1","1","",""]]}`, `{"lines":[["a","1","EUR","r","1","",""]]}`, `{"base":"EUR","lines":[["a","1","XXQ","1","1","",""]]}`, `{"base":"?","lines":[["a","1","EUR","1","1","",""]]}`} {
		if _, err := Unpack([]byte(bad)); err == nil {
			t.Errorf("%s was read", bad)
		}
	}
}

func FuzzUnpack(f *testing.F) {
	f.Add([]byte(`{"seq":1,"kind":"deposit","id":"le_1","day":"2026-03-01","base":"EUR","lines":[["assets:bank","1.00","EUR","1","1.00","",""]]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		e, err := Unpack(b)
		if err != nil {
			return
		}
		_ = e.Check()
		if _, err := Pack(e); err != nil {
			t.Fatal(err)
		}
	})
}
