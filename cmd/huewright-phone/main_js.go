// Command huewright-phone is the pages with nobody behind them: a browser runs it as WebAssembly in a worker, and hands
// it every request of the pages. internal/phone/site is what surrounds it there, and .ci/site builds both.
//
// It asks what surrounds it for these, on the global object: huewrightPlace, the address of the folder that the site lies in,
// and huewrightReady(version), which it calls when it answers. It sets there huewrightServe(id, request, answer) and
// huewrightCancel(id).
package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"log"
	"net/http"
	"net/url"
	"runtime/debug"
	"strings"
	"sync"
	"syscall/js"

	"huewright/internal/logbook"
	"huewright/internal/web"
	"huewright/internal/words"
)

// released is the version, set when the site is built.
var released = "development"

const (
	logFile     = "/log/log.db"
	foundFolder = "/found" // where the file system of the site keeps files that have lost their names
)

func main() {
	if err := run(context.Background(), js.Global()); err != nil {
		says, hint := words.Speaker{Voice: words.Page}.Fault(err)
		js.Global().Call("huewrightFailed", strings.TrimSpace(says+" "+hint))
		select {} // who runs it ends it
	}
}

func run(ctx context.Context, world js.Value) error {
	place, err := url.Parse(world.Get("huewrightPlace").String())
	if err != nil {
		return err
	}
	book, err := logbook.Open(ctx, logFile, logbook.Options{Make: true})
	if err != nil {
		return err
	}
	// What has lost its name there is taken in again. Where that fails it stays, and all else goes on.
	if _, err := book.TakeFound(ctx, foundFolder); err != nil {
		log.Print(err)
	}
	pages, err := web.New(book, web.Options{
		Hosts: []string{place.Host}, Program: released, Alone: true, Under: place.Path, Found: foundFolder,
	})
	if err != nil {
		return err
	}
	d := &door{ctx: ctx, place: place, pages: pages.Handler(), asked: map[int]context.CancelFunc{}}
	world.Set("huewrightServe", js.FuncOf(d.serve))
	world.Set("huewrightCancel", js.FuncOf(d.cancel))
	world.Call("huewrightReady", released)
	select {} // it ends with the worker
}

// A door lets requests of the browser in.
type door struct {
	ctx   context.Context
	place *url.URL
	pages http.Handler

	mutex sync.Mutex
	asked map[int]context.CancelFunc // requests that are being answered
}

// serve answers a request by calling its last argument with a status, pairs of header names and values, and the body.
func (d *door) serve(_ js.Value, args []js.Value) any {
	id, asked, answer := args[0].Int(), args[1], args[2]
	ctx, cancel := context.WithCancel(d.ctx)
	d.mutex.Lock()
	d.asked[id] = cancel
	d.mutex.Unlock()
	req, err := d.request(ctx, asked)
	go func() {
		defer func() {
			cancel()
			d.mutex.Lock()
			delete(d.asked, id)
			d.mutex.Unlock()
		}()
		w := d.answerTo(req, err)
		answer.Invoke(w.status, w.pairs(), w.whole())
	}()
	return nil
}

// answerTo has the pages answer a request, if it is one. As with net/http, a handler that panics ends its own request alone.
func (d *door) answerTo(req *http.Request, err error) (w *answered) {
	w = &answered{header: http.Header{}}
	defer func() {
		if why := recover(); why != nil {
			if why != http.ErrAbortHandler {
				log.Printf("%v\n%s", why, debug.Stack())
			}
			w = &answered{header: http.Header{}} // nothing has been sent yet
			http.Error(w, "broken off", http.StatusInternalServerError)
		}
		w.WriteHeader(http.StatusOK) // where nothing else was written
	}()
	if err != nil {
		http.Error(w, err.Error(), http.StatusBadRequest)
		return w
	}
	d.pages.ServeHTTP(w, req)
	return w
}

// cancel ends a request that nobody waits for any more.
func (d *door) cancel(_ js.Value, args []js.Value) any {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	if cancel := d.asked[args[0].Int()]; cancel != nil {
		cancel()
	}
	return nil
}

func (d *door) request(ctx context.Context, asked js.Value) (*http.Request, error) {
	var body io.Reader = http.NoBody
	if sent := asked.Get("body"); sent.Truthy() {
		body = bufio.NewReaderSize(&blobReader{blob: sent, size: sent.Get("size").Int()}, part)
	}
	target := asked.Get("target").String()
	req, err := http.NewRequestWithContext(ctx, asked.Get("method").String(), d.place.Scheme+"://"+d.place.Host+target, body)
	if err != nil {
		return nil, err
	}
	req.RequestURI = target
	headers := asked.Get("headers")
	for i := range headers.Length() {
		req.Header.Add(headers.Index(i).Index(0).String(), headers.Index(i).Index(1).String())
	}
	return req, nil
}

func bytesOf(data []byte) js.Value {
	array := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(array, data)
	return array
}

// part is how many bytes of a body are in the program's memory at once, which never shrinks: the browser has the rest, on its disk where
// that is much.
const part = 1 << 20

// A blobReader reads what the browser has.
type blobReader struct {
	blob     js.Value // Blob
	at, size int
}

func (b *blobReader) Read(p []byte) (int, error) {
	if b.at >= b.size {
		return 0, io.EOF
	}
	buffer, err := await(b.blob.Call("slice", b.at, min(b.size, b.at+len(p))).Call("arrayBuffer"))
	if err != nil {
		return 0, err
	}
	n := js.CopyBytesToGo(p, js.Global().Get("Uint8Array").New(buffer))
	b.at += n
	return n, nil
}

// await waits for a promise.
func await(promise js.Value) (js.Value, error) {
	came, failed := make(chan js.Value, 1), make(chan js.Value, 1)
	then := js.FuncOf(func(_ js.Value, args []js.Value) any { came <- args[0]; return nil })
	defer then.Release()
	otherwise := js.FuncOf(func(_ js.Value, args []js.Value) any { failed <- args[0]; return nil })
	defer otherwise.Release()
	promise.Call("then", then, otherwise)
	select {
	case v := <-came:
		return v, nil
	case why := <-failed:
		return js.Undefined(), js.Error{Value: why}
	}
}

// answered is a response that is kept until it is whole.
type answered struct {
	header http.Header
	status int
	body   bytes.Buffer
	before []any // Blobs of what came before the body
}

func (w *answered) Header() http.Header { return w.header }

func (w *answered) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
}

func (w *answered) Write(data []byte) (int, error) {
	w.WriteHeader(http.StatusOK)
	if w.body.Len() > part {
		w.before = append(w.before, blobOf(bytesOf(w.body.Bytes())))
		w.body.Reset()
	}
	return w.body.Write(data)
}

// whole is the body: a Uint8Array, or a Blob where it is large.
func (w *answered) whole() js.Value {
	rest := bytesOf(w.body.Bytes())
	if len(w.before) == 0 {
		return rest
	}
	return blobOf(append(w.before, rest)...)
}

func blobOf(parts ...any) js.Value { return js.Global().Get("Blob").New(js.ValueOf(parts)) }

func (w *answered) pairs() (pairs []any) {
	for name, values := range w.header {
		for _, value := range values {
			pairs = append(pairs, []any{name, value})
		}
	}
	return pairs
}
