package desk

// A Sample is a simulated photo to try the page with: its file's name, what it shows, and the settings printed on it.
type Sample struct {
	File     string            `json:"file"`
	Says     string            `json:"says"`
	Settings map[string]string `json:"settings"`
}

// Samples are the simulated photos of testdata/photos that the page offers.
var Samples = []Sample{
	{"slow-pale.jpg", "a slow discharge", map[string]string{"volts_per_box": "1.5V", "time_per_box": "5s", "resistance": "22k±1%", "capacitance": "470u±20%"}},
	{"fast-blue.jpg", "a driven network", map[string]string{"volts_per_box": "0.5V", "time_per_box": "20ms", "resistance": "4k7±1%", "capacitance": "1uF±5%"}},
	{"pair-colour.jpg", "two sines", map[string]string{"time_per_box": "5ms", "volts_per_box": "2V"}},
	{"sine-colour.jpg", "a sine, without its settings", nil},
}
