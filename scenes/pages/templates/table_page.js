// Readings place by place: a number pad for gloves, turn after turn, handed on as the table that the commands read.
const T = C.table;
let typing = "", asked = "";

const filled = (turn) => turn.values.filter((v) => v !== null).length;
const anyRead = () => state.table.turns.length > 1 || filled(state.table.turns[0]) > 0;
const angleOf = (i) => 360 * i / state.table.places;
const inUnit = (um) => String(+(um / UNIT[state.unit][0]).toPrecision(7));
const underDial = (turn) => turn.kind !== "thickness";
const isHub = (turn) => turn.kind === "hub face";
const freshTurn = (from, changes) => ({...from, feeler: null, ...changes, values: Array(state.table.places + 1).fill(null)});

function knownTable(t, studs) {
  const maybe = (x, low, high) => x === null || number(x, low, high);
  return t && T.places.includes(t.places) && ["", ...T.turned].includes(t.turned) && ["", ...T.signs].includes(t.sign) && ["", ...T.bearing.felt].includes(t.bearing ?? "")
    && (t.dial === null || T.dials.some((d) => d.um === t.dial)) && maybe(t.gauge, ...T.gauge) && maybe(t.hub, ...T.hub)
    && Array.isArray(t.turns) && t.turns.length >= 1 && t.turns.length <= T.mostTurns && Number.isInteger(t.open)
    && number(t.open, 0, t.turns.length - 1) && Number.isInteger(t.at) && number(t.at, 0, t.places)
    && t.turns.every((w) => w && T.kinds.includes(w.kind) && T.states.includes(w.state) && T.held.includes(w.held)
      && maybe(w.feeler ?? null, 0, T.mostUm) && Number.isInteger(w.mount) && number(w.mount, 1, T.mostTurns) && Number.isInteger(w.stud) && number(w.stud, 0, studs - 1)
      && Array.isArray(w.values) && w.values.length === t.places + 1 && w.values.every((v) => maybe(v, -T.mostUm, T.mostUm)));
}

// What a turn lacks before it can be handed on, and what looks wrong about it.
function lacks(turn) {
  const read = turn.values.slice(0, -1).map((v, i) => (v === null ? null : angleOf(i))).filter((a) => a !== null);
  if (read.length < T.fewest) return `${read.length} of ${state.table.places} places read; ${T.fewest} are the least`;
  const gaps = read.map((a, i) => (i + 1 < read.length ? read[i + 1] : read[0] + 360) - a);
  return Math.max(...gaps) > T.gap ? `more than ${T.gap}° of the turn not read` : "";
}

// A turn that reads all alike: a face that true, or a tip that does not touch.
function alike(turn) {
  const read = turn.values.filter((v) => v !== null);
  return underDial(turn) && !lacks(turn) && Math.max(...read) === Math.min(...read);
}

function looksWrong(turn) {
  const read = turn.values.filter((v) => v !== null), first = turn.values[0], again = turn.values[turn.values.length - 1];
  const span = Math.max(...read) - Math.min(...read), dial = T.dials.find((d) => d.um === state.table.dial);
  if (read.length > 1 && span > T.widest) return "No dial at a brake rotor shows so much in one turn: is the unit right?";
  if (underDial(turn) && turn.feeler && Math.abs(turn.feeler / T.feeler.um - 1) > T.feeler.within) return T.feeler.wrong;
  if (alike(turn) && !turn.feeler) return T.feeler.alike;
  if (dial && first !== null && again !== null && Math.abs(again - first) > dial.drift) {
    return `The dial came back ${inUnit(again - first)} ${UNIT[state.unit][1]} off its start: is it held fast? Read the turn again.`;
  }
  return "";
}

