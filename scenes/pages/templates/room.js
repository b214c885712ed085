// The projector: how many marks there are, then all of them, then the nuts and the truth.
"use strict";
(() => {
  const { D, W, um, $, el, fill, placeWords, ask, draw, glide, half } = Bench;
  const stage = document.querySelector(".stage"), viewer = Viewer.create(stage.querySelector("canvas"), stage.querySelector(":scope > svg"), D.scene);
  stage.querySelector(".factor").textContent = fill(W.times, D.scene.stretch);
  $("joining").append(...(D.join ? [el("h2", { textContent: W["join at"] }), el("p", { className: "join", textContent: D.join })] : [el("p", { className: "small", textContent: W["no phones"] })]));
  const counts = Array.from({ length: D.studs }, (_, k) => { const input = el("input", { type: "number", min: 0, max: 99, value: 0, id: `gap${k}` }); $("hands").append(el("label", {}, `${k + 1}–${(k + 1) % D.studs + 1} `, input)); return input; });
  const now = { round: 0, state: "", tight: false };
  const speck = (s, height) => ({ inner: s.radius_mm - D.wide / 2, outer: s.radius_mm + D.wide / 2, angle: s.angle_deg, arc: 2 * half(s.radius_mm), height });
  function show(told) {
    const t = told.truth, s = told.setup.speck;
    if (told.round !== now.round) { now.round = told.round; now.tight = false; counts.forEach((input) => { input.value = 0; }); viewer.set({ rotor: null, hub: null, speck: speck(s, s.height_um), settled: 0, nuts: 0, lift: 1, near: 1.9, wedge: [s.angle_deg, 60] }); }
    $("show").disabled = told.state !== "bet"; $("tighten").disabled = told.state !== "marks";
    draw($("face"), { setup: told.setup, marks: told.marks, counts: told.hands, nutsOn: !!t, high: t && now.tight && !t.refused ? t.high_deg : null });
    if (told.state === "bet") { $("said").textContent = W.ask; $("more").textContent = fill(W["marks so far"], told.count); }
    else if (!t || !now.tight) { $("said").textContent = fill(W.all, told.count); $("more").textContent = ""; }
    if (t && !now.tight && !now.turning) {
      now.turning = true; viewer.set({ rotor: t.rotor || null, hub: t.hub || null, speck: speck(s, t.left_um || s.height_um) });
      const settle = () => glide(1200, (k) => viewer.set({ settled: k }), () => { now.tight = true; now.turning = false; show(told); });
      glide(800, (k) => viewer.set({ lift: 1 - k, near: 1.9 - 0.9 * k }), () => glide(900, (k) => viewer.set({ nuts: k }), settle));
    }
    if (t && now.tight) { $("said").textContent = t.refused ? `${W.refused}: ${t.refused}` : fill(W["class truth"], um(t.runout_um), placeWords(t.high_deg), told.near, told.count); $("more").textContent = ""; }
  }
  async function act(what) { const told = await ask("/api/room", { act: what, hands: counts.map((input) => Math.max(0, Math.min(99, Math.round(+input.value) || 0))) }); if (told.error) $("more").textContent = told.error; else show(told); }
  for (const what of ["show", "tighten", "new"]) $(what).addEventListener("click", () => act(what));
  async function poll() { const told = await ask("/api/room"); if (told.error) $("more").textContent = told.error; else if (!now.turning) show(told); setTimeout(poll, 1000); }
  poll().then(() => { document.documentElement.dataset.ready = "1"; });
})();
