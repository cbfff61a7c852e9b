// A flight as seen in the hall: drawn on a plain canvas, without any library or network.
// Axes of the hall: north, east, down, in metres from the middle of the floor. Axes of the
// aeroplane: forward, right, down from its balance point. The Python side sends one row of
// numbers for each beat (see scene.py) and the sentences (see telling.py); flight.js looks both up,
// so that picture and words cannot disagree. This file follows flight.js in the same module.

const SPEEDS = [0.25, 0.5, 1, 2, 4, 8];
const VIEWS = {
  follow: ["Follow", "Seen from behind, following."],
  spectator: ["From the floor", "Seen from the floor, behind the launch."],
  plan: ["From above", "Seen from above, north up."],
};
const GHOSTS = { ghost: "ghost", beside: "side by side", off: "off" };
const SWITCHES = { forces: "Forces", turning: "Turning pushes", projector: "Big text" };
const SMALL_STEP_S = 0.5;
const LARGE_STEP_S = 5;
const SAY_EVERY_MS = 4000; // a screen reader is not talked over
const SAY_AFTER_MS = 350; // a held key announces once, where it ends
const CALM_BEAT_MS = 1000; // for people who ask for less motion
const NEAR_M = 0.05;
const EYE_M = 1.6; // height of a pupil's eyes, standing
const STILL_REVS = 0.3; // a slower propeller is drawn as blades, a faster one as a steady disc
const GRAVITY = 9.80665;

// --- vectors -------------------------------------------------------------------------------------

const add = (a, b) => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
const sub = (a, b) => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const times = (a, k) => [a[0] * k, a[1] * k, a[2] * k];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const length = (a) => Math.hypot(...a);
const unit = (a) => times(a, 1 / Math.max(length(a), 1e-9));
const mix = (a, b, share) => add(a, times(sub(b, a), share));

