//go:build js && wasm

// The core in a browser's own worker: what a server does for the page, without one. It gives the worker's script four
// functions; two take a photo's bytes as a Uint8Array and settings as JSON, the others the documents of several photos:
//
//	quadrilleAnswer(photo, settings, have, begin)  a live.Answer as JSON; begin(stage) is called as each stage begins
//	quadrilleFile(photo, settings, name)           a file that is kept as a Uint8Array, or text that says why there is none
//	quadrilleCompare(documents)                    a live.Compared as JSON
//	quadrilleCheck(documents)                      a live.Checked as JSON
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"syscall/js"

	"quadrille/cmd/internal/live"
)

func main() {
	var room live.Room
	js.Global().Set("quadrilleAnswer", js.FuncOf(func(_ js.Value, args []js.Value) any {
		begin := func(stage string) { args[3].Invoke(stage) }
		text, err := json.Marshal(room.Answer(context.Background(), bytesOf(args[0]), []byte(args[1].String()), args[2].String(), begin))
		if err != nil {
			panic("browser: an answer cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
		}
		return string(text)
	}))
	js.Global().Set("quadrilleFile", js.FuncOf(func(_ js.Value, args []js.Value) any {
		file, status := room.File(context.Background(), bytesOf(args[0]), []byte(args[1].String()), args[2].String())
		if status != 200 {
			return fmt.Sprintf("there is nothing to keep (%d)", status)
		}
		array := js.Global().Get("Uint8Array").New(len(file))
		js.CopyBytesToJS(array, file)
		return array
	}))
	js.Global().Set("quadrilleCompare", js.FuncOf(func(_ js.Value, args []js.Value) any {
		text, err := json.Marshal(live.Compare([]byte(args[0].String())))
		if err != nil {
			panic("browser: a comparison cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
		}
		return string(text)
	}))
	js.Global().Set("quadrilleCheck", js.FuncOf(func(_ js.Value, args []js.Value) any {
		text, err := json.Marshal(live.Check(context.Background(), []byte(args[0].String())))
		if err != nil {
			panic("browser: a check cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
		}
		return string(text)
	}))
	select {} // the functions are called from now on
}

func bytesOf(array js.Value) []byte {
	b := make([]byte, array.Length())
	js.CopyBytesToGo(b, array)
	return b
}
