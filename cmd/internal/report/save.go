package report

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

// Save writes files (name to content) into dir, all of them or none. The folder is made if it is
// missing. Every file is first written beside its place under a passing name; only when all are on the
// disk are they renamed, and if that fails half-way the new ones are removed again.
func Save(dir string, files map[string][]byte) (err error) {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("making the folder: %w", err)
	}
	var names, temps, placed []string
	defer func() {
		if err != nil {
			for _, f := range append(temps, placed...) {
				os.Remove(f) // of those renamed the passing name is gone, which is no matter
			}
		}
	}()
	for name := range files {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		temp, err := write(dir, name, files[name])
		if temp != "" {
			temps = append(temps, temp)
		}
		if err != nil {
			return fmt.Errorf("writing %s: %w", filepath.Join(dir, name), err)
		}
	}
	for i, name := range names {
		place := filepath.Join(dir, name)
		if err := os.Rename(temps[i], place); err != nil {
			return fmt.Errorf("writing %s: %w", place, err)
		}
		placed = append(placed, place)
	}
	return nil
}

// write puts content into a new file in dir and gives its path, "" if none was made.
func write(dir, name string, content []byte) (string, error) {
	f, err := os.CreateTemp(dir, "."+name+"-*")
	if err != nil {
		return "", err
	}
	_, err = f.Write(content)
	if err == nil {
		err = f.Chmod(0o644) // CreateTemp's 0600 would hide a result from the class's folder
	}
	if closed := f.Close(); err == nil {
		err = closed
	}
	return f.Name(), err
}