function cross(a, b) {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

const around = (a, b, angle) => add(times(a, Math.cos(angle)), times(b, Math.sin(angle)));

function toEarth(q, v) {
  const axis = [q[1], q[2], q[3]];
  const twice = times(cross(axis, v), 2);
  return add(add(v, times(twice, q[0])), cross(axis, twice));
}

// --- the aeroplane in the hall -----------------------------------------------------------------

// Where a point of the aeroplane stands once its joints have bent, in body axes.
function bent(point, group, frame, joints) {
  const [nod, twist, rock] = joints;
  if (group === "wing") return rolled(point, frame.saddle, (1 - frame.wing_share) * rock);
  if (group !== "tail") return point;
  const [x, y, z] = sub(point, frame.joint);
  const [c, s] = [Math.cos(nod), Math.sin(nod)];
  const nodded = add(frame.joint, [x * c + z * s, y, z * c - x * s]);
  return rolled(nodded, frame.joint, twist - frame.wing_share * rock);
}

function rolled(point, about, angle) {
  const [x, y, z] = sub(point, about);
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return add(about, [x, y * c - z * s, y * s + z * c]);
}

// The aeroplane's pieces in the hall, drawn `magnified` times its size about its balance point.
function piecesInHall(frame, state, magnified) {
  const { position, quaternion, joints } = state;
  const place = (point) => add(position, times(toEarth(quaternion, point), magnified));
  const pieces = frame.pieces.map(({ name, group, sheet, points }) => {
    return { name, sheet, points: points.map((p) => place(bent(p, group, frame, joints))) };
  });
  return [...pieces, ...propeller(frame, state.revs[0], place)];
}

function propeller(frame, revs, place) {
  const side = unit(cross(frame.shaft, [0, 0, 1]));
  const up = cross(side, frame.shaft);
  const rim = (turn) => place(add(frame.hub, times(around(side, up, turn), frame.radius)));
  const blades = { name: "propeller", sheet: false, points: [rim(0.4), rim(0.4 + Math.PI)] };
  if (revs < STILL_REVS) return [blades];
  const points = Array.from({ length: 32 }, (_, i) => rim((i / 16) * Math.PI));
  return [{ name: "propeller disc", sheet: true, points }];
}

// Forces on the aeroplane in mN, along north, east, down. Weight and the sum are what they are;
// thrust is an estimate, and lift and drag share what it leaves.
function forces(frame, state) {
  const weight = [0, 0, frame.mass_g * GRAVITY];
  const thrust = times(toEarth(state.quaternion, frame.shaft), state.thrust[0]);
  const ahead = unit(state.air);
  const air = sub(state.push, thrust);
  const drag = times(ahead, dot(air, ahead));
  return { weight, thrust, drag, lift: sub(air, drag), together: add(weight, state.push) };
}

// --- cameras -------------------------------------------------------------------------------------

class Camera {
  constructor(eye, ahead, up, view, focus, flat) {
    this.eye = eye;
    this.ahead = unit(ahead);
    this.right = unit(cross(this.ahead, up));
    this.up = cross(this.right, this.ahead);
    this.view = view; // {left, top, width, height} in canvas units
    this.focus = focus; // canvas units for each metre at one metre, or at any when flat
    this.flat = flat;
  }

  // Right, up and ahead of the eye [m].
  see(point) {
    const from = sub(point, this.eye);
    return [dot(from, this.right), dot(from, this.up), dot(from, this.ahead)];
  }

  onCanvas([x, y, z]) {
    const scale = this.flat ? this.focus : this.focus / z;
    const { left, top, width, height } = this.view;
    return [left + width / 2 + x * scale, top + height / 2 - y * scale];
  }

  scaleAt(point) {
    return this.flat ? this.focus : this.focus / Math.max(this.see(point)[2], NEAR_M);
  }

  // Corners of a sheet on the canvas, what lies behind the eye cut away.
  sheet(points) {
    const kept = [];
    points.forEach((point, i) => {
      const [before, to] = [points.at(i - 1), point].map((p) => this.see(p));
      if (this.hides(before) !== this.hides(to)) kept.push(edge(before, to));
      if (!this.hides(to)) kept.push(to);
    });
    return kept.map((p) => this.onCanvas(p));
  }

  // A line on the canvas, in as many runs as are left once what lies behind the eye is cut away.
  runs(points) {
    const found = [];
    let before = null;
    for (const point of points) {
      const to = this.see(point);
      if (before === null || this.hides(before)) found.push([]);
      const crosses = before !== null && this.hides(before) !== this.hides(to);
      if (crosses) found.at(-1).push(edge(before, to));
      if (!this.hides(to)) found.at(-1).push(to);
      before = to;
    }
    return found.filter((run) => run.length > 1).map((run) => run.map((p) => this.onCanvas(p)));
  }

  hides(seen) {
    return !this.flat && seen[2] < NEAR_M;
  }

  // Where a point is on the canvas, or null behind the eye.
  spot(point) {
    const seen = this.see(point);
    return this.hides(seen) ? null : this.onCanvas(seen);
  }
}

const edge = (a, b) => mix(a, b, (NEAR_M - a[2]) / (b[2] - a[2]));

function followCamera(flight, state, view) {
  const { span } = flight.frame;
  const [heading] = state.camera;
  const travel = [Math.cos(heading), Math.sin(heading), 0];
  const eye = add(state.position, add(times(travel, -2.6 * span), [0, 0, -0.9 * span]));
  eye[2] = Math.min(eye[2], -0.1);
  const ahead = sub(state.position, eye);
  return new Camera(eye, ahead, [0, 0, -1], view, Math.min(view.height, view.width) * 1.6, false);
}

// Behind the launch, as near as the whole flight can be seen.
function spectatorCamera(flights, view) {
  const [low, high] = jointBox(flights);
  const [heading] = flights[0].at(0).camera;
  const away = [Math.cos(heading), Math.sin(heading), 0];
  const middle = mix(low, [high[0], high[1], 0], 0.5);
  const corners = cornersOf(low, [high[0], high[1], 0]);
  const focus = view.height * 1.1;
  let camera = null;
  for (let distance = 2; distance < 400; distance *= 1.04) {
    const eye = [middle[0] - away[0] * distance, middle[1] - away[1] * distance, -EYE_M];
    camera = new Camera(eye, sub(middle, eye), [0, 0, -1], view, focus, false);
    if (corners.every((corner) => inside(camera, corner))) break;
  }
  return camera;
}

function inside(camera, point) {
  const seen = camera.see(point);
  const [x, y] = camera.onCanvas(seen);
  const { left, top, width, height } = camera.view;
  const [across, up] = [x - left - width / 2, y - top - height / 2];
  return seen[2] > 1 && Math.abs(across) < 0.43 * width && Math.abs(up) < 0.4 * height;
}

function planCamera(flights, view) {
  const [low, high] = jointBox(flights);
  const across = Math.max(high[1] - low[1], 4) * 1.25;
  const deep = Math.max(high[0] - low[0], 4) * 1.25;
  const middle = mix(low, high, 0.5);
  const focus = Math.min(view.width / across, view.height / deep);
  return new Camera([middle[0], middle[1], -500], [0, 0, 1], [1, 0, 0], view, focus, true);
}

function jointBox(flights) {
  const pick = (which, choose) => {
    return [0, 1, 2].map((i) => choose(...flights.map((flight) => flight.box[which][i])));
  };
  return [pick(0, Math.min), pick(1, Math.max)];
}

function cornersOf([n, e, d], [north, east, down]) {
  const floor = [[n, e], [n, east], [north, e], [north, east]];
  return floor.flatMap(([a, b]) => [[a, b, d], [a, b, down]]);
}

// --- painting ------------------------------------------------------------------------------------

// Dash, colour and words of each force: no two differ by colour alone.
const FORCES = {
  weight: [[], "ink", "weight"],
  lift: [[14, 5], "lift", "lift"],
  thrust: [[2, 4], "thrust", "thrust"],
  drag: [[10, 4, 2, 4], "other", "drag"],
  together: [[5, 3], "own", "all together"],
};

const FORCES_KEY =
  "Forces, smoothed: weight and all together as computed; thrust estimated; lift and drag are " +
  "what is left, across and along the path.";

class Painter {
  constructor(canvas, root) {
    this.canvas = canvas;
    this.root = root;
    this.pen = canvas.getContext("2d");
  }

  // Make the canvas as large as it is shown, and read the theme's colours.
  begin() {
    const dots = Math.min(window.devicePixelRatio || 1, 2);
    const { clientWidth: width, clientHeight: height } = this.canvas;
    this.canvas.width = Math.round(width * dots);
    this.canvas.height = Math.round(height * dots);
    this.pen.setTransform(dots, 0, 0, dots, 0, 0);
    const style = getComputedStyle(this.root);
    this.taken = [];
    this.colour = {};
    for (const name of ["paper", "ink", "soft", "rule", "own", "other", "lift", "thrust"]) {
      this.colour[name] = style.getPropertyValue(`--tk-${name}`).trim();
    }
    this.size = parseFloat(style.getPropertyValue("--tk-font"));
    this.family = style.fontFamily;
    this.pen.fillStyle = this.colour.paper;
    this.pen.fillRect(0, 0, width, height);
    return { left: 0, top: 0, width, height };
  }

  within(view, draw) {
    this.pen.save();
    this.pen.beginPath();
    this.pen.rect(view.left, view.top, view.width, view.height);
    this.pen.clip();
    draw();
    this.pen.restore();
  }

  trace(corners, closed) {
    this.pen.beginPath();
    corners.forEach(([x, y], i) => (i ? this.pen.lineTo(x, y) : this.pen.moveTo(x, y)));
    if (closed) this.pen.closePath();
  }

  line(camera, points, colour, width, dash = []) {
    this.pen.setLineDash(dash);
    this.pen.lineWidth = width;
    this.pen.strokeStyle = colour;
    for (const run of camera.runs(points)) {
      this.trace(run, false);
      this.pen.stroke();
    }
    this.pen.setLineDash([]);
  }

  fill(corners, colour, alpha) {
    this.trace(corners, true);
    this.pen.globalAlpha = alpha;
    this.pen.fillStyle = colour;
    this.pen.fill();
    this.pen.globalAlpha = 1;
  }

  // Words on a patch of paper, beside a place in the view.
  words(view, text, [x, y], colour, where = "left") {
    if (x < view.left || x > view.left + view.width || y < view.top || y > view.height) return;
    this.pen.font = `${this.size}px ${this.family}`;
    const wide = this.pen.measureText(text).width;
    const start = x - { left: 0, centre: wide / 2, right: wide }[where];
    const left = clamp(start, view.left + 4, Math.max(view.left + view.width - wide - 4, 4));
    const lowest = view.top + view.height - 5;
    const base = this.free(left, wide, clamp(y, view.top + this.size + 2, lowest));
    const [right, top, foot] = [left + wide, base - this.size, base + this.size * 0.3];
    this.fill([[left, top], [right, top], [right, foot], [left, foot]], this.colour.paper, 0.75);
    this.pen.fillStyle = colour;
    this.pen.fillText(text, left, base);
  }

  // The nearest line where no other words stand yet.
  free(left, wide, base) {
    const high = this.size * 1.25;
    const taken = (at) => {
      return this.taken.some((o) => {
        return left < o.left + o.wide && o.left < left + wide && Math.abs(o.base - at) < high;
      });
    };
    const places = [0, 1, -1, 2, -2, 3, -3].map((lines) => base + lines * high);
    const found = places.find((at) => !taken(at)) ?? base;
    this.taken.push({ left, wide, base: found });
    return found;
  }

  head(from, to, colour) {
    const angle = Math.atan2(to[1] - from[1], to[0] - from[0]);
    const size = 5 + this.size / 4;
    const barb = (turn) => {
      return [to[0] - size * Math.cos(angle + turn), to[1] - size * Math.sin(angle + turn)];
    };
    this.fill([to, barb(0.45), barb(-0.45)], colour, 1);
  }

  arrow(camera, points, colour, dash, text) {
    this.line(camera, points, colour, 3, dash);
    const [run] = camera.runs(points);
    if (!run) return;
    const [before, tip] = run.slice(-2);
    this.head(before, tip, colour);
    const side = tip[0] >= run[0][0] ? "left" : "right";
    const away = side === "left" ? 8 : -8;
    const drop = tip[1] > run[0][1] ? this.size : -2;
    this.words(camera.view, text, [tip[0] + away, tip[1] + drop], colour, side);
  }
}

// The hall: its floor in squares, its edges, and a post with metres on it.
function paintHall(painter, camera, hall, squares) {
  const [north, east, height] = hall;
  const [n, e] = [north / 2, east / 2];
  const { rule, soft } = painter.colour;
  const marks = (half) => {
    const count = Math.floor(half / squares);
    return Array.from({ length: 2 * count + 1 }, (_, i) => (i - count) * squares);
  };
  for (const at of marks(n)) painter.line(camera, [[at, -e, 0], [at, e, 0]], rule, 1);
  for (const at of marks(e)) painter.line(camera, [[-n, at, 0], [n, at, 0]], rule, 1);
  const ring = [[-n, -e], [n, -e], [n, e], [-n, e], [-n, -e]];
  for (const d of [0, -height]) painter.line(camera, ring.map(([a, b]) => [a, b, d]), soft, 1.5);
  for (const [a, b] of ring) painter.line(camera, [[a, b, 0], [a, b, -height]], soft, 1.5);
}

function paintPost(painter, camera, flights) {
  const [low, high] = jointBox(flights);
  const corners = cornersOf([low[0], low[1], 0], [high[0], high[1], 0]);
  const place = (corner) => dot(corner, camera.right) - 0.01 * dot(corner, camera.ahead);
  const [n, e] = corners.sort((a, b) => place(a) - place(b))[0]; // left, and rather behind
  const tall = Math.max(Math.ceil(-low[2]), 2);
  painter.line(camera, [[n, e, 0], [n, e, -tall]], painter.colour.soft, 2);
  const metre = camera.scaleAt([n, e, 0]);
  const each = [1, 2, 5].find((metres) => metres * metre > 1.6 * painter.size) || 10;
  for (let at = 0; at <= tall; at += each) {
    const spot = camera.spot([n, e, -at]);
    if (!spot) continue;
    const text = at + each > tall ? `${at} m high` : `${at}`;
    painter.trace([[spot[0] - 5, spot[1]], [spot[0] + 5, spot[1]]], false);
    painter.pen.stroke();
    const beside = [spot[0] - 9, spot[1] + painter.size / 3];
    painter.words(camera.view, text, beside, painter.colour.ink, "right");
  }
}

function paintScaleBar(painter, camera) {
  const metres = [0.5, 1, 2, 5, 10, 20, 50].find((m) => m * camera.focus > 70) || 100;
  const { left, top, width, height } = camera.view;
  const [right, y] = [left + width - 16, top + height - 12];
  const start = right - metres * camera.focus;
  const { pen, colour } = painter;
  painter.trace([[start, y - 6], [start, y], [right, y], [right, y - 6]], false);
  pen.strokeStyle = colour.ink;
  pen.lineWidth = 2;
  pen.stroke();
  painter.words(camera.view, `${metres} m`, [(start + right) / 2, y - 9], colour.ink, "centre");
}

// Where it has been: the last seconds bold, a mark at each moment that has passed.
function paintTrail(painter, camera, flight, time, look) {
  const now = Math.min(Math.floor(time / flight.step_s), flight.last);
  const recent = Math.max(now - Math.round(8 / flight.step_s), 0);
  const path = (from, to) => {
    return Array.from({ length: to - from + 1 }, (_, i) => flight.position(from + i));
  };
  if (recent > 0) painter.line(camera, path(0, recent), look.colour, 1, look.dash);
  const bold = [...path(recent, now), flight.at(time).position];
  painter.line(camera, bold, look.colour, 2.5, look.dash);
  painter.pen.strokeStyle = look.colour;
  painter.pen.lineWidth = 2;
  for (const moment of flight.moments.filter((one) => one.time_s <= time)) {
    const spot = camera.spot(flight.at(moment.time_s).position);
    if (spot) painter.pen.strokeRect(spot[0] - 4, spot[1] - 4, 8, 8);
  }
}

function paintShadow(painter, camera, pieces, state) {
  if (camera.flat) return; // it lies under the aeroplane
  const { soft, ink } = painter.colour;
  for (const piece of pieces) {
    if (!piece.sheet || piece.name === "propeller disc") continue;
    const flat = piece.points.map(([n, e]) => [n, e, 0]);
    painter.fill(camera.sheet(flat), soft, 0.35);
  }
  const [n, e, d] = state.position;
  painter.line(camera, [[n, e, 0], [n, e, d]], soft, 1, [3, 4]);
  const [x, y] = camera.spot([n, e, 0]) || [];
  const text = `${(-d).toFixed(1)} m up`;
  if (x) painter.words(camera.view, text, [x + 8, y + painter.size], ink);
}

function paintAeroplane(painter, camera, pieces, look) {
  const far = ({ points }) => Math.max(...points.map((point) => camera.see(point)[2]));
  for (const piece of [...pieces].sort((a, b) => far(b) - far(a))) {
    const disc = piece.name === "propeller disc";
    const colour = disc ? painter.colour.soft : look.colour;
    if (piece.sheet) {
      painter.fill(camera.sheet(piece.points), colour, disc ? 0.22 : look.fill);
      const outline = [...piece.points, piece.points[0]];
      painter.line(camera, outline, colour, 1, disc ? [] : look.dash);
    } else {
      const width = { stick: 3, boom: 2.5, rubber: 1, propeller: 4 }[piece.name] || 1.5;
      painter.line(camera, piece.points, colour, width, look.dash);
    }
  }
}

// The tips by name, so that nobody has to guess which side is which.
function paintTips(painter, camera, pieces) {
  const ribs = pieces.filter(({ name, sheet }) => name.endsWith(" wing") && !sheet);
  const name = (rib, text, away, where) => {
    const spot = camera.spot(rib.points[0]);
    const { ink } = painter.colour;
    if (spot) painter.words(camera.view, text, [spot[0] + away, spot[1]], ink, where);
  };
  name(ribs[0], "left", -6, "right");
  name(ribs.at(-1), "right", 6, "left");
}

function paintForces(painter, camera, flight, state, magnified) {
  const found = forces(flight.frame, state);
  const scale = (0.75 * flight.frame.span * magnified) / length(found.weight);
  for (const [name, force] of Object.entries(found)) {
    if (length(force) < 0.04 * length(found.weight)) continue;
    const tip = add(state.position, times(force, scale));
    const [dash, colour, words] = FORCES[name];
    painter.arrow(camera, [state.position, tip], painter.colour[colour], dash, words);
  }
}

// Turning pushes as bent arrows about the aeroplane's own axes: roll, pitch, yaw.
function paintTurningPushes(painter, camera, flight, state, magnified) {
  const radius = 0.42 * flight.frame.span * magnified;
  const up = ["right wing down", "nose up", "nose right"];
  const down = ["left wing down", "nose down", "nose left"];
  const start = [[0, 0, -1], [1, 0, 0], [1, 0, 0]]; // where each arc begins, in body axes
  const onward = [[0, 1, 0], [0, 0, -1], [0, 1, 0]];
  state.moment.forEach((push, axis) => {
    if (Math.abs(push) < 0.03) return;
    const sweep = (2.4 * push) / (Math.abs(push) + 0.8);
    const arc = Array.from({ length: 15 }, (_, i) => {
      const angle = (sweep * i) / 14;
      const out = around(start[axis], onward[axis], angle);
      return add(state.position, toEarth(state.quaternion, times(out, radius)));
    });
    const text = `${(push > 0 ? up : down)[axis]} ${Math.abs(push).toFixed(1)} mN m`;
    painter.arrow(camera, arc, painter.colour.ink, [[], [8, 4], [2, 4]][axis], text);
  });
}

// --- controls ------------------------------------------------------------------------------------

function make(tag, options = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(options)) {
    if (name === "text") element.textContent = value;
    else if (name === "press") element.addEventListener("click", value);
    else element.setAttribute(name, value);
  }
  element.append(...children);
  return element;
}

