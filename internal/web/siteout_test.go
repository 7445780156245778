package web

import (
	"encoding/base64"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"huewright/internal/logbook"
)

// ownScript is where the host of a test has a script of its own: by such a name the service worker takes it for one of another version.
const ownScript = "/000000000000/own.js"

// own answers with a script that has the files which the program has in a browser: it takes all of them out, by their paths, or spoils
// the journals of their names.
func own(w http.ResponseWriter) {
	w.Header().Set("Content-Type", "text/javascript")
	_, _ = fmt.Fprint(w, `async function taken(open) {
	for (;;) try {
		return await open();
	} catch (e) {
		if (e.name !== "NoModificationAllowedError") throw e;
		await new Promise((ok) => setTimeout(ok, 100));
	}
}
async function takeOut(top) {
	const files = await taken(() => huewrightFiles.open(top));
	const call = (name, ...args) => new Promise((ok, no) => files.fs[name](...args, (e, v) => (e ? no(e) : ok(v))));
	const all = [];
	const visit = async (path) => {
		for (const name of await call("readdir", path || "/")) {
			const at = path + "/" + name, about = await call("stat", at);
			if (about.isDirectory()) { await visit(at); continue; }
			const bytes = new Uint8Array(about.size), fd = await call("open", at, 0, 0);
			if (about.size) await call("read", fd, bytes, 0, about.size, 0);
			await call("close", fd);
			let text = "";
			for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
			all.push(at + " " + btoa(text));
		}
	};
	await visit("");
	await files.close();
	return { all, hurt: files.hurt };
}
async function spoil(top) {
	for (const name of ["names-a", "names-b", "names-c"]) {
		const journal = await taken(async () => (await top.getFileHandle(name)).createSyncAccessHandle());
		journal.write(new Uint8Array(journal.getSize()), { at: 0 });
		journal.close();
	}
	return {};
}
onmessage = async ({ data: { what, version, under } }) => {
	importScripts(under + version + "/names.js", under + version + "/fs.js");
	const top = await navigator.storage.getDirectory();
	postMessage(await { takeOut, spoil }[what](await top.getDirectoryHandle("huewright " + under.replaceAll("/", " ").trim())));
};
`)
}

// broughtOut are the files of a program in a browser.
type broughtOut struct {
	All  []string `json:"all"` // path and content in base 64
	Hurt bool     `json:"hurt"`
}

// without ends the program of a site and has a function of own run on its files. A reload starts the program again.
func (b *browser) without(under, what string) broughtOut {
	b.t.Helper()
	out, err := chromedp.Run(b.ctx, chromedp.Evaluate[broughtOut](fmt.Sprintf(`new Promise((ok, no) => {
		navigator.locks.request("huewright %[1]s/", { steal: true }, () => new Promise(() => {}));
		const own = new Worker("%[1]s%[2]s");
		own.onmessage = ({ data }) => ok(data);
		own.onerror = (e) => no(new Error(e.message));
		own.postMessage({ what: %[3]q, version: document.querySelector("script").dataset.version, under: "%[1]s/" });
	})`, under, ownScript, what), awaited))
	require.NoError(b.t, err)
	return out
}

// takeOut takes all files of a site's program out of the browser, and opens the log among them here.
func (b *browser) takeOut(under string) *logbook.Log {
	b.t.Helper()
	out := b.without(under, "takeOut")
	require.False(b.t, out.Hurt)
	folder := b.t.TempDir()
	for _, file := range out.All {
		at := strings.LastIndexByte(file, ' ')
		data, err := base64.StdEncoding.DecodeString(file[at+1:])
		require.NoError(b.t, err)
		path := filepath.Join(folder, filepath.FromSlash(file[:at]))
		require.NoError(b.t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(b.t, os.WriteFile(path, data, 0o600))
	}
	log, err := logbook.Open(b.t.Context(), filepath.Join(folder, "log", "log.db"), logbook.Options{})
	require.NoError(b.t, err)
	b.t.Cleanup(func() { _ = log.Close() })
	return log
}

// whole looks a log over, as "log check" does.
func whole(t testing.TB, log *logbook.Log) {
	t.Helper()
	faults, err := log.Verify(t.Context())
	require.NoError(t, err)
	require.Empty(t, faults)
}
