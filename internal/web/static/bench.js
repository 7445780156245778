// What the pages do beyond plain forms: send them without losing the place, keep what is typed, show how
// far a photo has come, and draw on it.
import { piece, tappable } from "./tap.js";

const says = document.getElementById("says");

// say shows a line at the top, with something to press where there is something.
export function say(text, press, action) {
  says.replaceChildren();
  if (!text) return;
  const line = document.createElement("div");
  line.append(Object.assign(document.createElement("span"), { textContent: text }));
  if (press) {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: press });
    button.addEventListener("click", action);
    line.append(button);
  }
  says.append(line);
}

// nobodyWaits has a program that this browser runs itself end what it was asked at an address, or anywhere: a browser tells a host
// that a request was left, and does not tell its own service worker.
export const nobodyWaits = (url = "") => navigator.serviceWorker?.controller?.postMessage({ question: "left", url });
addEventListener("pagehide", () => nobodyWaits());

// What is typed is kept in the browser until it has been sent, beside what the page showed in its place: where the page
// shows something else by then, that is newer.
const shownIn = (field) => field.tagName === "SELECT" ? ([...field.options].find((o) => o.defaultSelected) ?? field.options[0])?.value ?? "" : field.defaultValue ?? "";
const keyOf = (form) => form.dataset.keep && location.pathname + " " + form.dataset.keep;

function keep(form) {
  const key = keyOf(form);
  if (!key) return;
  const typed = {};
  for (const field of form.elements)
    if (field.name && field.type !== "hidden" && field.type !== "file" && field.value !== shownIn(field)) typed[field.name] = [field.value, shownIn(field)];
  try { localStorage.setItem(key, JSON.stringify(typed)); } catch { /* a full or closed store: the form itself still has it */ }
}

function restore(form) {
  const key = keyOf(form);
  if (!key) return;
  let typed;
  try { typed = JSON.parse(localStorage.getItem(key)); } catch { return; }
  if (!typed) return;
  let outlined = false;
  for (const [name, kept] of Object.entries(typed)) {
    const [value, shown] = [kept].flat();
    const field = form.elements.namedItem(name);
    if (!field || field.type === "hidden" || field.tagName === "SELECT" && ![...field.options].some((o) => o.value === value)) continue;
    if (shownIn(field) !== shown) {
      if (value !== shownIn(field)) say(`"${value}" was typed here and not sent. Since then it was set to "${shownIn(field)}" elsewhere.`, "Close", () => say(""));
      continue;
    }
    field.value = value;
    outlined ||= value && name.includes("outline");
  }
  const details = form.closest("details");
  if (details && outlined) details.open = true;
}

function forget(form) {
  const key = keyOf(form);
  if (key) try { localStorage.removeItem(key); } catch { /* nothing was kept */ }
}

// show puts a page that came in the place of this one. Another screen begins at its top; the same one keeps its place.
function show(html, url, sent) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const screen = page.getElementById("screen");
  if (!screen) { location.reload(); return; }
  const old = document.getElementById("screen"), same = old.dataset.screen === screen.dataset.screen && !sent?.closest(".foot, [data-top]");
  // What somebody opened stays open, but for what has just been sent: that is done.
  const closed = sent && !("stays" in sent.dataset) ? sent.closest("details") : null;
  const open = new Set(same ? [...document.querySelectorAll("main details[open]:not([data-came-open]) > summary")].filter((s) => s.parentElement !== closed).map((s) => s.textContent) : []);
  const at = scrollY;
  document.title = page.title;
  old.replaceWith(screen);
  const to = new URL(url, location.href);
  if (to.pathname + to.search !== location.pathname + location.search) history.pushState(null, "", to);
  shown = addressNow();
  ready(screen);
  for (const s of screen.querySelectorAll("main details:not([open]) > summary")) if (open.has(s.textContent)) s.parentElement.open = true;
  scrollTo(0, same ? at : 0);
  if (!same) document.getElementById("main").focus({ preventScroll: true });
}

// send sends a form, and reports whether that was done.
async function send(form, submitter) {
  const stop = new AbortController();
  const body = new URLSearchParams(new FormData(form, submitter));
  say("Working on it …", "Cancel", () => stop.abort());
  form.setAttribute("aria-busy", "true");
  const to = submitter?.hasAttribute("formaction") ? submitter.formAction : form.action;
  try {
    const answer = await fetch(to, { method: "POST", body, signal: stop.signal, redirect: "follow" });
    const html = await answer.text();
    if (answer.status === 409) { say(""); show(html, location.href); return false; }
    if (!answer.ok) {
      const page = new DOMParser().parseFromString(html, "text/html");
      const problem = page.querySelector(".problem")?.textContent || "That did not work.";
      const hint = page.querySelector(".problem + p:not(:has(a))")?.textContent || "";
      say(problem + " " + hint, "Close", () => say(""));
      return false;
    }
    forget(form);
    say("");
    show(html, answer.url, form);
    return true;
  } catch (fault) {
    if (stop.signal.aborted) {
      nobodyWaits(to);
      say("Cancelled. Nothing was changed.", "Close", () => say(""));
    } else say("No connection. What you typed is kept.", "Send again", () => send(form, submitter));
    return false;
  } finally {
    form.removeAttribute("aria-busy");
  }
}

