// The handout: predict, try, explain. Every figure is a solved seating or read between solved ones.
"use strict";
const Handout = (() => {
  const D = JSON.parse(document.getElementById("data").textContent), W = D.ui, C = D.scene.colours, { um, RAD } = Draw;
  const DIAL_DEG = 300, calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  const $ = (root, query) => root.querySelector(query);
  const el = (tag, more = {}, ...inside) => { const made = Object.assign(document.createElement(tag), more); made.append(...inside); return made; };
  const begun = (words) => words[0].toUpperCase() + words.slice(1);
  const wrap = (deg) => ((deg % 360) + 360) % 360, apart = (a, b) => Math.abs(wrap(a - b + 180) - 180);

  /* Tables: the same cubic through four nodes as in the solver's own language. */
  const opened = (t) => ({ ...t, outboard: Viewer.floats(t.outboard), inboard: Viewer.floats(t.inboard), left: Viewer.floats(t.left), rigid: Viewer.floats(t.rigid), rotor: Viewer.floats(t.rotor), hub: Viewer.floats(t.hub) });
  const T = { around: opened(D.around), outward: opened(D.outward) };
  const clean = Object.fromEntries(Object.entries(D.clean).map(([k, v]) => [k, Viewer.floats(v)]));
  const ORDER = { rotor: D.scene.rotor.orders, hub: D.scene.hub.orders };
  function weights([first, step, count], at, closed, snap) {
    let place = (at - first) / step;
    if (!closed) place = Math.min(Math.max(place, 0), count - 1);
    if (snap) place = Math.round(place);
    const start = closed ? Math.floor(place) - 1 : Math.min(Math.max(Math.floor(place) - 1, 0), count - 4), out = [];
    for (let k = 0; k < 4; k++) { let w = 1; for (let j = 0; j < 4; j++) if (j !== k) w *= (place - start - j) / (k - j); if (w) out.push([((start + k) % count + count) % count, w]); }
    return out;
  }
  function mixed(table, name, width, A, B) {
    const out = new Float64Array(width), rows = table.heights[2];
    for (const [i, a] of A) for (const [j, b] of B) { const w = a * b, from = (i * rows + j) * width; for (let k = 0; k < width; k++) out[k] += w * table[name][from + k]; }
    return out;
  }
  /* Turn complex pairs on by an angle, each of its order, and add what was there before. */
  function turned(pairs, orders, deg, before) {
    const out = new Float64Array(pairs.length);
    for (let k = 0; k < pairs.length / 2; k++) { const a = -orders(k) * deg * RAD, c = Math.cos(a), s = Math.sin(a);
      out[2 * k] = before[2 * k] + c * pairs[2 * k] - s * pairs[2 * k + 1]; out[2 * k + 1] = before[2 * k + 1] + s * pairs[2 * k] + c * pairs[2 * k + 1]; }
    return out;
  }
  const traceOf = (orders) => { const out = new Float64Array(360); for (let a = 0; a < 360; a++) { let v = 0; for (let n = 1; n <= orders.length / 2; n++) v += orders[2 * n - 2] * Math.cos(n * a * RAD) - orders[2 * n - 1] * Math.sin(n * a * RAD); out[a] = v; } return out; };
  const tir = (trace) => Math.max(...trace) - Math.min(...trace);
  const high = (trace) => trace.indexOf(Math.max(...trace));
  const at = (trace, deg) => { const a = wrap(deg), k = Math.floor(a); return trace[k % 360] + (a - k) * (trace[(k + 1) % 360] - trace[k % 360]); };
  function finished(state) { const outboard = traceOf(state.outboard), inboard = traceOf(state.inboard), read = D.gaugeFace === "inboard" ? inboard : outboard; return { ...state, outboard, inboard, trace: read, tir: tir(read), high: high(outboard) }; }
  function seated(name, place, height, angle) {
    const table = T[name], snap = !table.holds, A = weights(table.places, place, table.first === "angle_deg", snap), B = weights(table.heights, height, false, snap);
    const one = (key, width) => mixed(table, key, width, A, B), orders = (k) => k + 1;
    return finished({
      outboard: turned(one("outboard", clean.outboard.length), orders, angle, clean.outboard), inboard: turned(one("inboard", clean.inboard.length), orders, angle, clean.inboard),
      rotor: turned(one("rotor", clean.rotor.length), (k) => ORDER.rotor[k], angle, clean.rotor), hub: turned(one("hub", clean.hub.length), (k) => ORDER.hub[k], angle, clean.hub),
      left: Math.max(0, one("left", 1)[0]), rigid: one("rigid", 1)[0],
    });
  }
  const speckAt = (more) => ({ ...D.speck, ...more });
  function inwardSpeck(radius, left) { const half = (D.speck.outer - D.speck.inner) / 2, middle = (D.speck.outer + D.speck.inner) / 2; return speckAt({ inner: radius - half, outer: radius + half, arc: Math.min(D.speck.arc * middle / radius, 180 / D.studs), height: left }); }

  /* The stage is one, and moves with the reader from chapter to chapter. */
  const holder = el("div");
  holder.append(document.getElementById("stage").content.cloneNode(true));
  document.querySelector("article .show").append(holder);
  const viewer = Viewer.create($(holder, "canvas"), $(holder, ".stage > svg"), D.scene);
  const stage = { state: null, turn: 0, fitted: false, swept: false };
  const looks = $(holder, ".looks");
  const press = (name, on, act) => { const b = el("button", { type: "button", textContent: name }); if (on !== null) b.setAttribute("aria-pressed", on); b.addEventListener("click", () => act(b)); looks.append(b); return b; };
  const offButton = press(W.off, "false", () => lift(viewer.now.lift < 0.5));
  const cutButton = press(W.cut, "false", () => { viewer.set({ cut: !viewer.now.cut }); cutButton.setAttribute("aria-pressed", viewer.now.cut); });
  const trueButton = press(W.true, "false", () => { const flat = viewer.now.stretch > 1; viewer.set({ stretch: flat ? 1 : stage.stretch || D.scene.stretch }); trueButton.setAttribute("aria-pressed", flat); factor(); });
  press(W.front, null, () => viewer.look(0, 0)); press(W.slant, null, () => viewer.look(-38, 16));
  function factor() { const k = viewer.now.stretch; $(holder, ".factor").textContent = k > 1 ? W.times.replace("#", String(k)) : W["true to scale"]; }
  function glide(ms, step, end) { if (calm) { step(1); if (end) end(); return; } const from = performance.now(); const tick = (t) => { const s = Math.min(1, (t - from) / ms); step(0.5 - 0.5 * Math.cos(Math.PI * s)); if (s < 1) requestAnimationFrame(tick); else if (end) end(); }; requestAnimationFrame(tick); }
  function lift(up) { const from = viewer.now.lift, to = up ? 1 : 0, near = viewer.now.near, want = up ? 1.9 : 1; offButton.setAttribute("aria-pressed", up); glide(700, (s) => viewer.set({ lift: from + (to - from) * s, near: near + (want - near) * s })); }
  function legend(top, step) {
    viewer.set({ top, step });
    const steps = [0, 0.25, 0.5, 0.75, 1].map((s) => `<span><i style="background:${D.scene.ramp[Math.round(s * 6)]}"></i> ${Math.round(s * top)}</span>`).join(" ");
    $(holder, ".legend").innerHTML = `<span>${W.height_legend}</span> ${steps} µm · ${W.contours.replace("#", Math.round(step))}`;
  }
  function instruments() {
    const s = stage.state, fitted = stage.fitted && s, reading = fitted ? at(s.trace, DIAL_DEG - stage.turn) : 0, swept = fitted ? [Math.min(...s.trace), Math.max(...s.trace)] : null;
    const dial = $(holder, ".dial"), joint = $(holder, ".joint"), rim = $(holder, ".rim");
    dial.innerHTML = Draw.dial(C, fitted ? reading : null, swept, "TIR");
    joint.innerHTML = Draw.joint(C, D, stage.speckLeft ?? (s ? s.left : 0), W, stage.open); rim.innerHTML = Draw.rim(C, D, fitted ? reading : 0, swept || [0, 0], D.limit, W);
    dial.setAttribute("aria-label", fitted ? `${um(swept[1] - swept[0])} TIR` : W["not fitted"]);
    joint.setAttribute("aria-label", `${W.joint}: ${um(stage.speckLeft ?? (s ? s.left : 0))}`); rim.setAttribute("aria-label", `${W.rim}: ${fitted ? um(swept[1] - swept[0]) : W["not fitted"]}`);
    $(holder, ".figure").textContent = fitted ? `${um(swept[1] - swept[0])} TIR` : "";
  }
  function show(state, speck, more = {}) {
    stage.state = state; stage.speckLeft = more.left;
    viewer.set({ rotor: state.rotor, hub: state.hub, speck, wedge: [speck ? speck.angle : 0, D.cut], ...more.view });
    instruments();
  }
  function turnTo(deg) { stage.turn = deg; viewer.set({ turn: deg }); instruments(); }
  function ready(state, speck, more = {}) { // before the nuts: the rotor off, nothing given away
    legend(more.top || D.scene.top, more.step || D.scene.step); stage.fitted = false; stage.turn = 0; stage.open = !!more.open; stage.stretch = more.stretch || D.scene.stretch;
    viewer.set({ turn: 0, near: (more.lift ?? 1) > 0.5 ? 1.9 : 1, lift: more.lift ?? 1, settled: 0, nuts: 0, stylus: null, pads: null, cut: false, stretch: stage.stretch }); offButton.setAttribute("aria-pressed", (more.lift ?? 1) > 0.5); cutButton.setAttribute("aria-pressed", "false"); trueButton.setAttribute("aria-pressed", "false");
    show(state, speck, { left: more.left ?? 0 }); factor();
  }
  function fit(end, more = {}) { // the rotor goes on, the nuts turn, the rotor settles
    offButton.setAttribute("aria-pressed", "false");
    const from = viewer.now.lift, near = viewer.now.near;
    const settle = () => glide(900, (s) => viewer.set({ settled: s }), () => { stage.fitted = true; viewer.set({ stylus: DIAL_DEG, ...more }); instruments(); end(); });
    const nuts = () => glide(500, (s) => viewer.set({ nuts: s }), settle);
    if (from > 0.01) glide(700, (s) => viewer.set({ lift: from * (1 - s), near: 1 + (near - 1) * (1 - s) }), nuts); else nuts();
  }
  function fittedAtOnce() { stage.fitted = true; offButton.setAttribute("aria-pressed", "false"); viewer.set({ lift: 0, near: 1, nuts: 1, settled: 1, stylus: DIAL_DEG }); instruments(); }

  /* Controls. */
  let serial = 0;
  function slider(host, name, [low, high_, step], value, words, act, released) {
    const id = `s${++serial}`, out = el("output", { id: `${id}-o` }), input = el("input", { type: "range", id, min: low, max: high_, step, value });
    out.setAttribute("for", id);
    const tell = () => { const w = words(+input.value); out.textContent = w; input.setAttribute("aria-valuetext", w); };
    input.addEventListener("input", () => { tell(); act(+input.value); });
    if (released) input.addEventListener("change", () => released(+input.value));
    const label = el("label", { textContent: name }); label.setAttribute("for", id);
    host.append(el("div", { className: "slider" }, el("div", { className: "head" }, label, out), input)); tell();
    return { get value() { return +input.value; }, set(v) { input.value = v; tell(); } };
  }
  function choice(host, name, options, chosen, act) {
    const row = el("div", { className: "row" }); row.setAttribute("role", "group"); row.setAttribute("aria-label", name);
    host.append(el("p", { className: "small", textContent: name }), row);
    const all = options.map((words, k) => { const b = el("button", { type: "button", textContent: words }); b.setAttribute("aria-pressed", k === chosen); b.addEventListener("click", () => { all.forEach((o) => o.setAttribute("aria-pressed", o === b)); act(k); }); row.append(b); return b; });
    return { set: (k) => all.forEach((o, i) => o.setAttribute("aria-pressed", i === k)) };
  }
  const placeWords = (deg) => { const pitch = 360 / D.studs, k = wrap(deg) / pitch, near = Math.round(k) % D.studs, first = Math.floor(k) % D.studs; return `${Math.round(wrap(deg))}°, ${Math.abs(k - Math.round(k)) <= 0.2 ? `${W.at} ${near + 1}` : `${W.between} ${first + 1} ${W.and} ${(first + 1) % D.studs + 1}`}`; };
  /* A face that can be marked: by pointer, or by arrow keys once it has the focus. */
  function marking(host, what, act) {
    const face = Draw.svg("face", Draw.face(D, C, { ...what, mark: null, words: {} }));
    face.setAttribute("tabindex", "0"); face.setAttribute("role", "slider"); face.setAttribute("aria-label", W.mark); face.setAttribute("aria-valuemin", "0"); face.setAttribute("aria-valuemax", "360"); face.setAttribute("aria-valuetext", W["no mark"]); face.setAttribute("aria-valuenow", "0");
    let mark = null;
    const put = (deg) => { mark = wrap(deg); redraw(); face.setAttribute("aria-valuenow", Math.round(mark)); face.setAttribute("aria-valuetext", placeWords(mark)); act(mark); };
    const redraw = (more = {}) => { face.innerHTML = Draw.face(D, C, { ...what, ...more, mark, words: { mark: W["your mark"], truth: W["high spot"] } }).text; };
    const pointed = (e) => { const box = face.getBoundingClientRect(); put(Math.atan2(-(e.clientX - box.left - box.width / 2), -(e.clientY - box.top - box.height / 2)) / RAD); };
    face.addEventListener("click", pointed);
    face.addEventListener("keydown", (e) => { const by = { ArrowLeft: 6, ArrowUp: 6, ArrowRight: -6, ArrowDown: -6, Home: 0 }[e.key]; if (by !== undefined) { put(mark === null ? 0 : mark + by); e.preventDefault(); } });
    host.append(el("p", { className: "small", textContent: W.mark }), face); redraw();
    return { get mark() { return mark; }, redraw };
  }
  const plot = (host, label) => { const made = Draw.svg("chart", null, label); host.append(made); return (spec) => { const drawn = Draw.chart(C, spec); made.setAttribute("viewBox", drawn.box); made.innerHTML = drawn.text; }; };
  const traceSpec = (s, more = {}) => { const top = Math.max(60, 20 * Math.ceil(Math.max(...s.trace.map(Math.abs)) / 20)); return { x: [0, 360], xTicks: [0, 72, 144, 216, 288, 360], y: [-top, top], xName: W["hub angle"], yName: "µm", lines: [{ points: Array.from({ length: 361 }, (_, a) => [a, s.trace[a % 360]]), colour: C.dial }], ...more }; };
  const betWords = (k, right, n) => right === k ? W["bet right"] : `${W["bet wrong"]} ${D.bets[n][right]}.`;
  const ratioBet = (ratio, low, high_) => ratio < low ? 0 : ratio < high_ ? 1 : 2;

  const make = {}; // chapter by key: (article, number) => { ready, reveal(bet), update }
  make.speck = (article, n) => {
    const tries = $(article, ".tries"), state = { angle: D.speck.angle, height: D.speck.height };
    const face = marking($(article, ".mark"), { speck: D.speck }, () => ask(article));
    const now = () => seated("around", state.angle, state.height, state.angle);
    const draw = () => { const s = now(); show(s, speckAt({ angle: state.angle, height: s.left })); spot(traceSpec(s, { marks: [{ line: true, x: s.high, colour: C.high }, ...(face.mark === null ? [] : [{ line: true, x: face.mark, colour: C.ink, dashed: true }]), { line: true, x: state.angle, colour: C.scale }], names: [{ x: s.high, y: 0, dy: -70, dx: 4, words: W["high spot"], colour: C.high }, { x: state.angle, y: 0, dy: 74, dx: 4, words: W.speck, colour: C.scale }] })); face.redraw({ speck: speckAt({ angle: state.angle }), truth: s.high }); };
    slider(tries, W.where, [0, 360, 2], state.angle, placeWords, (v) => { state.angle = v; draw(); });
    slider(tries, W.height, [0, D.around.heights[1] * (D.around.heights[2] - 1), 2], state.height, um, (v) => { state.height = v; draw(); });
    slider(tries, W.turn, [0, 360, 4], 0, (v) => `${v}°`, turnTo);
    const spot = plot(tries, W.trace);
    return {
      marked: () => face.mark !== null,
      ready: () => ready(now(), speckAt({ angle: state.angle, height: state.height })),
      update: draw,
      reveal: (bet) => { const s = now(), right = ratioBet(s.tir / D.speck.height, 0.5, 1.6);
        return `${W["runs out"].replace("#", um(s.tir))} ${W["high at"].replace("#", placeWords(s.high)).replace("#", Math.round(apart(s.high, face.mark)))} ${betWords(bet, right, n)}`; },
    };
  };
  make["further in"] = (article, n) => {
    const tries = $(article, ".tries"), [first, step, count] = D.outward.places, outer = first + step * (count - 1), was = (D.speck.inner + D.speck.outer) / 2, deep = first + 2 * step;
    const state = { radius: deep, height: D.speck.height, dots: [] };
    const now = (radius = state.radius) => seated("outward", radius, state.height, D.speck.angle);
    const face = Draw.svg("face", null, W.dots), draw = () => {
      const s = now(), curve = [], stiff = [];
      for (let k = 0; k <= 40; k++) { const r = first + (outer - first) * k / 40, one = now(r); curve.push([r, one.tir]); if (one.rigid > 0) stiff.push([r, one.rigid]); }
      show(s, inwardSpeck(state.radius, s.left));
      const top = 1.15 * Math.max(...curve.map((q) => q[1]), ...stiff.map((q) => q[1]), 60);
      chart({ x: [first, outer], y: [0, top], xName: `${W.radius} [mm]`, yName: "TIR [µm]", limit: D.limit, limitName: `${W.limit} ${um(D.limit)}`, lines: [{ points: stiff, colour: C.ink, dashed: true, width: 1.6 }, { points: curve, colour: C.dial }], marks: [{ x: state.radius, y: s.tir, colour: C.dial }],
        names: [{ x: first, y: (stiff[0] || [0, 0])[1], dx: 6, dy: 16, words: W.stiff, colour: C.ink }, { x: first, y: curve[0][1], dx: 6, dy: curve[0][1] < 0.2 * top ? -8 : 16, words: W.solved, colour: C.dial }] });
      const drawn = Draw.face(D, C, { speck: inwardSpeck(state.radius, 1), dots: state.dots, hubOnly: true, words: {} }); face.setAttribute("viewBox", drawn.box); face.innerHTML = drawn.text;
    };
    const dot = () => { const s = now(); state.dots.push({ r: state.radius, deg: D.speck.angle + 32 * ((state.dots.length * 0.618) % 1) * (state.dots.length % 2 ? 1 : -1), um: s.tir }); if (state.dots.length > 30) state.dots.shift(); draw(); };
    slider(tries, W.radius, [+first.toFixed(1), +outer.toFixed(1), 0.5], state.radius, (v) => `${v.toFixed(1)}\u00a0mm`, (v) => { state.radius = v; draw(); }, dot);
    slider(tries, W.height, [0, D.outward.heights[1] * (D.outward.heights[2] - 1), 2], state.height, um, (v) => { state.height = v; draw(); }, dot);
    slider(tries, W.turn, [0, 360, 4], 0, (v) => `${v}°`, turnTo);
    const chart = plot(tries, W.stiff); tries.append(el("p", { className: "small", textContent: W.dots }), face);
    return { marked: () => true, ready: () => ready(now(), inwardSpeck(state.radius, state.height)), update: draw,
      reveal: (bet) => { const a = now(was).tir, b = now().tir, right = b > 1.08 * a ? 0 : b > 0.92 * a ? 1 : 2; return `${W["was and is"].replace("#", um(a)).replace("#", um(b))} ${betWords(bet, right, n)}`; } };
  };

  /* Solved nodes of the later chapters: nothing is read between them. */
  const sets = Object.fromEntries(["spigot", "holes", "clampings", "wheel"].map((name) => [name, { ...D[name], outboard: Viewer.floats(D[name].outboard), inboard: Viewer.floats(D[name].inboard), rotor: Viewer.floats(D[name].rotor), hub: Viewer.floats(D[name].hub) }]));
  function node(name, ...index) {
    const set = sets[name], k = index.reduce((sum, i, axis) => sum * set.axes[axis].length + i, 0), part = (key, width) => Float64Array.from(set[key].subarray(k * width, (k + 1) * width));
    return { k, ok: set.ok[k], ...finished({ outboard: part("outboard", clean.outboard.length), inboard: part("inboard", clean.inboard.length), rotor: part("rotor", clean.rotor.length), hub: part("hub", clean.hub.length), left: set.left ? set.left[k] : 0, rigid: 0 }) };
  }
  const steps = (host, name, values, chosen, words, act) => slider(host, name, [0, values.length - 1, 1], chosen, (k) => words(values[k], k), act);
  const speckNode = (left) => speckAt({ height: left });

  make.pads = (article, n) => {
    const tries = $(article, ".tries"), state = { height: D.speck.height, clearance: D.pads.clearance, turn: 0 };
    const now = () => seated("around", D.speck.angle, state.height, D.speck.angle);
    const pads = (s) => { const half = D.pads.arc / 2, under = (trace, pick) => { let v = -Infinity; for (let a = -half; a <= half; a += 2) v = Math.max(v, pick * at(trace, D.pads.angle + a - state.turn)); return v; };
      const out = Math.max(state.clearance, under(s.outboard, 1)), inn = Math.max(state.clearance, under(s.inboard, -1)), k = D.scene.stretch / 1000;
      return [{ ...D.pads, low: D.pads.outFace + k * out, high: D.pads.outFace + k * out + D.pads.thick }, { ...D.pads, low: D.pads.inFace - k * inn - D.pads.thick, high: D.pads.inFace - k * inn }]; };
    const touched = (s) => { const runs = (t) => { let share = 0; for (let a = 0; a < 360; a++) if (t[a] > state.clearance) share++; return share; }; return [runs(s.outboard), runs(s.inboard.map((v) => -v))]; };
    const draw = () => {
      const s = now(), [out, inn] = touched(s), top = Math.max(80, 20 * Math.ceil((Math.max(...s.trace.map(Math.abs), state.clearance) + 5) / 20)), zones = [];
      show(s, speckAt({ height: s.left }), { view: { pads: pads(s) } });
      for (let a = 0; a < 360; a++) { if (s.outboard[a] > state.clearance) zones.push({ x: [a, a + 1], y: [state.clearance, s.outboard[a]], colour: C.high }); if (-s.inboard[a] > state.clearance) zones.push({ x: [a, a + 1], y: [-state.clearance, s.inboard[a]], colour: C.high }); }
      const line = (t) => Array.from({ length: 361 }, (_, a) => [a, t[a % 360]]), flat = (v) => [[0, v], [360, v]];
      chart({ x: [0, 360], xTicks: [0, 72, 144, 216, 288, 360], y: [-top, top], xName: W["hub angle"], yName: "µm", zones: [{ x: [0, 360], y: [state.clearance, top], colour: C.pad, opacity: 0.25 }, { x: [0, 360], y: [-top, -state.clearance], colour: C.pad, opacity: 0.25 }, ...zones],
        lines: [{ points: line(s.outboard), colour: C.dial }, { points: line(s.inboard), colour: C.ink, dashed: true, width: 1.8 }], names: [{ x: 4, y: state.clearance, dy: -5, words: W["outboard pad"], colour: C.pad }, { x: 4, y: -state.clearance, dy: 14, words: W["inboard pad"], colour: C.pad }, { x: 356, y: s.outboard[350], anchor: "end", dy: -8, words: W["both faces"], colour: C.dial }] });
      told.textContent = W["pads told"].replace("#", `${Math.round(out / 3.6)} %`).replace("#", `${Math.round(inn / 3.6)} %`).replace("#", um(tir(s.outboard.map((v, a) => v - s.inboard[a]))));
    };
    slider(tries, W.height, [0, D.around.heights[1] * (D.around.heights[2] - 1), 2], state.height, um, (v) => { state.height = v; draw(); });
    slider(tries, W.clearance, [5, 150, 5], state.clearance, um, (v) => { state.clearance = v; draw(); });
    slider(tries, W.turn, [0, 360, 4], 0, (v) => `${v}°`, (v) => { state.turn = v; turnTo(v); draw(); });
    const chart = plot(tries, W["pads plot"]), told = el("p"); tries.append(told);
    return { marked: () => true, ready: () => { state.turn = 0; const s = now(); ready(s, speckAt({ height: s.left }), { lift: 0, left: s.left }); viewer.set({ settled: 1, nuts: 1, pads: pads(s) }); stage.fitted = true; instruments(); }, update: draw,
      act: (end) => glide(2400, (q) => { state.turn = 360 * q; turnTo(state.turn); viewer.set({ pads: pads(now()) }); }, () => { state.turn = 0; turnTo(0); end(); }), shown: () => { viewer.set({ stylus: DIAL_DEG }); draw(); },
      reveal: (bet) => { const [out, inn] = touched(now()), right = out && inn ? 2 : out || inn ? 1 : 0; return `${W["pads told"].replace("#", `${Math.round(out / 3.6)} %`).replace("#", `${Math.round(inn / 3.6)} %`).replace("#", um(tir(now().outboard.map((v, a) => v - now().inboard[a]))))} ${bet === right ? W.right : `${W["not so"]} ${begun(D.bets[n][right])}.`}`; } };
  };
  make.road = (article) => {
    const R = D.roads, tries = $(article, ".tries"), state = { km: 10000, k: 2, bet: null }, group = (v) => `${String(Math.round(v)).replace(/\B(?=(\d{3})+(?!\d))/g, "\u00a0")}\u00a0km`;
    slider($(article, ".mark"), W["your bet"], [0, R.most, 500], 0, group, (v) => { state.bet = v; ask(article); });
    const read = (row, km) => { const x = R.km[state.k]; let i = 1; while (i < x.length - 1 && x[i] < km) i++; const s = Math.min(1, Math.max(0, (km - x[i - 1]) / (x[i] - x[i - 1]))); return row[i - 1] + s * (row[i] - row[i - 1]); };
    const draw = () => {
      const x = R.km[state.k], pair = (row) => x.map((km, i) => [km, row[i]]), s = node("wheel", state.k, D.wheel.axes[1].length - 1, 1);
      const end = Math.max(...R.high[2], R.limit * 1.3);
      chart({ x: [0, R.most], xTicks: [0, 10000, 20000, 30000], y: [0, end], xName: W["km name"], yName: "DTV [µm]", limit: R.limit, limitName: `${W.limit} ${um(R.limit)}`, bands: R.low[state.k] ? [{ low: pair(R.low[state.k]), high: pair(R.high[state.k]), colour: C.dial }] : [],
        lines: R.dtv.map((row, k) => ({ points: R.km[k].map((km, i) => [km, row[i]]), colour: k === state.k ? C.dial : C.part, width: k === state.k ? 3 : 1.5 })), marks: [{ x: Math.min(state.km, x[x.length - 1]), y: read(R.dtv[state.k], state.km), colour: C.dial }, ...(state.bet === null ? [] : [{ line: true, x: state.bet, colour: C.ink, dashed: true }])],
        names: [{ x: R.most * 0.62, y: R.low[state.k] ? read(R.low[state.k], R.most * 0.62) : 0, anchor: "start", dy: -12, words: R.low[state.k] ? W["80 % band"] : "", colour: C.dial }, ...(state.bet === null ? [] : [{ x: state.bet, y: 0, dx: 5, dy: -6, words: W["your bet"], colour: C.ink }])] });
      show(s, speckNode(s.left));
      told.textContent = W["road told"].replace("#", group(state.km)).replace("#", um(read(R.dtv[state.k], state.km))).replace("#", R.low[state.k] ? `${um(read(R.low[state.k], state.km))} … ${um(read(R.high[state.k], state.km))}` : W["no band"]).replace("#", um(read(R.face[state.k], state.km)));
    };
    slider(tries, W["km name"], [0, R.most, 500], state.km, group, (v) => { state.km = v; draw(); });
    steps(tries, W.height, R.heights, 2, um, (k) => { state.k = k; draw(); });
    const chart = plot(tries, W["road plot"]), told = el("p"); tries.append(told);
    const span = () => [R.kmLow[2], R.kmLimit[2], R.kmHigh[2]].map((v) => v === null ? W["not within"] : group(100 * Math.round(v / 100)));
    return { marked: () => state.bet !== null, ready: () => { const s = node("wheel", 2, D.wheel.axes[1].length - 1, 1); ready(s, speckNode(s.left), { lift: 0, left: s.left }); viewer.set({ settled: 1, nuts: 1 }); stage.fitted = true; instruments(); }, update: draw, shown: draw,
      act: (end) => glide(1200, (q) => turnTo(720 * q % 360), () => { turnTo(0); end(); }),
      reveal: () => { const [low, middle, high_] = span(), inside = (R.kmLow[2] !== null && state.bet >= R.kmLow[2]) && (R.kmHigh[2] === null || state.bet <= R.kmHigh[2]); return `${W["km truth"].replace("#", R.kmLimit[2] === null ? W.never : `${W.after} ${middle}`).replace("#", low).replace("#", high_)} ${inside ? W["bet inside"] : W["bet outside"]}`; } };
  };
  make.spigot = (article, n) => {
    const P = D.spigot, tries = $(article, ".tries"), state = { h: P.start, t: 0 }, stretch = P.stretch, now = () => node("spigot", state.h, state.t);
    const scale = () => ({ inner: D.spigotRadius - 1, outer: D.spigotRadius + 1.2, angle: P.scale.angle, arc: P.scale.arc, height: 1000 * P.scale.long / stretch });
    const draw = () => { const s = now(); show(s, scale(), { left: P.standOff[s.k], view: { wedge: [P.scale.angle, D.cut] } });
      bars({ x: [-0.6, P.axes[0].length - 0.4], xTicks: [], y: [0, 1.15 * Math.max(P.strength / 2, ...P.hoop)], xName: W["scale axis"], yName: W.hoop, limit: P.strength / 2, limitName: W["half strength"], bars: P.axes[0].map((v, k) => ({ x: k, y: P.hoop[k * 2 + state.t], wide: 34, colour: k === state.h ? C.scale : C.part })), names: P.axes[0].map((v, k) => ({ x: k, y: 0, anchor: "middle", dy: 15, words: um(v), colour: C.ink })) });
      told.textContent = P.ok[s.k] ? W["spigot told"].replace("#", P.word[s.k]).replace("#", um(P.standOff[s.k])).replace("#", um(s.tir)).replace("#", `${Math.round(P.hoop[s.k])} MPa`) : W.refused; warn.textContent = P.crack[s.k] ? W.crack : ""; };
    steps(tries, W["scale height"], P.axes[0], state.h, um, (k) => { state.h = k; draw(); });
    choice(tries, W.nuts, P.axes[1].map((v) => `${Math.round(v)} N m`), 0, (k) => { state.t = k; draw(); });
    slider(tries, W.turn, [0, 360, 4], 0, (v) => `${v}°`, turnTo);
    const told = el("p"), warn = el("p", { className: "caution" }); tries.append(told, warn); const bars = plot(tries, W.hoop);
    const start = () => { ready(now(), scale(), { lift: 0.3, stretch, left: 0, open: true, top: P.top, step: P.top / 8 }); viewer.set({ near: 1.2 }); };
    return { marked: () => true, ready: start, update: draw, shown: () => { fittedAtOnce(); draw(); }, reveal: (bet) => { const s = now(); return `${W["spigot told"].replace("#", P.word[s.k]).replace("#", um(P.standOff[s.k])).replace("#", um(s.tir)).replace("#", `${Math.round(P.hoop[s.k])} MPa`)} ${bet === 1 ? W.right : `${W["not so"]} ${begun(D.bets[n][1])}.`}`; } };
  };
  make.hole = (article) => {
    const H = D.holes, tries = $(article, ".tries"), state = { hub: H.start, own: H.own, hole: 0, bet: null }, pitch = 360 / D.studs;
    const own = (k) => { const a = -(H.ownAt + k * pitch) * RAD; return [(state.own - H.own) / 2 * H.reach * Math.cos(a), (state.own - H.own) / 2 * H.reach * Math.sin(a)]; };
    const now = (k) => { const s = node("holes", state.hub, k), [x, y] = own(k), add = (t) => t.map((v, a) => v + x * Math.cos(a * RAD) - y * Math.sin(a * RAD)), outboard = add(s.outboard), inboard = add(s.inboard), trace = D.gaugeFace === "inboard" ? inboard : outboard; return { ...s, outboard, inboard, trace, tir: tir(trace), high: high(outboard) }; };
    const arrows = (k) => { const hubUm = H.axes[0][state.hub] * H.lever, rotorUm = state.own * H.reach, scale = 0.8 * D.rim / Math.max(22, hubUm, rotorUm); return [{ length: scale * hubUm, deg: H.hubAt, colour: C.hub, name: W["hub arrow"] }, { length: scale * rotorUm, deg: H.ownAt + k * pitch, colour: C.high, dashed: true, name: W["own arrow"] }]; };
    const host = $(article, ".mark"), face = Draw.svg("face", null, W.arrows), draw0 = (k) => { const drawn = Draw.face(D, C, { arrows: arrows(k), words: {} }); face.setAttribute("viewBox", drawn.box); face.innerHTML = drawn.text; };
    host.append(face, el("p", { className: "small", textContent: W.arrows }));
    const holes = Array.from({ length: D.studs }, (_, k) => `${k + 1}`), all = () => holes.map((_, k) => now(k).tir), best = () => all().indexOf(Math.min(...all()));
    choice(host, W["which hole"], holes, -1, (k) => { state.bet = k; draw0(k); ask(article); });
    const draw = () => { const s = now(state.hole), values = all(); show(s, null); draw0(state.hole);
      bars({ x: [-0.6, D.studs - 0.4], xTicks: [], y: [0, 1.2 * Math.max(D.limit, ...values)], xName: W["hole axis"], yName: "TIR [µm]", limit: D.limit, limitName: `${W.limit} ${um(D.limit)}`, bars: values.map((v, k) => ({ x: k, y: v, wide: 34, colour: k === state.hole ? C.dial : C.part })), names: values.flatMap((v, k) => [{ x: k, y: 0, anchor: "middle", dy: 15, words: `${k + 1}${k === state.bet ? " *" : ""}`, colour: C.ink }, { x: k, y: v, anchor: "middle", dy: -5, words: um(v), colour: C.ink }]) }); };
    const picked = choice(tries, W["which hole"], holes, 0, (k) => { state.hole = k; draw(); });
    steps(tries, W["hub runout"], H.axes[0], state.hub, um, (k) => { state.hub = k; draw(); });
    slider(tries, W["own runout"], [0, 60, 2], state.own, um, (v) => { state.own = v; draw(); });
    const bars = plot(tries, W["hole plot"]); draw0(0);
    return { marked: () => state.bet !== null, ready: () => { ready(now(0), null, { lift: 0 }); viewer.set({ nuts: 0, settled: 0 }); }, update: () => { state.hole = best(); picked.set(state.hole); draw(); }, shown: () => { fittedAtOnce(); draw(); },
      reveal: () => { const values = all(), b = best(); return `${W["hole truth"].replace("#", b + 1).replace("#", um(values[b])).replace("#", um(Math.max(...values)))} ${state.bet === b ? W.right : W["hole bet"].replace("#", state.bet + 1).replace("#", um(values[state.bet]))}`; } };
  };
  make.dial = (article) => {
    const S = D.clampings, names = S.axes[1], last = names.length - 1, tries = $(article, ".tries"), state = { h: 2, c: 0, bet: null };
    const now = (c) => node("clampings", state.h, c), ratio = (c) => now(c).tir / now(last).tir, worst = () => { let at_ = 0; for (let c = 0; c < last; c++) if (now(c).ok && Math.abs(Math.log(ratio(c))) > Math.abs(Math.log(ratio(at_)))) at_ = c; return at_; };
    choice($(article, ".mark"), W["furthest"], names.slice(0, last), -1, (c) => { state.bet = c; ask(article); });
    const draw = () => { const s = now(state.c), values = names.map((_, c) => now(c)); show(s, speckNode(s.left));
      list.innerHTML = ""; const top = Math.max(...values.map((v) => v.ok ? v.tir : 0), D.limit);
      values.forEach((v, c) => { const bar = el("span", { className: "bar" }), fill = el("i"); fill.style.width = `${v.ok ? 100 * v.tir / top : 0}%`; fill.style.background = c === last ? C.hub : c === state.c ? C.dial : C.part; bar.append(fill); list.append(el("div", { className: "barrow" }, el("span", { textContent: names[c] + (c === state.bet ? " *" : "") }), bar, el("b", { textContent: v.ok ? um(v.tir) : W.refused }))); }); };
    choice(tries, W.clamping, names, 0, (c) => { state.c = c; draw(); });
    steps(tries, W.height, S.axes[0], 2, um, (k) => { state.h = k; draw(); });
    slider(tries, W.turn, [0, 360, 4], 0, (v) => `${v}°`, turnTo);
    const list = el("div", { className: "bars" }); tries.append(list);
    return { marked: () => state.bet !== null, ready: () => { const s = now(0); ready(s, speckNode(s.left), { lift: 0, left: s.left }); }, update: draw, shown: () => { fittedAtOnce(); draw(); },
      reveal: () => { const w = worst(), to = (c) => `${names[c]}: ${um(now(c).tir)}`; return `${W["dial truth"].replace("#", um(now(last).tir)).replace("#", to(w))} ${state.bet === w ? W.right : W["dial bet"].replace("#", to(state.bet))}`; } };
  };
  make.wheel = (article, n) => {
    const S = D.wheel, tries = $(article, ".tries"), state = { h: 2, s: S.axes[1].length - 1, w: 0 }, now = (w = state.w) => node("wheel", state.h, state.s, w);
    const draw = () => { const s = now(), other = now(1 - state.w); show(s, speckNode(s.left)); told.textContent = s.ok ? W["wheel told"].replace("#", um(now(0).tir)).replace("#", um(now(1).tir)) : W.refused;
      const top = 1.1 * Math.max(D.limit, s.tir, other.tir, ...S.band); bars({ x: [-0.7, 1.7], xTicks: [], y: [0, top], xName: W["held axis"], yName: "TIR [µm]", limit: D.limit, limitTo: 0.5, limitName: `${W.limit} ${um(D.limit)}`, bars: [0, 1].map((w) => ({ x: w, y: now(w).tir, wide: 70, colour: w === state.w ? C.dial : C.part })), lines: state.h === 2 && state.s === S.axes[1].length - 1 && S.band.length ? [{ points: [[1, S.band[0]], [1, S.band[1]]], colour: C.ink, width: 4 }] : [], names: [0, 1].flatMap((w) => [{ x: w, y: 0, anchor: "middle", dy: 15, words: W.held[w], colour: C.ink }, { x: w, y: now(w).tir, anchor: "end", dx: -38, dy: 12, words: um(now(w).tir), colour: C.ink }]) }); };
    const held = choice(tries, W["held by"], W.held, 0, (w) => { state.w = w; draw(); });
    const shareWords = (v) => `${Math.round(100 * v)} %`;
    steps(tries, W["nut 1"], S.axes[1], state.s, shareWords, (k) => { state.s = k; draw(); });
    steps(tries, W.height, S.axes[0], 2, um, (k) => { state.h = k; draw(); });
    const told = el("p"); tries.append(told); const bars = plot(tries, W["wheel plot"]); if (S.band.length) tries.append(el("p", { className: "small", textContent: W["thick line"] }));
    return { marked: () => true, ready: () => { state.w = 0; held.set(0); const s = now(0); ready(s, speckNode(s.left), { lift: 0, left: s.left }); viewer.set({ settled: 1, nuts: 1, stylus: DIAL_DEG }); stage.fitted = true; instruments(); }, act: (end) => { state.w = 1; held.set(1); draw(); end(); }, update: draw, shown: draw,
      reveal: (bet) => { const a = now(0).tir, b = now(1).tir, right = b > 1.08 * a ? 0 : b > 0.92 * a ? 1 : 2; return `${W["wheel told"].replace("#", um(a)).replace("#", um(b))} ${betWords(bet, right, n)}`; } };
  };

  /* Chapters open, ask, show. */
  const articles = [...document.querySelectorAll("article")], made = articles.map((article, n) => make[article.dataset.key](article, n)), seen = new Set();
  const chosen = (article) => { const bet = $(article, ".bets input:checked"); return bet ? +bet.value : null; };
  function ask(article) { const n = articles.indexOf(article), needs = !$(article, ".bets") || chosen(article) !== null; $(article, ".reveal").disabled = !(needs && made[n] && made[n].marked()); }
  function open(n, jump = true) {
    articles.forEach((a, k) => a.classList.toggle("open", k === n));
    document.querySelectorAll("nav [data-open]").forEach((b) => { if (+b.dataset.open === n) b.setAttribute("aria-current", "true"); else b.removeAttribute("aria-current"); });
    $(articles[n], ".show").append(holder);
    made[n].ready();
    if (seen.has(n)) { if (made[n].shown) made[n].shown(); else { fittedAtOnce(); made[n].update(); } }
    if (jump) { $(articles[n], "h2").focus({ preventScroll: true }); window.scrollTo(0, 0); }
    viewer.ask();
  }
  articles.forEach((article, n) => {
    article.querySelectorAll(".bets input").forEach((input) => input.addEventListener("change", () => ask(article)));
    $(article, ".reveal").addEventListener("click", () => {
      const button = $(article, ".reveal"), end = () => { seen.add(n); $(article, ".after").hidden = false; made[n].update(); $(article, ".verdict").textContent = made[n].reveal(chosen(article)); };
      button.disabled = true;
      if (window.innerWidth < 900) holder.scrollIntoView({ behavior: calm ? "auto" : "smooth", block: "start" });
      if (made[n].act) made[n].act(end); else fit(end);
    });
    article.querySelectorAll(".quiz input").forEach((input) => input.addEventListener("change", () => { $(article, ".feedback").textContent = `${input.dataset.right === "1" ? W.right : W["not so"]} ${input.dataset.why}`; }));
  });
  document.querySelectorAll("[data-open]").forEach((b) => b.addEventListener("click", () => open(+b.dataset.open)));
  $(document, "#contrast").addEventListener("click", (e) => { const on = document.documentElement.classList.toggle("contrast"); e.target.setAttribute("aria-pressed", on); });
  $(holder, ".scale").textContent = W["one scale"];
  /* Paper shows every chapter as it is after its question, each with its own picture. */
  function paper() {
    const n = articles.findIndex((a) => a.classList.contains("open"));
    articles.forEach((article, k) => {
      made[k].ready(); if (made[k].shown) made[k].shown(); else { fittedAtOnce(); made[k].update(); }
      viewer.draw();
      const { box, text } = viewer.markup(), old = $(article, "svg.printed");
      if (old) old.remove();
      $(article, ".show").append(Draw.svg("printed", { box, text }, W.picture));
    });
    open(n, false);
  }
  window.addEventListener("beforeprint", paper);
  open(0, false);
  document.documentElement.dataset.ready = "1";
  return { seated, node, viewer, open, tir };
})();
