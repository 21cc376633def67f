// The keys of a photo, for the help.

package notebook

import "slices"

// A KeyGroup is some of the keys that a photo has, under what they say.
type KeyGroup struct {
	Says string
	Keys []string
}

// PhotoKeys are all keys of a photo.
func PhotoKeys() []KeyGroup {
	var set, readings, drawn, said []string
	for _, f := range settings {
		switch f.key {
		case "readings", "readings_file", "readings_begin":
			readings = append(readings, f.key)
		default:
			set = append(set, f.key)
		}
	}
	for _, f := range placing {
		drawn = append(drawn, f.key)
	}
	for name := range quantities {
		said = append(said, name)
	}
	slices.Sort(said)
	return []KeyGroup{
		{"what it is", []string{"file", "name", "title", "instrument"}},
		{"settings, called as the flags of quadrille read", set},
		{"several traces: a list of such settings", []string{"traces"}},
		{"a table of readings by hand beside the trace", readings},
		{"a drawing held against the photo, as quadrille check does it", append([]string{"sketch"}, drawn...)},
		{"what its dials say: frequency, drive, source_resistance", []string{"generator"}},
		{"values that the screen prints, and values read by hand", []string{"display", "by_hand"}},
		{"which are values of", said},
	}
}
