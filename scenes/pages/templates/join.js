// A phone in the class: one mark on the rim, moved until all are shown; truth when the nuts are tight.
"use strict";
(() => {
  const { D, W, $, wrap, apart, fill, placeWords, ask, draw, place } = Bench;
  const face = $("face"), now = { told: null, chalk: 0 };
  function show() {
    const told = now.told, open = told.state === "bet", t = told.truth;
    draw(face, { setup: told.setup, rim: open, chalk: told.mine ?? (open && document.activeElement && document.activeElement.dataset.part === "rim" ? now.chalk : null), chalked: told.mine !== null, high: t && !t.refused ? t.high_deg : null, nutsOn: !!t, painted: false });
    if (open) { $("said").textContent = told.mine === null ? W.ask : fill(W.set, placeWords(told.mine)); $("more").textContent = `${W["your turn"]} ${W["how keys"]}`; }
    else { $("said").textContent = !t ? W.wait : t.refused ? t.refused : told.mine === null ? fill(W["phone none"], placeWords(t.high_deg)) : fill(W["phone truth"], placeWords(t.high_deg), `${Math.round(apart(told.mine, t.high_deg))}°`); $("more").textContent = ""; }
  }
  async function mark(deg) { now.chalk = wrap(deg); const told = await ask("/api/mark", { round: now.told.round, angle_deg: Math.round(now.chalk * 10) / 10 }); if (told.error) $("more").textContent = told.error; else { now.told = told; show(); } }
  face.addEventListener("pointerdown", (e) => { if (now.told && now.told.state === "bet") { e.preventDefault(); mark(place(face, e, 0).angle); } });
  face.addEventListener("keydown", (e) => {
    const by = { ArrowLeft: 6, ArrowRight: -6 }[e.key];
    if (!now.told || now.told.state !== "bet") return;
    if (by) { now.chalk = wrap(now.chalk + by); mark(now.chalk); e.preventDefault(); } else if (e.key === "Enter") { mark(now.chalk); e.preventDefault(); }
  });
  async function poll() { const told = await ask("/api/join"); if (told.error) $("more").textContent = told.error; else { const was = JSON.stringify(now.told); now.told = told; if (was !== JSON.stringify(told)) show(); } setTimeout(poll, 2000); }
  poll().then(() => { document.documentElement.dataset.ready = "1"; });
})();