// Shown on the key, as the browser names it, what it does.
const KEYS = [
  ["Space", " ", "play or pause", (r) => r.toggle()],
  ["←", "arrowleft", "half a second back, five with Shift", (r, s) => r.seek(-s, r.state.time)],
  ["→", "arrowright", "half a second on, five with Shift", (r, s) => r.seek(s, r.state.time)],
  ["P", "p", "previous moment that matters", (r) => r.jump(-1)],
  ["N", "n", "next moment that matters", (r) => r.jump(1)],
  ["Home", "home", "launch", (r) => r.seek(0)],
  ["End", "end", "landing", (r) => r.seek(Infinity)],
  ["−", "-", "slower", (r) => r.faster(-1)],
  ["+ or =", "+", "faster", (r) => r.faster(1)],
  ["1", "1", "follow", (r) => r.look("follow")],
  ["2", "2", "from the floor", (r) => r.look("spectator")],
  ["3", "3", "from above", (r) => r.look("plan")],
  ["F", "f", "forces", (r) => r.flip("forces")],
  ["M", "m", "turning pushes (moments)", (r) => r.flip("turning")],
  ["G", "g", "second flight: ghost, side by side, off", (r) => r.nextGhost()],
  ["B", "b", "big text, for a projector", (r) => r.flip("projector")],
];