function toSay() {
  const t = state.table, kinds = t.turns.map((w) => w.kind), said = [];
  if (!t.turned) said.push("which way your places count");
  if (!t.sign && kinds.some((k) => k !== "thickness")) said.push("what the figure does when the tip is pressed in");
  if (t.dial === null) said.push("one division of the dial");
  if (t.gauge === null) said.push("the dial's radius on the rotor");
  if (t.hub === null && kinds.includes("hub face")) said.push("the dial's radius on the hub face");
  if (t.gauge !== null && t.hub !== null && !number(t.gauge / t.hub, ...T.ratio)) said.push("both radii again: is one a diameter?");
  return said;
}

const titleOf = (turn) => (isHub(turn) ? "Bare hub face, rotor off"
  : `Mount ${turn.mount}, ${turn.state}: ${T.names[turn.kind]}, painted hole on stud ${turn.stud + 1}`);

function choice(name, options, now, pick, locked) {
  const group = element("div", {class: "row both pick", role: "group", "aria-label": name});
  for (const [value, text] of options) {
    const button = element("button", {type: "button", "aria-pressed": String(value === now), "data-pick": value,
      onclick: () => { pick(value); draw(); }}, text);
    button.disabled = Boolean(locked);
    group.append(button);
  }
  return element("div", {}, element("div", {class: "small"}, name), group);
}

function dotPlot(turn) {
  const places = state.table.places, read = turn.values.map((v, i) => [i, v]).filter((p) => p[1] !== null);
  const plot = svg("svg", {viewBox: "0 0 300 84", class: "dots", role: "img", "aria-label": "readings round the turn"});
  const low = Math.min(...read.map((p) => p[1])), high = Math.max(...read.map((p) => p[1]));
  const at = ([i, v]) => [14 + 272 * i / places, high > low ? 72 - 60 * (v - low) / (high - low) : 42];
  plot.append(svg("line", {x1: 14, y1: 78, x2: 286, y2: 78, stroke: "#a6a6a4"}));
  if (read.length > 1) plot.append(svg("polyline", {points: read.map((p) => at(p).join(",")).join(" "), fill: "none", stroke: "#00665c", "stroke-width": 1.5}));
  for (const p of read) {
    const [x, y] = at(p), now = p[0] === state.table.at;
    plot.append(svg("circle", {cx: x, cy: y, r: now ? 5.5 : 3.5, fill: now ? "#1b1f2a" : "#00665c"}));
  }
  return plot;
}

// The face seen from outside with the places as they count here; the dark one is read now.
function placesFace(turn) {
  const t = state.table, clockwise = t.turned === T.turned[1], hub = isHub(turn), sign = clockwise ? 1 : -1;
  const face = svg("svg", {viewBox: "-8 -8 216 216", class: "hub little", role: "img", id: "places",
    "aria-label": `${hub ? "hub face, stud 1" : "rotor, the painted hole"} at the top, ${t.places} places ${t.turned}`});
  face.append(svg("circle", {cx: 100, cy: 100, r: 78, fill: "#fff", stroke: "#1b1f2a", "stroke-width": 1.5}),
    svg("circle", {cx: 100, cy: 100, r: 16, fill: "#dcd7cb", stroke: "#1b1f2a"}), counting(clockwise));
  for (let k = 0; k < t.places; k++) {
    const h = sign * 12 * k / t.places, now = k === t.at % t.places, [x, y] = place(h, 92), [a, b] = [place(h, 78), place(h, 70)];
    if (now) face.append(svg("circle", {cx: x, cy: y, r: 12, fill: "#1b1f2a"}));
    face.append(svg("text", {x, y: y + 4.5, "text-anchor": "middle", "font-size": 13, fill: now ? "#fff" : "#1b1f2a"}, k + 1),
      svg("line", {x1: a[0], y1: a[1], x2: b[0], y2: b[1], stroke: "#1b1f2a"}));
  }
  const [x, y] = place(0, 48), name = hub ? "1" : "";
  face.append(svg("circle", {cx: x, cy: y, r: 9, fill: "#1b1f2a"}), svg("text", {x, y: y + 4.2, "text-anchor": "middle", "font-size": 12, fill: "#fff"}, name));
  return face;
}

