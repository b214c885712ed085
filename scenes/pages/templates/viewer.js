// A small viewer of one corner: bodies of revolution that move by few shapes, drawn with WebGL2, or as SVG without it.
// Frame: z outboard along the axis, hub face at z = 0, stud 1 on the x axis, which points up on the screen. Lengths in mm.
"use strict";
const Viewer = (() => {
  const ANGLES = 120, COARSE = 4, DEG = Math.PI / 180;

  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
  const floats = (text) => new Float32Array(bytes(text));
  const shorts = (text) => new Int16Array(bytes(text));
  const rgb = (hex) => [1, 3, 5].map((k) => parseInt(hex.slice(k, k + 2), 16) / 255);

  /* One body: rows of its section (r, z) in strips, revolved; moved by shapes of orders 0 .. 6. */
  function body(spec) {
    const rows = spec.r.length, grid = { ...spec, rows, position: new Float32Array(3 * rows * ANGLES),
      normal: new Float32Array(3 * rows * ANGLES), height: new Float32Array(rows * ANGLES),
      hat: new Float32Array(rows * ANGLES), whole: rows * ANGLES };
    const packed = spec.basis ? shorts(spec.basis) : new Int16Array(0);
    grid.shapes = (spec.orders || []).map((order, k) => ({ order, scale: spec.scale[k],
      at: packed.subarray(6 * rows * k, 6 * rows * (k + 1)) })); // 3 components of (real, imaginary), each a row
    grid.index = facets(spec.strips, 1); grid.rough = facets(spec.strips, COARSE);
    for (let p = 0; p < rows; p++) grid.hat.fill(spec.hat ? spec.hat[p] : 0, p * ANGLES, (p + 1) * ANGLES);
    return grid;
  }

  /* Triangles between the rows of every strip, at every angle or at each so many. */
  function facets(strips, by) {
    const index = [];
    let first = 0;
    for (const length of strips) {
      for (let p = first; p < first + length - 1; p++) for (let a = 0; a < ANGLES; a += by) {
        const here = p * ANGLES + a, there = p * ANGLES + (a + by) % ANGLES;
        index.push(here, there, there + ANGLES, here, there + ANGLES, here + ANGLES);
      }
      first += length;
    }
    return new Uint16Array(index);
  }

  /* Displacement coefficients [mm] of all rows: out[order] = Float64Array(6 rows). */
  function motion(grid, weights) {
    const out = Array.from({ length: 7 }, () => new Float64Array(6 * grid.rows));
    grid.shapes.forEach(({ order, scale, at }, k) => {
      const x = weights[2 * k] * scale, y = weights[2 * k + 1] * scale, to = out[order], n = grid.rows;
      for (let c = 0; c < 3; c++) for (let p = 0; p < n; p++) {
        const re = at[2 * c * n + p], im = at[(2 * c + 1) * n + p];
        to[2 * c * n + p] += x * re - y * im;
        to[(2 * c + 1) * n + p] += x * im + y * re;
      }
    });
    return out;
  }
  /* Displacement (radial, tangential, axial) [mm] of one row at one angle [rad]. */
  function moved(grid, waves, row, angle) {
    const u = [0, 0, 0], n = grid.rows;
    for (let order = 0; order < waves.length; order++) {
      const c = Math.cos(order * angle), s = Math.sin(order * angle), w = waves[order];
      for (let k = 0; k < 3; k++) u[k] += w[2 * k * n + row] * c - w[(2 * k + 1) * n + row] * s;
    }
    return u;
  }
  // Cosine and sine of every order at every angle of the mesh: the same for all bodies and all poses.
  const TURN = Array.from({ length: ANGLES }, (_, a) => 2 * Math.PI * a / ANGLES), WAVES = 7;
  const COS = Float64Array.from({ length: ANGLES * WAVES }, (_, k) => Math.cos((k % WAVES) * TURN[Math.floor(k / WAVES)]));
  const SIN = Float64Array.from({ length: ANGLES * WAVES }, (_, k) => Math.sin((k % WAVES) * TURN[Math.floor(k / WAVES)]));
  function pose(grid, waves, stretch, by) { // at every angle, or at each so many
    const { rows, position, height, r, z, face } = grid, n = rows;
    let low = Infinity;
    for (let p = 0; p < rows; p++) {
      const mine = [0, 1, 2].map((c) => Float64Array.from({ length: 2 * WAVES }, (_, k) => waves ? waves[k >> 1][(2 * c + (k & 1)) * n + p] : 0)), [R, T, Z] = mine, onFace = face && face[p];
      for (let a = 0; a < ANGLES; a += by) {
        let ur = 0, ut = 0, uz = 0;
        if (waves) for (let k = 0, w = a * WAVES; k < WAVES; k++, w++) {
          const c = COS[w], s = SIN[w];
          ur += R[2 * k] * c - R[2 * k + 1] * s; ut += T[2 * k] * c - T[2 * k + 1] * s; uz += Z[2 * k] * c - Z[2 * k + 1] * s;
        }
        const at = p * ANGLES + a, co = COS[a * WAVES + 1], si = SIN[a * WAVES + 1], rr = r[p] + stretch * ur, t = stretch * ut;
        position[3 * at] = rr * co - t * si; position[3 * at + 1] = rr * si + t * co; position[3 * at + 2] = z[p] + stretch * uz;
        height[at] = onFace ? 1000 * uz : -1e6;
        if (onFace && uz < low) low = uz;
      }
    }
    if (face) for (let k = 0; k < height.length; k++) if (height[k] > -1e5) height[k] -= 1000 * low;
    normals(grid, by);
    grid.posed = true;
  }
  function normals({ strips, position: q, normal }, step) {
    let first = 0;
    for (const length of strips) {
      for (let p = first; p < first + length; p++) {
        const up = Math.min(p + 1, first + length - 1) * ANGLES, down = Math.max(p - 1, first) * ANGLES, here = p * ANGLES;
        for (let a = 0; a < ANGLES; a += step) {
          const A = 3 * (here + (a + step === ANGLES ? 0 : a + step)), B = 3 * (here + (a ? a - step : ANGLES - step)), U = 3 * (up + a), D = 3 * (down + a), at = 3 * (here + a);
          const ax = q[A] - q[B], ay = q[A + 1] - q[B + 1], az = q[A + 2] - q[B + 2], bx = q[U] - q[D], by = q[U + 1] - q[D + 1], bz = q[U + 2] - q[D + 2];
          const x = ay * bz - az * by, y = az * bx - ax * bz, w = ax * by - ay * bx, size = Math.sqrt(x * x + y * y + w * w) || 1;
          normal[at] = x / size; normal[at + 1] = y / size; normal[at + 2] = w / size;
        }
      }
      first += length;
    }
  }
  const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

  /* Loose pieces: flat facets as a list of polygons; each gets its own normal. */
  function pieces(polygons) {
    const position = [], normal = [], index = [];
    for (const corners of polygons) {
      const n = cross(sub(corners[1], corners[0]), sub(corners[2], corners[0])), size = Math.hypot(...n) || 1, start = position.length / 3;
      for (const c of corners) { position.push(...c); normal.push(n[0] / size, n[1] / size, n[2] / size); }
      for (let k = 1; k + 1 < corners.length; k++) index.push(start, start + k, start + k + 1);
    }
    const count = position.length / 3;
    return { position: new Float32Array(position), normal: new Float32Array(normal), height: new Float32Array(count).fill(-1e6),
      hat: new Float32Array(count), index: new Uint16Array(index), polygons };
  }
  const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
  const polar = (r, angle, z) => [r * Math.cos(angle), r * Math.sin(angle), z];
  function prism(x, y, radius, low, high, sides) {
    const ring = (z) => Array.from({ length: sides }, (_, k) => [x + radius * Math.cos(2 * Math.PI * k / sides), y + radius * Math.sin(2 * Math.PI * k / sides), z]);
    const foot = ring(low), top = ring(high);
    return [top, ...foot.map((_, k) => [foot[k], foot[(k + 1) % sides], top[(k + 1) % sides], top[k]])];
  }
  function slab(inner, outer, from, to, low, high) {
    const count = Math.max(2, Math.ceil((to - from) / (4 * DEG))), out = [];
    for (let k = 0; k < count; k++) {
      const a = from + (to - from) * k / count, b = from + (to - from) * (k + 1) / count;
      out.push([polar(inner, a, high), polar(outer, a, high), polar(outer, b, high), polar(inner, b, high)],
        [polar(outer, a, low), polar(outer, b, low), polar(outer, b, high), polar(outer, a, high)],
        [polar(inner, b, low), polar(inner, a, low), polar(inner, a, high), polar(inner, b, high)]);
    }
    out.push([polar(inner, from, low), polar(outer, from, low), polar(outer, from, high), polar(inner, from, high)],
      [polar(outer, to, low), polar(inner, to, low), polar(inner, to, high), polar(outer, to, high)]);
    return out;
  }

  const VERTEX = `#version 300 es
in vec3 place; in vec3 normal; in float height; in float hat;
uniform mat4 seen; uniform mat3 spin; uniform vec3 shift;
out vec3 n; out vec3 local; out float h; out float isHat;
void main() { local = place + shift; n = spin * normal; h = height; isHat = hat; gl_Position = seen * vec4(spin * (place + shift), 1.0); }`;
  const FRAGMENT = `#version 300 es
precision highp float;
in vec3 n; in vec3 local; in float h; in float isHat;
uniform vec3 colour; uniform vec3 ink; uniform vec3 ramp[7]; uniform float top; uniform float stepUm; uniform vec2 wedge; uniform float cut; uniform vec3 eye; uniform float alpha;
out vec4 seenAs;
vec3 hue(float share) { float at = clamp(share, 0.0, 1.0) * 6.0; int k = int(min(at, 5.0)); return mix(ramp[k], ramp[k + 1], at - float(k)); }
void main() {
  if (cut > 0.5 && isHat > 0.5 && abs(mod(atan(local.y, local.x) - wedge.x + 9.42477796, 6.28318531) - 3.14159265) < wedge.y) discard;
  vec3 base = colour;
  if (h > -1e5) {
    base = hue(h / top);
    float line = abs(fract(h / stepUm - 0.5) - 0.5) / max(fwidth(h / stepUm), 1e-4);
    base = mix(ink, base, clamp(line - 0.4, 0.35, 1.0));
  }
  if (!gl_FrontFacing) { // the inside of a cut body is hatched, as in a drawing
    float stripe = step(0.78, fract((gl_FragCoord.x + gl_FragCoord.y) / 9.0));
    seenAs = vec4(mix(mix(colour, vec3(1.0), 0.35), ink, 0.65 * stripe), alpha); return;
  }
  vec3 m = normalize(n);
  float lit = 0.52 + 0.38 * max(dot(m, normalize(vec3(0.75, 0.45, 0.55))), 0.0) + 0.16 * max(dot(m, normalize(eye)), 0.0);
  seenAs = vec4(base * min(lit, 1.06), alpha);
}`;

  function program(gl) {
    const made = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text); gl.compileShader(shader); gl.attachShader(made, shader);
    }
    ["place", "normal", "height", "hat"].forEach((name, k) => gl.bindAttribLocation(made, k, name));
    gl.linkProgram(made);
    return gl.getProgramParameter(made, gl.LINK_STATUS) ? made : null;
  }

  // A still picture that takes longer is a slow one; a picture at rest; pictures that are timed. Judgement.
  const SLOW_MS = 20, REST_MS = 250, TIMED = 4;
  /* scene: rotor and hub sections with shapes, studs, colours, ramp; canvas and svg lie over each other. */
  function create(canvas, svg, scene) {
    const rotor = body(scene.rotor), hub = body(scene.hub), colours = Object.fromEntries(Object.entries(scene.colours).map(([k, v]) => [k, rgb(v)]));
    const ramp = scene.ramp.map(rgb).flat();
    const now = { rotor: null, hub: null, speck: null, stretch: scene.stretch, settled: 1, lift: 0, nuts: 1, turn: 0, cut: false, wedge: [0, 0], pads: null,
      azimuth: -38, elevation: 16, near: 1, stylus: null, pins: [], held: false, slow: false };
    const gl = scene.flat ? null : canvas.getContext("webgl2", { antialias: false, alpha: true, preserveDrawingBuffer: true });
    const shader = gl && program(gl), on = !!shader;
    canvas.hidden = !on; svg.toggleAttribute("hidden", on);
    let waiting = 0, dirty = true, nuts = null, speck = null, vanes = null, stylus = null, pads = null;
    const places = on ? Object.fromEntries(["seen", "spin", "shift", "colour", "ink", "ramp", "top", "stepUm", "wedge", "cut", "eye", "alpha"].map((name) => [name, gl.getUniformLocation(shader, name)])) : {};

    function upload(mesh) {
      if (!mesh.buffers) {
        mesh.buffers = ["position", "normal", "height", "hat"].map(() => gl.createBuffer()); mesh.array = gl.createVertexArray(); mesh.elements = gl.createBuffer();
        gl.bindVertexArray(mesh.array);
        ["position", "normal", "height", "hat"].forEach((name, k) => {
          gl.bindBuffer(gl.ARRAY_BUFFER, mesh.buffers[k]); gl.bufferData(gl.ARRAY_BUFFER, mesh[name], gl.DYNAMIC_DRAW);
          gl.enableVertexAttribArray(k); gl.vertexAttribPointer(k, k < 2 ? 3 : 1, gl.FLOAT, false, 0, 0);
        });
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, mesh.elements); gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, mesh.index, gl.STATIC_DRAW);
        if (mesh.rough) { mesh.fewer = gl.createBuffer(); gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, mesh.fewer); gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, mesh.rough, gl.STATIC_DRAW); }
      } else if (mesh.posed) {
        mesh.posed = false;
        ["position", "normal", "height"].forEach((name, k) => { gl.bindBuffer(gl.ARRAY_BUFFER, mesh.buffers[k]); gl.bufferSubData(gl.ARRAY_BUFFER, 0, mesh[name]); });
      }
    }
    const drop = (mesh) => { if (mesh && mesh.buffers) { mesh.buffers.forEach((b) => gl.deleteBuffer(b)); gl.deleteBuffer(mesh.elements); gl.deleteVertexArray(mesh.array); } };

    let posedBy = 1;
    function renew(by) {
      posedBy = by;
      const k = now.stretch * now.settled, rotorWaves = now.rotor && motion(rotor, now.rotor), hubWaves = now.hub && motion(hub, now.hub);
      pose(rotor, rotorWaves, k, by); pose(hub, hubWaves, k, by);
      const at = (grid, waves, row, angle) => waves ? k * moved(grid, waves, row, angle)[2] : 0;
      const shapes = [], stubs = [];
      for (let i = 0; i < scene.studs.count; i++) {
        const angle = 2 * Math.PI * i / scene.studs.count, x = scene.studs.radius * Math.cos(angle), y = scene.studs.radius * Math.sin(angle);
        const seat = scene.rotor.seat + at(rotor, rotorWaves, scene.rotor.seatRow, angle), base = at(hub, hubWaves, scene.hub.seatRow, angle);
        const t = scene.studs.thread, off = 70 * (1 - now.nuts);
        if (now.nuts > 0.01) shapes.push(...prism(x, y, 1.05 * t, seat + off, seat + off + 0.22 * t, 20), ...prism(x, y, 0.866 * t, seat + off + 0.22 * t, seat + off + 1.1 * t, 6));
        if (!scene.studs.bolts || now.nuts > 0.5) stubs.push(...prism(x, y, 0.5 * t, base, base + scene.rotor.seat + 1.6 * t, 14));
      }
      drop(nuts); drop(speck); drop(vanes); drop(stylus); drop(pads);
      nuts = [pieces(shapes), pieces(stubs)];
      vanes = scene.vanes ? pieces(vanesOf(scene.vanes, rotor, rotorWaves, k)) : null;
      speck = now.speck && now.speck.height > 0 ? pieces(slab(now.speck.inner, now.speck.outer, (now.speck.angle - now.speck.arc / 2) * DEG,
        (now.speck.angle + now.speck.arc / 2) * DEG, at(hub, hubWaves, scene.hub.faceRow, now.speck.angle * DEG) - 0.2,
        at(hub, hubWaves, scene.hub.faceRow, now.speck.angle * DEG) + Math.max(now.settled, 0.02) * now.stretch * now.speck.height / 1000)) : null;
      stylus = now.stylus === null ? null : pieces(stylusOf(now.stylus, rotorWaves, k));
      pads = now.pads ? pieces(now.pads.flatMap((pad) => slab(pad.inner, pad.outer, (pad.angle - pad.arc / 2) * DEG, (pad.angle + pad.arc / 2) * DEG, pad.low, pad.high))) : null;
      dirty = false;
    }
    function stylusOf(worldDeg, waves, k) { // stands still beside the turning rotor
      const angle = worldDeg * DEG, on = angle - now.turn * DEG, row = scene.rotor.gaugeRow;
      const z = scene.rotor.z[row] + (waves ? k * moved(rotor, waves, row, on)[2] : 0), [x, y] = polar(scene.rotor.gauge, angle, 0);
      const ball = prism(x, y, 2.2, z, z + 5, 12), rod = prism(x, y, 1.2, z + 5, z + 34, 10), barrel = prism(x, y, 5, z + 34, z + 60, 20);
      return [...ball, ...rod, ...barrel];
    }

    function view() { // world to clip: stud 1 up, then turned by the reader
      const box = (on ? canvas : svg).getBoundingClientRect(), aspect = box.width / Math.max(1, box.height) || 1.3;
      const a = now.azimuth * DEG, e = now.elevation * DEG, reach = scene.reach;
      // eye axes in the body's frame: right = -y, up = x, toward the eye = z, then turned about up and right
      const right = [0, -Math.cos(a), Math.sin(a)], toward0 = [0, Math.sin(a), Math.cos(a)];
      const toward = [Math.sin(e), toward0[1] * Math.cos(e), toward0[2] * Math.cos(e)], up = cross(toward, right);
      const far = 5.2 * reach / now.near, f = 4.55 / Math.max(1, 1.12 / aspect), near = 0.3 * far, end = 2.2 * far, z0 = scene.middle;
      const row = (v, s) => [s * v[0], s * v[1], s * v[2], -s * v[2] * z0];
      const X = row(right, f / aspect), Y = row(up, f), T = row(toward, 1);
      const depth = far - T[3];
      const w = [-T[0], -T[1], -T[2], depth], A = (end + near) / (end - near), B = -2 * end * near / (end - near);
      const Z = [A * w[0], A * w[1], A * w[2], A * w[3] + B];
      return { rows: [X, Y, Z, w], matrix: new Float32Array([0, 1, 2, 3].flatMap((c) => [X[c], Y[c], Z[c], w[c]])), eye: toward };
    }

    /* A still picture is drawn with four samples a point, so that edges are smooth, and then brought to the canvas. */
    let smooth = null;
    function smoothed(wide, high) {
      if (!smooth) smooth = { frame: gl.createFramebuffer(), colour: gl.createRenderbuffer(), depth: gl.createRenderbuffer() };
      gl.bindFramebuffer(gl.FRAMEBUFFER, smooth.frame);
      if (smooth.wide === wide && smooth.high === high) return;
      const samples = Math.min(4, gl.getParameter(gl.MAX_SAMPLES));
      for (const [buffer, kind, at] of [[smooth.colour, gl.RGBA8, gl.COLOR_ATTACHMENT0], [smooth.depth, gl.DEPTH_COMPONENT24, gl.DEPTH_ATTACHMENT]]) {
        gl.bindRenderbuffer(gl.RENDERBUFFER, buffer); gl.renderbufferStorageMultisample(gl.RENDERBUFFER, samples, kind, wide, high); gl.framebufferRenderbuffer(gl.FRAMEBUFFER, at, gl.RENDERBUFFER, buffer);
      }
      Object.assign(smooth, { wide, high });
    }
    function brought(wide, high) {
      gl.bindFramebuffer(gl.READ_FRAMEBUFFER, smooth.frame); gl.bindFramebuffer(gl.DRAW_FRAMEBUFFER, null);
      gl.blitFramebuffer(0, 0, wide, high, 0, 0, wide, high, gl.COLOR_BUFFER_BIT, gl.NEAREST); gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    }
    /* Where a still picture takes long (drawn by software), one that moves is drawn at half size, with fewer triangles
       and rough edges, and finely again once it rests. The quickest of the first few tells: the first one compiles. */
    let took = Infinity, timed = 0, drawnAt = -Infinity, later = 0;
    function timing(from) {
      if (!timed++) return;
      const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0), look = () => {
        if (gl.isContextLost()) return;
        if (gl.getSyncParameter(fence, gl.SYNC_STATUS) !== gl.SIGNALED) { setTimeout(look, 1); return; }
        gl.deleteSync(fence); took = Math.min(took, performance.now() - from); now.slow = took > SLOW_MS;
      };
      gl.flush(); setTimeout(look, 0);
    }

    function draw() {
      cancelAnimationFrame(waiting); waiting = 0;
      const from = performance.now(), rough = on && now.slow && (now.held || from - drawnAt < REST_MS), by = rough ? COARSE : 1;
      if (dirty || posedBy > by) renew(by);
      if (!on) return sketch();
      clearTimeout(later); if (rough && !now.held) later = setTimeout(ask, REST_MS);
      drawnAt = from;
      const ratio = Math.min(window.devicePixelRatio || 1, 2) * (rough ? 0.5 : 1), wide = Math.round(canvas.clientWidth * ratio), high = Math.round(canvas.clientHeight * ratio);
      if (!wide || !high) return;
      if (canvas.width !== wide || canvas.height !== high) { canvas.width = wide; canvas.height = high; }
      if (!rough) smoothed(wide, high);
      const seen = view(), c = Math.cos(now.turn * DEG), s = Math.sin(now.turn * DEG), spin = new Float32Array([c, s, 0, -s, c, 0, 0, 0, 1]), still = new Float32Array([1, 0, 0, 0, 1, 0, 0, 0, 1]);
      gl.viewport(0, 0, wide, high); gl.clearColor(0, 0, 0, 0); gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT); gl.enable(gl.DEPTH_TEST); gl.useProgram(shader);
      gl.uniformMatrix4fv(places.seen, false, seen.matrix); gl.uniform3fv(places.ramp, ramp); gl.uniform3fv(places.ink, colours.ink);
      gl.uniform1f(places.top, now.top || scene.top); gl.uniform1f(places.stepUm, now.step || scene.step); gl.uniform3fv(places.eye, seen.eye); gl.uniform1f(places.alpha, 1);
      gl.uniform2f(places.wedge, now.wedge[0] * DEG, now.wedge[1] * DEG / 2);
      const show = (mesh, colour, lift, spun, cut) => {
        if (!mesh || !mesh.index.length) return;
        upload(mesh); gl.bindVertexArray(mesh.array);
        gl.uniformMatrix3fv(places.spin, false, spun ? spin : still); gl.uniform3f(places.shift, 0, 0, lift); gl.uniform3fv(places.colour, colour); gl.uniform1f(places.cut, cut ? 1 : 0);
        if (mesh.rough) gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, rough ? mesh.fewer : mesh.elements);
        gl.drawElements(gl.TRIANGLES, (rough && mesh.rough || mesh.index).length, gl.UNSIGNED_SHORT, 0);
      };
      const lift = now.lift * scene.lift;
      if (now.lift < 0.98) { // nearest first: what is hidden is then not shaded
        show(stylus, colours.dial, 0, false, false); show(nuts[0], colours.stud, lift, true, false); show(pads, colours.pad, 0, false, false);
        show(rotor, colours.part, lift, true, now.cut); show(vanes, colours.part, lift, true, false);
      }
      show(nuts[1], colours.stud, 0, true, false); show(speck, colours.scale, 0, true, false); show(hub, colours.hub, 0, true, false);
      gl.bindVertexArray(null);
      if (!rough) brought(wide, high);
      if (!rough && timed <= TIMED) timing(from);
    }

    /* The same picture as polygons, farthest first: for paper, and where there is no WebGL. */
    function polygons() {
      const { rows, eye } = view(), c = Math.cos(now.turn * DEG), s = Math.sin(now.turn * DEG), out = [];
      const box = (on ? canvas : svg).getBoundingClientRect(), wide = 400, high = box.width ? 400 * box.height / box.width : 300;
      const project = (p, lift, spun) => {
        const q = [spun ? c * p[0] - s * p[1] : p[0], spun ? s * p[0] + c * p[1] : p[1], p[2] + lift, 1], [x, y, , w] = rows.map((row) => row[0] * q[0] + row[1] * q[1] + row[2] * q[2] + row[3]);
        return [wide * (0.5 + 0.5 * x / w), high * (0.5 - 0.5 * y / w), w];
      };
      const face = (corners, colour, lift, spun, height) => {
        const at = corners.map((p) => project(p, lift, spun));
        let area = 0;
        at.forEach((p, k) => { const q = at[(k + 1) % at.length]; area += p[0] * q[1] - q[0] * p[1]; });
        if (area >= 0) return; // turned away
        const n = cross(sub(corners[1], corners[0]), sub(corners[2], corners[0])), size = Math.hypot(...n) || 1;
        const m = [spun ? c * n[0] - s * n[1] : n[0], spun ? s * n[0] + c * n[1] : n[1], n[2]].map((v) => v / size);
        const lit = Math.min(1.05, 0.52 + 0.38 * Math.max(0, (0.75 * m[0] + 0.45 * m[1] + 0.55 * m[2]) / 1.034) + 0.16 * Math.max(0, m[0] * eye[0] + m[1] * eye[1] + m[2] * eye[2]));
        let base = colour;
        if (height > -1e5) { const share = 6 * Math.min(1, Math.max(0, height / (now.top || scene.top))), k = Math.min(5, Math.floor(share)); base = [0, 1, 2].map((j) => ramp[3 * k + j] + (share - k) * (ramp[3 * k + 3 + j] - ramp[3 * k + j])); }
        out.push({ depth: at.reduce((sum, p) => sum + p[2], 0) / at.length, points: at.map((p) => `${p[0].toFixed(1)},${p[1].toFixed(1)}`).join(" "), fill: `rgb(${base.map((v) => Math.round(255 * Math.min(1, v * lit))).join()})` });
      };
      const whole = (grid, colour, lift, cut) => {
        let first = 0;
        for (const length of grid.strips) {
          for (let p = first; p < first + length - 1; p++) for (let a = 0; a < ANGLES; a += COARSE) {
            const away = Math.abs(((2 * Math.PI * (a + COARSE / 2) / ANGLES - now.wedge[0] * DEG + 9.42477796) % 6.28318531) - 3.14159265);
            if (cut && grid.hat[p * ANGLES] && away < now.wedge[1] * DEG / 2) continue;
            const b = (a + COARSE) % ANGLES, point = (row, k) => Array.from(grid.position.subarray(3 * (row * ANGLES + k), 3 * (row * ANGLES + k) + 3));
            face([point(p, a), point(p, b), point(p + 1, b), point(p + 1, a)], colour, lift, true, grid.height[p * ANGLES + a]);
          }
          first += length;
        }
      };
      const loose = (mesh, colour, lift, spun) => { if (mesh) for (const corners of mesh.polygons) face(corners, colour, lift, spun, -1e6); };
      const lift = now.lift * scene.lift;
      whole(hub, colours.hub, 0, false); loose(nuts[1], colours.stud, 0, true); loose(speck, colours.scale, 0, true);
      if (now.lift < 0.98) { whole(rotor, colours.part, lift, now.cut); loose(nuts[0], colours.stud, lift, true); loose(stylus, colours.dial, 0, false); loose(pads, colours.pad, 0, false); }
      return { wide, high, list: out.sort((p, q) => q.depth - p.depth) };
    }
    const markup = () => { const { wide, high, list } = polygons(); return { box: `0 0 ${wide} ${high.toFixed(0)}`, text: list.map((p) => `<polygon points="${p.points}" fill="${p.fill}" stroke="${p.fill}" stroke-width=".6"/>`).join("") }; };
    function sketch() { const { box, text } = markup(); svg.setAttribute("viewBox", box); svg.innerHTML = text; }
    const ask = () => { if (!waiting) waiting = requestAnimationFrame(draw); };

    const stage = on ? canvas : svg;
    let held = null;
    stage.addEventListener("pointerdown", (e) => { held = [e.clientX, e.clientY]; stage.setPointerCapture(e.pointerId); });
    stage.addEventListener("pointermove", (e) => {
      if (!held) return;
      look(now.azimuth + 0.4 * (e.clientX - held[0]), now.elevation + 0.3 * (e.clientY - held[1])); held = [e.clientX, e.clientY];
    });
    for (const name of ["pointerup", "pointercancel"]) stage.addEventListener(name, () => { held = null; });
    stage.addEventListener("keydown", (e) => {
      const by = { ArrowLeft: [-6, 0], ArrowRight: [6, 0], ArrowUp: [0, 5], ArrowDown: [0, -5] }[e.key];
      if (by) { look(now.azimuth + by[0], now.elevation + by[1]); e.preventDefault(); }
    });
    function look(azimuth, elevation) { now.azimuth = azimuth; now.elevation = Math.max(-80, Math.min(80, elevation)); ask(); }
    if (on) canvas.addEventListener("webglcontextlost", (e) => e.preventDefault());
    if (window.ResizeObserver) new ResizeObserver(ask).observe(stage.parentElement);
    const set = (changes) => { Object.assign(now, changes); const keys = Object.keys(changes); if (keys.some((k) => !["turn", "azimuth", "elevation", "near", "cut", "wedge", "lift", "held"].includes(k)) || ("turn" in changes && now.stylus !== null)) dirty = true; ask(); };
    return { set, look, ask, now, draw, on, markup, points: () => (rotor.whole + hub.whole) };
  }
  function vanesOf(spec, grid, waves, k) {
    const out = [];
    for (let i = 0; i < spec.count; i++) {
      const angle = 2 * Math.PI * i / spec.count, co = Math.cos(angle), si = Math.sin(angle);
      const lift = [spec.innerRow, spec.outerRow].map((row) => waves ? k * moved(grid, waves, row, angle)[2] : 0);
      const at = (end, side, z) => { const r = end ? spec.outer : spec.inner; return [r * co - side * si, r * si + side * co, z + lift[end]]; };
      const h = spec.half, [low, high] = [spec.low, spec.high];
      out.push([at(0, -h, low), at(1, -h, low), at(1, -h, high), at(0, -h, high)], [at(1, h, low), at(0, h, low), at(0, h, high), at(1, h, high)],
        [at(1, -h, low), at(1, h, low), at(1, h, high), at(1, -h, high)], [at(0, h, low), at(0, -h, low), at(0, -h, high), at(0, h, high)]);
    }
    return out;
  }
  return { create, floats, shorts };
})();
