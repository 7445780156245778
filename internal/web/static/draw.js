// Drawing on a photo: a rectangle, a polygon, or four corners that are dragged. By finger, with a loupe
// above it, by mouse, or by keys.

const svgNS = "http://www.w3.org/2000/svg";
const make = (name, attributes = {}, parent) => {
  const e = document.createElementNS(svgNS, name);
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  if (parent) parent.append(e);
  return e;
};
const button = (text, label, action) => {
  const b = Object.assign(document.createElement("button"), { type: "button", textContent: text });
  if (label) b.setAttribute("aria-label", label);
  b.addEventListener("click", action);
  return b;
};
const round = (v) => Math.round(v * 10) / 10;

// parse reads "x,y,w,h" or "x,y x,y …".
function parse(text) {
  const pairs = text.trim().split(/\s+/).map((p) => p.split(",").map(Number));
  if (pairs.length === 1 && pairs[0].length === 4 && pairs[0].every(Number.isFinite)) {
    const [x, y, w, h] = pairs[0];
    return [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];
  }
  return pairs.every((p) => p.length === 2 && p.every(Number.isFinite)) ? pairs : [];
}

// drawOn lets an outline be drawn on the photo that a select names, and gives it as text, or null.
// kind is "area", or what four corners are dragged of: "corners" of a chart, or "slip".
export function drawOn(select, before, kind, title, readOf) {
  return new Promise((done) => {
    const dialog = Object.assign(document.createElement("dialog"), { className: "draw" });
    dialog.setAttribute("aria-label", title);
    let option = select.selectedOptions[0], width = 0, height = 0;
    let points = before ? parse(before) : [];
    let mode = kind !== "area" ? kind : points.length && !isRect(points) ? "polygon" : "rectangle";
    let view = null; // x, y, w of what is seen, in pixels of the photo
    let cursor = null, dragged = -1, anchor = null;
    const steps = [];

    const tools = Object.assign(document.createElement("div"), { className: "draw-tools" });
    const stage = Object.assign(document.createElement("div"), { className: "draw-stage" });
    const foot = Object.assign(document.createElement("div"), { className: "draw-says" });
    const words = Object.assign(document.createElement("p"), { textContent: "" });
    words.setAttribute("aria-live", "polite");
    const typed = Object.assign(document.createElement("input"), { autocomplete: "off" });
    typed.setAttribute("aria-label", "Outline in pixels");
    foot.append(words, typed);
    const svg = make("svg", { class: "photo-svg", tabindex: "0", role: "application", "aria-label": title + ". Arrows move the mark, Enter sets a point, Backspace takes it back." }, stage);
    const image = make("image", { x: 0, y: 0 }, svg);
    const shade = make("polygon", { fill: "#fff", "fill-opacity": ".18", stroke: "#fff", "paint-order": "stroke", "vector-effect": "non-scaling-stroke", "stroke-width": "3" }, svg);
    const edge = make("polygon", { fill: "none", stroke: "#000", "vector-effect": "non-scaling-stroke", "stroke-width": "1.2" }, svg);
    const dots = make("g", {}, svg);
    const mark = make("g", {}, svg);
    const loupe = Object.assign(document.createElement("div"), { className: "loupe", hidden: true });
    const loupeSVG = make("svg", { width: "100%", height: "100%" });
    const loupeImage = make("image", { x: 0, y: 0 }, loupeSVG);
    const loupeCross = make("path", { fill: "none", stroke: "#fff", "stroke-width": "1.5", "vector-effect": "non-scaling-stroke" }, loupeSVG);
    loupe.append(loupeSVG);
    stage.append(loupe);

    const modes = kind !== "area" ? [] : ["rectangle", "polygon"].map((m) => button(m[0].toUpperCase() + m.slice(1), "", () => { steps.push(points); mode = m; points = []; draw(); }));
    const undo = button("Undo", "Take the last step back", back);
    const ok = button("Done", "", () => close(text()));
    ok.classList.add("main");
    tools.append(...modes, undo, button("−", "Make the photo smaller", () => zoom(1.5)), button("+", "Make the photo larger", () => zoom(1 / 1.5)), button("All", "Show all of the photo", () => { view = null; draw(); }));
    const end = Object.assign(document.createElement("div"), { className: "draw-end" });
    end.append(button("Cancel", "", () => close(null)), ok);
    dialog.append(tools, stage, foot, end);
    document.body.append(dialog);

    function load() {
      option = select.selectedOptions[0];
      width = Number(option.dataset.width);
      height = Number(option.dataset.height);
      for (const i of [image, loupeImage]) {
        i.setAttribute("width", width);
        i.setAttribute("height", height);
        i.setAttribute("href", new URL(`../photo/${option.dataset.hash}?w=1600`, import.meta.url));
      }
      if (kind === "corners" && points.length !== 4) points = [[0.1, 0.1], [0.5, 0.1], [0.5, 0.4], [0.1, 0.4]].map(([x, y]) => [round(x * width), round(y * height)]);
      if (kind === "slip" && points.length !== 4) points = [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([x, y]) => [round(width / 2 + x * Math.min(width, height) / 6), round(height / 2 + y * Math.min(width, height) / 6)]);
    }

    function isRect(p) { return p.length === 4 && p[0][1] === p[1][1] && p[1][0] === p[2][0] && p[2][1] === p[3][1] && p[3][0] === p[0][0]; }
    function text() {
      if (points.length < 3) return "";
      if (mode === "rectangle" && isRect(points)) {
        const x = Math.min(points[0][0], points[2][0]), y = Math.min(points[0][1], points[2][1]);
        return [x, y, round(Math.abs(points[2][0] - points[0][0])), round(Math.abs(points[2][1] - points[0][1]))].join(",");
      }
      return points.map((p) => p.join(",")).join(" ");
    }
    function back() { if (steps.length) { points = steps.pop(); draw(); ask(); } }
    function close(value) { dialog.close(); dialog.remove(); done(value); }
    dialog.addEventListener("cancel", (e) => { e.preventDefault(); close(null); });

    // What is seen: all of the photo, or a part of it in the stage's shape.
    function seen() {
      const box = stage.getBoundingClientRect(), ratio = box.height / Math.max(1, box.width);
      if (!view) {
        const w = Math.max(width, height / ratio);
        view = { x: (width - w) / 2, y: (height - w * ratio) / 2, w };
      }
      return { ...view, h: view.w * ratio, box };
    }
    function zoom(by, at) {
      const s = seen(), [x, y] = at || (cursor ?? [s.x + s.w / 2, s.y + s.h / 2]);
      const w = Math.min(Math.max(s.w * by, width / 30), 2 * Math.max(width, height)), k = w / s.w;
      view = { x: x - (x - s.x) * k, y: y - (y - s.y) * k, w };
      draw();
    }
    const place = (e) => { const s = seen(); return [round(Math.min(Math.max(s.x + (e.clientX - s.box.left) / s.box.width * s.w, 0), width)), round(Math.min(Math.max(s.y + (e.clientY - s.box.top) / s.box.height * s.h, 0), height))]; };

    function draw() {
      if (!stage.clientWidth || !stage.clientHeight) return; // not shown yet
      const s = seen(), unit = s.w / s.box.width;
      svg.setAttribute("viewBox", `${s.x} ${s.y} ${s.w} ${s.h}`);
      const list = points.map((p) => p.join(",")).join(" ");
      shade.setAttribute("points", list);
      edge.setAttribute("points", list);
      dots.replaceChildren();
      points.forEach((p, i) => make("circle", { cx: p[0], cy: p[1], r: (i === dragged ? 12 : 9) * unit, fill: i === 0 && kind === "corners" ? "#000" : "#fff", stroke: i === 0 && kind === "corners" ? "#fff" : "#000", "stroke-width": "2", "vector-effect": "non-scaling-stroke" }, dots));
      mark.replaceChildren();
      if (cursor) make("path", { d: `M${cursor[0] - 14 * unit} ${cursor[1]}h${28 * unit}M${cursor[0]} ${cursor[1] - 14 * unit}v${28 * unit}`, stroke: "#fff", "stroke-width": "2.5", "vector-effect": "non-scaling-stroke" }, mark);
      for (const b of modes) b.setAttribute("aria-pressed", String(b.textContent.toLowerCase() === mode));
      undo.disabled = steps.length === 0;
      if (document.activeElement !== typed) typed.value = text();
    }
    const tell = { rectangle: "Press on one corner and pull to the opposite one.", polygon: "Tap each corner in turn, all the way round.", corners: "Drag each corner. The black one goes to the outer corner of the dark-brown patch; then along its row of six, then round.", slip: "Drag each corner to an outer corner of the slip's dark frame." };
    let asking = 0;
    async function ask() {
      const outline = text();
      words.textContent = tell[mode];
      if (!outline) return;
      const mine = ++asking;
      const answer = await readOf(option.value, outline).catch(() => null);
      if (mine !== asking || !answer) return;
      words.textContent = answer.problem ? answer.problem + " " + (answer.hint ?? "") : answer.says;
      if (!answer.hex) return;
      // The colour itself first; its figures for whoever asks.
      const patch = make("svg", { class: "swatch", viewBox: "0 0 10 10", preserveAspectRatio: "none", "aria-hidden": "true" });
      make("rect", { width: 10, height: 10, fill: answer.hex }, patch);
      const more = document.createElement("details");
      more.append(Object.assign(document.createElement("summary"), { textContent: "Figures" }), answer.figures);
      words.prepend(patch, " ");
      words.append(more);
    }

    // The loupe stands above the finger, or below it near the top.
    function look(e, at) {
      if (e.pointerType === "mouse") { loupe.hidden = true; return; }
      const s = seen(), size = loupe.offsetWidth || 144, x = e.clientX - s.box.left, y = e.clientY - s.box.top;
      loupe.hidden = false;
      const up = y - size - 40;
      loupe.style.left = Math.min(Math.max(x - size / 2, 4), s.box.width - size - 4) + "px";
      loupe.style.top = (up > 4 ? up : y + 50) + "px";
      const w = s.w * size / s.box.width / 3;
      loupeSVG.setAttribute("viewBox", `${at[0] - w / 2} ${at[1] - w / 2} ${w} ${w}`);
      loupeCross.setAttribute("d", `M${at[0] - w / 4} ${at[1]}h${w / 2}M${at[0]} ${at[1] - w / 4}v${w / 2}`);
    }

    const fingers = new Map();
    let pinch = null;
    stage.addEventListener("pointerdown", (e) => {
      e.preventDefault();
      svg.focus();
      try { stage.setPointerCapture(e.pointerId); } catch { /* a pointer that a test made */ }
      fingers.set(e.pointerId, e);
      if (fingers.size === 2) {
        const [a, b] = [...fingers.values()];
        pinch = { gap: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY), view: { ...seen() }, x: (a.clientX + b.clientX) / 2, y: (a.clientY + b.clientY) / 2 };
        if (anchor || dragged >= 0) back();
        anchor = null;
        dragged = -1;
        loupe.hidden = true;
        return;
      }
      if (fingers.size > 1) return;
      const at = place(e), s = seen(), reach = 26 * s.w / s.box.width;
      cursor = null;
      steps.push(points.map((p) => [...p]));
      dragged = points.findIndex((p) => Math.hypot(p[0] - at[0], p[1] - at[1]) < reach);
      if (kind !== "area" && dragged < 0) dragged = points.reduce((best, p, i) => Math.hypot(p[0] - at[0], p[1] - at[1]) < Math.hypot(points[best][0] - at[0], points[best][1] - at[1]) ? i : best, 0);
      if (dragged < 0) {
        if (mode === "rectangle") { anchor = at; points = []; }
        else { points.push(at); dragged = points.length - 1; }
      } else if (mode === "rectangle") { anchor = points[(dragged + 2) % 4]; dragged = -1; }
      look(e, at);
      draw();
    });
    stage.addEventListener("pointermove", (e) => {
      if (!fingers.has(e.pointerId)) return;
      fingers.set(e.pointerId, e);
      if (pinch && fingers.size === 2) {
        const [a, b] = [...fingers.values()], gap = Math.max(20, Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY));
        const w = Math.min(Math.max(pinch.view.w * pinch.gap / gap, width / 30), 2 * Math.max(width, height)), box = pinch.view.box;
        const x = pinch.view.x + (pinch.x - box.left) / box.width * pinch.view.w, y = pinch.view.y + (pinch.y - box.top) / box.height * pinch.view.h;
        view = { x: x - ((a.clientX + b.clientX) / 2 - box.left) / box.width * w, y: y - ((a.clientY + b.clientY) / 2 - box.top) / box.width * w, w };
        draw();
        return;
      }
      const at = place(e);
      if (anchor) points = [anchor, [at[0], anchor[1]], at, [anchor[0], at[1]]];
      else if (dragged >= 0) points[dragged] = at;
      look(e, at);
      draw();
    });
    const lift = (e) => {
      if (!fingers.delete(e.pointerId)) return;
      if (fingers.size < 2) pinch = null;
      if (fingers.size) return;
      anchor = null;
      dragged = -1;
      loupe.hidden = true;
      draw();
      ask();
    };
    stage.addEventListener("pointerup", lift);
    stage.addEventListener("pointercancel", lift);
    stage.addEventListener("wheel", (e) => { e.preventDefault(); zoom(e.deltaY > 0 ? 1.2 : 1 / 1.2, place(e)); }, { passive: false });

    svg.addEventListener("keydown", (e) => {
      const s = seen(), step = (e.shiftKey ? 10 : 1) * s.w / s.box.width * 4;
      const move = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
      if (move) {
        cursor ??= [round(s.x + s.w / 2), round(s.y + s.h / 2)];
        cursor = [round(Math.min(Math.max(cursor[0] + step * move[0], 0), width)), round(Math.min(Math.max(cursor[1] + step * move[1], 0), height))];
        words.textContent = `${cursor[0]}, ${cursor[1]}`;
      } else if (e.key === "Enter" || e.key === " ") {
        cursor ??= [round(s.x + s.w / 2), round(s.y + s.h / 2)];
        steps.push(points.map((p) => [...p]));
        if (kind !== "area") { const i = points.reduce((best, p, k) => Math.hypot(p[0] - cursor[0], p[1] - cursor[1]) < Math.hypot(points[best][0] - cursor[0], points[best][1] - cursor[1]) ? k : best, 0); points[i] = [...cursor]; }
        else if (mode === "rectangle") points = points.length === 1 ? [points[0], [cursor[0], points[0][1]], [...cursor], [points[0][0], cursor[1]]] : [[...cursor]];
        else points.push([...cursor]);
        ask();
      } else if (e.key === "Backspace") back();
      else if (e.key === "+" || e.key === "=") zoom(1 / 1.5);
      else if (e.key === "-") zoom(1.5);
      else return;
      e.preventDefault();
      draw();
    });
    typed.addEventListener("change", () => { const p = parse(typed.value); if (p.length >= 3) { steps.push(points); points = p; mode = kind !== "area" ? kind : isRect(p) ? "rectangle" : "polygon"; draw(); ask(); } });
    const resized = new ResizeObserver(draw);

    load();
    dialog.showModal();
    resized.observe(stage);
    draw();
    words.textContent = tell[mode];
    svg.focus();
  });
}
