package main

import (
	"fmt"
	"go/ast"
	"go/build"
	values "go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"
)

// A constant is a named number of a room, or a table of plain numbers.
type constant struct {
	room, file, name string
	line             int
	value            string  // as it is written
	number           float64 // its value, seconds if it is a time; NaN of a table
	literals         []span  // what is multiplied: the whole expression, or each number of a table
	whole            bool    // written without a point, so that half of it is rounded up
	comment          string

	tests  []test      // that its comment names
	absent []string    // names that no package has
	bounds *[2]float64 // within which nothing changes, if the comment says so

	doubled, halved outcome
	by              []string // tests that failed when all of the room were run
	took            time.Duration
}

// A span is a part of a file, bytes, half open.
type span struct{ from, to int }

// A test is a function of a package, or a part of one; all of the package's without a name.
type test struct{ room, name string }

// packages lists the folders of the module that hold Go files, as the go command does for ./...
func packages() (out []string, err error) {
	err = filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if !d.IsDir() {
			return nil
		}
		base := d.Name()
		if path != "." && (base == "testdata" || strings.HasPrefix(base, ".") || strings.HasPrefix(base, "_")) {
			return filepath.SkipDir
		}
		files, err := filepath.Glob(filepath.Join(path, "*.go"))
		if len(files) > 0 {
			out = append(out, filepath.ToSlash(path))
		}
		return err
	})
	return out, err
}

var testFunction = regexp.MustCompile(`(?m)^func (Test[A-Z]\w*)\(`)

// testsOf gives the packages in which there is a test of a name.
func testsOf(folders []string) (map[string][]string, error) {
	out := map[string][]string{}
	for _, dir := range folders {
		files, err := filepath.Glob(filepath.Join(dir, "*_test.go"))
		if err != nil {
			return nil, err
		}
		for _, file := range files {
			b, err := os.ReadFile(file)
			if err != nil {
				return nil, err
			}
			for _, m := range testFunction.FindAllStringSubmatch(string(b), -1) {
				out[m[1]] = append(out[m[1]], dir)
			}
		}
	}
	return out, nil
}

// constantsOf finds the constants of a folder's files that the go command would build here.
func constantsOf(dir string) (out []*constant, err error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("there is no Go file in %s", dir)
	}
	for _, path := range files {
		if !builtHere(path) || strings.HasSuffix(path, "_test.go") {
			continue
		}
		src, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		found, err := constantsIn(dir, filepath.Base(path), src)
		if err != nil {
			return nil, err
		}
		out = append(out, found...)
	}
	values, err := valuesOf(dir)
	for _, c := range out {
		v, ok := values[fmt.Sprintf("%s:%d %s", c.file, c.line, c.name)]
		if !ok {
			v = math.NaN()
		}
		c.number = v
	}
	return out, err
}

// builtHere says whether the go command would build a file on this machine.
func builtHere(path string) bool {
	built, err := build.Default.MatchFile(filepath.Dir(path), filepath.Base(path))
	return err == nil && built
}

// standard imports packages of the standard library, and gives empty ones for all others.
type standard struct{ types.Importer }

func (s standard) Import(path string) (*types.Package, error) {
	if strings.Contains(path, "/") && strings.HasPrefix(path, "quadrille/") || strings.Contains(path, ".") {
		return types.NewPackage(path, filepath.Base(path)), nil
	}
	return s.Importer.Import(path)
}

// valuesOf gives the values of a folder's constants by file, line and name. What needs another package of the module
// stays unknown; the errors that this makes are no matter.
func valuesOf(dir string) (map[string]float64, error) {
	set := token.NewFileSet()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		return nil, err
	}
	var trees []*ast.File
	for _, path := range files {
		if !builtHere(path) || strings.HasSuffix(path, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return nil, err
		}
		trees = append(trees, tree)
	}
	info := &types.Info{Defs: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: standard{importer.ForCompiler(set, "source", nil)}, Error: func(error) {}}
	conf.Check(dir, set, trees, info)
	out := map[string]float64{}
	for id, object := range info.Defs {
		c, ok := object.(*types.Const)
		if !ok || c.Val().Kind() != values.Int && c.Val().Kind() != values.Float {
			continue
		}
		v, _ := values.Float64Val(values.ToFloat(c.Val()))
		if c.Type().String() == "time.Duration" {
			v /= 1e9
		}
		at := set.Position(id.Pos())
		out[fmt.Sprintf("%s:%d %s", filepath.Base(at.Filename), at.Line, id.Name)] = v
	}
	return out, nil
}

