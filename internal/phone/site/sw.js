"use strict";
// Between the pages and the program: what is a file of the site comes from the browser's cache, what is a page goes to the program.
const version = "VERSION";
const place = new URL(".", location.href);
const FILES = new Set(LIST);

addEventListener("install", () => skipWaiting()); // it is asked for by the shell alone, which has fetched everything before
addEventListener("activate", (event) =>
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys())
        if (name.startsWith("huewright-") && name !== "huewright-" + version) await caches.delete(name);
      await clients.claim();
    })(),
  ),
);

let port = null,
  number = 0;
const asked = new Map(), // who waits for an answer of the program
  open = new Set(), // requests
  wanting = [];
addEventListener("message", ({ data, source }) => {
  if (data.question === "asked") {
    data.port.postMessage(asked.size);
    return;
  }
  if (data.question === "left") {
    for (const o of open) if (o.client === source.id && o.changes && (!data.url || o.url === data.url)) o.leave.abort();
    return;
  }
  // What the program before was asked and did not answer, nobody answers any more.
  for (const answer of asked.values())
    answer({
      status: 503,
      headers: [
        ["Content-Type", "text/plain"],
        ["Retry-After", "1"],
      ],
      body: "the program was started again",
    });
  asked.clear();
  port = data.line;
  port.onmessage = ({ data: answer }) => {
    asked.get(answer.id)?.(answer);
    asked.delete(answer.id);
  };
  data.taken.postMessage(true);
  for (const go of wanting.splice(0)) go(port);
});

// program is a line to the program; the tab that has it is asked where there is none, as when this worker was stopped meanwhile.
async function program() {
  if (port) return port;
  const came = new Promise((ok) => wanting.push(ok));
  for (const c of await clients.matchAll({ type: "window", includeUncontrolled: true }))
    if (c.frameType === "top-level") c.postMessage("port");
  return came;
}

const changes = (request) => !["GET", "HEAD"].includes(request.method);

async function ask(request, url, client) {
  const leave = new AbortController(),
    one = { client, url: url.href, changes: changes(request), leave };
  open.add(one);
  request.signal.addEventListener("abort", () => leave.abort()); // which some browsers never say: then the page does
  try {
    // A Blob that is large the browser keeps on its disk.
    const body = one.changes ? await request.blob() : null;
    const line = await program(),
      id = ++number;
    const answer = await new Promise((ok, no) => {
      const cancel = () => {
        asked.delete(id);
        line.postMessage({ cancel: id });
        no(new DOMException("cancelled", "AbortError"));
      };
      if (leave.signal.aborted || request.signal.aborted) {
        cancel();
        return;
      }
      leave.signal.addEventListener("abort", cancel);
      asked.set(id, ok);
      line.postMessage({ id, method: request.method, target: url.pathname + url.search, headers: [...request.headers], body });
    });
    const empty = [101, 204, 205, 304].includes(answer.status);
    return new Response(empty ? null : answer.body, { status: answer.status, headers: answer.headers });
  } finally {
    open.delete(one);
  }
}

const kept = async (path) => (await (await caches.open("huewright-" + version)).match(new URL(path, place))) || fetch(new URL(path, place));

addEventListener("fetch", (event) => {
  const { request } = event,
    url = new URL(request.url);
  if (url.origin !== place.origin || !url.pathname.startsWith(place.pathname)) return;
  const path = url.pathname.slice(place.pathname.length);
  if (/^\?fetch=[0-9a-f]{12}$/.test(url.search)) return; // the shell fetches a version
  if (request.mode === "navigate" && request.destination === "document") {
    // A page of the program is shown in the shell's frame. Nothing is sent to it from other sites.
    if (path === "" || path === "index.html") event.respondWith(kept("index.html"));
    else if (!FILES.has(path))
      event.respondWith(Response.redirect(new URL(request.method === "GET" ? "#" + path + url.search : "", place), 303));
    return;
  }
  if (FILES.has(path) && path !== "index.html") {
    event.respondWith(kept(path));
    return;
  }
  if (path === "version.json" || /^(sw-)?[0-9a-f]{12}(\.js|\/)/.test(path)) return; // of a newer version
  // What changes something comes from our own pages, which alone name themselves so.
  if (changes(request) && !request.referrer.startsWith(place.href)) {
    event.respondWith(new Response("this comes from another site", { status: 403 }));
    return;
  }
  event.respondWith(ask(request, url, event.clientId));
});