class Panel {
  constructor(root, title, replay) {
    this.root = root;
    const button = (text, press) => make("button", { type: "button", text, press });
    this.canvas = make("canvas", { role: "img" });
    this.stage = make("div", { class: "tk-stage", tabindex: "-1" }, this.canvas);
    this.lines = make("div", { class: "tk-lines" });
    this.key = make("p", { class: "tk-key" });
    this.said = make("div", { class: "tk-said", role: "status", "aria-live": "polite" });
    const range = { type: "range", class: "tk-time", min: 0, step: 0.01, "aria-label": "Time" };
    this.time = make("input", range);
    this.time.addEventListener("input", () => replay.seek(Number(this.time.value)));
    this.play = button("Play", () => replay.toggle());
    this.speed = make("span", { class: "tk-speed" });
    this.views = Object.entries(VIEWS).map(([view, [name]]) => {
      return [view, button(name, () => replay.look(view))];
    });
    this.switches = Object.entries(SWITCHES).map(([what, name]) => {
      return [what, button(name, () => replay.flip(what))];
    });
    this.ghost = button("", () => replay.nextGhost());
    const set = (label, ...inside) => {
      return make("div", { class: "tk-set", role: "group", "aria-label": label }, ...inside);
    };
    const before = button("Previous moment", () => replay.jump(-1));
    const after = button("Next moment", () => replay.jump(1));
    const slower = button("Slower", () => replay.faster(-1));
    const faster = button("Faster", () => replay.faster(1));
    const row = make("div", { class: "tk-row" });
    row.append(set("Time", before, this.play, after), set("Speed", slower, this.speed, faster));
    row.append(set("View", ...this.views.map(([, one]) => one)));
    row.append(set("Show", ...this.switches.map(([, one]) => one), this.ghost));
    const list = make("dl");
    for (const [key, , does] of KEYS) {
      list.append(make("dt", { text: key }), make("dd", { text: does }));
    }
    const keys = make("details", { class: "tk-keys" }, make("summary", { text: "Keys" }), list);
    const head = make("p", { class: "tk-title", text: title });
    root.append(head, this.stage, this.lines, this.key, this.time, row, keys, this.said);
  }

