// What the fingers do: the state lives in the address, so a reload or a sent link shows the same readings.
const UNIT = {um: [1, "µm", 5], mm: [1000, "mm", 0.005], thou: [25.4, "thou", 0.2]};
const $ = (id) => document.getElementById(id);
const NS = "http://www.w3.org/2000/svg";
let state = JSON.parse($("start").textContent);

function load() {
  try {
    const kept = JSON.parse(decodeURIComponent(location.hash.slice(1)));
    if (known(kept) && knownTable(kept.table, kept.studs)) state = kept;
  } catch (e) { /* an address without a state of ours: start afresh */ }
}

const keep = () => history.replaceState(null, "", "#" + encodeURIComponent(JSON.stringify(state)));
const number = (x, low, high) => typeof x === "number" && x >= low && x <= high;

function known(s) {
  const hourly = (h) => h === null || number(h, 0, 12);
  return s && ["chalk", "table"].includes(s.page) && number(s.studs, C.fewest, C.most) && Number.isInteger(s.studs) && s.unit in UNIT
    && typeof s.cleaned === "boolean" && number(s.limit, 0, C.mostUm) && Array.isArray(s.sweeps)
    && s.sweeps.length >= 1 && s.sweeps.length <= C.mostSweeps && s.sweeps.every((w) => w && hourly(w.high) && hourly(w.low)
      && Number.isInteger(w.holes) && w.holes >= 0 && w.holes < s.studs && (w.tir === null || number(w.tir, 0, 1e9)));
}

const shownAs = (um) => String(+(um / UNIT[state.unit][0]).toPrecision(4));
const typed = (text) => Number(text.trim().replace(",", ".")) * UNIT[state.unit][0];

function wrongWith(s) {
  if (s.tir === null || s.high === null || s.low === null) return "";
  if (!(s.tir > 0)) return "A runout is more than nought.";
  if (s.tir < C.leastUm) return `No turn on a car spans less than ${figure(C.leastUm, state.unit)} ${UNIT[state.unit][1]}: is the unit right?`;
  if (s.tir > C.mostUm) return `No seated rotor runs out by more than ${figure(C.mostUm, state.unit)} ${UNIT[state.unit][1]}: is it home on its hub, is the unit right?`;
  if (s.high % 12 === s.low % 12) return "High and low spot cannot stand at one place.";
  return "";
}

const whole_sweep = (s) => s.tir !== null && s.high !== null && s.low !== null && !wrongWith(s);

function svg(name, attributes, text) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  return made;
}

const place = (h, r) => [100 + r * Math.sin(rad(30 * h)), 100 - r * Math.cos(rad(30 * h))];

// Which way it counts: an arrow within the studs, from the top.
function counting(clockwise) {
  const turn = clockwise ? 1 : -1, [from, to] = [place(turn * 0.3, 27), place(turn * 2.2, 27)], box = svg("g", {fill: "none", stroke: "#1b1f2a", "stroke-width": 1.6});
  box.append(svg("path", {d: `M ${from} A 27 27 0 0 ${clockwise ? 1 : 0} ${to}`}),
    svg("path", {d: `M ${place(turn * 1.85, 31)} L ${to} L ${place(turn * 1.75, 23)}`}));
  return box;
}

