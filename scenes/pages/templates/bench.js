// The live bench: predict first, then change what you like; every figure is a seating solved for this page.
"use strict";
(() => {
  const { D, W, C, um, $, el, wrap, apart, fill, placeWords, ask, save, draw, place, glide, reading, half, options } = Bench;
  const face = $("face"), stage = document.querySelector(".stage"), viewer = Viewer.create(stage.querySelector("canvas"), stage.querySelector(":scope > svg"), D.scene);
  const now = { setup: structuredClone(D.start), turn: 0, chalk: null, chalked: false, open: false, found: null, dots: [], seq: 0, shown: 0, laid: structuredClone(D.start.speck) };
  const kinds = ["scale", "chip", "hard"].filter((name) => name !== "hard" || D.start.speck.kind === "hard");
  options($("height"), D.heights, um, D.start.speck.height_um); options($("kind"), kinds, (name) => W[name], D.start.speck.kind); options($("hub"), D.hubs, um, D.start.hub_um);
  stage.querySelector(".factor").textContent = fill(W.times, D.scene.stretch);

  /* Asking the solver: one request on its way at a time, and then the newest; answers that came late are dropped. */
  let flying = false, wanted = null;
  function solve(after) { wanted = { seq: ++now.seq, setup: structuredClone(now.setup), after, from: performance.now() }; if (!flying) next(); }
  async function next() {
    if (!wanted) return;
    const one = wanted; wanted = null; flying = true;
    const told = await ask("/api/seat", { seq: one.seq, setup: one.setup });
    flying = false;
    if (told.again && !wanted) { wanted = one; setTimeout(next, 150); return; }
    if (wanted) next(); // solved while this one is drawn
    if (told.error) return say(told.error, "");
    if (told.stale || one.seq <= now.shown) return;
    now.shown = one.seq; now.found = told; now.of = one.setup; show(); if (one.after) one.after(told);
    viewer.draw(); window.benchMs = performance.now() - one.from;
  }
  function say(first, second) { $("said").innerHTML = first; $("more").textContent = second; }
  const safe = (text) => { const box = el("span"); box.textContent = text; return box.innerHTML; };

  function speck() { const s = now.setup.speck, left = now.found && now.open ? now.found.left_um : s && s.height_um; return s ? { inner: s.radius_mm - D.wide / 2, outer: s.radius_mm + D.wide / 2, angle: s.angle_deg, arc: 2 * half(s.radius_mm), height: left } : null; }
  const under = (f) => reading(f.trace_um, D.dialDeg - now.turn, now.of.hole);
  function showFace() {
    const f = now.found, ok = now.open && f && !f.refused;
    draw(face, { turn: now.turn, setup: now.setup, chalk: now.chalk, chalked: now.chalked, rim: !now.chalked, drag: now.open, nuts: now.open, nutsOn: now.open, high: ok ? f.high_deg : null, dots: now.dots.map((dot) => ({ ...dot, same: dot.of === like() })), reading: ok ? under(f) : now.open ? null : undefined });
  }
  function show() {
    const f = now.found, ok = now.open && f && !f.refused, at = ok ? under(f) : null;
    showFace();
    $("dial").innerHTML = Draw.dial(C, at, ok ? [0, f.runout_um] : null, "TIR"); $("dial").setAttribute("aria-label", ok ? `${um(f.runout_um)} TIR; ${um(at)}` : W.loading);
    const points = ok ? Array.from({ length: 181 }, (_, k) => [2 * k, reading(f.trace_um, 2 * k, now.of.hole)]) : [[0, 0], [360, 0]], top = ok ? Math.max(20, 10 * Math.ceil(f.runout_um / 9)) : 100;
    const made = Draw.chart(C, { x: [0, 360], y: [0, top], xTicks: [0, 90, 180, 270, 360], xName: W.place, yName: W.reading, lines: [{ points, colour: C.dial }], marks: ok ? [{ x: wrap(D.dialDeg - now.turn), y: at, colour: C.stud }] : [], high: 170 });
    $("trace").setAttribute("viewBox", made.box); $("trace").innerHTML = made.text; $("trace").setAttribute("aria-label", ok ? `${W.trace}: ${um(f.runout_um)} TIR, ${W.high} ${placeWords(f.high_deg)}` : W.trace);
    $("holes").textContent = now.setup.hole ? fill(W.holes, now.setup.hole + 1) : ""; $("turned").textContent = `${Math.round(now.turn)}°`;
    if (now.open && f) viewer.set({ rotor: ok ? f.rotor : null, hub: ok ? f.hub : null, speck: speck(), settled: 1, nuts: 1, lift: 0, stylus: D.dialDeg, wedge: [now.setup.speck ? now.setup.speck.angle_deg : 0, 60] });
  }
  const like = () => JSON.stringify([now.setup.nuts, now.setup.hub_um, now.setup.wheel, now.setup.hole, now.setup.speck && now.setup.speck.height_um, now.setup.speck && now.setup.speck.kind]);
  const against = (f) => safe(fill(W[f.against_limit], um(f.limit_um)));
  function result(f, second) {
    if (f.refused) return say(`${W.refused}: ${safe(f.refused)}`, "");
    say(`${fill(W.truth, `<b>${um(f.runout_um)}</b>`, safe(placeWords(f.high_deg)))} <span class="small">(${against(f)})</span>`, second ?? [now.setup.speck ? fill(W.left, um(f.left_um)) : "", ...f.warnings.slice(0, 2)].filter(Boolean).join(" "));
  }
  function changed() { $("clean").textContent = now.setup.speck ? W.clean : W.dirty; $("clean").setAttribute("aria-pressed", !now.setup.speck); $("wheel").setAttribute("aria-pressed", now.setup.wheel); $("extra").replaceChildren(); for (const id of ["height", "kind"]) $(id).disabled = !now.setup.speck; solve((f) => result(f)); show(); }

  /* Predict first: the first tap is the chalk mark, then the nuts turn, then truth is laid over it. */
  function predict(fresh) {
    face.style.touchAction = "pan-y"; // a page that is scrolled past is not chalked on
    Object.assign(now, { chalk: null, chalked: false, open: false, found: null, turn: 0 }); $("turn").value = 0; $("controls").hidden = true; $("extra").replaceChildren();
    if (fresh) { const [low, high] = D.radius, outer = Math.random() < 0.6; now.setup = { ...structuredClone(D.start), speck: { ...D.start.speck, angle_deg: Math.floor(360 * Math.random()), radius_mm: outer ? high : Math.round(2 * (low + (high - low) * Math.random())) / 2 } }; now.laid = now.setup.speck; $("height").value = D.start.speck.height_um; $("kind").value = D.start.speck.kind; $("hub").value = D.start.hub_um; }
    say(W.question, `${W.how} ${W["how keys"]}`);
    viewer.set({ rotor: null, hub: null, speck: speck(), settled: 0, nuts: 0, lift: 1, near: 1.9, stylus: null, turn: 0, wedge: [now.setup.speck ? now.setup.speck.angle_deg : 0, 60] }); show();
  }
  function chalk(deg) {
    face.style.touchAction = "none"; Object.assign(now, { chalk: wrap(deg), chalked: true }); say(safe(fill(W.marked, placeWords(deg))), ""); show();
    solve((f) => { viewer.set({ rotor: f.rotor || null, hub: f.hub || null, speck: { ...(speck() || {}), height: f.left_um }, settled: 0 });
      const settle = () => glide(800, (s) => viewer.set({ settled: s }), () => { now.open = true; $("controls").hidden = false; show(); release(); const off = Math.round(apart(now.chalk, f.high_deg)); result(f, f.refused ? "" : `${fill(off <= 30 ? W.near : W.far, `${off}°`)} ${W.try}`); });
      const nuts = () => glide(700, (s) => viewer.set({ nuts: s }), settle);
      glide(600, (s) => viewer.set({ lift: 1 - s, near: 1.9 - 0.9 * s }), nuts); });
  }
  function release() { const s = now.setup.speck; if (!s || !now.found || now.found.refused) return; now.dots = [...now.dots, { angle: s.angle_deg, radius: s.radius_mm, um: now.found.runout_um, of: like() }].slice(-60); $("dots").textContent = W.dots; show(); }
  function moveSpeck(angle, radius) { const [low, high] = D.radius; now.setup.speck = { ...now.setup.speck, angle_deg: Math.round(wrap(angle)) % 360, radius_mm: Math.min(high, Math.max(low, Math.round(2 * radius) / 2)) }; now.laid = now.setup.speck; }
  function nut(k) { const steps = [1, 0.5, 0, 1.25], at = steps.indexOf(now.setup.nuts[k]); now.setup.nuts[k] = steps[(at + 1) % steps.length]; changed(); }

  /* Fingers and mouse. */
  let held = null;
  face.addEventListener("pointerdown", (e) => {
    const on = place(face, e, now.turn), part = e.target.closest("[data-part]"), name = part ? part.dataset.part : "";
    if (!now.chalked) { held = { tap: on.angle, x: e.clientX, y: e.clientY, far: on.radius > D.faceInner * 0.5 }; return; }
    if (!now.open) return;
    face.setPointerCapture(e.pointerId); e.preventDefault();
    if (name.startsWith("nut")) { held = { nut: +name.slice(3) }; const focus = face.querySelector(`[data-part="${name}"]`); if (focus) focus.focus({ preventScroll: true }); }
    else if (on.ring) held = { turn: now.turn, from: on.world };
    else if (now.setup.speck && on.radius < D.face * 1.15) { const s = now.setup.speck; held = { speck: true, by: name === "speck" ? [wrap(s.angle_deg - on.angle + 180) - 180, s.radius_mm - on.radius] : [0, 0] }; if (name !== "speck") drag(on); }
  });
  function drag(on) { moveSpeck(on.angle + held.by[0], on.radius + held.by[1]); held.moved = viewer.now.held = true; $("extra").replaceChildren(); solve((f) => result(f)); showFace(); } // the rest follows with the answer
  face.addEventListener("pointermove", (e) => {
    if (!held || held.tap !== undefined) return;
    const on = place(face, e, now.turn);
    if (held.speck) drag(on); else if (held.turn !== undefined) turnTo(held.turn + wrap(on.world - held.from + 180) - 180);
  });
  face.addEventListener("pointerup", (e) => { const was = held; held = null; viewer.set({ held: false }); if (was && was.tap !== undefined) { if (was.far && Math.hypot(e.clientX - was.x, e.clientY - was.y) < 12) chalk(was.tap); return; } if (!was) return; if (was.nut !== undefined) nut(was.nut); else if (was.speck && was.moved) solve((f) => { result(f); release(); }); });
  face.addEventListener("pointercancel", () => { held = null; viewer.set({ held: false }); });
  face.addEventListener("keydown", (e) => {
    const part = e.target.dataset.part || "", by = { ArrowLeft: [3, 0], ArrowRight: [-3, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key], press = e.key === "Enter" || e.key === " ";
    if (part === "rim" && !now.chalked) { if (by) { now.chalk = wrap((now.chalk || 0) + 2 * by[0]); show(); } else if (press) chalk(now.chalk || 0); else return; }
    else if (part === "speck" && now.open && by) { moveSpeck(now.setup.speck.angle_deg + by[0], now.setup.speck.radius_mm + by[1]); solve((f) => result(f)); show(); }
    else if (part.startsWith("nut") && now.open && press) nut(+part.slice(3));
    else return;
    e.preventDefault();
  });
  face.addEventListener("keyup", (e) => { if (e.target.dataset.part === "speck" && e.key.startsWith("Arrow") && now.open) solve((f) => { result(f); release(); }); });

  /* The few controls. */
  function turnTo(deg) { now.turn = wrap(deg); $("turn").value = Math.round(now.turn); viewer.set({ turn: now.turn }); show(); }
  $("turn").addEventListener("input", (e) => turnTo(+e.target.value));
  $("clean").addEventListener("click", () => { now.setup.speck = now.setup.speck ? null : now.laid; changed(); });
  $("hole").addEventListener("click", () => { now.setup.hole = (now.setup.hole + 1) % D.studs; changed(); });
  $("nuts").addEventListener("click", () => { now.setup.nuts = now.setup.nuts.map(() => 1); changed(); });
  $("wheel").addEventListener("click", () => { now.setup.wheel = !now.setup.wheel; changed(); });
  $("height").addEventListener("change", (e) => { now.setup.speck = now.laid = { ...now.setup.speck, height_um: +e.target.value }; changed(); });
  $("kind").addEventListener("change", (e) => { now.setup.speck = now.laid = { ...now.setup.speck, kind: e.target.value }; changed(); });
  $("hub").addEventListener("change", (e) => { now.setup.hub_um = +e.target.value; changed(); });
  $("again").addEventListener("click", () => { predict(true); window.scrollTo(0, 0); const rim = face.querySelector('[data-part="rim"]'); if (rim) rim.focus({ preventScroll: true }); });
  $("print").addEventListener("click", () => window.print());
  $("case").addEventListener("click", async () => { const told = await ask("/api/case", { setup: now.setup }); if (told.error) say(safe(told.error), ""); else save("bench-corner.toml", told.toml, "text/plain"); });
  $("table").addEventListener("click", async () => {
    const told = await ask("/api/table", { setup: now.setup });
    if (told.error) return say(safe(told.error), "");
    const row = (name, values) => el("tr", {}, el("th", { textContent: name, scope: "row" }), ...values.map((v) => el("td", { textContent: v })));
    const button = el("button", { type: "button", textContent: W["save table"] });
    button.addEventListener("click", () => save("bench-readings.csv", told.csv, "text/csv"));
    $("extra").replaceChildren(el("h2", { textContent: W["table head"] }), el("div", { className: "scroll" }, el("table", {}, row(W.painted, told.angle_deg), row("µm", told.reading_um))), el("div", { className: "row" }, button));
    $("extra").scrollIntoView({ block: "nearest" });
  });
  $("wear").addEventListener("click", async () => {
    $("wear").disabled = true; const told = await ask("/api/wear", { setup: now.setup }); $("wear").disabled = false;
    if (told.error) return say(safe(told.error), "");
    const end = told.dtv_um[told.dtv_um.length - 1], top = 1.15 * Math.max(told.limit_um, ...told.dtv_um), chart = Draw.chart(C, { x: [0, told.km[told.km.length - 1]], y: [0, top], xName: W["wear axis"], yName: W["wear y"], limit: told.limit_um, limitName: `${W.limit} ${um(told.limit_um)}`, lines: [{ points: told.km.map((km, k) => [km, told.dtv_um[k]]), colour: C.scale }] });
    const words = el("p", { textContent: `${fill(W["wear told"], um(end), um(told.limit_um))} ${told.km_to_limit === null ? "" : fill(W["wear first"], String(100 * Math.round(told.km_to_limit / 100)).replace(/\B(?=(\d{3})+$)/g, "\u00a0"))}` }); words.setAttribute("role", "status");
    $("extra").replaceChildren(el("h2", { textContent: W.wear }), words, Draw.svg("chart", chart, words.textContent));
    $("extra").scrollIntoView({ block: "nearest" });
  });
  predict(false);
  window.benchState = now; window.benchViewer = viewer; window.benchShow = show;
  document.documentElement.dataset.ready = "1";
})();
