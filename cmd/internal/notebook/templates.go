package notebook

import (
	"embed"
	"io/fs"
	"path"
	"slices"
	"strings"
)

//go:embed templates
var templates embed.FS

// Templates names the notebooks to begin with, one for each part of the usual exercise, in its order.
func Templates() []string { return []string{"level", "sine", "slow-discharge", "driven-discharge"} }

// Template gives one of them, with a comment to each line; nil for a name that there is not.
func Template(name string) []byte {
	if !slices.Contains(Templates(), name) {
		return nil
	}
	text, err := fs.ReadFile(templates, path.Join("templates", name+".yaml"))
	if err != nil {
		panic("notebook: " + err.Error()) // it is part of the program
	}
	return text
}

// NearestTemplate gives the name that was most likely meant, "" if none.
func NearestTemplate(name string) string {
	return nearest(strings.TrimSuffix(name, ".yaml"), Templates())
}
