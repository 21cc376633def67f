package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
)

// With switches a room is compiled once for all of its constants and not once for each change. Where all uses of a
// constant have one type, it becomes a variable of that type, whose value is multiplied by what the environment says:
//
//	const cutoff = 0.4        const cutoffAsWritten = 0.4
//	                     ->   var cutoff float64 = switched("file.go:12 cutoff", float64(cutoffAsWritten))
//
// A constant that has to be one (the length of an array, a case, a part of another constant) or that other packages use
// is left, and changed the slow way. So is a table.

const variable = "QUADRILLE_CONSTANT" // "file.go:12 cutoff*2": which constant is multiplied by what

const switchSource = `package %s

import (
	"math"
	"os"
	"strconv"
	"strings"
)

// switched multiplies the value of the one constant that the environment names. Halves of whole numbers are rounded up.
func switched[T ~int | ~int32 | ~int64 | ~float32 | ~float64](name string, v T) T {
	rest, ok := strings.CutPrefix(os.Getenv("` + variable + `"), name+"*")
	if !ok {
		return v
	}
	f, err := strconv.ParseFloat(rest, 64)
	if err != nil {
		panic(err)
	}
	if T(1)/T(2) == 0 { // whole
		return T(math.Ceil(float64(v) * f))
	}
	return T(float64(v) * f)
}
`

// A binary is a compiled test of one room, with the constants of a room as switches.
type binary struct {
	path     string
	switched map[string]bool // by constant.id
}

// id names a constant in its room.
func (c *constant) id() string { return fmt.Sprintf("%s:%d %s", c.file, c.line, c.name) }

// compile makes the binary of the tests of a room, with the constants of another, or the same, as switches.
func (r *runner) compile(room, tests string) (*binary, error) {
	files, switched, err := switches(room)
	if err != nil {
		return nil, err
	}
	folder, err := os.MkdirTemp(r.folder, "switches")
	if err != nil {
		return nil, err
	}
	replace := map[string]string{}
	for name, src := range files {
		full, err := filepath.Abs(filepath.Join(room, name))
		if err != nil {
			return nil, err
		}
		replace[full] = filepath.Join(folder, name)
		if err := os.WriteFile(replace[full], src, 0o600); err != nil {
			return nil, err
		}
	}
	list, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return nil, err
	}
	overlay := filepath.Join(folder, "overlay.json")
	if err := os.WriteFile(overlay, list, 0o600); err != nil {
		return nil, err
	}
	out := filepath.Join(folder, "room.test")
	if b, err := exec.Command("go", "test", "-c", "-vet=off", "-overlay", overlay, "-o", out, "./"+tests).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%s with switches does not compile: %w\n%s", room, err, b)
	}
	return &binary{out, switched}, nil
}

// switches gives the files of a room in which constants are switches, and one more, by name.
func switches(room string) (files map[string][]byte, switched map[string]bool, err error) {
	set, trees, info, err := checked(room)
	if err != nil {
		return nil, nil, err
	}
	kinds := usedAs(trees, info)
	all, err := constantsOf(room)
	if err != nil {
		return nil, nil, err
	}
	wanted := map[string]bool{}
	for _, c := range all {
		wanted[c.id()] = true
	}
	files, switched = map[string][]byte{}, map[string]bool{}
	for _, tree := range trees {
		path := set.Position(tree.Pos()).Filename
		name := filepath.Base(path)
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		src, err := os.ReadFile(path)
		if err != nil {
			return nil, nil, err
		}
		type insertion struct {
			at   int
			text string
		}
		var in []insertion
		end := ""
		ast.Inspect(tree, func(n ast.Node) bool {
			decl, ok := n.(*ast.GenDecl)
			if !ok || decl.Tok != token.CONST {
				return true
			}
			for _, s := range decl.Specs {
				for _, id := range s.(*ast.ValueSpec).Names {
					object := info.Defs[id]
					kind, known := kinds[object]
					key := fmt.Sprintf("%s:%d %s", name, set.Position(id.Pos()).Line, id.Name)
					if !known || kind == "" || !wanted[key] || ast.IsExported(id.Name) {
						continue
					}
					switched[key] = true
					in = append(in, insertion{set.Position(id.End()).Offset, "AsWritten"})
					text := fmt.Sprintf("var %s %s = switched(%q, %s(%sAsWritten))", id.Name, kind, key, kind, id.Name)
					if isTopLevel(tree, decl) {
						end += "\n" + text + "\n"
					} else {
						in = append(in, insertion{set.Position(decl.End()).Offset, "; " + text})
					}
				}
			}
			return true
		})
		if len(in) == 0 {
			continue
		}
		sort.SliceStable(in, func(i, j int) bool { return in[i].at < in[j].at })
		var out []byte
		last := 0
		for _, i := range in {
			out = append(append(out, src[last:i.at]...), i.text...)
			last = i.at
		}
		files[name] = append(append(out, src[last:]...), end...)
	}
	if len(trees) > 0 {
		files["switched_constants.go"] = fmt.Appendf(nil, switchSource, trees[0].Name.Name)
	}
	return files, switched, nil
}