  show(state) {
    this.play.textContent = state.playing ? "Pause" : "Play";
    this.speed.textContent = `speed ×${state.speed}`;
    const press = (button, on) => button.setAttribute("aria-pressed", String(on));
    for (const [view, button] of this.views) press(button, state.view === view);
    for (const [what, button] of this.switches) press(button, state[what]);
    this.ghost.hidden = !state.two;
    this.ghost.textContent = `Second flight: ${GHOSTS[state.ghost]}`;
    this.root.classList.toggle("tk-projector", state.projector);
    this.time.max = state.end;
    this.time.value = state.time;
    const words = `${state.time.toFixed(1)} seconds of ${state.end.toFixed(1)}`;
    this.time.setAttribute("aria-valuetext", words);
  }

  // On the wall there is one short sentence: what the aeroplane does, without its figures.
  tell(lines, key, short) {
    while (this.lines.children.length > lines.length) this.lines.lastChild.remove();
    while (this.lines.children.length < lines.length) {
      const said = make("span");
      this.lines.append(make("p", { class: "tk-line" }, make("strong"), said));
    }
    lines.forEach(({ label, text }, i) => {
      const [name, said] = this.lines.children[i].children;
      name.textContent = label;
      said.textContent = short ? text.split(";")[0] : text;
    });
    this.key.textContent = key;
    this.canvas.setAttribute("aria-label", `${key} The line below says what happens.`);
  }
}

