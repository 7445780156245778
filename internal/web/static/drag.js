// Corners of a chart, a printed slip or white paper that are dragged on the photo. A handle stands off its corner, so that it does not hide it, and moves it by as much as
// it is moved itself; the arrows do the same.

const svgNS = "http://www.w3.org/2000/svg";
const make = (name, attributes, parent) => {
  const e = document.createElementNS(svgNS, name);
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  parent?.append(e);
  return e;
};

// adjustable gives the shapes of a photo handles. ask asks how well a shape fits where it is.
export function adjustable(svg, ask) {
  const shapes = [...svg.querySelectorAll("[data-fit]")];
  if (!shapes.length) return;
  const screen = svg.closest("#screen"), box = svg.viewBox.baseVal, tell = svg.parentElement.querySelector(".tell");
  const layer = make("g", { class: "handles" }, svg);
  const unit = () => 1 / svg.getScreenCTM().a; // of the photo's pixels, to one of the screen's
  const round = (v) => Math.round(10 * v) / 10;
  let shape = null, corners = [], stands = [], asking = 0, later = 0;

  const nameOf = (s) => s.dataset.name ?? (s.dataset.fit === "chart" ? "the chart" : "the paper");
  const text = () => corners.map((c) => c.map(round).join(",")).join(" ");

  // take takes a shape up, with handles of its own.
  function take(which) {
    shape = which;
    corners = shape.dataset.outline.trim().split(/\s+/).map((p) => p.split(",").map(Number));
    layer.replaceChildren();
    corners.forEach((_, i) => handle(i));
    aim();
  }

  function handle(i) {
    const what = nameOf(shape);
    const g = make("g", { class: i === 0 && shape.dataset.fit === "chart" ? "handle first" : "handle", tabindex: 0, role: "button", "aria-label": `Corner ${i + 1} of ${what}. Arrows move it.` }, layer);
    for (const name of ["line", "circle", "circle", "path"]) make(name, {}, g);
    let hold = null;
    g.addEventListener("touchstart", (e) => e.preventDefault(), { passive: false }); // else the page is scrolled
    g.addEventListener("pointerdown", (e) => {
      e.preventDefault();
      try { g.setPointerCapture(e.pointerId); } catch { /* a pointer that a test made */ }
      const at = spot(e);
      hold = [corners[i][0] - at[0], corners[i][1] - at[1]];
      g.focus();
    });
    g.addEventListener("pointermove", (e) => {
      if (!hold) return;
      const at = spot(e);
      move(i, at[0] + hold[0], at[1] + hold[1]);
    });
    for (const end of ["pointerup", "pointercancel"]) g.addEventListener(end, () => {
      hold = null;
      const ring = layer.children[i].querySelector(".ring");
      if (!inside([Number(ring.getAttribute("cx")), Number(ring.getAttribute("cy"))], 0)) aim();
    });
    g.addEventListener("keydown", (e) => {
      const by = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
      if (!by) return;
      e.preventDefault();
      const step = (e.shiftKey ? 10 : 1) * Math.max(1, box.width / 800);
      move(i, corners[i][0] + step * by[0], corners[i][1] + step * by[1]);
    });
  }

  const spot = (e) => {
    const p = Object.assign(svg.createSVGPoint(), { x: e.clientX, y: e.clientY }).matrixTransform(svg.getScreenCTM().inverse());
    return [p.x, p.y];
  };

  function move(i, x, y) {
    corners[i] = [Math.min(Math.max(x, 0), box.width), Math.min(Math.max(y, 0), box.height)];
    place();
    changed();
  }

  // aim chooses where each handle stands: outward from the middle of the shape, or turned as far as it must to lie on the photo and clear of
  // the others. It stays there while its corner is moved.
  function aim() {
    const u = unit(), n = corners.length, rings = [];
    const middle = [0, 1].map((k) => corners.reduce((sum, c) => sum + c[k], 0) / n);
    stands = corners.map((c) => {
      const outward = Math.atan2(c[1] - middle[1], c[0] - middle[0]);
      const turns = [0, 1, -1, 2, -2, 3, -3, 4].map((turn) => outward + turn * Math.PI / 4);
      const at = (a) => [c[0] + apart * u * Math.cos(a), c[1] + apart * u * Math.sin(a)];
      const free = (p) => inside(p, 14 * u) && rings.every((r) => Math.hypot(r[0] - p[0], r[1] - p[1]) > 44 * u);
      const turn = turns.find((a) => free(at(a))) ?? outward;
      rings.push(at(turn));
      return turn;
    });
    place();
  }

  const apart = 42; // pixels of the screen from a corner to its handle
  const inside = (p, by) => p[0] > by && p[1] > by && p[0] < box.width - by && p[1] < box.height - by;

  // place draws the shape and its handles where they are.
  function place() {
    const u = unit();
    if (shape.tagName === "polygon") shape.setAttribute("points", text());
    else shape.setAttribute("d", "M" + corners.map((c) => c.map(round).join(" ")).join("L") + "Z");
    corners.forEach((c, i) => {
      const at = [c[0] + apart * u * Math.cos(stands[i]), c[1] + apart * u * Math.sin(stands[i])];
      const [line, reach, ring, cross] = layer.children[i].children;
      for (const [k, v] of Object.entries({ x1: c[0], y1: c[1], x2: at[0], y2: at[1] })) line.setAttribute(k, v);
      for (const [circle, r] of [[reach, 24], [ring, 13]]) for (const [k, v] of Object.entries({ cx: at[0], cy: at[1], r: r * u })) circle.setAttribute(k, v);
      reach.setAttribute("class", "reach");
      ring.setAttribute("class", "ring");
      cross.setAttribute("d", `M${c[0] - 6 * u} ${c[1]}h${12 * u}M${c[0]} ${c[1] - 6 * u}v${12 * u}`);
    });
  }

  // changed fills the form that keeps it, and asks how well it fits once it rests.
  function changed() {
    const form = document.getElementById("fit-" + shape.dataset.fit);
    (form.elements.namedItem("corners") ?? form.elements.namedItem("outline")).value = text();
    if (shape.dataset.from) form.elements.namedItem("from").value = shape.dataset.from;
    for (const e of screen.querySelectorAll("[data-go-on]")) e.hidden = true;
    for (const e of screen.querySelectorAll("[data-keep-fit]")) e.hidden = e.getAttribute("form") !== form.id;
    clearTimeout(later);
    later = setTimeout(fits, 300);
  }

  async function fits() {
    const mine = ++asking;
    tell.textContent = "Looking …";
    const answer = await ask({ photo: svg.dataset.photo, what: shape.dataset.fit, from: shape.dataset.from ?? "", outline: text() }).catch(() => null);
    if (mine !== asking) return;
    tell.textContent = !answer ? "No connection. It can be kept all the same." : answer.problem ? answer.problem + " " + (answer.hint ?? "") : answer.says;
  }

  for (const s of shapes) {
    if (shapes.length > 1) for (const [k, v] of Object.entries({ tabindex: 0, role: "button", "aria-label": `Take up ${nameOf(s)}` })) s.setAttribute(k, v);
    s.addEventListener("click", () => { if (s !== shape) take(s); });
    s.addEventListener("keydown", (e) => {
      if (e.key !== "Enter" && e.key !== " ") return;
      e.preventDefault();
      if (s !== shape) take(s);
      layer.querySelector(".handle").focus();
    });
  }
  new ResizeObserver(() => { if (svg.isConnected && shape) aim(); }).observe(svg);
  take(shapes[0]);
}
