package draw

import "testing"

func BenchmarkFront1600(b *testing.B) {
	for b.Loop() {
		Front(Watch{Kind: "diver", Band: Band{Kind: "solid"}, Seed: 1}, Shot{WidthPx: 1600, NoiseSD: 2})
	}
}

func BenchmarkFront12MP(b *testing.B) {
	for b.Loop() {
		Front(Watch{Kind: "chronograph", Registers: 3, Seed: 1}, Shot{WidthPx: 4000, HeightPx: 3000, TiltDeg: 15,
			BlurPx: 1, NoiseSD: 2})
	}
}