// usedAs gives for each constant the one type of all its uses, or "" if there are several or if it has to be a
// constant.
func usedAs(trees []*ast.File, info *types.Info) map[types.Object]string {
	out := map[types.Object]string{}
	for _, tree := range trees {
		fixed := map[ast.Node]bool{} // below these all has to be constant
		ast.Inspect(tree, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.GenDecl:
				if n.Tok == token.CONST {
					fixed[n] = true
				}
			case *ast.ArrayType:
				if n.Len != nil {
					fixed[n.Len] = true
				}
			case *ast.CaseClause:
				for _, e := range n.List {
					if tv := info.Types[e]; tv.Value != nil {
						fixed[e] = true
					}
				}
			case *ast.KeyValueExpr:
				if tv := info.Types[n.Key]; tv.Value != nil {
					fixed[n.Key] = true
				}
			}
			return true
		})
		for n := range fixed {
			ast.Inspect(n, func(n ast.Node) bool {
				if id, ok := n.(*ast.Ident); ok {
					if c, ok := info.Uses[id].(*types.Const); ok {
						out[c] = ""
					}
				}
				return true
			})
		}
	}
	for id, object := range info.Uses {
		c, ok := object.(*types.Const)
		if !ok {
			continue
		}
		tv, ok := info.Types[id]
		if !ok {
			continue
		}
		kind := ""
		if b, ok := tv.Type.(*types.Basic); ok && b.Info()&types.IsUntyped == 0 {
			switch b.Kind() {
			case types.Int, types.Int32, types.Int64, types.Float32, types.Float64:
				kind = b.Name()
			}
		}
		if before, seen := out[c]; seen && before != kind {
			kind = ""
		}
		out[c] = kind
	}
	return out
}

// checked gives the syntax of a room's files, its own tests among them, with the types of everything in them.
func checked(room string) (*token.FileSet, []*ast.File, *types.Info, error) {
	list := exec.Command("go", "list", "-export", "-deps", "-test", "-f", "{{.ImportPath}}\t{{.Export}}", "./"+room)
	var said bytes.Buffer
	list.Stderr = &said
	b, err := list.Output()
	if err != nil {
		return nil, nil, nil, fmt.Errorf("%w: %s", err, said.Bytes())
	}
	exports := map[string]string{}
	for _, line := range strings.Split(string(b), "\n") {
		path, file, _ := strings.Cut(line, "\t")
		exports[path] = file
	}
	set := token.NewFileSet()
	look := func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) }
	files, err := filepath.Glob(filepath.Join(room, "*.go"))
	if err != nil {
		return nil, nil, nil, err
	}
	var trees []*ast.File
	for _, path := range files {
		if !builtHere(path) {
			continue
		}
		tree, err := parser.ParseFile(set, path, nil, 0)
		if err != nil {
			return nil, nil, nil, err
		}
		if !strings.HasSuffix(tree.Name.Name, "_test") {
			trees = append(trees, tree)
		}
	}
	info := &types.Info{Defs: map[*ast.Ident]types.Object{}, Uses: map[*ast.Ident]types.Object{},
		Types: map[ast.Expr]types.TypeAndValue{}}
	conf := types.Config{Importer: importer.ForCompiler(set, "gc", look)}
	_, err = conf.Check("quadrille/"+room, set, trees, info)
	return set, trees, info, err
}
