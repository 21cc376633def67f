package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"
)

// version is what the program was built from and with, in one line.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "of an unknown build"
	}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	parts := []string{info.Main.Version}
	if rev := set["vcs.revision"]; rev != "" {
		parts = append(parts, "commit "+rev[:min(12, len(rev))]+" of "+set["vcs.time"])
		if set["vcs.modified"] == "true" {
			parts = append(parts, "with changes that are not committed")
		}
	}
	parts = append(parts, fmt.Sprintf("built with %s for %s/%s", info.GoVersion, runtime.GOOS, runtime.GOARCH))
	heic := "no HEIC"
	if strings.Contains(","+set["-tags"]+",", ",heic,") {
		heic = "HEIC"
	}
	return strings.Join(append(parts, heic), ", ")
}
