"use strict";
// Solids that can be turned: each <figure class="orbit"> names the element that holds
// its solid, packed as orbit.go tells. Where a browser cannot show one the figure stays
// hidden, and the pictures beside it serve.
(() => {
  const figures = [...document.querySelectorAll("figure.orbit")];
  if (!figures.length || !window.DecompressionStream || !window.WebGL2RenderingContext || !window.IntersectionObserver) return;
  const probe = document.createElement("canvas").getContext("webgl2");
  if (!probe) return;
  const freeProbe = probe.getExtension("WEBGL_lose_context");
  if (freeProbe) freeProbe.loseContext();

  const liveAtMost = 4; // browsers grant a page some 16 contexts
  const crease = Math.cos(38 * Math.PI / 180); // edges sharper than this look sharp
  const home = { azimuth: -30, elevation: 34, zoom: 1 };
  const live = []; // longest out of use first
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const dark = matchMedia("(prefers-color-scheme: dark)");

  const style = document.createElement("style");
  style.textContent = `
    .orbit:not([hidden]) { display: block; position: relative; margin: 0 0 1rem; }
    .orbit canvas { display: block; width: 100%; aspect-ratio: 4 / 3; border-radius: 4px; cursor: grab; touch-action: pan-y; }
    .orbit canvas.held { cursor: grabbing; }
    .orbit .turn { display: flex; flex-wrap: wrap; gap: 0.3rem; padding-top: 0.4rem; }
    .orbit .turn button { font: inherit; font-size: 0.875rem; min-width: 2.2rem; min-height: 2rem; padding: 0.1rem 0.55rem; color: inherit; background: transparent; border: 1px solid currentColor; border-radius: 4px; cursor: pointer; }
    @media print { .orbit { display: none !important; } }`;
  document.head.append(style);

  // What is packed: see orbit.go.
  const unpack = async (text) => {
    const raw = atob(text.trim());
    const bytes = Uint8Array.from(raw, (c) => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
    const data = new Uint8Array(await new Response(stream).arrayBuffer());
    const view = new DataView(data.buffer);
    const vertices = view.getUint32(0, true), triangles = view.getUint32(4, true);
    const box = Array.from({ length: 6 }, (_, k) => view.getFloat32(8 + 4 * k, true));
    let at = 32;
    const varint = () => {
      let value = 0, shift = 0, b;
      do {
        if (at >= data.length) throw new Error("cut short");
        b = data[at++];
        value |= (b & 127) << shift;
        shift += 7;
      } while (b & 128);
      return value >>> 0;
    };
    const points = new Float32Array(3 * vertices);
    const last = [0, 0, 0];
    for (let i = 0; i < 3 * vertices; i++) {
      const k = i % 3, z = varint();
      last[k] += (z >>> 1) ^ -(z & 1);
      points[i] = box[k] + (box[3 + k] - box[k]) * last[k] / 65535;
    }
    const corners = new Uint32Array(3 * triangles), tones = new Uint8Array(triangles);
    let met = 0;
    for (let i = 0; i < triangles;) {
      const tone = data[at++], n = varint();
      for (const end = i + n; i < end; i++) {
        tones[i] = tone;
        for (let k = 0; k < 3; k++) {
          const back = varint();
          corners[3 * i + k] = back ? met - back : met++;
        }
      }
    }
    return { box, points, corners, tones };
  };

  // Corners with normals: the faces around a vertex that turn away from the corner's
  // own by less than the crease are shaded as one. Hollows get a little less light.
  const dress = ({ points, corners, tones }) => {
    const n = corners.length, vertices = points.length / 3;
    const face = new Float32Array(n);
    for (let i = 0; i < n; i += 3) {
      const [a, b, c] = [3 * corners[i], 3 * corners[i + 1], 3 * corners[i + 2]];
      const u = [0, 1, 2].map((k) => points[b + k] - points[a + k]);
      const v = [0, 1, 2].map((k) => points[c + k] - points[a + k]);
      face[i] = u[1] * v[2] - u[2] * v[1];
      face[i + 1] = u[2] * v[0] - u[0] * v[2];
      face[i + 2] = u[0] * v[1] - u[1] * v[0];
    }
    const start = new Uint32Array(vertices + 1), around = new Uint32Array(n);
    for (let i = 0; i < n; i++) start[corners[i] + 1]++;
    for (let i = 0; i < vertices; i++) start[i + 1] += start[i];
    const fill = start.slice();
    for (let i = 0; i < n; i++) around[fill[corners[i]]++] = i - i % 3;
    // How far the neighbours lie above the surface.
    const hollow = new Float32Array(vertices);
    for (let v = 0; v < vertices; v++) {
      let s = [0, 0, 0];
      for (let j = start[v]; j < start[v + 1]; j++) for (let k = 0; k < 3; k++) s[k] += face[around[j] + k];
      const l = Math.hypot(...s) || 1;
      let sum = 0, count = 0;
      for (let j = start[v]; j < start[v + 1]; j++) {
        for (let c = 0; c < 3; c++) {
          const o = corners[around[j] + c];
          if (o === v) continue;
          const d = [0, 1, 2].map((k) => points[3 * o + k] - points[3 * v + k]);
          sum += (d[0] * s[0] + d[1] * s[1] + d[2] * s[2]) / ((Math.hypot(...d) || 1) * l);
          count++;
        }
      }
      hollow[v] = count ? sum / count : 0;
    }
    const out = new Float32Array(8 * n);
    for (let i = 0; i < n; i++) {
      const f = i - i % 3, v = corners[i];
      const own = Math.hypot(face[f], face[f + 1], face[f + 2]) || 1;
      let x = 0, y = 0, z = 0;
      for (let j = start[v]; j < start[v + 1]; j++) {
        const g = around[j];
        const other = Math.hypot(face[g], face[g + 1], face[g + 2]);
        if (face[f] * face[g] + face[f + 1] * face[g + 1] + face[f + 2] * face[g + 2] >= crease * own * other) {
          x += face[g]; y += face[g + 1]; z += face[g + 2];
        }
      }
      const l = Math.hypot(x, y, z) || 1;
      out.set([points[3 * v], points[3 * v + 1], points[3 * v + 2], x / l, y / l, z / l, tones[f / 3], hollow[v]], 8 * i);
    }
    return out;
  };

  const vertexText = `#version 300 es
    in vec3 at; in vec3 up; in vec2 kind;
    uniform mat3 turn; uniform vec3 middle; uniform vec4 fit; // fit: scale x, y, depth, distance
    uniform vec3 hues[4];
    out vec3 normal; out vec3 hue; out float hollow; out float height;
    uniform vec2 rise;
    void main() {
      vec3 p = turn * (at - middle);
      float w = 1.0 - p.z / fit.w;
      gl_Position = vec4(p.x * fit.x, p.y * fit.y, -p.z * fit.z * w, w);
      normal = up;
      hue = hues[int(min(kind.x, 3.0))];
      hollow = kind.y;
      height = (at.z - rise.x) / rise.y;
    }`;
  const pieceText = `#version 300 es
    precision highp float;
    in vec3 normal; in vec3 hue; in float hollow; in float height;
    uniform vec3 key; uniform vec3 eye;
    out vec4 colour;
    void main() {
      vec3 n = normalize(normal);
      float up = 0.5 + 0.5 * n.z;
      vec3 sky = mix(vec3(0.2, 0.19, 0.185), vec3(0.4, 0.413, 0.428), up);
      vec3 sun = vec3(0.8, 0.77, 0.725) * max(dot(n, key), 0.0);
      float open = clamp(1.0 - 1.5 * max(hollow, 0.0) + 0.25 * max(-hollow, 0.0), 0.35, 1.1);
      open *= mix(0.82, 1.0, clamp(height * 1.5, 0.0, 1.0));
      float rim = pow(1.0 - abs(dot(n, eye)), 3.0) * 0.06;
      vec3 light = hue * (sky + sun) * open + rim;
      colour = vec4(pow(light, vec3(1.0 / 2.2)), 1.0);
    }`;

  const linear = (hex) => [1, 3, 5].map((k) => (parseInt(hex.slice(k, k + 2), 16) / 255) ** 2.2);

  const program = (gl) => {
    const p = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, vertexText], [gl.FRAGMENT_SHADER, pieceText]]) {
      const s = gl.createShader(kind);
      gl.shaderSource(s, text);
      gl.compileShader(s);
      gl.attachShader(p, s);
    }
    gl.linkProgram(p);
    if (!gl.getProgramParameter(p, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(p) || "no program");
    return p;
  };

  class Turntable {
    constructor(figure) {
      this.figure = figure;
      Object.assign(this, home);
      this.pointers = new Map();
      this.seen = false;
      figure.dataset.state = "waiting";
      figure.hidden = false;
      this.controls();
      this.lay();
      new IntersectionObserver((all) => {
        this.seen = all[all.length - 1].isIntersecting;
        if (this.seen) this.start();
        else trim();
      }, { rootMargin: "100px" }).observe(figure);
      new ResizeObserver(() => this.ask()).observe(figure);
      dark.addEventListener("change", () => this.ask());
    }

    // A canvas whose context was given back never gets another: each start has its own.
    lay() {
      const canvas = document.createElement("canvas");
      canvas.tabIndex = 0;
      canvas.setAttribute("role", "application");
      canvas.setAttribute("aria-roledescription", "solid that can be turned");
      canvas.setAttribute("aria-label", `${this.figure.dataset.name}, solid. Arrow keys turn it, plus and minus zoom, Home resets, T, F and U show the top, the front and the underside.`);
      const had = document.activeElement === this.canvas && !!this.canvas;
      if (this.canvas) this.canvas.replaceWith(canvas);
      else this.figure.prepend(canvas);
      this.canvas = canvas;
      if (had) canvas.focus({ preventScroll: true });
      this.listen();
    }

    controls() {
      const row = document.createElement("div");
      row.className = "turn";
      row.setAttribute("role", "group");
      row.setAttribute("aria-label", `Turn ${this.figure.dataset.name}`);
      for (const [text, label, key] of [["←", "Turn left", "ArrowLeft"], ["→", "Turn right", "ArrowRight"], ["↑", "Tip up", "ArrowUp"], ["↓", "Tip down", "ArrowDown"], ["+", "Zoom in", "+"], ["−", "Zoom out", "-"], ["Top", "", "t"], ["Front", "", "f"], ["Underside", "", "u"], ["Reset", "", "Home"]]) {
        const b = document.createElement("button");
        b.type = "button";
        b.textContent = text;
        b.dataset.key = key;
        if (label) { b.setAttribute("aria-label", label); b.title = label; }
        b.addEventListener("click", () => { this.start(); this.press(key); });
        row.append(b);
      }
      this.figure.append(row);
    }

    async start() {
      const i = live.indexOf(this);
      if (i >= 0) { live.splice(i, 1); live.push(this); return; }
      if (this.starting || this.figure.hidden) return;
      this.starting = true;
      try {
        const packed = document.getElementById(this.figure.dataset.solid);
        const solid = await unpack(packed.textContent);
        this.box = solid.box;
        this.corners = solid.corners.length;
        // What it sweeps as it turns.
        this.reach = 1e-6;
        for (let i = 0; i < solid.points.length; i += 3) {
          this.reach = Math.max(this.reach, Math.hypot(solid.points[i] - (this.box[0] + this.box[3]) / 2, solid.points[i + 1] - (this.box[1] + this.box[4]) / 2));
        }
        this.build(dress(solid));
        live.push(this);
        trim();
        this.draw();
        this.figure.dataset.state = "ready";
      } catch (_) {
        this.fail();
      } finally {
        this.starting = false;
      }
    }

    build(data) {
      const gl = this.canvas.getContext("webgl2", { antialias: true, alpha: true });
      if (!gl) throw new Error("no context");
      this.canvas.addEventListener("webglcontextlost", (e) => {
        if (e.target !== this.canvas || this.resting) return;
        e.preventDefault();
        this.rest();
        this.fail();
      });
      this.gl = gl;
      this.resting = false;
      const p = program(gl);
      gl.useProgram(p);
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
      for (const [name, size, from] of [["at", 3, 0], ["up", 3, 12], ["kind", 2, 24]]) {
        const where = gl.getAttribLocation(p, name);
        gl.enableVertexAttribArray(where);
        gl.vertexAttribPointer(where, size, gl.FLOAT, false, 32, from);
      }
      this.place = (name) => gl.getUniformLocation(p, name);
      const hues = this.figure.dataset.tones.split(" ").slice(0, 4).flatMap(linear);
      gl.uniform3fv(this.place("hues"), hues);
      gl.uniform2f(this.place("rise"), this.box[2], Math.max(this.box[5] - this.box[2], 1e-6));
      gl.enable(gl.DEPTH_TEST);
      gl.enable(gl.CULL_FACE);
    }

    // rest gives the context back; the view stays as it was turned.
    rest() {
      const i = live.indexOf(this);
      if (i >= 0) live.splice(i, 1);
      this.resting = true;
      const free = this.gl && this.gl.getExtension("WEBGL_lose_context");
      if (free) free.loseContext();
      this.gl = null;
      this.figure.dataset.state = "resting";
      this.lay();
    }

    fail() {
      this.figure.dataset.state = "failed";
      this.figure.hidden = true;
    }

    ask() {
      if (this.asked || !this.gl) return;
      this.asked = true;
      requestAnimationFrame(() => { this.asked = false; this.draw(); });
    }

    draw() {
      const { gl, canvas } = this;
      if (!gl || gl.isContextLost()) return;
      const density = Math.min(devicePixelRatio || 1, 2);
      const wide = Math.max(1, Math.round(canvas.clientWidth * density)), high = Math.max(1, Math.round(canvas.clientHeight * density));
      if (canvas.width !== wide || canvas.height !== high) { canvas.width = wide; canvas.height = high; }
      gl.viewport(0, 0, wide, high);
      const ground = dark.matches ? [0.16, 0.155, 0.145] : [0.898, 0.898, 0.89];
      gl.clearColor(...ground, 1);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      const a = this.azimuth * Math.PI / 180, e = this.elevation * Math.PI / 180;
      const right = [Math.cos(a), Math.sin(a), 0];
      const eye = [Math.sin(a) * Math.cos(e), -Math.cos(a) * Math.cos(e), Math.sin(e)];
      const up = [-Math.sin(a) * Math.sin(e), Math.cos(a) * Math.sin(e), Math.cos(e)];
      const turn = [];
      for (let k = 0; k < 3; k++) turn.push(right[k], up[k], eye[k]);
      const size = [0, 1, 2].map((k) => this.box[k + 3] - this.box[k]);
      const reach = Math.max(Math.hypot(...size) / 2, 1e-6);
      const flat = this.reach;
      const tall = flat * Math.abs(Math.sin(e)) + size[2] / 2 * Math.cos(e);
      const scale = 0.85 * this.zoom * Math.min(wide / flat, high / Math.max(tall, 0.3 * flat));
      gl.uniformMatrix3fv(this.place("turn"), false, turn);
      gl.uniform3f(this.place("middle"), ...[0, 1, 2].map((k) => (this.box[k] + this.box[k + 3]) / 2));
      gl.uniform4f(this.place("fit"), scale / wide, scale / high, 0.45 / reach, 5 * reach);
      // The light stands still beside the eye, above its left shoulder.
      const key = [0, 1, 2].map((k) => -0.59 * right[k] + 0.56 * up[k] + 0.58 * eye[k]);
      gl.uniform3f(this.place("key"), ...key);
      gl.uniform3f(this.place("eye"), ...eye);
      gl.drawArrays(gl.TRIANGLES, 0, this.corners);
      for (const name of ["azimuth", "elevation", "zoom"]) this.figure.dataset[name] = this[name].toFixed(2);
    }

    turn(x, y) {
      this.azimuth = ((this.azimuth + x + 540) % 360 + 360) % 360 - 180;
      this.elevation = Math.max(-90, Math.min(90, this.elevation + y));
      this.ask();
    }

    closer(by) {
      this.zoom = Math.max(0.5, Math.min(12, this.zoom * by));
      this.ask();
    }

    look(azimuth, elevation) {
      this.glide = 0;
      Object.assign(this, { azimuth, elevation });
      this.ask();
    }

    press(key) {
      this.glide = 0;
      switch (key) {
        case "ArrowLeft": this.turn(-10, 0); break;
        case "ArrowRight": this.turn(10, 0); break;
        case "ArrowUp": this.turn(0, 10); break;
        case "ArrowDown": this.turn(0, -10); break;
        case "+": case "=": this.closer(1.2); break;
        case "-": case "_": this.closer(1 / 1.2); break;
        case "Home": this.zoom = home.zoom; this.look(home.azimuth, home.elevation); break;
        case "t": case "T": this.look(0, 90); break;
        case "f": case "F": this.look(0, 0); break;
        case "u": case "U": this.look(0, -90); break;
        default: return false;
      }
      return true;
    }

    listen() {
      const canvas = this.canvas;
      canvas.addEventListener("keydown", (e) => {
        if (e.ctrlKey || e.metaKey || e.altKey || !this.gl) return;
        if (this.press(e.key)) e.preventDefault();
      });
      canvas.addEventListener("focus", () => this.start());
      // The wheel scrolls the page, but where the view was taken hold of or ctrl is held.
      canvas.addEventListener("wheel", (e) => {
        if (!e.ctrlKey && document.activeElement !== canvas) return;
        e.preventDefault();
        this.closer(Math.exp(-Math.max(-100, Math.min(100, e.deltaY)) / 400));
      }, { passive: false });
      canvas.addEventListener("pointerdown", (e) => {
        if (e.button !== 0) return;
        this.glide = 0;
        this.pointers.set(e.pointerId, [e.clientX, e.clientY]);
        canvas.setPointerCapture(e.pointerId);
        canvas.classList.add("held");
      });
      canvas.addEventListener("pointermove", (e) => {
        const was = this.pointers.get(e.pointerId);
        if (!was) return;
        const spread = () => { const [p, q] = [...this.pointers.values()]; return Math.hypot(p[0] - q[0], p[1] - q[1]) || 1; };
        const before = this.pointers.size === 2 ? spread() : 0;
        this.pointers.set(e.pointerId, [e.clientX, e.clientY]);
        if (before) { this.closer(spread() / before); return; }
        if (this.pointers.size > 1) return;
        const speed = 200 / Math.max(canvas.clientWidth, 1); // degrees a pixel
        const x = -(e.clientX - was[0]) * speed, y = (e.clientY - was[1]) * speed;
        this.turn(x, y);
        this.moved = [x, e.timeStamp];
      });
      // Two fingers belong to the view, one that moves up or down to the page.
      canvas.addEventListener("touchmove", (e) => { if (e.touches.length > 1) e.preventDefault(); }, { passive: false });
      const end = (e) => {
        if (!this.pointers.delete(e.pointerId)) return;
        if (this.pointers.size) return;
        canvas.classList.remove("held");
        if (e.type === "pointerup" && this.moved && e.timeStamp - this.moved[1] < 40 && !calm.matches) this.roll(this.moved[0]);
        this.moved = null;
      };
      for (const kind of ["pointerup", "pointercancel", "lostpointercapture"]) canvas.addEventListener(kind, end);
    }

    // roll lets the view run out after a throw.
    roll(speed) {
      this.glide = Math.max(-6, Math.min(6, speed));
      const step = () => {
        if (Math.abs(this.glide) < 0.05 || !this.gl || calm.matches) return;
        this.turn(this.glide, 0);
        this.glide *= 0.9;
        requestAnimationFrame(step);
      };
      requestAnimationFrame(step);
    }
  }

  // trim puts to rest what is out of sight and longest out of use.
  const trim = () => {
    for (const t of live.filter((t) => !t.seen)) {
      if (live.length <= liveAtMost) return;
      t.rest();
    }
    // More in sight than there are contexts for: the first give way.
    while (live.length > 2 * liveAtMost) live[0].rest();
  };

  for (const figure of figures) new Turntable(figure);
})();