function setUp() {
  const t = state.table, box = element("div", {});
  const radius = (key, name, bounds) => {
    const input = element("input", {inputmode: "decimal", "aria-label": name, placeholder: "mm", id: `radius-${key}`,
      onchange: (event) => {
        const mm = Number(event.target.value.trim().replace(",", "."));
        t[key] = event.target.value.trim() && number(mm, ...bounds) ? mm : null;
        asked = t[key] === null && event.target.value.trim() ? `${name}: ${bounds[0]} to ${bounds[1]} mm, from the axis to the tip; a diameter is twice that.` : "";
        draw();
      }});
    input.value = t[key] === null ? "" : String(t[key]);
    return element("div", {class: "row"}, element("span", {class: "name"}, name), input);
  };
  box.append(
    choice("Places a turn", T.places.map((n) => [n, String(n)]), t.places, (n) => {
      t.places = n;
      t.at = 0;
      t.turns = [freshTurn(t.turns[0], {})];
    }, anyRead()),
    choice("One division of the dial", T.dials.map((d) => [d.um, d.name]), t.dial, (um) => { t.dial = um; }),
    choice("Your places count, seen from outside", [[T.turned[0], "counter-clockwise (wheel turned clockwise)"], [T.turned[1], "clockwise (wheel turned counter-clockwise)"]], t.turned, (w) => { t.turned = w; }),
    choice("Press the tip in: the figure", [[T.signs[0], "grows"], [T.signs[1], "falls"]], t.sign, (w) => { t.sign = w; }),
    radius("gauge", "Dial on the rotor, radius, mm", T.gauge), radius("hub", "Dial on the hub face, radius, mm", T.hub),
  );
  if (asked) box.append(element("p", {class: "wrong", role: "alert"}, asked));
  return box;
}

function pad(turn) {
  const t = state.table, box = element("div", {});
  const shown = element("output", {class: "typed", id: "typed"});
  const value = () => (typing === "" ? turn.values[t.at] : Number(typing) * UNIT[state.unit][0]);
  const show = () => {
    shown.textContent = typing !== "" ? typing : turn.values[t.at] === null ? "–" : inUnit(turn.values[t.at]);
    take.disabled = value() === null || !Number.isFinite(value()) || Math.abs(value()) > T.mostUm || typing === "-";
  };
  const press = (key) => {
    if (key === "±") typing = typing.startsWith("-") ? typing.slice(1) : "-" + (typing || (turn.values[t.at] === null ? "" : inUnit(turn.values[t.at])));
    else if (key === "⌫") typing = (typing || (turn.values[t.at] === null ? "" : inUnit(turn.values[t.at]))).slice(0, -1);
    else if (typing.length < 8 && !(key === "." && typing.includes("."))) typing += key;
    if (typing === "" && key === "⌫") turn.values[t.at] = null;
    show();
  };
  const before = () => turn.values[t.at] ?? turn.values.slice(0, t.at).reverse().find((v) => v !== null) ?? 0;
  const step = (sign) => () => {
    const from = typing === "" || !Number.isFinite(value()) ? before() : value();  // a sign or a point alone is no number
    typing = inUnit(from + sign * (t.dial || UNIT[state.unit][0] * UNIT[state.unit][2]));
    show();
  };
  const take = element("button", {type: "button", class: "go", id: "take", onclick: () => {
    turn.values[t.at] = +value().toFixed(4);
    typing = "";
    if (t.at < t.places) t.at += 1;
    draw();
  }}, t.at < t.places ? "It reads this: next place" : "It reads this");
  const where = isHub(turn) ? "from stud 1" : "past the painted hole";
  const name = t.at === t.places ? "Back at the first place: read it again (360°)" : `Place ${t.at + 1} of ${t.places}: ${+angleOf(t.at).toFixed(1)}° ${where}`;
  box.append(element("p", {class: "verdict", id: "place"}, name), ...(t.turned ? [placesFace(turn), element("p", {class: "small"}, T.counts[t.turned])] : []),
    element("div", {class: "row both"}, element("button", {type: "button", "aria-label": "one division less", onclick: step(-1)}, "−"), shown,
      element("span", {class: "small"}, UNIT[state.unit][1]), element("button", {type: "button", "aria-label": "one division more", onclick: step(1)}, "+")));
  const keys = element("div", {class: "pad", role: "group", "aria-label": "Number pad"});
  for (const key of ["1", "2", "3", "±", "4", "5", "6", "⌫", "7", "8", "9", ".", "0"]) {
    keys.append(element("button", {type: "button", "data-key": key, "aria-label": {"±": "plus or minus", "⌫": "delete"}[key] || key, onclick: () => press(key)}, key));
  }
  keys.append(take);
  box.append(keys);
  show();
  return box;
}