// constantsIn finds the constants of one file.
func constantsIn(dir, file string, src []byte) (out []*constant, err error) {
	set := token.NewFileSet()
	tree, err := parser.ParseFile(set, file, src, parser.ParseComments)
	if err != nil {
		return nil, err
	}
	place := func(n ast.Node) span { return span{set.Position(n.Pos()).Offset, set.Position(n.End()).Offset} }
	var function string // the comment of the function that is walked through
	ast.Inspect(tree, func(n ast.Node) bool {
		if f, ok := n.(*ast.FuncDecl); ok {
			function = f.Doc.Text()
		}
		decl, ok := n.(*ast.GenDecl)
		if !ok || decl.Tok != token.CONST && decl.Tok != token.VAR {
			return true
		}
		local := !isTopLevel(tree, decl)
		for _, s := range decl.Specs {
			spec := s.(*ast.ValueSpec)
			own := spec.Doc.Text() + spec.Comment.Text()
			if !names(own) {
				own += decl.Doc.Text()
			}
			if local && !names(own) {
				own += function
			}
			for i, id := range spec.Names {
				if i >= len(spec.Values) || id.Name == "_" {
					continue
				}
				value := spec.Values[i]
				c := &constant{room: dir, file: file, name: id.Name, line: set.Position(id.Pos()).Line, comment: own}
				at := place(value)
				c.value = strings.Join(strings.Fields(string(src[at.from:at.to])), " ")
				if c.value == "0" || c.value == "0.0" { // has no double
					continue
				}
				if decl.Tok == token.CONST {
					if !numeric(value) {
						continue
					}
					c.literals, c.whole = []span{at}, !fractional(value)
				} else {
					table, ok := value.(*ast.CompositeLit)
					if !ok || local {
						continue
					}
					c.whole = true
					numbers := plain(table, func(e ast.Expr) {
						c.literals = append(c.literals, place(e))
						c.whole = c.whole && !fractional(e)
					})
					if !numbers {
						continue
					}
				}
				out = append(out, c)
			}
		}
		return true
	})
	return out, nil
}

func isTopLevel(tree *ast.File, decl *ast.GenDecl) bool {
	for _, d := range tree.Decls {
		if d == decl {
			return true
		}
	}
	return false
}

// numeric says whether an expression has a number in it that is chosen: no text, no iota, and no code in hexadecimal.
func numeric(e ast.Expr) bool {
	has, other := false, false
	ast.Inspect(e, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BasicLit:
			switch {
			case n.Kind == token.STRING || n.Kind == token.CHAR:
				other = true
			case n.Kind == token.INT && strings.HasPrefix(strings.ToLower(n.Value), "0x"):
				other = true
			default:
				has = true
			}
		case *ast.Ident:
			other = other || n.Name == "iota" || n.Name == "true" || n.Name == "false"
		}
		return true
	})
	return has && !other
}

func fractional(e ast.Expr) bool {
	f := false
	ast.Inspect(e, func(n ast.Node) bool {
		if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.FLOAT {
			f = true
		}
		return true
	})
	return f
}

// plain visits the numbers of a table of plain numbers, nested or not; false if something else is in it.
func plain(table *ast.CompositeLit, visit func(ast.Expr)) bool {
	if _, ok := table.Type.(*ast.ArrayType); !ok && table.Type != nil {
		return false
	}
	if len(table.Elts) == 0 {
		return false
	}
	for _, e := range table.Elts {
		switch v := e.(type) {
		case *ast.CompositeLit:
			if !plain(v, visit) {
				return false
			}
		default:
			if !numeric(e) {
				return false
			}
			visit(v)
		}
	}
	return true
}

const number = `(-?[\d.]*\d(?:e-?\d+)?)`

var (
	testName = regexp.MustCompile(`\bTest[A-Z]\w*(?:/[\w-]+)?`)
	// A unit may stand behind either number.
	rangeText = regexp.MustCompile(`[Nn]othing changes from ` + number + `[^\d\s]*\s+(?:[a-z]+\s+)?to ` + number)
)

// names says whether a comment names a test or a range.
func names(comment string) bool {
	flat := strings.Join(strings.Fields(comment), " ")
	return testName.MatchString(flat) || rangeText.MatchString(flat)
}

// locate reads the comment: tests of the same room come before those of others.
func (c *constant) locate(tests map[string][]string) {
	flat := strings.Join(strings.Fields(c.comment), " ")
	seen := map[string]bool{}
	for _, name := range testName.FindAllString(flat, -1) {
		if seen[name] {
			continue
		}
		seen[name] = true
		function, _, _ := strings.Cut(name, "/")
		rooms := tests[function]
		switch {
		case len(rooms) == 0:
			c.absent = append(c.absent, name)
		case slices.Contains(rooms, c.room):
			c.tests = append(c.tests, test{c.room, name})
		default:
			for _, room := range rooms {
				c.tests = append(c.tests, test{room, name})
			}
		}
	}
	sort.Slice(c.tests, func(i, j int) bool { return c.tests[i].room < c.tests[j].room })
	if m := rangeText.FindStringSubmatch(flat); m != nil {
		lo, err1 := strconv.ParseFloat(m[1], 64)
		hi, err2 := strconv.ParseFloat(m[2], 64)
		if err1 == nil && err2 == nil {
			c.bounds = &[2]float64{lo, hi}
		}
	}
}

// witness words what would notice.
func (c *constant) witness() string {
	s := c.by
	for _, t := range c.tests {
		if t.name == "" {
			continue
		}
		name := t.name
		if t.room != c.room {
			name = t.room + "." + name
		}
		s = append(s, name)
	}
	for _, name := range c.absent {
		s = append(s, name+" (not there)")
	}
	if c.bounds != nil {
		s = append(s, fmt.Sprintf("nothing from %g to %g", c.bounds[0], c.bounds[1]))
	}
	if s == nil {
		return "no test named"
	}
	return strings.Join(s, ", ")
}
