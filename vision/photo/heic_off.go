//go:build !(heic && nodynamic) || js

package photo

import (
	"context"
	"image"
	"time"
)

// heicConfig refuses: this build has no HEIC decoder.
func heicConfig([]byte) (image.Config, error) {
	return image.Config{}, &UnsupportedError{
		"the file is a HEIC photo, and HEIC is not built into this program",
		hintExport + ", or build the program with -tags heic,nodynamic",
	}
}

func heicDecode(_ context.Context, data []byte, _ time.Duration) (image.Image, error) {
	_, err := heicConfig(data)
	return nil, err
}

func heicEXIF([]byte) []byte { return nil }
