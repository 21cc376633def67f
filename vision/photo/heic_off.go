//go:build !(heic && nodynamic) || js

package photo

import (
	"context"
	"image"
	"runtime"
	"time"
)

// hintHEIC says what to do without a decoder. In a browser only this browser's own could help, and did not.
var hintHEIC = map[bool]string{
	false: hintExport + ", or take a ready program, or build this one with -tags heic,nodynamic",
	true:  "open this page on the phone that took the photo, or " + hintExport,
}[runtime.GOOS == "js"]

// heicConfig refuses: this build has no HEIC decoder.
func heicConfig([]byte) (image.Config, error) {
	return image.Config{}, &UnsupportedError{"the file is a HEIC photo, which is not read here", hintHEIC}
}

func heicDecode(_ context.Context, data []byte, _ time.Duration) (image.Image, error) {
	_, err := heicConfig(data)
	return nil, err
}

func heicEXIF([]byte) []byte { return nil }
