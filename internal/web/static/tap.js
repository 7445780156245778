// Tapping woods on a photo. A tap is sent to the server, which answers with all of what was tapped; the fields of a form are filled with it.

const svgNS = "http://www.w3.org/2000/svg";
const make = (name, attributes, parent) => {
  const e = document.createElementNS(svgNS, name);
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  parent?.append(e);
  return e;
};
const swatch = (hex) => {
  const patch = make("svg", { class: "swatch", viewBox: "0 0 10 10", preserveAspectRatio: "none", "aria-hidden": "true" });
  make("rect", { width: 10, height: 10, fill: hex }, patch);
  return patch;
};
export const piece = () => location.pathname.match(/^.*?\/piece\/[^/]+/)?.[0] ?? "";

// tappable makes a photo take taps. send sends a form and resolves when its answer is shown.
export function tappable(svg, send) {
  const screen = svg.closest("#screen"), tell = svg.parentElement.querySelector(".tell");
  const form = document.getElementById(svg.dataset.form), prefixes = svg.dataset.into.split(" ");
  const box = svg.viewBox.baseVal, photo = svg.dataset.photo;
  const lit = make("g", { class: "lit" }, svg), marks = make("g", { class: "marks" }, svg);
  let taps = [], not = [], shape = null, next = "", cursor = null, asking = 0, turn = 0;

  const ask = (body) => fetch(piece() + "/tap", { method: "POST", body: new URLSearchParams({ photo, ...body }) });
  // When the photo is seen, it is made ready for the first tap.
  const seen = fetch(svg.querySelector("image").getAttribute("href")).catch(() => {});
  seen.then(() => svg.dataset.carry ? carried() : ask({}).then((answer) => answer.text())).catch(() => {});

  const field = (prefix, name) => form.elements.namedItem(prefix + name);
  const text = () => taps.map((t) => t.join(",")).join(" ") + (not.length ? " not " + not.map((t) => t.join(",")).join(" ") : "");

  // light shows what was taken in its own colours, and the rest of the photo in grey.
  function light(path) {
    lit.replaceChildren();
    if (!path) return;
    const id = "taken-" + svg.dataset.form;
    const clip = make("clipPath", { id }, lit);
    make("path", { d: path, "clip-rule": "evenodd" }, clip);
    const href = svg.querySelector("image").getAttribute("href"), size = { width: box.width, height: box.height, href };
    make("image", { ...size, class: "greyed" }, lit);
    make("image", { ...size, "clip-path": `url(#${id})` }, lit);
    shape = make("path", { d: path, class: "edge", "fill-rule": "evenodd" }, lit);
  }

  function dots() {
    const unit = box.width / svg.getBoundingClientRect().width;
    marks.replaceChildren();
    for (const [x, y] of taps) make("circle", { cx: x, cy: y, r: 9 * unit, class: "dot" }, marks);
    for (const [x, y] of not) make("path", { d: `M${x - 8 * unit} ${y - 8 * unit}l${16 * unit} ${16 * unit}m${-16 * unit} 0l${16 * unit} ${-16 * unit}`, class: "dot" }, marks);
    if (cursor) make("path", { d: `M${cursor[0] - 14 * unit} ${cursor[1]}h${28 * unit}M${cursor[0]} ${cursor[1] - 14 * unit}v${28 * unit}`, class: "dot" }, marks);
  }

  function press(which) {
    next = which;
    for (const b of form?.querySelectorAll("[data-next]") ?? []) b.setAttribute("aria-pressed", String(b.dataset.next === which));
  }

  // found shows what a tap took, and fills the form with it.
  function found(answer) {
    const prefix = prefixes[turn];
    light(answer.path);
    for (const [name, value] of [["photo", photo], ["outline", answer.outline], ["shown", answer.shown], ...(form.id === "like" ? [["colour", answer.hex]] : [])]) if (field(prefix, name)) field(prefix, name).value = value;
    const patch = form.querySelector(`.patch[data-of="${prefix}"]`) ?? form.querySelector(".patch");
    patch?.replaceChildren(swatch(answer.hex));
    const says = form.querySelector(".found");
    if (says) says.textContent = answer.says;
    for (const e of form.querySelectorAll(".taken")) e.hidden = false;
    tell.textContent = prefixes.length > 1 && turn === 0 ? "Now tap the coated wood." : form.id === "name-it" ? "Tap the next wood, or a wrong part to take it out." : "";
    if (form.hidden) {
      form.hidden = false;
      for (const e of screen.querySelectorAll("[data-go-on]")) e.hidden = true;
      for (const e of screen.querySelectorAll("[data-name-it]")) e.hidden = false;
      for (const e of screen.querySelectorAll(".named-woods")) e.hidden = true;
    }
    form.dispatchEvent(new Event("taken", { bubbles: true }));
    if (prefixes.length > 1) { turn = (turn + 1) % prefixes.length; taps = []; not = []; }
  }

  async function take() {
    const mine = ++asking;
    dots();
    tell.textContent = "Looking …";
    let answer;
    try {
      const response = await ask({ taps: text(), what: svg.dataset.what });
      answer = response.ok ? await response.json() : null;
    } catch { answer = null; }
    if (mine !== asking) return;
    if (!answer || answer.problem) {
      tell.textContent = answer ? answer.problem + " " + (answer.hint ?? "") : "No connection. Tap again.";
      if (not.length) not.pop(); else taps.pop();
      dots();
      return;
    }
    found(answer);
  }

  const inside = (at) => shape && shape.isPointInFill(Object.assign(svg.createSVGPoint(), { x: at[0], y: at[1] }));

  // sendThen sends what is whole, and takes the tap on the page that comes.
  async function sendThen(at) {
    sessionStorage.setItem("next tap", JSON.stringify([location.pathname, photo, at]));
    if (!await send(form)) sessionStorage.removeItem("next tap");
  }

  // tap takes what lies at a place: more of the wood or not, where that was asked for; within what is taken, what does not belong to it;
  // else, where a wood has a name already, the next wood.
  async function tap(at) {
    cursor = null;
    const whole = prefixes.length > 1 && turn === 0 && prefixes.every((p) => field(p, "outline").value);
    const naming = form.id === "name-it" && !form.hidden && taps.length;
    if (whole) { await sendThen(at); return; }
    if (prefixes.length > 1 || !taps.length || form.id !== "name-it" && next === "" && !inside(at)) { taps = [at]; not = []; }
    else if (next === "not" || next === "" && inside(at)) not.push(at);
    else if (next === "more") taps.push(at);
    else if (naming && form.elements.namedItem("name").value) {
      await sendThen(at);
      return;
    }
    press("");
    await take();
  }

  const place = (e) => {
    const p = Object.assign(svg.createSVGPoint(), { x: e.clientX, y: e.clientY }).matrixTransform(svg.getScreenCTM().inverse());
    return [Math.min(Math.max(Math.round(p.x), 0), box.width - 1), Math.min(Math.max(Math.round(p.y), 0), box.height - 1)];
  };
  svg.addEventListener("pointerdown", () => svg.dataset.byHand = ""); // whoever taps needs no ring round the photo
  svg.addEventListener("click", (e) => tap(place(e)));
  svg.addEventListener("keydown", (e) => {
    delete svg.dataset.byHand;
    const step = (e.shiftKey ? 10 : 1) * box.width / 200;
    const move = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
    if (move) {
      cursor ??= [box.width / 2, box.height / 2];
      cursor = [Math.min(Math.max(cursor[0] + step * move[0], 0), box.width - 1), Math.min(Math.max(cursor[1] + step * move[1], 0), box.height - 1)].map(Math.round);
      svg.dataset.at = cursor;
      dots();
    } else if (e.key === "Enter" || e.key === " ") tap(cursor ?? [box.width / 2, box.height / 2]);
    else return;
    e.preventDefault();
  });
  form?.addEventListener("click", (e) => {
    const b = e.target.closest("button");
    if (b?.dataset.next) press(next === b.dataset.next ? "" : b.dataset.next);
    if (b?.dataset.name) {
      form.elements.namedItem("name").value = b.dataset.name;
      form.elements.namedItem("part-of").value = b.dataset.part ?? "";
      if (b.dataset.part) form.elements.namedItem("surface").value = "non-absorbing";
      for (const c of form.querySelectorAll("[data-name]")) c.setAttribute("aria-pressed", String(c === b));
    }
  });
  for (const c of form?.querySelectorAll("[data-name]") ?? []) c.setAttribute("aria-pressed", String(c.dataset.name === form.elements.namedItem("name").value));

  // An area of an earlier photo is looked for, and proposed where it was found; a tap says otherwise.
  async function carried() {
    const mine = ++asking, was = tell.textContent;
    tell.textContent = "Looking for the " + svg.dataset.carry + " …";
    const answer = await ask({ what: "carried", name: svg.dataset.carry }).then((r) => r.ok ? r.json() : null).catch(() => null);
    if (mine !== asking) return;
    tell.textContent = was;
    if (answer?.outline) { found(answer); tell.textContent = "Found where it was. Tap if it is elsewhere."; }
  }

  const waiting = sessionStorage.getItem("next tap");
  if (waiting) {
    sessionStorage.removeItem("next tap");
    const [path, of, at] = JSON.parse(waiting);
    if (path === location.pathname && of === photo) tap(at);
  }
}
