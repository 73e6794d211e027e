package intake_test

import (
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/shoptest"
	"midcase/photo"
)

// A picture that was kept is known again by its bytes, or by its likeness; another is not.
func TestRepeatsAreRemembered(t *testing.T) {
	t.Parallel()
	b := shoptest.New(t)
	ctx := t.Context()
	shot := func(sha string, like photo.Likeness) intake.Shot { return intake.Shot{SHA: sha, Like: like} }
	const long = "0123456789abcdef0123456789abcdef"
	if err := b.Intake.NoteKept(ctx, intake.KeptPictures{intake.KeptOf(shot(long, 0xff00ff00ff00ff00), "w_a"),
		intake.KeptOf(shot("ffff"+long, 0x00000000ffffffff), "w_b")}); err != nil {
		t.Fatal(err)
	}
	kept, err := b.Intake.KeptPictures(ctx)
	if err != nil || len(kept) != 2 {
		t.Fatalf("%v, %v; want two", kept, err)
	}
	for name, tt := range map[string]struct {
		shot     intake.Shot
		id       shop.WatchID
		same, ok bool
	}{
		"the same file":       {shot(long, 1), "w_a", true, true},
		"saved anew":          {shot("other", 0xff00ff00ff00ff03), "w_a", false, true},
		"like neither":        {shot("other", 0x0f0f0f0f0f0f0f0f), "", false, false},
		"nearer to the other": {shot("other", 0x00000001ffffffff), "w_b", false, true},
	} {
		if id, same, ok := kept.Repeated(tt.shot, 4); id != tt.id || same != tt.same || ok != tt.ok {
			t.Errorf("%s: %s, %v, %v; want %s, %v, %v", name, id, same, ok, tt.id, tt.same, tt.ok)
		}
	}
}
