package reading_test

import (
	"bytes"
	"image/jpeg"
	"testing"

	"quadrille/cmd/internal/reading"
	"quadrille/vision/synth"
)

// BenchmarkRead is the time of a whole reading beside that of decoding the same photo, of a phone's
// 12 million pixels, with image/jpeg:
//
//	go test -run '^$' -bench Read -count 6 ./cmd/internal/reading
func BenchmarkRead(b *testing.B) {
	scene := synth.Random(5).WithMegapixels(12)
	data, truth, err := scene.JPEG()
	if err != nil {
		b.Fatal(err)
	}
	settings := asSet(truth)
	b.Run("mp=12/work=reading", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := reading.Read(b.Context(), data, settings); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("mp=12/work=image-jpeg", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
				b.Fatal(err)
			}
		}
	})
}