// upload sends photos one after the other and shows how far each has come; one that breaks off is
// asked for again.
async function upload(form) {
  const input = form.querySelector("input[type=file]"), bar = document.getElementById("coming");
  const photos = [...input.files];
  let last = "", url = "";
  for (let i = 0; i < photos.length; i++) {
    bar.hidden = false;
    const one = () => new Promise((done, failed) => {
      const data = new FormData();
      data.append("photo", photos[i], photos[i].name);
      const request = new XMLHttpRequest();
      const to = i > 0 && form.action.endsWith("/begin") ? url.split("?")[0].replace(/[^/]*$/, "photo") : form.action;
      request.open("POST", to);
      request.upload.addEventListener("progress", (e) => { if (e.lengthComputable) bar.value = (i + 0.9 * e.loaded / e.total) / photos.length; });
      request.upload.addEventListener("load", () => { bar.removeAttribute("value"); say(`Reading ${photos[i].name} …`, "Cancel", () => request.abort()); }); // how long that takes nobody knows
      request.addEventListener("load", () => done(request));
      request.addEventListener("abort", () => nobodyWaits(to));
      for (const fault of ["error", "abort", "timeout"]) request.addEventListener(fault, () => failed(new Error(fault)));
      request.send(data);
      say(`Photo ${i + 1} of ${photos.length}: ${photos[i].name}`, "Cancel", () => request.abort());
    });
    let request;
    try { request = await one(); } catch {
      bar.hidden = true;
      say(`${photos[i].name} did not arrive. Those before it did.`, "Send the rest again", () => {
        const rest = new DataTransfer();
        for (const p of photos.slice(i)) rest.items.add(p);
        input.files = rest.files;
        upload(form);
      });
      if (last) show(last, url);
      return;
    }
    if (request.status === 503) { // its turn has not come
      say(`${photos[i].name} waits for its turn.`);
      await new Promise((later) => setTimeout(later, 1000 * (Number(request.getResponseHeader("Retry-After")) || 3)));
      i--;
      continue;
    }
    if (request.status >= 400) {
      const page = new DOMParser().parseFromString(request.responseText, "text/html");
      if (last) show(last, url);
      say((page.querySelector(".problem")?.textContent || photos[i].name + " cannot be used.") + " " + (page.querySelector(".problem + p")?.textContent || ""), "Close", () => say(""));
      bar.hidden = true;
      return;
    }
    last = request.responseText;
    url = request.responseURL;
  }
  say("");
  bar.hidden = true;
  show(last, url);
}

document.addEventListener("submit", (e) => {
  const form = e.target;
  if (form.method !== "post" || "plain" in form.dataset) return;
  if (form.action.endsWith("/piece")) return; // to another page
  e.preventDefault();
  if (form.enctype === "multipart/form-data") upload(form);
  else send(form, e.submitter);
});
document.addEventListener("input", (e) => { if (e.target.form) keep(e.target.form); });

// Another screen of a piece comes in the place of this one: what all share is not read again.
const isScreen = (url) => url.origin === location.origin && /\/piece\/[a-z0-9]+\/(?!card$|client$)[a-z]+$/.test(url.pathname);
const addressNow = () => location.pathname + location.search;
let going = 0, shown = addressNow();

async function go(url) {
  const mine = ++going, late = setTimeout(() => say("Loading …"), 400);
  try {
    const answer = await fetch(url), html = await answer.text();
    if (mine !== going) return;
    if (!answer.ok) { location.assign(url); return; } // which says what is wrong
    say("");
    show(html, answer.url);
  } catch {
    if (mine === going) say("No connection. What you typed is kept.", "Try again", () => go(url));
  } finally { clearTimeout(late); }
}

document.addEventListener("click", (e) => {
  const link = e.target.closest?.("#screen.step a[href]");
  if (!link || e.defaultPrevented || e.button || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey || link.target || !isScreen(link)) return;
  e.preventDefault();
  go(link.href);
});
addEventListener("popstate", () => {
  if (addressNow() === shown) return; // a place on the same screen
  if (isScreen(location)) go(location.href);
  else location.reload();
});
addEventListener("offline", () => say("No connection. What you type is kept."));
addEventListener("online", () => say(""));

