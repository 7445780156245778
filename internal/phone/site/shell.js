"use strict";
// The shell stays while the pages come and go in its frame. It fetches the program once, owns the worker that runs it, and lets one
// tab at a time have it. What it shows of the pages stands behind # in its address.
(() => {
  const version = document.currentScript.dataset.version;
  const place = new URL(".", location.href.split("#")[0]);
  const element = (id) => document.getElementById(id);
  const cacheOf = (v) => caches.open("huewright-" + v);

  // say says how things are, with a button to do something where there is something to do.
  function say(text, press, action) {
    element("wait").hidden = false;
    element("tell").textContent = text;
    element("come").hidden = true;
    element("doing").hidden = !press;
    if (press) {
      element("do").textContent = press;
      element("do").onclick = action;
    }
  }
  const again = () => location.reload();

  // unpacks says whether this browser unpacks a format itself.
  function unpacks(format) {
    try {
      return !!new DecompressionStream(format);
    } catch {
      return false;
    }
  }
  // unpacked is a program as it comes, without ever being whole in memory. It may have been unpacked on the way, where the host says how
  // it is packed: then it begins as programs do.
  async function unpacked(stream, format) {
    const reader = stream.getReader(),
      first = await reader.read();
    const same = new ReadableStream({
      start: (to) => (first.done ? to.close() : to.enqueue(first.value)),
      pull: async (to) => {
        const { done, value } = await reader.read();
        if (done) to.close();
        else to.enqueue(value);
      },
      cancel: (why) => reader.cancel(why),
    });
    if (String.fromCharCode(...(first.value || new Uint8Array()).subarray(0, 4)) === "\0asm") return same;
    return same.pipeThrough(new DecompressionStream(format));
  }

  // fetched keeps all files of a version, and tells how much of it has come. The program comes packed.
  async function fetched(list) {
    const cache = await cacheOf(list.version),
      bar = element("come");
    const files = list.files.map((f) =>
      f.brotli && unpacks("brotli") ? { ...f, packed: f.brotli, size: f.brotliSize, format: "brotli" } : { ...f, format: "gzip" },
    );
    const all = files.reduce((sum, f) => sum + f.size, 0);
    let come = 0;
    for (const { path, size, packed, format } of files) {
      const to = new URL(path, place);
      if (await cache.match(to)) {
        come += size;
        continue;
      }
      const from = new URL(packed || path, place);
      from.search = "?fetch=" + list.version; // from the host, past the service worker
      const answer = await fetch(from, { cache: "no-cache" });
      if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
      const counted = answer.body.pipeThrough(
        new TransformStream({
          transform(part, to) {
            come += part.length;
            bar.hidden = false;
            bar.value = Math.min(1, come / all);
            to.enqueue(part);
          },
        }),
      );
      const type = path.endsWith(".wasm") ? "application/wasm" : answer.headers.get("content-type");
      const whole = packed ? await unpacked(counted, format) : counted;
      await cache.put(to, new Response(whole, { headers: { "Content-Type": type } }));
    }
    bar.hidden = true;
  }
  const json = async (path) => {
    const answer = await fetch(new URL(path, place), { cache: "no-store" });
    if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
    return answer.json();
  };
  const listOf = (v) => json(`${v}/files.json`);

  // serving makes sure that the service worker of a version hands the pages' requests over.
  async function serving(v) {
    const registration = await navigator.serviceWorker.register(new URL(`sw-${v}.js`, place), {
      scope: place.pathname,
      updateViaCache: "none",
    });
    const worker = registration.installing || registration.waiting;
    if (worker)
      await new Promise((ok, no) => {
        const look = () => {
          if (worker.state === "activated") ok();
          else if (worker.state === "redundant") no(new Error("the service worker was not taken"));
        };
        worker.addEventListener("statechange", look);
        look();
      });
    // A page that was loaded past the service worker, as by a forced reload, has none until it is loaded again.
    if (!navigator.serviceWorker.controller)
      await new Promise((ok) => {
        navigator.serviceWorker.addEventListener("controllerchange", ok, { once: true });
        setTimeout(again, 3000);
      });
  }

  let worker = null,
    frame = null,
    moved = false,
    showed = false;
  // connect gives the service worker a line to the program, and waits until it has it: a page that asks sooner would ask a
  // program that another tab had.
  async function connect() {
    if (!worker) return;
    const { port1, port2 } = new MessageChannel(),
      taken = new MessageChannel();
    worker.postMessage({ port: port1 }, [port1]);
    await new Promise((ok) => {
      taken.port1.onmessage = ok;
      navigator.serviceWorker.controller.postMessage({ line: port2, taken: taken.port2 }, [port2, taken.port2]);
    });
  }
  function start() {
    return new Promise((ok, no) => {
      worker = new Worker(new URL(`${version}/worker.js`, place));
      worker.onmessage = ({ data }) => {
        if (data.hurt) localStorage.setItem(HURT, "yes");
        else if (data.ready) ok();
        else if (data.ended) {
          stop();
          no(new Error(data.ended));
          say("The program stopped. What you did is kept.", "Start it again", again);
        }
      };
      worker.onerror = (e) => no(new Error(e.message));
    });
  }
  function stop() {
    worker?.terminate();
    worker = null;
    frame?.remove();
    frame = null;
  }

  const shown = () => {
    const l = frame?.contentWindow?.location;
    try {
      return l && l.href !== "about:blank" ? l.pathname.slice(place.pathname.length) + l.search : null;
    } catch {
      return null;
    }
  };
  const wanted = () => location.hash.slice(1).replace(/^\/+/, "");
  function mirror() {
    const at = shown();
    if (at === null || moved) return;
    document.title = frame.contentDocument?.title || "huewright";
    if (at !== wanted()) history.replaceState(null, "", place.pathname + (at ? "#" + at : ""));
  }
  function show() {
    element("wait").hidden = true;
    frame = document.createElement("iframe");
    frame.title = "huewright";
    frame.src = new URL(wanted() || ".", place).href;
    frame.addEventListener("load", () => {
      moved = false;
      mirror();
    });
    document.body.append(frame);
    if (showed) return;
    showed = true;
    setInterval(mirror, 500);
    addEventListener("hashchange", () => {
      if (frame && wanted() !== shown()) {
        moved = true;
        frame.contentWindow.location.assign(new URL(wanted() || ".", place));
      }
    });
  }

  // tellHurt says that names of files were lost, at each start until that was looked after.
  const HURT = "huewright hurt " + place.pathname;
  function tellHurt() {
    element("hurt").hidden = !localStorage.getItem(HURT);
    element("looked").onclick = () => {
      localStorage.removeItem(HURT);
      element("hurt").hidden = true;
    };
  }

  // offer asks whether a newer version is to be taken, where there is one. It is taken between two requests.
  async function offer() {
    let newest;
    try {
      newest = (await json("version.json")).version;
    } catch {
      return;
    } // no signal
    if (newest === version) return;
    element("newer").hidden = false;
    element("not-now").onclick = () => {
      element("newer").hidden = true;
    };
    element("take").onclick = async () => {
      element("take").disabled = true;
      try {
        await fetched(await listOf(newest));
        await (await cacheOf(newest)).put(new URL(`${newest}/whole`, place), new Response(""));
        await idle();
        stop();
        await serving(newest);
        again();
      } catch (e) {
        console.error(e);
        element("take").disabled = false;
        if (!frame) again();
      }
    };
  }
  const ask = (question) =>
    new Promise((ok) => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = ({ data }) => ok(data);
      navigator.serviceWorker.controller.postMessage({ question, port: port2 }, [port2]);
    });
  async function idle() {
    while ((await ask("asked")) > 0) await new Promise((ok) => setTimeout(ok, 200));
  }

  async function own() {
    say("Getting ready …");
    await start();
    await connect();
    navigator.storage?.persist?.();
    show();
    tellHurt();
    offer();
  }
  // One tab alone has the log. Another says so, and can take over: then the first lets go.
  async function claim(options) {
    let have = false;
    try {
      await navigator.locks.request("huewright " + place.pathname, options, async (lock) => {
        if (!lock) return;
        have = true;
        await own();
        await new Promise(() => {}); // as long as this tab lives
      });
    } catch (e) {
      stop();
      if (e.name === "AbortError") say("huewright is open in another tab now.", "Use it here", () => claim({ steal: true }));
      else {
        console.error(e);
        say(
          e.message.startsWith("NoModificationAllowedError")
            ? "Another tab still has the log. Close that tab."
            : e.message.startsWith("ENOSPC")
              ? "The storage of this phone is full. Make some room on it, then try again."
              : "huewright could not start: " + e.message,
          "Try again",
          again,
        );
      }
      return;
    }
    if (!have) say("huewright is open in another tab.", "Use it here", () => claim({ steal: true }));
  }

  (async () => {
    if (
      !navigator.serviceWorker ||
      !navigator.locks ||
      !navigator.storage?.getDirectory ||
      !globalThis.DecompressionStream ||
      !globalThis.isSecureContext
    ) {
      say("This browser is too old for huewright, or in a private window. Open this page in a new window of a newer browser.");
      return;
    }
    navigator.serviceWorker.addEventListener("message", ({ data }) => {
      if (data === "port") connect();
    });
    try {
      const cache = await cacheOf(version);
      if (!(await cache.match(new URL(`${version}/whole`, place)))) {
        say("Loading huewright. It is kept for later, and works without a signal then.");
        await fetched(await listOf(version));
        await cache.put(new URL(`${version}/whole`, place), new Response(""));
      }
      await serving(version);
    } catch (e) {
      console.error(e);
      say("huewright did not arrive. Check the connection.", "Try again", again);
      return;
    }
    await claim({ ifAvailable: true });
  })();
})();
