"use strict";
// The program: Go, with its log on the browser's own file system.
importScripts("names.js", "fs.js", "photos.js");
const place = new URL("..", location.href);

// opened waits for a tab that has been told to let go.
async function opened(top) {
  for (let tries = 0; ; tries++) {
    try {
      return await huewrightFiles.open(top);
    } catch (e) {
      if (e.name !== "NoModificationAllowedError" || tries === 50) throw e;
      await new Promise((ok) => setTimeout(ok, 200));
    }
  }
}

const ready = (async () => {
  const files = await opened(
    await (
      await navigator.storage.getDirectory()
    ).getDirectoryHandle("huewright " + place.pathname.replaceAll("/", " ").trim(), { create: true }),
  );
  if (files.hurt) postMessage({ hurt: true }); // before anything else can go wrong: the next start finds it mended
  Object.assign(globalThis, { fs: files.fs, process: huewrightFiles.process, path: huewrightFiles.path, huewrightPlace: place.href });
  importScripts("wasm_exec.js");
  const go = new Go();
  go.env = { TMPDIR: "/memory", HOME: "/" };
  // From the service worker, not from its cache at once: what comes so the browser keeps compiled.
  const program = fetch("huewright.wasm");
  const { instance } = await WebAssembly.instantiateStreaming(program, go.importObject);
  await new Promise((ok, no) => {
    globalThis.huewrightReady = ok;
    globalThis.huewrightFailed = (text) => no(new Error(text));
    go.run(instance).then(
      () => {
        no(new Error("the program ended"));
        postMessage({ ended: "the program ended" });
      },
      (e) => {
        no(e);
        postMessage({ ended: String(e) });
      },
    );
  });
  files.sweep();
})();
ready.then(
  () => postMessage({ ready: true }),
  (e) => postMessage({ ended: e.name === "Error" ? e.message : `${e.name}: ${e.message}` }),
);

let number = 0;
onmessage = ({ data: { port } }) => {
  const numbers = new Map(); // of this line's requests, as the program has them
  port.onmessage = async ({ data }) => {
    await ready;
    if (data.cancel) {
      if (numbers.has(data.cancel)) huewrightCancel(numbers.get(data.cancel));
      return;
    }
    const n = ++number;
    numbers.set(data.id, n);
    const answer = (status, headers, body) => {
      numbers.delete(data.id);
      port.postMessage({ id: data.id, status, headers, body }, body instanceof Blob ? [] : [body.buffer]);
    };
    try {
      huewrightServe(n, data, answer);
    } catch (e) {
      answer(500, [["Content-Type", "text/plain"]], new TextEncoder().encode(String(e)));
    }
  };
};
