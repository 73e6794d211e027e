package sound_test

import (
	"fmt"

	"midcase/internal/demo/sound"
)

func ExampleBeats() {
	watch := sound.Watch{BeatsPerHour: 18000, AmplitudeDeg: 270, LiftAngleDeg: 52}
	beat := sound.Beats(watch, 1, 1)[0]
	fmt.Printf("from unlocking to drop %.2f ms\n", 1000*(beat.Drop-beat.Unlock))
	// Output: from unlocking to drop 12.28 ms
}