// --- the replay ----------------------------------------------------------------------------------

class Replay {
  constructor(scene, element) {
    this.hall = scene.hall;
    this.flights = scene.flights.map((given) => new Flight(given, scene.columns));
    this.squares = Math.min(this.hall[0], this.hall[1]) > 12 ? 5 : 1;
    this.root = make("div", { class: "tk-replay", role: "group", "aria-label": scene.title });
    element.append(this.root);
    this.state = {
      ...{ time: 0, end: 0, playing: false, speed: 1, two: this.flights.length > 1 },
      ...{ forces: false, turning: false, ghost: "ghost" },
      ...{ view: scene.view, projector: scene.projector },
    };
    this.state.time = Math.min(scene.at_s, this.end());
    this.panel = new Panel(this.root, scene.title, this);
    this.painter = new Painter(this.panel.canvas, this.root);
    this.saidAt = -SAY_EVERY_MS;
    this.undo = [];
    this.listen();
    this.draw();
  }

  listen() {
    const on = (target, name, act, options) => {
      target.addEventListener(name, act, options);
      this.undo.push(() => target.removeEventListener(name, act, options));
    };
    // On the window, before the notebook sees it: its single-letter commands would add cells.
    on(window, "keydown", (event) => this.key(event), true);
    this.calm = matchMedia("(prefers-reduced-motion: reduce)");
    on(this.calm, "change", () => this.pause());
    on(matchMedia("(prefers-color-scheme: dark)"), "change", () => this.draw());
    const size = new ResizeObserver(() => this.draw());
    size.observe(this.panel.canvas);
    const theme = new MutationObserver(() => setTimeout(() => this.draw(), 100));
    theme.observe(document.body, { attributes: true, attributeFilter: ["data-jp-theme-light"] });
    this.undo.push(() => size.disconnect(), () => theme.disconnect());
  }

