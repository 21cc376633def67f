package main

import (
	"strings"

	qr "github.com/piglig/go-qr"
)

// quiet is the width of the empty margin around a code, in modules (ISO/IEC 18004: four).
const quiet = 4

// qrCode gives text as a QR code for a terminal: two modules a character, the upper and the lower half, black on white
// whatever the terminal's colours are, because some phones read no code that is light on dark.
func qrCode(text string) (string, error) {
	code, err := qr.EncodeText(text, qr.Low) // a screen has no stains
	if err != nil {
		return "", err
	}
	var out strings.Builder
	for y := -quiet; y < code.Size()+quiet; y += 2 {
		out.WriteString("\x1b[38;5;16;48;5;231m") // black and white of the fixed part of the 256 colours
		for x := -quiet; x < code.Size()+quiet; x++ {
			half := " "
			switch upper, lower := code.Module(x, y), code.Module(x, y+1); {
			case upper && lower:
				half = "█"
			case upper:
				half = "▀"
			case lower:
				half = "▄"
			}
			out.WriteString(half)
		}
		out.WriteString("\x1b[0m\n")
	}
	return out.String(), nil
}
