// Exercises: readings are asked for one by one and cost minutes; truth stays on the server until it is handed in.
"use strict";
(() => {
  const { D, W, C, um, $, el, fill, ask, save } = Bench;
  const now = { taken: [] };
  D.levels.forEach((level) => $("level").append(el("option", { value: level, textContent: level })));
  $("number").max = D.numbers; $("number").value = 1 + Math.floor(D.numbers * Math.random());
  for (let k = 1; k <= D.studs; k++) $("stud").append(el("option", { value: k, textContent: k }));
  $("stud").value = Math.min(3, D.studs);
  $("kept").textContent = D.recorded ? W.recorded : W["not recorded"];
  const say = (first, second) => { $("said").textContent = first; if (second !== undefined) $("more").textContent = second; };
  const list = (select, values, words) => { select.replaceChildren(el("option", { value: "", textContent: W.choose }), ...values.map((value) => el("option", { value, textContent: words(value) }))); };
  const runs = (told) => told.kind === "thickness" ? W.varies : W.runs;
  const act = (name) => W[name] || name;
  list($("cause"), [...D.causes, D.cannotTell], (name) => name === D.cannotTell ? W.cannot : name);
  function then() { const open = $("cause").value === D.cannotTell; $("thenwords").textContent = open ? W["then read"] : W.then; list($("then"), open ? D.reads : D.cures, act); }
  $("cause").addEventListener("change", then); then();
  function menu(acts) {
    $("acts").replaceChildren(...acts.map(([what, minutes]) => { const b = el("button", { type: "button", textContent: `${act(what)} (${minutes} ${W.min})` }); b.dataset.what = what; b.addEventListener("click", () => measure(what)); return b; }));
  }
  $("begin").addEventListener("click", async () => {
    $("begin").disabled = true;
    const told = await ask("/api/exercise/start", { level: $("level").value, number: Math.round(+$("number").value) });
    $("begin").disabled = false;
    if (told.error) return say(told.error);
    now.taken = []; $("reads").replaceChildren(el("p", { textContent: W.nothing })); $("marked").replaceChildren(); $("menu").hidden = false; $("form").hidden = false; $("choose").hidden = true;
    now.code = told.shown; say(`${fill(W.code, told.shown)}: ${W.task}`, `${fill(W.minutes, 0)}. ${W.step}`); menu(told.menu);
    $("acts").querySelector("button").focus();
  });
  async function measure(what) {
    const all = [...$("acts").children]; all.forEach((b) => { b.disabled = true; });
    const told = await ask("/api/exercise/measure", { what, stud: +$("stud").value });
    all.forEach((b) => { b.disabled = false; });
    if (told.error) return say(told.error);
    now.taken.push(told); menu(told.menu); say(`${fill(W.code, now.code)}: ${act(what)}, ${um(told.runout_um)} ${runs(told)}`, `${fill(W.minutes, told.minutes)}. ${W.step}`);
    const low = Math.min(...told.reading_um), high = Math.max(...told.reading_um), room = Math.max(15 - (high - low) / 2, 0.08 * (high - low)), points = [...told.angle_deg.map((a, k) => [a, told.reading_um[k]]), [360, told.reading_um[0]]];
    const title = `${now.taken.length}. ${act(told.what)}${told.kind === "hub face" ? "" : `, ${W["on stud"]} ${told.stud}, ${told.state === "as found" ? W["as it was"] : act(told.state)}`}: ${um(told.runout_um)} ${runs(told)}`;
    const chart = Draw.chart(C, { x: [0, 360], y: [low - room, high + room], xTicks: [0, 90, 180, 270, 360], xName: told.kind === "hub face" ? W.place : W.painted, yName: "µm", lines: [{ points, colour: C.dial, width: 1.5, dashed: true }], marks: points.slice(0, -1).map(([x, y]) => ({ x, y, colour: C.dial })), high: 150 });
    const row = el("tr", {}, el("th", { textContent: "µm", scope: "row" }), ...told.reading_um.map((v) => el("td", { textContent: v })));
    const box = el("div", {}, el("p", { textContent: title }), Draw.svg("chart", chart, title), el("div", { className: "scroll" }, el("table", {}, row)));
    if (now.taken.length === 1) $("reads").replaceChildren(box); else $("reads").prepend(box);
    const first = $("acts").querySelector("button"); if (first) first.focus({ preventScroll: true });
  }
  $("form").addEventListener("submit", async (e) => {
    e.preventDefault(); $("submit").disabled = true; say(W.marking);
    const told = await ask("/api/exercise/submit", { name: $("name").value, cause: $("cause").value, then: $("then").value });
    $("submit").disabled = false;
    if (told.error) return say(told.error);
    const percent = (p) => `${Math.round(100 * p)} %`, left = Object.fromEntries(told.left_um), said = [];
    say(fill(W.points, told.points), fill(told.why === "open but told" ? fill(W[told.why], told.concluded) : W[told.why]));
    if (told.cure === "works") said.push(fill(W.works, act(told.works[0]))); else if (told.cure === "does not") said.push(fill(W["does not"], um(left[$("then").value]))); else if (told.cure === "another reading") said.push(fill(W["another reading"], told.next_readings.map(act).join(", ") || W["nothing more"])); else said.push(W[told.cure]);
    said.push(fill(W["truth was"], told.faults.map((fault, k) => `${fault} (${um(told.share_um[k])})`).join(", ")), fill(W.likeliest, told.likeliest.filter(([, p]) => p >= 0.01).map(([cause, p]) => `${cause} ${percent(p)}`).join(", ")));
    if (!told.concluded && told.cure !== "another reading") said.push(fill(W["more reading"], told.next_readings.map(act).join(", ") || W["nothing more"]));
    said.push(fill(W.minutes, told.minutes) + ".");
    const rows = told.left_um.map(([cure, value]) => el("tr", {}, el("th", { textContent: cure, scope: "row" }), el("td", { textContent: um(value) })));
    const again = el("button", { type: "button", className: "go", textContent: W.another, id: "another" }), file = el("button", { type: "button", textContent: W["save table"] });
    again.addEventListener("click", () => { $("choose").hidden = false; $("marked").replaceChildren(); $("number").value = 1 + Math.floor(D.numbers * Math.random()); say(W.task, W.step); $("begin").focus(); });
    file.addEventListener("click", () => save("bench-exercise.csv", told.csv, "text/csv"));
    $("menu").hidden = true; $("form").hidden = true;
    $("marked").replaceChildren(...said.map((text) => el("p", { textContent: text })), el("h2", { textContent: `${W["left by"]} (${fill(W["limit is"], um(D.limit))})` }), el("table", {}, ...rows), el("div", { className: "row" }, again, file));
    again.focus({ preventScroll: true });
  });
  document.documentElement.dataset.ready = "1";
})();