function turnCard(turn, i) {
  const t = state.table, open = i === t.open, card = element("div", {class: "sweep", "data-turn": i}, element("h2", {}, titleOf(turn)));
  const wrong = looksWrong(turn), read = turn.values.filter((v) => v !== null);
  if (!open) {
    const spread = read.length ? `, runs out ${inUnit(Math.max(...read) - Math.min(...read))} ${UNIT[state.unit][1]}` : "";
    card.append(element("div", {class: "row"}, element("span", {class: "name small"}, (lacks(turn) || `${filled(turn)} readings`) + (turn.kind === "thickness" ? "" : spread)),
      element("button", {type: "button", onclick: () => { t.open = i; t.at = 0; typing = ""; draw(); }}, "Open")));
    if (wrong) card.append(element("p", {class: "wrong", role: "alert"}, wrong));
    return card;
  }
  const whole = (key) => (v) => { for (const w of t.turns) if (w.mount === turn.mount && !isHub(w)) w[key] = v; };
  if (!isHub(turn)) {
    card.append(
      choice("Read", T.kinds.filter((k) => k !== "hub face").map((k) => [k, T.names[k]]), turn.kind, (k) => { turn.kind = k; }),
      choice("State of the faces", T.states.map((s) => [s, s]), turn.state, (s) => { turn.state = s; }),
      choice(`Painted hole on stud (they count ${t.turned || "as your places"})`, Array.from({length: state.studs}, (_, k) => [k, String(k + 1)]), turn.stud, whole("stud")),
      choice("Held by", T.held.map((h) => [h, h]), turn.held, (h) => { turn.held = h; }));
  }
  card.append(pad(turn));
  if (read.length) card.append(dotPlot(turn));
  if (underDial(turn) && !lacks(turn)) {
    const figures = T.feeler.figures.map((f) => [+(f * UNIT[state.unit][0]).toFixed(4), String(f)]);
    card.append(choice(T.feeler.asks, [...figures, [null, T.feeler.untried]], turn.feeler ?? null, (v) => { turn.feeler = v; }));
  }
  if (wrong) card.append(element("p", {class: "wrong", role: "alert"}, wrong));
  const chips = element("div", {class: "chips", role: "group", "aria-label": "Places of this turn"});
  turn.values.forEach((v, k) => {
    const chip = element("button", {type: "button", "aria-pressed": String(k === t.at), onclick: () => { t.at = k; typing = ""; draw(); }},
      element("small", {}, k === t.places ? "again" : `${+angleOf(k).toFixed(1)}°`), v === null ? "–" : inUnit(v));
    chips.append(chip);
  });
  card.append(chips);
  return card;
}

// Asked for twice before anything that was read is thrown away: gloves slip.
function sure(button, text, act, needed = () => true) {
  button.addEventListener("click", () => {
    if (button.dataset.armed || !needed()) { delete button.dataset.armed; act(); draw(); return; }
    button.dataset.armed = "1";
    button.textContent = `Tap again: ${text}`;
  });
}

