// One flight as the page gets it: opens what parcel.py packed, and looks up a time in it.

const clamp = (value, low, high) => Math.min(Math.max(value, low), high);

// --- opening -------------------------------------------------------------------------------------

const MORE = 8; // the fourth bit of a half byte: more of the same number follow

// Whole numbers, of a DataView that may not be aligned.
function numbers(view) {
  const found = [];
  let [value, bits] = [0, 0];
  for (let half = 0; half < 2 * view.byteLength; half++) {
    const piece = (view.getUint8(half >> 1) >> (4 * (half & 1))) & 15;
    value += (piece & (MORE - 1)) << bits;
    bits += 3;
    if (piece & MORE) continue;
    found.push(value);
    [value, bits] = [0, 0];
  }
  return found;
}

// Rows of a flight: each number is how far a column bends away from going on as before.
function rows(view, grains) {
  const width = grains.length;
  const [place, slope] = [new Array(width).fill(0), new Array(width).fill(0)];
  return Float32Array.from(numbers(view), (bend, i) => {
    const column = i % width;
    slope[column] += bend & 1 ? -(bend + 1) / 2 : bend / 2;
    place[column] += slope[column];
    return place[column] * grains[column];
  });
}

const sentences = ({ words, told }) => numbers(told).map((i) => words[i]).join(" ").split(" \n ");

// --- one flight ----------------------------------------------------------------------------------

class Flight {
  constructor(given, columns) {
    Object.assign(this, given); // label, frame, moments and the three times
    this.rows = rows(given.rows, columns.flatMap(([, width, grain]) => Array(width).fill(grain)));
    this.sentences = sentences(given.said);
    this.places = {};
    this.width = 0;
    for (const [name, width] of columns) {
      this.places[name] = [this.width, this.width + width];
      this.width += width;
    }
    this.last = this.rows.length / this.width - 1;
    const path = Array.from({ length: this.last + 1 }, (_, row) => this.position(row));
    const most = (pick) => path.reduce((a, b) => a.map((value, i) => pick(value, b[i])));
    this.box = [most(Math.min), most(Math.max)]; // north, east, down
  }

  // Everything at a time. Neighbouring quaternions lie on one side (scene.py), so they are mixed
  // like the rest and brought back to length one.
  at(time) {
    const beat = clamp(time / this.step_s, 0, this.last);
    const row = Math.min(Math.floor(beat), this.last - 1);
    const share = beat - row;
    const values = Array.from({ length: this.width }, (_, i) => {
      const place = row * this.width + i;
      return this.rows[place] * (1 - share) + this.rows[place + this.width] * share;
    });
    const state = {};
    for (const [name, [start, end]] of Object.entries(this.places)) {
      state[name] = values.slice(start, end);
    }
    const size = Math.hypot(...state.quaternion);
    state.quaternion = state.quaternion.map((part) => part / size);
    return state;
  }

  position(row) {
    const start = row * this.width + this.places.position[0];
    return [...this.rows.subarray(start, start + 3)];
  }

  tell(time) {
    const row = Math.floor(time / this.sentence_step_s + 1e-6);
    const sentence = this.sentences[clamp(row, 0, this.sentences.length - 1)];
    return `${Math.min(time, this.duration_s).toFixed(1)} s: ${sentence}`;
  }
}

export { Flight };

