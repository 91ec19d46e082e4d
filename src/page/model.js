'use strict';
// The block in three dimensions, by WebGL 2: flat faces with their edges, turned by pointer, wheel and keys. Without WebGL a
// picture is shown.

const Model = (() => {
  const { el } = Dom;

  const FACES = [`#version 300 es
    in vec3 at; uniform mat4 view; out vec3 place;
    void main() { place = at; gl_Position = view * vec4(at, 1.0); }`,
  `#version 300 es
    precision highp float;
    in vec3 place; uniform vec3 toward; uniform vec3 ink; out vec4 colour;
    void main() {
      vec3 normal = normalize(cross(dFdx(place), dFdy(place)));
      float light = 0.62 + 0.38 * abs(dot(normal, toward));
      colour = vec4(ink * light, 1.0);
    }`];
  const LINES = [`#version 300 es
    in vec3 at; uniform mat4 view; uniform float nearer;
    void main() { gl_Position = view * vec4(at, 1.0); gl_Position.z -= nearer * gl_Position.w; }`,
  `#version 300 es
    precision highp float;
    uniform vec3 ink; out vec4 colour;
    void main() { colour = vec4(ink, 1.0); }`];

  function program(gl, [vertex, fragment]) {
    const made = gl.createProgram();
    for (const [kind, source] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, source);
      gl.compileShader(shader);
      gl.attachShader(made, shader);
    }
    gl.linkProgram(made);
    if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made) ?? 'no program');
    return made;
  }

  // Axes of the eye for a turn about the upright axis and a rise above the bed, in radians.
  function axes(turn, rise) {
    const [s, c, sr, cr] = [Math.sin(turn), Math.cos(turn), Math.sin(rise), Math.cos(rise)];
    return { right: [c, s, 0], up: [s * sr * -1, c * sr, cr], toward: [s * cr, -c * cr, sr] };
  }

  const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

  // `choose` is called with the id of a lane that is touched.
  function viewer(choose) {
    const canvas = el('canvas', {
      tabindex: '0', role: 'img',
      'aria-label': 'The block in three dimensions. Arrow keys turn it, plus and minus make it larger and smaller.',
      on: {
        webglcontextlost(event) {
          event.preventDefault();
          gl = null;
        },
        webglcontextrestored: () => start() && draw(),
        pointerdown, pointermove, pointerup, pointercancel: pointerup, keydown,
      },
    });
    const fallback = Shown.picture();
    const hint = el('p', { class: 'hint' }, 'Drag, or use the arrow keys, to turn it; pinch, or + and −, for its size. Touch a lane to choose it.');
    const root = el('div', { class: 'model' }, canvas, hint, fallback.root);
    root.hidden = true;
    let gl = null;
    let programs = null;
    let shown = null;
    let chosen = null;
    let turn = 0.5;
    let rise = 0.7;
    let zoom = 1;
    let waits = false;
    let buffers = null;
    let bytes = null;

    function start() {
      gl = canvas.getContext('webgl2', { antialias: true, alpha: true });
      if (!gl) return false;
      try {
        programs = { faces: program(gl, FACES), lines: program(gl, LINES) };
      } catch {
        gl = null;
        return false;
      }
      buffers = null;
      return true;
    }

    function upload() {
      const of = (data) => {
        const buffer = gl.createBuffer();
        gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
        gl.bufferData(gl.ARRAY_BUFFER, data, gl.STATIC_DRAW);
        return { buffer, count: data.byteLength / 12 };
      };
      buffers = { faces: of(bytes.triangles), edges: of(bytes.edges), lane: gl.createBuffer() };
    }

    // Half of what is seen, upright, in mm; and the middle of the block.
    function frame() {
      const [low, high] = shown.extent;
      const middle = low.map((x, k) => (x + high[k]) / 2);
      const radius = Math.hypot(...low.map((x, k) => (high[k] - x) / 2));
      const aspect = canvas.width / Math.max(1, canvas.height);
      const half = (radius * (aspect < 1 ? 1 / aspect : 1)) / zoom;
      return { middle, radius, aspect, half };
    }

    // A point of the block on the canvas, from -1 to 1, y upward.
    function projected(point) {
      const { middle, aspect, half } = frame();
      const { right, up } = axes(turn, rise);
      const from = point.map((x, k) => x - middle[k]);
      return [dot(right, from) / (half * aspect), dot(up, from) / half];
    }

    function matrix() {
      const { middle, radius, aspect, half } = frame();
      const { right, up, toward } = axes(turn, rise);
      const rows = [right.map((x) => x / (half * aspect)), up.map((x) => x / half), toward.map((x) => -x / (2 * radius))];
      const moved = rows.map((row) => -dot(row, middle));
      // By columns.
      return [0, 1, 2].flatMap((k) => [rows[0][k], rows[1][k], rows[2][k], 0]).concat(moved, 1);
    }

    function corners({ x, y, z }) {
      return [[x[0], y[0], z], [x[1], y[0], z], [x[1], y[1], z], [x[0], y[1], z]];
    }

    function colours() {
      const style = getComputedStyle(root);
      const of = (name) => {
        const hex = style.getPropertyValue(name).trim();
        return [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255);
      };
      return { face: of('--face'), edge: of('--edge'), chosen: of('--chosen') };
    }

    function paint() {
      waits = false;
      if (!gl || !shown) return;
      if (!buffers) upload();
      const size = canvas.getBoundingClientRect();
      const scale = window.devicePixelRatio || 1;
      const [width, height] = [Math.round(size.width * scale), Math.round(size.height * scale)];
      if (!width || !height) return;
      if (canvas.width !== width || canvas.height !== height) [canvas.width, canvas.height] = [width, height];
      gl.viewport(0, 0, width, height);
      gl.clearColor(0, 0, 0, 0);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      gl.enable(gl.DEPTH_TEST);
      const view = matrix();
      const { toward } = axes(turn, rise);
      const colour = colours();
      // Names that a program lacks are passed over.
      const put = (of, buffer, kind, count, ink, nearer) => {
        const named = (name) => gl.getUniformLocation(of, name);
        gl.useProgram(of);
        gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
        const at = gl.getAttribLocation(of, 'at');
        gl.enableVertexAttribArray(at);
        gl.vertexAttribPointer(at, 3, gl.FLOAT, false, 0, 0);
        gl.uniformMatrix4fv(named('view'), false, view);
        gl.uniform3fv(named('toward'), toward);
        gl.uniform3fv(named('ink'), ink);
        gl.uniform1f(named('nearer'), nearer);
        gl.drawArrays(kind, 0, count);
      };
      const { faces, lines } = programs;
      gl.enable(gl.POLYGON_OFFSET_FILL);
      gl.polygonOffset(1, 1);
      put(faces, buffers.faces.buffer, gl.TRIANGLES, buffers.faces.count, colour.face, 0);
      const lane = shown.lanes.find(({ id }) => id === chosen);
      if (lane) {
        const [a, b, c, d] = corners(lane);
        gl.bindBuffer(gl.ARRAY_BUFFER, buffers.lane);
        gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([a, b, c, a, c, d].flat()), gl.DYNAMIC_DRAW);
        put(lines, buffers.lane, gl.TRIANGLES, 6, colour.chosen, 0.0004);
      }
      put(lines, buffers.edges.buffer, gl.LINES, buffers.edges.count, colour.edge, 0.0008);
    }

    function draw() {
      if (waits) return;
      waits = true;
      requestAnimationFrame(paint);
    }

    function turned(by, up) {
      turn += by;
      rise = Math.min(Math.PI / 2, Math.max(-Math.PI / 2, rise + up));
      draw();
    }

    function zoomed(by) {
      zoom = Math.min(8, Math.max(0.5, zoom * by));
      draw();
    }

    // The lane whose table is under a point of the canvas.
    function touched(x, y) {
      const inside = (polygon) => {
        let is = false;
        polygon.forEach(([ax, ay], i) => {
          const [bx, by] = polygon[(i + 1) % polygon.length];
          if ((ay > y) !== (by > y) && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) is = !is;
        });
        return is;
      };
      return shown.lanes.find((lane) => inside(corners(lane).map(projected)));
    }

    const held = new Map();
    let moved = 0;
    let apart = 0;

    function pointerdown(event) {
      canvas.setPointerCapture(event.pointerId);
      held.set(event.pointerId, [event.clientX, event.clientY]);
      moved = 0;
      apart = 0;
    }

    function pointermove(event) {
      const last = held.get(event.pointerId);
      if (!last) return;
      const [dx, dy] = [event.clientX - last[0], event.clientY - last[1]];
      held.set(event.pointerId, [event.clientX, event.clientY]);
      moved += Math.hypot(dx, dy);
      if (held.size === 1) {
        turned(-dx * 0.01, dy * 0.01);
        return;
      }
      const [a, b] = [...held.values()];
      const now = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (apart) zoomed(now / apart);
      apart = now;
    }

    function pointerup(event) {
      if (held.size === 1 && moved < 6 && event.type === 'pointerup' && shown) {
        const box = canvas.getBoundingClientRect();
        const lane = touched(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2);
        if (lane) choose(lane.id);
      }
      held.delete(event.pointerId);
      apart = 0;
    }

    canvas.addEventListener('wheel', (event) => {
      // Without a key held it is the page that scrolls.
      if (!event.ctrlKey && document.activeElement !== canvas) return;
      event.preventDefault();
      zoomed(Math.exp(-event.deltaY * 0.002));
    }, { passive: false });

    function keydown(event) {
      const turns = { ArrowLeft: [0.12, 0], ArrowRight: [-0.12, 0], ArrowUp: [0, -0.12], ArrowDown: [0, 0.12] }[event.key];
      const size = { '+': 1.15, '=': 1.15, '-': 1 / 1.15 }[event.key];
      if (!turns && !size) return;
      event.preventDefault();
      if (turns) turned(...turns);
      else zoomed(size);
    }

    new ResizeObserver(draw).observe(canvas);

    return {
      root,
      draw,
      // What this browser can show.
      wanted: () => (gl || start() ? 'model' : 'picture'),
      update({ model, picture }, parts, lane) {
        root.hidden = !model && !picture;
        shown = model;
        chosen = lane;
        canvas.hidden = hint.hidden = !model;
        fallback.update(picture, parts);
        if (!model) return;
        // Parts may lie anywhere in their bytes; floats may not.
        bytes = { triangles: parts[model.triangles].bytes.slice(), edges: parts[model.edges].bytes.slice() };
        buffers = null;
        draw();
      },
      chosen(lane) {
        chosen = lane;
        draw();
      },
    };
  }

  return { viewer };
})();