function drawTable() {
  const t = state.table, box = $("table-page"), last = t.turns[t.turns.length - 1];
  const add = (turn) => { t.turns.push(turn); t.open = t.turns.length - 1; t.at = 0; typing = ""; draw(); };
  const onRotor = [...t.turns].reverse().find((w) => !isHub(w)) || last;
  const next = element("div", {});
  const ready = !lacks(t.turns[t.open]);
  const more = [
    ["again", "Rotor taken off and put on again: next mounting", () => add(freshTurn(onRotor, {kind: "mounted", mount: Math.max(...t.turns.map((w) => w.mount)) + 1}))],
    ["other", "Rotor not moved: read something else", () => add(freshTurn(onRotor, {kind: "thickness"}))],
    ["hub", "Rotor off: read the bare hub face", () => add(freshTurn(onRotor, {kind: "hub face", state: "cleaned"}))],
  ];
  for (const [key, text, act] of more) {
    const button = element("button", {type: "button", class: "wide", "data-more": key, onclick: act}, text);
    button.disabled = !ready || t.turns.length >= T.mostTurns;
    next.append(element("div", {class: "row both"}, button));
  }
  const missing = [...toSay(), ...t.turns.filter((w) => lacks(w)).map((w) => `${titleOf(w)}: ${lacks(w)}`)];
  const save = element("button", {type: "button", class: "go", id: "save-table", onclick: () => handOver(readingsFile(), "readings.csv")}, "Save the readings (CSV)");
  save.disabled = missing.length > 0;
  const back = element("button", {type: "button", id: "drop-turn"}, "Take the last turn back");
  back.disabled = t.turns.length < 2;
  sure(back, "it is gone then", () => { t.turns.pop(); t.open = t.turns.length - 1; t.at = 0; typing = ""; });
  const afresh = element("button", {type: "button", id: "new-table"}, "Begin again");
  sure(afresh, "all is gone then", () => { state.table = JSON.parse($("start").textContent).table; typing = ""; });
  const held = document.activeElement && document.activeElement.id;
  box.replaceChildren(element("section", {"aria-label": "The dial"}, setUp()), ...t.turns.map(turnCard),
    element("section", {"aria-label": "What next"}, element("p", {class: "small"}, T.after), next),
    element("section", {"aria-label": "Hand on"},
      choice(T.bearing.asked, [["", T.bearing.unsaid], ...T.bearing.felt.map((w) => [w, w])], t.bearing ?? "", (w) => { t.bearing = w; }),
      element("p", {class: missing.length ? "wrong" : "small", id: "missing"},
      missing.length ? `Still needed: ${missing.join("; ")}.` : T.handOn), save, element("div", {class: "row both"}, back, afresh)));
  if (held && box.querySelector("#" + held)) $(held).focus({preventScroll: true});  // whoever works by keyboard goes on where he was
}

// The table of readings of this project, as the dial showed it; studs count the way that the angles do.
function readingsFile() {
  const t = state.table, said = (key, value) => (value === null || value === "" ? [] : [`# ${key}: ${value}`]);
  const lines = [`# studs: ${state.studs}`, ...said("gauge_radius_mm", t.gauge), ...said("hub_face_radius_mm", t.hub), ...said("dial_um", t.dial),
    ...said("turned", t.turned), ...said("dial", t.sign), ...said("bearing", t.bearing ?? ""), T.columns];
  for (const turn of t.turns) {
    const row = (...place) => lines.push((isHub(turn) ? ["hub face", "", "", ...place, turn.state, ""]
      : [turn.kind, turn.mount, turn.stud, ...place, turn.state, turn.held]).join(","));
    turn.values.forEach((v, i) => {
      if (v === null || (i === t.places && turn.values[0] === null)) return;
      row(+angleOf(i).toFixed(3), +v.toFixed(4));
    });
    if (underDial(turn) && turn.feeler) row(T.feeler.name, turn.feeler);
  }
  return lines.join("\n") + "\n";
}

load();
draw();