  close() {
    this.stopClock();
    clearTimeout(this.later);
    this.undo.forEach((undo) => undo());
    this.root.remove();
  }

  // The flights that are on show, the pupil's first.
  shown() {
    return this.state.ghost === "off" ? this.flights.slice(0, 1) : this.flights;
  }

  end() {
    return Math.max(...this.shown().map((flight) => flight.duration_s));
  }

  set(changes) {
    Object.assign(this.state, changes);
    this.draw();
  }

  toggle() {
    if (this.state.playing) return this.pause();
    this.set({ playing: true, time: this.state.time < this.end() ? this.state.time : 0 });
    if (this.calm.matches) this.calmBeat();
    else this.clock = requestAnimationFrame((now) => this.beat(now, now));
  }

  pause(first = "Paused. ") {
    this.stopClock();
    this.set({ playing: false });
    this.sayNow(first);
  }

  stopClock() {
    cancelAnimationFrame(this.clock);
    clearTimeout(this.slowClock);
  }

  beat(now, before) {
    this.move((Math.min(now - before, 100) / 1000) * this.state.speed);
    if (this.state.playing) this.clock = requestAnimationFrame((next) => this.beat(next, now));
  }

  calmBeat() {
    this.slowClock = setTimeout(() => {
      this.move((CALM_BEAT_MS / 1000) * this.state.speed);
      if (this.state.playing) this.calmBeat();
    }, CALM_BEAT_MS);
  }

  move(seconds) {
    this.set({ time: Math.min(this.state.time + seconds, this.end()) });
    if (this.state.time >= this.end()) this.pause("");
    else if (performance.now() - this.saidAt > SAY_EVERY_MS) this.sayNow("");
  }

  seek(seconds, from = 0) {
    this.set({ time: clamp(from + seconds, 0, this.end()) });
    this.saySoon("");
  }

  // To the moment before or after now, which is told with whose it is.
  jump(way) {
    const all = this.shown().flatMap(({ moments, label }) => {
      const ahead = (moment) => way * (moment.time_s - this.state.time);
      return moments.map((moment) => ({ ...moment, label, ahead: ahead(moment) }));
    });
    const [next] = all.filter((m) => m.ahead > 0.01).sort((a, b) => a.ahead - b.ahead);
    if (!next) return this.saySoon(way > 0 ? "No later moment. " : "No earlier moment. ");
    if (this.state.playing) this.pause();
    this.seek(next.time_s);
    this.saySoon(this.state.two ? `${next.label}: ${next.what}. ` : "");
  }

  faster(steps) {
    const place = SPEEDS.indexOf(this.state.speed) + steps;
    this.set({ speed: SPEEDS[clamp(place, 0, SPEEDS.length - 1)] });
    this.saySoon(`Speed ${this.state.speed} times. `);
  }

  look(view) {
    this.set({ view });
    this.saySoon(`${VIEWS[view][1]} `);
  }

  flip(what) {
    this.set({ [what]: !this.state[what] });
    this.saySoon(`${SWITCHES[what]} ${this.state[what] ? "on" : "off"}. `);
  }

  nextGhost() {
    if (!this.state.two) return;
    const names = Object.keys(GHOSTS);
    this.state.ghost = names[(names.indexOf(this.state.ghost) + 1) % names.length];
    this.set({ time: Math.min(this.state.time, this.end()) });
    this.saySoon(`Second flight: ${GHOSTS[this.state.ghost]}. `);
  }

  key(event) {
    if (!this.root.contains(event.target)) return;
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Tab" || event.key === "Escape") return;
    event.stopPropagation();
    const onButton = event.target.closest("button, summary") !== null;
    if (onButton && (event.key === " " || event.key === "Enter")) return;
    const name = event.key === "=" ? "+" : event.key.toLowerCase();
    const pressed = KEYS.find(([, known]) => known === name);
    if (!pressed) return;
    event.preventDefault();
    pressed[3](this, event.shiftKey ? LARGE_STEP_S : SMALL_STEP_S);
  }

