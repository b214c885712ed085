// The hub face from outside, to tap and drag on: studs and nuts, the speck, marks, dots, the dial at the rim. SVG.
"use strict";
const Bench = (() => {
  const D = JSON.parse(document.getElementById("data").textContent), W = D.ui, C = D.scene.colours, { um, RAD, at } = Draw;
  const $ = (id) => document.getElementById(id), calm = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  const el = (tag, more = {}, ...inside) => { const made = Object.assign(document.createElement(tag), more); made.append(...inside); return made; };
  const wrap = (deg) => ((deg % 360) + 360) % 360, apart = (a, b) => Math.abs(wrap(a - b + 180) - 180);
  const fill = (words, ...values) => values.reduce((text, value) => text.replace("#", value), words);
  const placeWords = (deg) => { const k = wrap(deg) * D.studs / 360, near = Math.round(k) % D.studs, first = Math.floor(k) % D.studs; return `${Math.round(wrap(deg)) % 360}°, ${Math.abs(k - Math.round(k)) <= 0.2 ? `${W.at} ${near + 1}` : `${W.between} ${first + 1} ${W.and} ${(first + 1) % D.studs + 1}`}`; };
  $("contrast").addEventListener("click", (e) => e.target.setAttribute("aria-pressed", document.documentElement.classList.toggle("contrast")));

  /* Every request is JSON, carries who asks, and is answered or told to be. */
  async function ask(path, body) {
    const how = { headers: { "content-type": "application/json", "x-bench-session": D.session, "x-bench-token": D.token }, cache: "no-store", credentials: "omit", referrerPolicy: "no-referrer" };
    let found;
    try { found = await fetch(path, body === undefined ? how : { ...how, method: "POST", body: JSON.stringify(body) }); } catch { return { error: W.gone }; }
    let told = {};
    try { told = await found.json(); } catch { return { error: W.gone }; }
    return found.ok ? told : { error: found.status === 429 || found.status === 503 ? W.busy : told.error || W.gone, again: found.status === 429 };
  }
  function save(name, text, type) { const link = el("a", { href: URL.createObjectURL(new Blob([text], { type })), download: name }); document.body.append(link); link.click(); link.remove(); setTimeout(() => URL.revokeObjectURL(link.href), 5000); }

  // Units of the drawing: the hub face to scale, the friction ring drawn nearer.
  const K = 108 / D.face, R0 = 130, R1 = 178;
  const p = (xy) => `${xy[0].toFixed(2)} ${xy[1].toFixed(2)}`;
  const sector = (inner, outer, from, to) => { const large = Math.abs(to - from) > 180 ? 1 : 0; return `M${p(at(outer, from))}A${outer} ${outer} 0 ${large} 0 ${p(at(outer, to))}L${p(at(inner, to))}A${inner} ${inner} 0 ${large} 1 ${p(at(inner, from))}Z`; };
  const label = (x, y, words, size, more = "") => `<text x="${x.toFixed(1)}" y="${y.toFixed(1)}" font-size="${size}" text-anchor="middle" font-weight="bold" fill="${C.ink}" paint-order="stroke" stroke="${C.paper}" stroke-width="4" ${more}>${words}</text>`;
  const half = (radius) => Math.min(D.arcMm / radius, 180 / D.studs) / 2; // half of the speck's arc [deg]

  /* what: {turn, setup, mark, high, dots, marks, reading, counts, hideSpeck}; only what is asked for can be focused. */
  function draw(svg, what) {
    const out = [], turn = what.turn || 0, s = what.setup, upright = (x, y) => `transform="rotate(${turn} ${x.toFixed(1)} ${y.toFixed(1)})"`;
    const focused = svg.contains(document.activeElement) ? document.activeElement.dataset.part : null;
    out.push(`<g transform="rotate(${-turn})">`);
    out.push(`<g data-part="rim" ${what.rim ? `tabindex="0" role="slider" aria-label="${W.rim}: ${W.mark}" aria-valuemin="0" aria-valuemax="359" aria-valuenow="${Math.round(what.chalk || 0)}" aria-valuetext="${placeWords(what.chalk || 0)}"` : ""}><circle r="${(R0 + R1) / 2}" fill="none" stroke="${C.part}" stroke-width="${R1 - R0}"/><circle r="${R1}" fill="none" stroke="${C.ink}" stroke-width="1.5"/><circle r="${R0}" fill="none" stroke="${C.ink}"/><circle class="ring" r="${R1 + 4}"/></g>`);
    out.push(`<circle r="${K * D.face}" fill="${C.hub}" stroke="${C.ink}" stroke-width="1.5"/><circle r="${K * D.faceInner}" fill="${C.paper}" stroke="${C.ink}"/><circle r="${K * D.spigotRadius}" fill="${C.hub}" stroke="${C.ink}"/>`);
    for (const dot of what.dots || []) { const [x, y] = at(K * dot.radius, dot.angle); out.push(`<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="${(1.05 * Math.sqrt(Math.max(dot.um, 0.5))).toFixed(1)}" fill="${C.dial}" fill-opacity="${dot.same ? 0.38 : 0}" stroke="${C.dial}" ${dot.same ? "" : 'stroke-dasharray="3 3"'}/>`); }
    for (let k = 0; k < D.studs; k++) {
      const [x, y] = at(K * D.pitch, 360 * k / D.studs), share = s.nuts[k], r = K * D.hole / 2;
      const words = share === 0 ? W.off : D.torque ? `${Math.round(share * D.torque)} N m` : `${Math.round(100 * share)} %`;
      const hex = Array.from({ length: 6 }, (_, j) => `${(x + 1.02 * r * Math.cos((60 * j + 150 * share) * RAD)).toFixed(1)},${(y + 1.02 * r * Math.sin((60 * j + 150 * share) * RAD)).toFixed(1)}`).join(" ");
      const nut = what.nutsOn === false || share === 0 ? "" : `<polygon points="${hex}" fill="${C.stud}" stroke="${C.ink}" stroke-width="${share < 1 ? 1 : 2.4}" ${share < 1 ? 'stroke-dasharray="3 2"' : ""}/>`;
      out.push(`<g data-part="nut${k}" ${what.nuts ? `tabindex="0" role="button" aria-label="${W.nut} ${k + 1}, ${words}; ${W["nut keys"]}"` : ""}><circle class="ring" cx="${x}" cy="${y}" r="${r + 7}"/><circle cx="${x}" cy="${y}" r="${r + 8}" fill="transparent"/><circle cx="${x}" cy="${y}" r="${0.55 * r}" fill="#fbfaf6" stroke="${C.ink}"/>${nut}<g ${upright(x, y)}>${label(x, y + 4.5, k + 1, 13, 'stroke="none"')}${what.nutsOn !== false && share !== 1 ? label(x, y + r + 14, words, 10.5) : ""}</g></g>`);
    }
    if (s.speck && !what.hideSpeck) { const w = s.speck, h = half(w.radius_mm), a = sector(K * (w.radius_mm - D.wide / 2), K * (w.radius_mm + D.wide / 2), w.angle_deg - h, w.angle_deg + h), grip = sector(K * (w.radius_mm - D.wide / 2 - 6), K * (w.radius_mm + D.wide / 2) + 9, w.angle_deg - h - 6, w.angle_deg + h + 6);
      out.push(`<g data-part="speck" ${what.drag ? `tabindex="0" role="slider" aria-label="${W.speck}; ${W["speck keys"]}" aria-valuemin="0" aria-valuemax="359" aria-valuenow="${Math.round(w.angle_deg)}" aria-valuetext="${placeWords(w.angle_deg)}, ${w.radius_mm} mm"` : ""}><path class="ring" d="${grip}"/><path d="${grip}" fill="transparent"/><path d="${a}" fill="${C.scale}" stroke="${C.ink}" stroke-width="1.5"/></g>`); }
    if (s.hole !== undefined && what.painted !== false) { const a = 360 * s.hole / D.studs; out.push(`<path d="M${p(at(R0 + 1, a - 3))}L${p(at(R0 + 1, a + 3))}L${p(at(R0 - 11, a))}Z" fill="${C.paper}" stroke="${C.ink}"><title>${fill(W.holes, s.hole + 1)}</title></path>`); }
    const flag = (deg, colour, words, r, edge) => { const [x, y] = at(r, deg), [tx, ty] = at(edge, deg); return `<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="9" fill="${colour}" stroke="${C.ink}" stroke-width="2"/><g ${upright(tx, ty)}>${words ? label(tx, ty + 4, words, 12) : ""}</g>`; };
    for (const mark of what.marks || []) out.push(flag(mark, C.paper, "", R1 - 12, R1));
    if (what.high !== undefined && what.high !== null) out.push(flag(what.high, C.high, W.high, R1 - 12, R0 - 9));
    if (what.chalk !== undefined && what.chalk !== null) out.push(`<path d="M${p(at(R0 + 2, what.chalk))}L${p(at(R1, what.chalk))}" stroke="#fff" stroke-width="7"/><path d="M${p(at(R0 + 2, what.chalk))}L${p(at(R1, what.chalk))}" stroke="${C.ink}" stroke-width="2"/>`);
    for (const [k, n] of (what.counts || []).entries()) if (n) { const [x, y] = at(R1 + 13, 360 * (k + 0.5) / D.studs); out.push(`<g ${upright(x, y)}>${label(x, y + 4, n, 15)}</g>`); }
    out.push("</g>");
    if (what.chalked && what.chalk !== null) { const [x, y] = at(R1 + 13, what.chalk + turn); out.push(label(Math.max(-165, Math.min(165, x)), Math.max(-190, Math.min(200, y + 4)), W.mark, 12)); }
    if (what.reading !== undefined) { const [x, y] = at(R1 - 10, D.dialDeg), [cx, cy] = [168, -168]; out.push(`<path d="M${x} ${y}L${cx - 18} ${cy + 18}" stroke="${C.dial}" stroke-width="5"/><circle cx="${x}" cy="${y}" r="4" fill="${C.ink}"/><g transform="translate(${cx - 33} ${cy - 33}) scale(.33)">${Draw.dial(C, what.reading, null, "")}</g>`); }
    svg.innerHTML = out.join("");
    if (focused) { const again = svg.querySelector(`[data-part="${focused}"][tabindex]`); if (again) again.focus({ preventScroll: true }); }
  }
  /* Place under a pointer: angle [deg, hub frame] and radius in mm on the face; ring says whether it is the rim. */
  function place(svg, event, turn) {
    const box = svg.getBoundingClientRect(), size = Math.min(box.width, box.height), x = (event.clientX - box.left - box.width / 2) * 410 / size, y = (event.clientY - box.top - box.height / 2) * 410 / size;
    const r = Math.hypot(x, y), world = wrap(Math.atan2(-x, -y) / RAD);
    return { angle: wrap(world - (turn || 0)), world, radius: r / K, ring: r > R0 - 4 && r < R1 + 12 };
  }
  function glide(ms, step, end) { if (calm) { step(1); if (end) end(); return; } const from = performance.now(); const tick = (t) => { const s = Math.min(1, (t - from) / ms); step(0.5 - 0.5 * Math.cos(Math.PI * s)); if (s < 1) requestAnimationFrame(tick); else if (end) end(); }; requestAnimationFrame(tick); }
  const reading = (trace, hubDeg, hole) => { const a = wrap(hubDeg - 360 * hole / D.studs), k = Math.floor(a), low = Math.min(...trace); return trace[k % 360] + (a - k) * (trace[(k + 1) % 360] - trace[k % 360]) - low; };
  const options = (select, values, words, chosen) => { values.forEach((value) => select.append(el("option", { value, textContent: words(value), selected: value === chosen }))); };
  return { D, W, C, um, $, el, wrap, apart, fill, placeWords, ask, save, draw, place, glide, reading, half, options, calm };
})();