// Hub face seen from outside: stud 1 at the top, studs counter-clockwise, the painted hole, the two chalk marks.
function hubFace(sweep, number) {
  const face = svg("svg", {viewBox: "-8 -8 216 216", class: "hub", role: "img",
    "aria-label": `hub face of sweep ${number}, stud 1 at the top, twelve places counter-clockwise; tap where the mark stands`});
  face.append(svg("circle", {cx: 100, cy: 100, r: 78, fill: "#fff", stroke: "#1b1f2a", "stroke-width": 1.5}));
  face.append(svg("circle", {cx: 100, cy: 100, r: 18, fill: "#dcd7cb", stroke: "#1b1f2a"}));
  for (let h = 1; h <= 12; h++) {
    const [x, y] = place(h, 92);
    face.append(svg("text", {x, y: y + 4.5, "text-anchor": "middle", "font-size": 13}, placeOf(h)));
    const [a, b] = [place(h, 78), place(h, 72)];
    face.append(svg("line", {x1: a[0], y1: a[1], x2: b[0], y2: b[1], stroke: "#1b1f2a"}));
  }
  face.append(counting(false));
  for (let k = 0; k < state.studs; k++) {
    const [x, y] = place(12 - 12 * k / state.studs, 42);
    const marked = k === sweep.holes;
    face.append(svg("circle", {cx: x, cy: y, r: 9, fill: marked ? "#1b1f2a" : "#fff", stroke: "#1b1f2a", "stroke-width": 1.4}));
    face.append(svg("text", {x, y: y + 4.2, "text-anchor": "middle", "font-size": 12, fill: marked ? "#fff" : "#1b1f2a"}, k + 1));
  }
  for (const [key, letter] of [["low", "L"], ["high", "H"]]) {
    if (sweep[key] === null) continue;
    const [x, y] = place(sweep[key], 66);
    const high = key === "high";
    face.append(svg(high ? "circle" : "rect", high ? {cx: x, cy: y, r: 11, fill: "#532382"}
      : {x: x - 10, y: y - 10, width: 20, height: 20, fill: "#fff", stroke: "#1b1f2a", "stroke-width": 2}));
    face.append(svg("text", {x, y: y + 5, "text-anchor": "middle", "font-size": 14, "font-weight": "bold", fill: high ? "#fff" : "#1b1f2a"}, letter));
  }
  return face;
}

function element(name, attributes, ...inside) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else made.setAttribute(key, value);
  }
  made.append(...inside);
  return made;
}

let marking = "high", limitWrong = "", warned = false, noFigure = {sweep: null, text: ""};

function sweepCard(sweep, i) {
  const last = i === state.sweeps.length - 1;
  const title = `Sweep ${i + 1}: ${i === 0 ? (state.cleaned ? "cleaned, " : "as found, ") : ""}painted hole on stud ${sweep.holes + 1}`;
  const card = element("div", {class: "sweep"}, element("h2", {}, title));
  if (!last) {
    card.append(element("p", {}, `TIR ${shownAs(sweep.tir)} ${UNIT[state.unit][1]}, high at place ${placeOf(sweep.high)}, low at place ${placeOf(sweep.low)}`));
    return card;
  }
  const box = element("input", {id: "tir", inputmode: "decimal", "aria-label": `TIR of sweep ${i + 1}`,
    onchange: (event) => {
      const text = event.target.value.trim(), um = typed(text), good = text !== "" && um >= 0;
      sweep.tir = good ? um : null;
      noFigure = {sweep: text === "" || good ? null : sweep, text};
      draw();
    }});
  box.value = sweep.tir === null ? "" : shownAs(sweep.tir);
  const step = UNIT[state.unit][2] * UNIT[state.unit][0];
  const by = (sign) => () => { noFigure.sweep = null; sweep.tir = Math.max(0, (sweep.tir || 0) + sign * step); draw(); };
  card.append(element("div", {class: "row"}, element("span", {class: "wide"}, `Runout (TIR), ${UNIT[state.unit][1]}`),
    element("button", {type: "button", "aria-label": "less runout", onclick: by(-1)}, "−"), box,
    element("button", {type: "button", "aria-label": "more runout", onclick: by(1)}, "+")));
  const pick = element("div", {class: "row both", role: "group", "aria-label": "Which mark to place"});
  for (const [key, name] of [["high", "High spot"], ["low", "Low spot"]]) {
    pick.append(element("button", {type: "button", "aria-pressed": String(marking === key), "data-mark": key,
      onclick: () => { marking = key; draw(); }}, `${name}${sweep[key] === null ? "" : ": place " + placeOf(sweep[key])}`));
  }
  card.append(pick);
  const face = hubFace(sweep, i + 1);
  face.addEventListener("click", (event) => {
    const box_ = face.getBoundingClientRect();
    const x = event.clientX - box_.left - box_.width / 2, y = event.clientY - box_.top - box_.height / 2;
    sweep[marking] = Math.round(wrap(Math.atan2(x, -y) * 180 / Math.PI, 360) / 15) % 24 / 2;
    if (marking === "high" && sweep.low === null) marking = "low";
    draw();
  });
  card.append(face, element("p", {class: "small"}, W.counts));
  const nudge = (sign) => () => { sweep[marking] = wrap((sweep[marking] || 0) + sign * 0.5, 12); draw(); };
  card.append(element("div", {class: "row both"},
    element("button", {type: "button", "aria-label": "mark half a place back", onclick: nudge(1)}, "½ place back"),
    element("button", {type: "button", "aria-label": "mark half a place on", onclick: nudge(-1)}, "½ place on")));
  const wrong = noFigure.sweep === sweep ? `“${noFigure.text}” is no runout: the figure alone, in ${UNIT[state.unit][1]}.` : wrongWith(sweep);
  if (wrong) card.append(element("p", {class: "wrong", role: "alert"}, wrong));
  return card;
}

