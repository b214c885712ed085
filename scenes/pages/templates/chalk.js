"use strict";
// The arithmetic of sim/bench/chalk.py, number for number; every figure and word that it uses comes with the page.
const C = JSON.parse(document.getElementById("figures").textContent);
const W = JSON.parse(document.getElementById("words").textContent);

const mul = (a, b) => [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
const add = (a, b) => [a[0] + b[0], a[1] + b[1]];
const times = (a, k) => [a[0] * k, a[1] * k];
const conj = (a) => [a[0], -a[1]];
const size = (a) => Math.hypot(a[0], a[1]);
const rad = (deg) => deg * Math.PI / 180;
const wrap = (x, by) => ((x % by) + by) % by;
const polar = (r, phi) => [r * Math.cos(phi), r * Math.sin(phi)];
const clockOf = (a) => wrap(-Math.atan2(a[1], a[0]) * 180 / Math.PI, 360) / 30;

const SPREAD = Array.from({length: C.points}, (_, i) => {
  const n = i + 0.5;
  return polar(Math.sqrt(-2 * Math.log1p(-n / C.points)), Math.PI * (3 - Math.sqrt(5)) * n);
});

function quantile(sorted, q) {
  const at = (sorted.length - 1) * q, i = Math.floor(at), t = at - i;
  const next = sorted[Math.min(i + 1, sorted.length - 1)];
  return sorted[i] + (next - sorted[i]) * t;
}

const offOpposite = (s) => wrap(30 * (s.high - s.low), 360) - 180;

const offALean = (s) => s.tir >= C.humpsUm && Math.abs(offOpposite(s)) > C.leans;

function firstOrder(s) {
  const off = offOpposite(s), amplitude = Math.max(s.tir - C.rest, 0) / 2;
  const across = amplitude * rad(C.mark) / Math.SQRT2, humps = amplitude * Math.sin(Math.abs(rad(off)) / 2) / 2;
  const variance = C.mount ** 2 + ((C.restSd / 2) ** 2 + across ** 2) / 2 + humps ** 2;
  return [polar(amplitude, -rad(30 * s.high - off / 2)), variance];
}

function fitted(studs, sweeps) {
  let one = 1 / C.share ** 2, cross = [0, 0], right = [0, 0], turned = [0, 0];
  const read = sweeps.map((s) => [...firstOrder(s), polar(1, 2 * Math.PI * s.holes / studs)]);
  for (const [v, variance, turn] of read) {
    one += 1 / variance;
    cross = add(cross, times(turn, 1 / variance));
    right = add(right, times(v, 1 / variance));
    turned = add(turned, times(mul(conj(turn), v), 1 / variance));
  }
  const det = one * one - size(cross) ** 2;
  const hub = times(add(times(right, one), times(mul(cross, turned), -1)), 1 / det);
  const rotor = times(add(times(turned, one), times(mul(conj(cross), right), -1)), 1 / det);
  const both = times(cross, -1 / det);
  let misfit = 0;
  for (const [v, variance, turn] of read) {
    misfit += size(add(v, times(add(hub, mul(rotor, turn)), -1))) ** 2 / variance;
  }
  return {hub, rotor, variance: one / det, both, misfit};
}

// What the dial showed at each hole that was swept, in order: the mean of its sweeps.
function shownAt(sweeps) {
  const at = new Map();
  for (const s of sweeps) at.set(s.holes, [...(at.get(s.holes) || []), s.tir]);
  return new Map([...at].map(([holes, read]) => [holes, read.reduce((a, b) => a + b, 0) / read.length]));
}

function holeAt(studs, k, fit, least) {
  const turn = polar(1, 2 * Math.PI * k / studs);
  const v = add(fit.hub, mul(fit.rotor, turn));
  const sd = Math.sqrt(2 * fit.variance + 2 * mul(fit.both, conj(turn))[0] + C.mount ** 2);
  const shown = SPREAD.map((p) => C.rest + 2 * size(add(v, times(p, sd))));
  const better = shown.filter((x) => x < least).length / shown.length;
  shown.sort((a, b) => a - b);
  const [low, middle, high] = [(1 - C.coverage) / 2, 0.5, (1 + C.coverage) / 2].map((q) => quantile(shown, q));
  return {holes: k, low, middle, high, clock: clockOf(v), better};
}

function stays(fit) {
  const h = size(fit.hub), r = size(fit.rotor);
  const sd = Math.sqrt(2 * fit.variance + 2 * size(fit.both));
  if (Math.abs(h - r) > C.oneSided * sd) return h > r ? "stud" : "rotor";
  return Math.min(h, r) > C.oneSided * Math.sqrt(fit.variance) ? "both" : "cannot tell";
}

const share = (v, variance) => ({
  runout: 2 * size(v), uncertainty: 2 * C.oneSided * Math.sqrt(variance), clock: clockOf(v),
});

function whatToDo(sweeps, holes, limit, doubtful) {
  const last = sweeps[sweeps.length - 1], shown = shownAt(sweeps);
  if (doubtful) return ["read again", 0];
  const full = sweeps.length === C.mostSweeps, foretold = sweeps.filter((s) => s.holes === last.holes).length > 1;
  if (!full && !foretold && last.tir <= C.drop * Math.max(...sweeps.map((s) => s.tir))) return ["sweep again", last.holes];
  if (last.tir <= limit) return ["keep", last.holes];
  const [least, leastUm] = [...shown].reduce((a, b) => (b[1] < a[1] ? b : a));
  if (full) return ["enough", least];
  const fresh = holes.filter((hole) => !shown.has(hole.holes));
  const best = fresh.reduce((a, b) => (a && a.middle <= b.middle ? a : b), null);
  if (best) {
    const gains = best.better >= C.sure && (sweeps.length === 2 || leastUm - best.middle >= C.gain);
    if (gains || (best.low <= limit && limit < leastUm)) return ["try", best.holes];
  }
  const once = sweeps.filter((s) => s.holes === least).length === 1;
  if (shown.get(last.holes) - leastUm > C.gain && once) return ["go back", least];
  const more = (sweeps.filter((s) => s.holes === last.holes).length < 3 ? 1 : 2) * C.worse;
  return last.tir - sweeps[0].tir >= more ? ["put on again", least] : [sweeps.length > 2 ? "done" : "sweep again", last.holes];
}

function answer(studs, sweeps, limit, cleaned) {
  const last = sweeps[sweeps.length - 1];
  const none = {hub: null, rotor: null, at: [], misfit: 0};
  const within = last.tir <= limit, off = new Set(sweeps.filter(offALean).map((s) => s.holes)).size;
  if (off > 1 || sweeps.some((s) => Math.abs(offOpposite(s)) > C.humps)) {
    if (within && cleaned) return {stays: "cannot tell", act: "keep", hole: last.holes, ...none};
    return {stays: "neither", act: cleaned ? "twelve places" : "clean", hole: 0, ...none};
  }
  const apart = new Set(sweeps.map((s) => s.holes)).size > 1;
  const fit = fitted(studs, sweeps), spare = sweeps.length - (apart ? 2 : 1);
  const contradict = spare > 0 && fit.misfit > C.misfit[spare - 1];
  if (contradict && !apart) {
    return {stays: "neither", act: cleaned ? "read again" : "clean", hole: 0, ...none, misfit: fit.misfit};
  }
  if (within && (cleaned || sweeps.length === 1) && !apart) return {stays: "cannot tell", act: "keep", hole: last.holes, ...none};
  if (!apart && sweeps.length === C.mostSweeps) {
    return {stays: "cannot tell", act: "enough", hole: last.holes, ...none};
  }
  if (!apart) {
    return {stays: "cannot tell", act: "move on", hole: (last.holes + Math.floor(studs / 2)) % studs, ...none};
  }
  const leastUm = Math.min(...shownAt(sweeps).values());
  const at = Array.from({length: studs}, (_, k) => holeAt(studs, k, fit, leastUm));
  const kept = contradict ? "neither" : off ? "cannot tell" : stays(fit);
  const [act, hole] = cleaned ? whatToDo(sweeps, at, limit, contradict) : ["clean", 0];
  return {
    stays: kept, act, hole, hub: share(fit.hub, fit.variance), rotor: share(fit.rotor, fit.variance), at,
    misfit: fit.misfit,
  };
}

// Figures as they were typed: what one is in micrometres, its name, the decimals that a dial in it shows.
const figure = (um, unit) => {
  const [one, , digits] = W.units[unit], step = 10 ** digits;
  return (Math.floor(um / one * step + 0.5) / step).toFixed(digits);
};
// Places of the numbered face: twelve from stud 1, counter-clockwise, as on the card; inside they are hours.
const placeOf = (h) => {
  const half = wrap(-Math.floor(h * 2 + 0.5), 24);
  return 1 + Math.floor(half / 2) + (half % 2 ? "½" : "");
};
const fill = (text, words) => text.replace(/\{(\w+)\}/g, (_, key) => words[key]);

function sentences(studs, sweeps, told, limit, cleaned, unit = "um") {
  const said_in = (um) => figure(um, unit), name = W.units[unit][1];
  const last = sweeps[sweeps.length - 1];
  const there = told.hole === last.holes ? last.tir : shownAt(sweeps).get(told.hole) ?? last.tir;
  const hole = told.at[told.hole], on = wrap(told.hole - last.holes, studs);
  const words = {
    on: on === 1 ? "1 hole" : `${on} holes`, stud: told.hole + 1, leave: cleaned ? "" : W.leave,
    more: said_in(last.tir - sweeps[0].tir), middle: hole ? said_in(hole.middle) : "", off: hole ? said_in((hole.high - hole.low) / 2) : "",
    then: told.act in W.thenMinutes ? fill(W.then, {minutes: W.thenMinutes[told.act]}) : "",
    low: hole ? said_in(hole.low) : "", high: hole ? said_in(hole.high) : "", unit: name, place: hole ? placeOf(hole.clock) : "",
    tir: said_in(there), gain: said_in(C.gain), half: said_in(C.half), limit: said_in(limit), sweeps: sweeps.length, minutes: C.minutes * sweeps.length,
  };
  const part = told.at.length ? W.stays[told.stays] : told.misfit ? W.twice : W.humps;
  const named = told.at.length > 0 || told.stays === "neither", worth = named ? [] : [fill(W.worth, words)];
  const said = named ? [`${part} ${fill(`${W.remains[told.act] || W.read} ${W.soFar}`, words)}`] : [];
  const over = told.act === "done" && limit > 0 && there > limit, near = Math.abs(limit - there) < C.half;
  const kept = near ? (cleaned ? W.near : W.nearFound) : cleaned ? W.act.keep : W.found;
  const act = told.act === "sweep again" && last.tir > C.drop * Math.max(...sweeps.map((s) => s.tir)) ? W.confirmHere : W.act[told.act];
  said.push(fill(told.act === "keep" ? kept : over ? W.doneOver : act, words).trim());
  if (told.act === "keep" && cleaned && (!told.hub || told.hub.runout > limit)) said.push(W.hides);
  if (told.act === "done" && !over) {
    if (!limit) said.push(W.noLimit);
    if (told.hub.runout - told.hub.uncertainty > there) said.push(W.hides);
  }
  if (over) said.push(fill(near ? W.nearOver : W.over[told.stays], words));
  if (told.hub && told.stays !== "neither") {
    said.push(fill(W.shares, {
      hub: said_in(told.hub.runout), hub_off: said_in(told.hub.uncertainty),
      rotor: said_in(told.rotor.runout), rotor_off: said_in(told.rotor.uncertainty), unit: name,
    }));
  }
  return [...said, ...worth, W.notSafe];
}
