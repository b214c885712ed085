// Drawings of the handout, as SVG: the numbered hub face, the dial, round lenses at one scale, small plots.
"use strict";
const Draw = (() => {
  const RAD = Math.PI / 180, NS = "http://www.w3.org/2000/svg";
  const escaped = (text) => String(text).replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" }[c]));
  const um = (value) => `${Math.abs(value) < 0.05 ? "0" : Math.abs(value) < 9.95 ? value.toFixed(1) : Math.round(value)}\u00a0µm`;
  // stud 1 at twelve o'clock, angles counter-clockwise
  const at = (r, deg) => [-r * Math.sin(deg * RAD), -r * Math.cos(deg * RAD)];
  const p = (xy) => `${xy[0].toFixed(2)} ${xy[1].toFixed(2)}`;
  const sector = (inner, outer, from, to) => { const large = Math.abs(to - from) > 180 ? 1 : 0;
    return `M${p(at(outer, from))}A${outer} ${outer} 0 ${large} 0 ${p(at(outer, to))}L${p(at(inner, to))}A${inner} ${inner} 0 ${large} 1 ${p(at(inner, from))}Z`; };
  const text = (x, y, words, size, more = "") => `<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" font-size="${size}" text-anchor="middle" ${more}>${escaped(words)}</text>`;

  /* The rotor from outside over the hub face; places in mm of the parts themselves. */
  function face(d, C, what) {
    const R = d.rim, size = what.hubOnly ? 1.1 * d.face : 1.2 * R, out = [`<circle r="${R}" fill="${what.hubOnly ? "none" : C.part}" stroke="${what.hubOnly ? C.part : C.ink}" stroke-width="1.2"/>`];
    if (!what.hubOnly) out.push(`<circle r="${d.face * 1.12}" fill="${C.paper}" stroke="${C.ink}" stroke-width="1"/>`);
    out.push(`<circle r="${d.face}" fill="${C.hub}" stroke="${C.ink}" stroke-width="1.2"/><circle r="${d.faceInner}" fill="${C.paper}" stroke="${C.ink}"/><circle r="${d.spigotRadius}" fill="${C.hub}" stroke="${C.ink}"/>`);
    for (const dot of what.dots || []) { const [x, y] = at(dot.r, dot.deg); out.push(`<circle cx="${x}" cy="${y}" r="${Math.sqrt(Math.max(dot.um, 0.5)) * 0.85}" fill="${C.dial}" fill-opacity=".3" stroke="${C.dial}"/>`); }
    for (let k = 0; k < d.studs; k++) { const [x, y] = at(d.pitch, 360 * k / d.studs); out.push(`<circle cx="${x}" cy="${y}" r="${d.hole / 2}" fill="${C.stud}" stroke="${C.ink}"/>`, text(x, y + 4, k + 1, 12, `font-weight="bold"`)); }
    const s = what.speck;
    if (s && s.height > 0) out.push(`<path d="${sector(s.inner, s.outer, s.angle - s.arc / 2, s.angle + s.arc / 2)}" fill="${C.scale}" stroke="${C.ink}"/>`);
    for (const arrow of what.arrows || []) { const [x, y] = at(arrow.length, arrow.deg); const [tx, ty] = at(arrow.length + 17, arrow.deg); out.push(`<line x1="0" y1="0" x2="${x}" y2="${y}" stroke="${C.ink}" stroke-width="9" stroke-linecap="round"/><line x1="0" y1="0" x2="${x}" y2="${y}" stroke="${C.paper}" stroke-width="6.5"/><line x1="0" y1="0" x2="${x}" y2="${y}" stroke="${arrow.colour}" stroke-width="6" ${arrow.dashed ? 'stroke-dasharray="9 5"' : ""}/><circle cx="${x}" cy="${y}" r="7" fill="${arrow.colour}" stroke="${C.ink}" stroke-width="1.5"/>`, text(tx, ty + 4, arrow.name, 13, `font-weight="bold" fill="${C.ink}" paint-order="stroke" stroke="${C.paper}" stroke-width="4"`)); }
    const flag = (deg, colour, words, r, label) => { const [x, y] = at(r, deg), [tx, ty] = at(label, deg);
      return `<circle cx="${x}" cy="${y}" r="9" fill="${colour}" stroke="${C.ink}" stroke-width="1.5"/>` + text(tx, ty + 4, words, 12.5, `font-weight="bold" fill="${C.ink}" paint-order="stroke" stroke="${C.paper}" stroke-width="4"`); };
    if (what.truth !== undefined) out.push(flag(what.truth, C.high, what.words.truth, R - 11, Math.abs(Math.sin(what.truth * RAD)) < 0.6 ? R * 1.09 : R * 0.74));
    if (what.mark !== null && what.mark !== undefined) out.push(`<g>${flag(what.mark, C.paper, what.words.mark, R - 32, R * 0.63)}<path d="M${p(at(R - 38, what.mark))}L${p(at(R - 26, what.mark))}" stroke="${C.ink}" stroke-width="3"/></g>`);
    return { box: `${-size} ${-size} ${2 * size} ${2 * size}`, text: out.join("") };
  }

  /* A dial of 0.01 mm a division, a hundred divisions a turn. */
  function dial(C, reading, swept, label) {
    const out = [`<circle cx="100" cy="100" r="99" fill="${C.dial}"/><circle cx="100" cy="100" r="90" fill="#fbfaf6"/>`], to = (r, deg) => [100 + r * Math.sin(deg * RAD), 100 - r * Math.cos(deg * RAD)];
    const ticks = ["", ""]; // fine and bold, each one path: a dial is drawn anew at every move
    for (let k = 0; k < 100; k++) { const long = k % 10 === 0, half = k % 5 === 0; ticks[+long] += `M${p(to(long ? 76 : half ? 80 : 82.5, 3.6 * k))}L${p(to(88, 3.6 * k))}`;
      if (long) { const [x, y] = to(66, 3.6 * k); out.push(text(x, y + 4, k, 12, `font-weight="bold" fill="${C.ink}"`)); } }
    ticks.forEach((path, bold) => out.push(`<path d="${path}" stroke="${C.ink}" stroke-width="${bold ? 1.7 : 0.8}"/>`));
    if (swept) { const from = 0.36 * swept[0], end = 0.36 * swept[1], large = end - from > 180 ? 1 : 0;
      if (end - from < 359) out.push(`<path d="M100 100L${p(to(74, from))}A74 74 0 ${large} 1 ${p(to(74, end))}Z" fill="${C.dial}" fill-opacity=".45"/>`);
      out.push(text(100, 139, um(swept[1] - swept[0]), 19, `font-weight="bold" fill="${C.dial}"`), text(100, 153, label, 10, `font-weight="bold" fill="${C.dial}"`)); }
    else out.push(text(100, 139, "0.01 mm", 10, `fill="${C.ink}"`));
    if (reading !== null) { const d = 0.36 * reading, tip = to(78, d), tail = to(-18, d), side = [3 * Math.cos(d * RAD), 3 * Math.sin(d * RAD)];
      out.push(`<path d="M${p(tip)}L${p([tail[0] + side[0], tail[1] + side[1]])}L${p([tail[0] - side[0], tail[1] - side[1]])}Z" fill="${C.ink}"/><circle cx="100" cy="100" r="6" fill="${C.ink}"/>`); }
    return out.join("");
  }

  // One scale for every lens: 0.4 units a µm in 180 units, so a lens shows 450 µm.
  const K = 0.4, MID = 90, half = MID / K;
  const defs = (C) => `<defs><clipPath id="round"><circle cx="90" cy="90" r="88"/></clipPath>${[["h", C.hub, 1], ["r", C.part, -1]].map(([id, colour, way]) => `<pattern id="hatch-${id}" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(${45 * way})"><rect width="8" height="8" fill="${colour}"/><path d="M0 0V8" stroke="${C.ink}" stroke-opacity=".45" stroke-width="1.4"/></pattern>`).join("")}</defs>`;
  const y = (height) => MID - K * height;
  const hair = (C, d) => { const r = K * d / 2; return `<g><rect x="${30 - r - 4}" y="${y(-150) - 2 * r - 4}" width="${2 * r + 8}" height="${2 * r + 8}" rx="4" fill="${C.paper}"/><circle cx="30" cy="${y(-150) - r}" r="${r}" fill="${C.ink}"/><circle cx="30" cy="${y(-150) - r}" r="${r * 0.72}" fill="#6a6d74"/></g>`; };
  const ring = (C) => `<circle cx="90" cy="90" r="88" fill="none" stroke="${C.ink}" stroke-width="3"/>`;
  const slip = (x, yy, words, C, size = 12) => `<rect x="${x - words.length * size * 0.33}" y="${yy - size}" width="${words.length * size * 0.66}" height="${size * 1.35}" rx="3" fill="${C.paper}"/>` + text(x, yy, words, size, `font-weight="bold" fill="${C.ink}"`);

  /* Hub face, speck, hair, rotor on it: true proportions. */
  function joint(C, d, left, names, open) {
    const base = -60, out = [defs(C), `<g clip-path="url(#round)"><rect width="180" height="180" fill="${C.paper}"/>`, `<rect x="0" y="${y(base)}" width="180" height="180" fill="url(#hatch-h)"/><path d="M0 ${y(base)}H180" stroke="${C.ink}" stroke-width="2"/>`];
    const top = base + left;
    if (left > 0 && !open) out.push(`<rect x="62" y="${y(top)}" width="118" height="${K * left}" fill="${C.scale}"/>`);
    out.push(`<rect x="0" y="-200" width="180" height="${Math.max(0, 200 + y(top))}" fill="url(#hatch-r)"/><path d="M0 ${y(top)}H180" stroke="${C.ink}" stroke-width="2"/>`);
    out.push(slip(112, y(base) + 22, names.hub, C), y(top) > 24 ? slip(95, y(top) - 14, names.rotor, C) : slip(90, 40, names.outside, C, 8));
    if (left > 22 && y(top) > 10) out.push(text(120, y(base + left / 2) + 4.5, um(left), 13, `font-weight="bold" fill="${open ? C.ink : "#fff"}"`));
    out.push(hair(C, d.hair), "</g>", ring(C));
    return out.join("");
  }
  /* The face under the stylus: highest and lowest place of one turn, now, and the limit as a bracket. */
  function rim(C, d, now, swept, limit, names) {
    const low = swept[0], high = swept[1], out = [defs(C), `<g clip-path="url(#round)"><rect width="180" height="180" fill="${C.paper}"/>`, `<rect x="0" y="${y(now)}" width="180" height="400" fill="url(#hatch-r)"/><path d="M0 ${y(now)}H180" stroke="${C.ink}" stroke-width="2"/>`];
    out.push(`<path d="M84 ${y(now) - 200}V${y(now) - 14}Q90 ${y(now) + 14} 96 ${y(now) - 14}V${y(now) - 200}Z" fill="${C.dial}"/>`);
    for (const level of [low, high]) out.push(`<path d="M0 ${y(level)}H180" stroke="${C.dial}" stroke-width="1.5" stroke-dasharray="5 3"/>`);
    const bracket = (x, a, b, colour, width) => `<path d="M${x - 6} ${y(a)}H${x}V${y(b)}H${x - 6}" fill="none" stroke="${colour}" stroke-width="${width}"/>`;
    out.push(bracket(150, low, high, C.dial, 4));
    if (limit > 0) { const m = (low + high) / 2; out.push(`<rect x="38" y="${y(m + limit / 2)}" width="12" height="${K * limit}" fill="none" stroke="${C.ink}" stroke-width="2"/>`, `<path d="${Array.from({ length: 30 }, (_, k) => `M38 ${y(m + limit / 2) + 4 * k + 4}l12 -6`).filter((_, k) => 4 * k + 4 < K * limit).join("")}" stroke="${C.ink}"/>`, slip(44, y(m - limit / 2) + 13, names.limit, C, 10)); }
    if (Math.max(-low, high) > half) out.push(slip(90, 34, names.outside, C, 8));
    out.push(hair(C, d.hair), "</g>", ring(C));
    return out.join("");
  }

  /* A plot: lines, a hatched band above a limit, marks. spec: {x:[lo,hi], y:[lo,hi], lines, bands, marks, limit, xName, yName}. */
  let charts = 0; // a pattern in a hidden chapter is not drawn from elsewhere: each plot has its own
  function chart(C, spec) {
    const id = ++charts;
    const W = 360, H = spec.high || 210, L = 46, R = 22, T = 22, B = 38, X = (v) => L + (W - L - R) * (v - spec.x[0]) / (spec.x[1] - spec.x[0]), Y = (v) => H - B - (H - T - B) * (v - spec.y[0]) / (spec.y[1] - spec.y[0]);
    const ticks = (lo, hi, count) => { const raw = (hi - lo) / count, ten = 10 ** Math.floor(Math.log10(raw)), by = [1, 2, 2.5, 5, 10].map((k) => k * ten).find((v) => v >= raw); const out = []; for (let v = Math.ceil(lo / by - 1e-9) * by; v <= hi + 1e-9; v += by) out.push(Math.abs(v) < 1e-9 ? 0 : v); return out; };
    const group = (v) => String(+v.toFixed(4)).replace(/\B(?=(\d{3})+(?!\d))/g, "\u00a0").replace("-", "−");
    const out = [`<defs><pattern id="over${id}" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V7" stroke="${C.ink}" stroke-opacity=".35" stroke-width="1.4"/></pattern><clipPath id="plot${id}"><rect x="${L}" y="${T}" width="${W - L - R}" height="${H - T - B}"/></clipPath></defs>`];
    for (const v of spec.yTicks || ticks(spec.y[0], spec.y[1], 4)) out.push(`<path d="M${L} ${Y(v)}H${W - R}" stroke="#d9d4c8"/>`, `<text x="${L - 5}" y="${Y(v) + 4}" font-size="11" text-anchor="end" fill="${C.ink}">${group(v)}</text>`);
    for (const v of spec.xTicks || ticks(spec.x[0], spec.x[1], 5)) out.push(`<path d="M${X(v)} ${H - B}v4" stroke="${C.ink}"/>`, text(X(v), H - B + 16, group(v), 11, `fill="${C.ink}"`));
    out.push(text((L + W - R) / 2, H - 6, spec.xName, 11, `fill="${C.ink}"`), `<text x="4" y="13" font-size="11" fill="${C.ink}">${escaped(spec.yName)}</text>`, `<g clip-path="url(#plot${id})">`);
    for (const b of spec.bands || []) out.push(`<path d="M${b.low.map(([x, v]) => `${X(x).toFixed(1)} ${Y(v).toFixed(1)}`).join("L")}L${[...b.high].reverse().map(([x, v]) => `${X(x).toFixed(1)} ${Y(v).toFixed(1)}`).join("L")}Z" fill="${b.colour}" fill-opacity="${b.opacity || 0.22}"/>`);
    for (const z of spec.zones || []) out.push(`<rect x="${X(z.x[0])}" y="${Y(Math.max(...z.y))}" width="${Math.max(0, X(z.x[1]) - X(z.x[0]))}" height="${Math.abs(Y(z.y[0]) - Y(z.y[1]))}" fill="${z.colour}" fill-opacity="${z.opacity || 1}"/>`);
    const limitEnd = spec.limitTo === undefined ? W - R : X(spec.limitTo); // a dial's limit ends where no dial reads
    if (spec.limit) out.push(`<rect x="${L}" y="${T}" width="${limitEnd - L}" height="${Math.max(0, Y(spec.limit) - T)}" fill="url(#over${id})"/><path class="limit" d="M${L} ${Y(spec.limit)}H${limitEnd}" stroke="${C.ink}" stroke-width="1.4" stroke-dasharray="7 4"/>`);
    for (const l of spec.lines || []) out.push(`<path d="M${l.points.map(([x, v]) => `${X(x).toFixed(1)} ${Y(v).toFixed(1)}`).join("L")}" fill="none" stroke="${l.colour}" stroke-width="${l.width || 2.5}" ${l.dashed ? 'stroke-dasharray="6 4"' : ""}/>`);
    for (const b of spec.bars || []) out.push(`<rect x="${X(b.x) - b.wide / 2}" y="${Y(b.y)}" width="${b.wide}" height="${Math.max(0, Y(spec.y[0]) - Y(b.y))}" fill="${b.colour}" stroke="${C.ink}"/>`);
    out.push("</g>");
    for (const m of spec.marks || []) out.push(m.line ? `<path d="M${X(m.x)} ${T}V${H - B}" stroke="${m.colour}" stroke-width="2.5" ${m.dashed ? 'stroke-dasharray="4 3"' : ""}/>` : `<circle cx="${X(m.x)}" cy="${Y(m.y)}" r="5" fill="${m.colour}" stroke="${C.ink}"/>`);
    for (const n of spec.names || []) out.push(`<text x="${X(n.x) + (n.dx || 0)}" y="${Y(n.y) + (n.dy || -6)}" font-size="11" font-weight="bold" fill="${n.colour}" text-anchor="${n.anchor || "start"}" paint-order="stroke" stroke="#fff" stroke-width="3">${escaped(n.words)}</text>`);
    if (spec.limit) out.push(`<text x="${spec.bars ? L + 4 : W - R - 3}" y="${Y(spec.limit) - 4}" font-size="11" font-weight="bold" text-anchor="${spec.bars ? "start" : "end"}" fill="${C.ink}" paint-order="stroke" stroke="#fff" stroke-width="3">${escaped(spec.limitName)}</text>`);
    out.push(`<path d="M${L} ${T}V${H - B}H${W - R}" fill="none" stroke="${C.ink}" stroke-width="1.2"/>`);
    return { box: `0 0 ${W} ${H}`, text: out.join("") };
  }
  const svg = (cls, made, label) => { const el = document.createElementNS(NS, "svg"); el.setAttribute("class", cls); if (made) { el.setAttribute("viewBox", made.box); el.innerHTML = made.text; } if (label) { el.setAttribute("role", "img"); el.setAttribute("aria-label", label); } return el; };
  return { face, dial, joint, rim, chart, svg, um, at, RAD };
})();