function holesTable(told) {
  const read = shownAt(state.sweeps), most = Math.max(...told.at.map((one) => one.high), state.limit) || 1;
  const rows = told.at.map((one) => {
    const bar = element("div", {class: "bar"}), band = document.createElement("i");
    band.style.left = `${100 * one.low / most}%`;
    band.style.width = `${100 * (one.high - one.low) / most}%`;
    bar.append(band);
    if (state.limit > 0) {
      const mark = document.createElement("b");
      mark.style.left = `${100 * Math.min(1, state.limit / most)}%`;
      bar.append(mark);
    }
    const now = one.holes === state.sweeps[state.sweeps.length - 1].holes ? " (now)" : "";
    const um = read.get(one.holes), shows = um === undefined ? `${figure(one.low, state.unit)} to ${figure(one.high, state.unit)}` : `read ${figure(um, state.unit)}`;
    return element("tr", {}, element("td", {}, `${one.holes + 1}${now}`), element("td", {class: "n"}, shows), element("td", {}, um === undefined ? bar : ""));
  });
  const head = element("tr", {}, ...["painted hole on stud", `the dial should show, ${UNIT[state.unit][1]} (80 %)`, state.limit > 0 ? "line: limit" : ""].map((t) => element("th", {}, t)));
  return element("table", {}, head, ...rows);
}

function draw() {
  keep();
  document.body.dataset.page = state.page;
  document.querySelectorAll("[data-show]").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.show === state.page)));
  $("studs").textContent = state.studs;
  if (!limitWrong) $("limit").value = state.limit > 0 ? shownAs(state.limit) : "";
  $("limit-wrong").hidden = !limitWrong;
  $("limit-wrong").textContent = limitWrong;
  document.querySelectorAll(".unit").forEach((u) => { u.textContent = UNIT[state.unit][1]; });
  document.querySelectorAll("[data-unit]").forEach((b) => b.setAttribute("aria-pressed", String(b.dataset.unit === state.unit)));
  document.querySelectorAll("[data-clean]").forEach((b) => {
    b.setAttribute("aria-pressed", String((b.dataset.clean === "1") === state.cleaned));
    b.disabled = state.sweeps.length > 1;
  });
  document.querySelectorAll("[data-step]").forEach((b) => { b.disabled = state.sweeps.length > 1 || anyRead(); });
  drawTable();
  $("sweeps").replaceChildren(...state.sweeps.map(sweepCard));
  const box = $("answer"), next = $("next"), ready = !limitWrong && state.sweeps.every(whole_sweep);
  box.hidden = next.hidden = !ready;
  $("save").disabled = !ready;
  $("undo").disabled = state.sweeps.length < 2;
  for (const [id, text] of [["undo", "Take the last sweep back"], ["again", "Begin again"]]) {
    delete $(id).dataset.armed;
    $(id).textContent = text;
  }
  box.replaceChildren();
  if (!ready) return;
  const told = answer(state.studs, state.sweeps, state.limit, state.cleaned);
  const said = sentences(state.studs, state.sweeps, told, state.limit, state.cleaned, state.unit);
  box.append(...said.map((text, i) => element("p", {class: i === 0 ? "verdict" : i > 1 && i >= said.length - 2 ? "small" : ""}, text)));
  if (told.at.length && state.cleaned && told.stays !== "neither") box.insertBefore(holesTable(told), box.children[said.length - 2]);
  warned = false;
  const on = {"move on": "It is on: second sweep", try: "It is on: confirming sweep", "go back": "It is on: sweep once more", "put on again": "It is on: sweep once more",
    "sweep again": "Sweep once more", clean: "Faces are clean: first sweep", "read again": "Faces are clean: first sweep"}[told.act];
  next.hidden = !on || (state.sweeps.length >= C.mostSweeps && !["clean", "read again"].includes(told.act));
  next.textContent = on || "";
  next.onclick = () => {
    const fresh = {holes: told.hole, tir: null, high: null, low: null};
    if (told.act === "clean" || told.act === "read again") {
      if (!warned) {  // what cleaning takes away is told by these sweeps alone
        warned = true;
        next.textContent = "Save these readings first (below); press again to begin with clean faces";
        return;
      }
      state.cleaned = true;
      state.sweeps = [{...fresh, holes: 0}];
    } else {
      state.sweeps.push(fresh);
    }
    marking = "high";
    draw();
    $("sweeps").lastChild.scrollIntoView();
  };
}

