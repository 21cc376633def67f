// Sentences name settings as flags of the command line: "give --trace b". Whoever has a notebook before them knows the
// same settings as its keys. This is the one place where flags become keys.

package words

import "strings"

// inNotebook are phrases, and what they are in a notebook, which are not the same with other names in them.
var inNotebook = [...]string{
	"the page that --out FOLDER makes", "the photo’s own page",
	"the page of --out", "the photo’s own page",
	"it stands before the first --trace: a channel that is set otherwise needs its own --volts-per-box behind its --trace",
	"it stands beside “traces”: a channel that is set otherwise needs its own “volts_per_box” there",
	"give --trace for each, with its --volts-per-box behind it", "list each under “traces”, with its own “volts_per_box”",
	"give each --trace once, with its own settings behind it", "list each under “traces” once, with its own settings",
	" --volts-per-box …", " and “volts_per_box: …” under “traces”",
	"read it with --paper", "name it behind “sketch” of the display’s photo",
	"--readings FILE", "“readings_file”",
}

// AsKeys writes the settings that a sentence names as flags as the keys of a notebook: “volts_per_box”, and with a
// value “turn: 90”. A key is a flag with other dashes (TestSentencesNameKeysOfANotebook).
func AsKeys(text string) string {
	if !strings.Contains(text, "--") {
		return text
	}
	var b strings.Builder
	text = strings.NewReplacer(inNotebook[:]...).Replace(text)
	for {
		before, after, found := strings.Cut(text, "--")
		b.WriteString(before)
		n := len(after) - len(strings.TrimLeft(after, "abcdefghijklmnopqrstuvwxyz-"))
		switch {
		case !found:
			return b.String()
		case n == 0:
			b.WriteString("--")
		default:
			b.WriteString("“" + strings.ReplaceAll(after[:n], "-", "_"))
			if v := valueAt(after[n:]); v != "" {
				b.WriteString(": " + v)
				n += 1 + len(v)
			}
			b.WriteString("”")
		}
		text = after[n:]
	}
}

// valueAt is the value that follows a flag; "" if what follows is the next word of the sentence.
func valueAt(text string) string {
	if !strings.HasPrefix(text, " ") && !strings.HasPrefix(text, "=") {
		return ""
	}
	v, _, _ := strings.Cut(text[1:], " ")
	v = strings.TrimRight(v, ".,;:)")
	switch {
	case v == "":
		return ""
	case strings.ContainsAny(v[:1], "0123456789#−+") || v[0] == '-' && len(v) > 1 && v[1] != '-':
		return v
	case len(v) == 1 && v[0] >= 'a' && v[0] <= 'z': // the name of a trace
		return v
	}
	switch v {
	case "bottom", "centre", "auto", "find", "fit", "free", "ground":
		return v
	}
	return ""
}