  told() {
    const label = (flight) => (this.shown().length > 1 ? `${flight.label}:` : "");
    return this.shown().map((one) => ({ label: label(one), text: one.tell(this.state.time) }));
  }

  sayNow(first) {
    clearTimeout(this.later);
    this.saidAt = performance.now();
    const words = this.told().map(({ label, text }) => `${label} ${text}.`.trim());
    this.panel.said.textContent = `${first}${words.join(" ")}`;
  }

  // A held key or a dragged slider says where it came to rest.
  saySoon(first) {
    clearTimeout(this.later);
    this.later = setTimeout(() => this.sayNow(first), SAY_AFTER_MS);
  }

  draw() {
    this.state.end = this.end();
    this.panel.show(this.state);
    const view = this.painter.begin();
    if (view.width < 10 || view.height < 10) return;
    const flights = this.shown();
    const beside = this.state.ghost === "beside" && flights.length > 1;
    const groups = beside ? flights.map((flight) => [flight]) : [flights];
    const magnified = groups.map((group, i) => {
      const width = view.width / groups.length;
      const part = { left: i * width, top: 0, width, height: view.height };
      return this.drawView(group, part, beside);
    });
    this.panel.tell(this.told(), this.keyText(Math.min(...magnified)), this.state.projector);
  }

  drawView(group, view, beside) {
    const states = group.map((flight) => flight.at(this.state.time));
    const fitted = beside ? this.flights : group; // both halves at one scale
    const camera = {
      follow: () => followCamera(group[0], states[0], view),
      spectator: () => spectatorCamera(fitted, view),
      plan: () => planCamera(fitted, view),
    }[this.state.view]();
    const magnified = this.magnified(camera, fitted);
    const { painter } = this;
    painter.within(view, () => {
      paintHall(painter, camera, this.hall, this.squares);
      if (this.state.view === "spectator") paintPost(painter, camera, fitted);
      // the ghost first, so that it lies under
      [...group.keys()].reverse().forEach((i) => {
        this.drawFlight(camera, group[i], states[i], magnified, group.length > 1 || beside);
      });
      if (this.state.view === "plan") paintScaleBar(painter, camera);
    });
    painter.trace([[view.left, 0], [view.left, view.height]], false); // between two halves
    painter.pen.strokeStyle = painter.colour.soft;
    if (view.left > 0) painter.pen.stroke();
    return magnified;
  }

  drawFlight(camera, flight, state, magnified, named) {
    const { painter } = this;
    const own = flight === this.flights[0];
    const [tint, dash, fill] = own ? ["own", [], 0.3] : ["other", [5, 2], 0.12];
    const look = { colour: painter.colour[tint], dash, fill };
    const pieces = piecesInHall(flight.frame, state, magnified);
    paintShadow(painter, camera, pieces, state);
    paintTrail(painter, camera, flight, this.state.time, look);
    paintAeroplane(painter, camera, pieces, look);
    if (this.state.view === "follow" && own) paintTips(painter, camera, pieces);
    const apart = own || this.state.ghost === "beside"; // a ghost's arrows would only confuse
    const arrows = apart && this.state.time < flight.duration_s; // what has landed flies no more
    if (arrows && this.state.forces) paintForces(painter, camera, flight, state, magnified);
    if (arrows && this.state.turning) paintTurningPushes(painter, camera, flight, state, magnified);
    const spot = camera.spot(state.position);
    if (!named || !spot) return;
    const above = spot[1] - camera.scaleAt(state.position) * flight.frame.span * magnified * 0.5;
    painter.words(camera.view, flight.label, [spot[0], above - 6], look.colour, "centre");
  }

  // How many times its size the aeroplane is drawn, so that it can be seen in a large hall.
  magnified(camera, flights) {
    if (this.state.view === "follow") return 1;
    const [low, high] = jointBox(flights);
    const { span } = flights[0].frame;
    const shown = span * camera.scaleAt(mix(low, high, 0.5));
    return clamp(Math.round((0.075 * camera.view.width) / shown), 1, 8);
  }

  keyText(magnified) {
    const words = [VIEWS[this.state.view][1], `Floor squares ${this.squares} m.`];
    if (magnified > 1) words.push(`Aeroplane drawn ${magnified} times its size.`);
    if (this.state.forces) words.push(FORCES_KEY);
    if (this.state.turning) words.push("Bent arrows: the turning push, smoothed; none if steady.");
    return words.join(" ");
  }
}

export default {
  render({ model, el }) {
    const replay = new Replay(model.get("scene"), el);
    return () => replay.close();
  },
};