// ready makes a page's forms what they are with a script.
function ready(within) {
  for (const details of within.querySelectorAll("details[open]")) details.dataset.cameOpen = "";
  for (const form of within.querySelectorAll("form[data-keep]")) restore(form);
  for (const set of within.querySelectorAll("fieldset.draw")) {
    const button = set.querySelector(".drawit");
    button.hidden = false;
    const photo = set.querySelector("select[name$=photo]"), written = set.querySelector("input[name$=outline], input[name=corners]");
    if (photo.options.length === 1 && photo.closest("label")) photo.closest("label").hidden = true;
    // Figures can be typed where one draws; here words will do.
    const drawn = Object.assign(document.createElement("p"), { className: "drawn" });
    const tell = () => { drawn.textContent = written.value ? (set.dataset.draw === "area" ? "Marked." : "The corners are set.") : "Not marked yet."; };
    written.closest("label").hidden = true;
    written.addEventListener("change", tell);
    tell();
    button.after(drawn);
    button.addEventListener("click", async () => {
      const { drawOn } = await import("./draw.js"); // not before somebody draws: the first screen is light
      const outline = await drawOn(photo, written.value, set.dataset.draw, set.querySelector("legend").textContent, readers[set.dataset.draw]);
      button.focus();
      if (outline === null) return;
      written.value = outline;
      keep(written.form);
      written.dispatchEvent(new Event("change", { bubbles: true }));
    });
  }
  for (const input of within.querySelectorAll("form.upload input[type=file]")) input.addEventListener("change", () => { if (input.files.length) input.form.requestSubmit(); });
  for (const svg of within.querySelectorAll(".stage > svg")) lettered(svg);
  for (const svg of within.querySelectorAll("svg.tapped")) tappable(svg, send);
  for (const svg of within.querySelectorAll("svg.proposed")) import("./drag.js").then((drag) => drag.adjustable(svg, fitOf));
  for (const field of within.querySelectorAll("input[data-steps]")) stepper(field);
  for (const clock of within.querySelectorAll("[data-until]")) countDown(clock);
}

// lettered gives what is written on a photo the size of other words, however large the photo is shown.
function lettered(svg) {
  const texts = [...svg.querySelectorAll("text")], most = texts.map((t) => Number(t.getAttribute("font-size")));
  const fit = () => { if (svg.isConnected) texts.forEach((t, i) => t.setAttribute("font-size", Math.min(most[i], 17 / svg.getScreenCTM().a))); };
  if (texts.length) new ResizeObserver(fit).observe(svg);
}

// stepper puts a button for fewer and one for more beside a number.
function stepper(field) {
  const set = Object.assign(document.createElement("span"), { className: "steps" });
  const by = (d, text, label) => {
    const b = Object.assign(document.createElement("button"), { type: "button", textContent: text });
    b.setAttribute("aria-label", label);
    b.addEventListener("click", () => { field.value = Math.max(0, (Number(field.value || field.placeholder) || 0) + d); keep(field.form); });
    return b;
  };
  field.replaceWith(set);
  set.append(by(-1, "−", "Fewer"), field, by(1, "+", "More"));
}

// countDown shows how long something still takes, until it is over.
function countDown(clock) {
  const until = Number(clock.dataset.until) * 1000;
  const tick = () => {
    if (!clock.isConnected) return;
    const minutes = Math.ceil((until - Date.now()) / 60000);
    clock.textContent = minutes <= 0 ? "dry now" : "dry in " + [minutes >= 60 && Math.floor(minutes / 60) + " h", minutes % 60 && minutes % 60 + " min"].filter(Boolean).join(" ");
    if (minutes > 0) setTimeout(tick, 10000);
  };
  tick();
}

// fitOf asks how well a chart or a slip fits where it is.
async function fitOf(marked) {
  const answer = await fetch(piece() + "/fit", { method: "POST", body: new URLSearchParams(marked) });
  return answer.ok ? answer.json() : null;
}

// readers ask what is drawn on a photo reads as, by what is drawn.
const readers = {
  area: spotOf,
  corners: (photo, outline) => fitOf({ photo, what: "chart", outline }),
  slip: (photo, outline) => fitOf({ photo, what: "slip", outline }),
};

// spotOf asks what an outline reads.
async function spotOf(photo, outline) {
  const answer = await fetch(piece() + "/spot", { method: "POST", body: new URLSearchParams({ photo, outline }) });
  return answer.ok ? answer.json() : null;
}

ready(document);

// The picture as it is lies over the one as it would look, and is cut away as far as the slide has gone.
document.addEventListener("input", (event) => {
  const slide = event.target;
  if (!slide.matches?.("[data-slide]")) return;
  const now = slide.closest("figure").querySelector(".now");
  now.style.clipPath = `inset(0 0 0 ${slide.value}%)`;
});

// By lamp, the picture is that of the piece when done; as it is now stands aside.
document.addEventListener("click", (event) => {
  const lamp = event.target.closest?.("[data-lamp]");
  if (!lamp) return;
  event.preventDefault();
  const figure = lamp.closest("figure"), done = figure.querySelector(".over img"), slide = figure.querySelector("[data-slide]");
  const lit = lamp.dataset.lit !== "true";
  done.dataset.day ??= done.src;
  done.src = lit ? lamp.href : done.dataset.day;
  lamp.dataset.lit = lit;
  lamp.textContent = lit ? "By day" : "By lamp";
  slide.value = 100;
  slide.dispatchEvent(new Event("input", { bubbles: true }));
  slide.disabled = lit;
});
