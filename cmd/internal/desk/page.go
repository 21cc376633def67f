package desk

import (
	"embed"
	"io/fs"
)

//go:embed page
var embedded embed.FS

// Page is the page's files: plain HTML, CSS and JavaScript modules, as they are served.
var Page = func() fs.FS {
	files, err := fs.Sub(embedded, "page")
	if err != nil {
		panic(err) // the folder is part of the program
	}
	return files
}()