// The table of readings of this project: one line a mark, degrees counter-clockwise from stud 1.
function table() {
  const lines = [`# studs: ${state.studs}`, "# sweep: high and low spot", "# turned: counter-clockwise",
    ...(state.limit > 0 ? [`# limit_um: ${+state.limit.toFixed(3)}`] : []),
    "trace,mount,studs_turned,angle_deg,reading_um,state"];
  state.sweeps.forEach((s, i) => {
    for (const [h, um] of [[s.high, s.tir], [s.low, 0]]) {
      lines.push(["mounted", i + 1, s.holes, wrap(360 - 30 * h, 360), +um.toFixed(3), state.cleaned ? "cleaned" : "as found"].join(","));
    }
  });
  return lines.join("\n") + "\n";
}

document.querySelectorAll("[data-step]").forEach((b) => b.addEventListener("click", () => {
  state.studs = Math.min(C.most, Math.max(C.fewest, state.studs + Number(b.dataset.by)));
  state.sweeps[0].holes = 0;
  state.table.turns.forEach((turn) => { turn.stud = 0; });
  draw();
}));
document.querySelectorAll("[data-unit]").forEach((b) => b.addEventListener("click", () => {
  // A figure that was asked back keeps its digits: it was the unit that was wrong.
  const last = state.sweeps[state.sweeps.length - 1];
  if (last.tir > 0 && !(last.tir >= C.leastUm && last.tir <= C.mostUm)) last.tir *= UNIT[b.dataset.unit][0] / UNIT[state.unit][0];
  state.unit = b.dataset.unit;
  if (limitWrong) $("limit").dispatchEvent(new Event("change"));
  draw();
}));
document.querySelectorAll("[data-clean]").forEach((b) => b.addEventListener("click", () => { state.cleaned = b.dataset.clean === "1"; draw(); }));
$("limit").addEventListener("change", (event) => {
  const text = event.target.value.trim(), um = typed(text), good = um >= C.leastLimit && um <= C.mostUm;
  limitWrong = text === "" || um === 0 || good ? "" : `Not a limit that a rotor has: ${figure(C.leastLimit, state.unit)} to ${figure(C.mostUm, state.unit)} ${UNIT[state.unit][1]}, or empty for none. Is the unit right?`;
  state.limit = good ? um : 0;
  draw();
});
const begun = (s) => s.tir !== null || s.high !== null || s.low !== null;
sure($("undo"), "it is gone then", () => { state.sweeps.pop(); marking = "high"; }, () => begun(state.sweeps[state.sweeps.length - 1]));
sure($("again"), "all is gone then", () => { state.sweeps = [{holes: 0, tir: null, high: null, low: null}]; marking = "high"; }, () => begun(state.sweeps[0]));
$("save").addEventListener("click", () => {
  handOver(table(), "chalk.csv");
});
document.querySelectorAll("[data-show]").forEach((b) => b.addEventListener("click", () => { state.page = b.dataset.show; draw(); }));

function handOver(text, name) {
  element("a", {href: "data:text/csv;charset=utf-8," + encodeURIComponent(text), download: name}).click();
}
