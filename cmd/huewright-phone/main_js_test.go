package main

import (
	"context"
	"net/http"
	"net/url"
	"strconv"
	"syscall/js"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestOneRequestEndsNoOther has handlers that write nothing, break off or fail: each is answered, and so is the next.
func TestOneRequestEndsNoOther(t *testing.T) {
	place, err := url.Parse("https://host.example/wood/")
	require.NoError(t, err)
	pages := http.NewServeMux()
	pages.HandleFunc("/nothing", func(http.ResponseWriter, *http.Request) {})
	pages.HandleFunc("/off", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Disposition", "attachment")
		_, _ = w.Write([]byte("half of a file"))
		panic(http.ErrAbortHandler)
	})
	pages.HandleFunc("/wrong", func(http.ResponseWriter, *http.Request) { panic("a mistake") })
	pages.HandleFunc("/long", func(w http.ResponseWriter, r *http.Request) {
		<-r.Context().Done()
		w.WriteHeader(http.StatusGone)
	})
	d := &door{ctx: context.Background(), place: place, pages: pages, asked: map[int]context.CancelFunc{}}
	for n, c := range []struct {
		path   string
		status int
		body   string
	}{{"/nothing", 200, ""}, {"/off", 500, "broken off\n"}, {"/wrong", 500, "broken off\n"}, {"/long", 410, ""}, {"/nothing", 200, ""}} {
		asked := js.ValueOf(map[string]any{"method": "GET", "target": c.path, "headers": []any{}})
		answers := make(chan string, 1)
		answer := js.FuncOf(func(_ js.Value, args []js.Value) any {
			body := make([]byte, args[2].Length())
			js.CopyBytesToGo(body, args[2])
			for i := range args[1].Length() {
				require.NotEqual(t, "Content-Disposition", args[1].Index(i).Index(0).String())
			}
			answers <- strconv.Itoa(args[0].Int()) + " " + string(body)
			return nil
		})
		d.serve(js.Undefined(), []js.Value{js.ValueOf(n), asked, answer.Value})
		if c.path == "/long" {
			d.cancel(js.Undefined(), []js.Value{js.ValueOf(n)})
		}
		require.Equal(t, strconv.Itoa(c.status)+" "+c.body, <-answers, c.path)
		answer.Release()
	}
}
