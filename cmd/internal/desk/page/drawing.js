// The drawing over the photo: the lines of the graticule, the traces, the ground line, and the corners of the frame, which
// are moved by mouse, finger or arrow keys under a loupe. Places are pixels of the upright photo.

const svgNS = 'http://www.w3.org/2000/svg';
const names = ['top-left corner', 'top-right corner', 'bottom-right corner', 'bottom-left corner'];

const make = (name, attributes) => {
  const e = document.createElementNS(svgNS, name);
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  return e;
};
const route = (points) => points.map(([x, y], i) => `${i ? 'L' : 'M'}${x} ${y}`).join('');

export class Drawing {
  /** moved is called with four corners once one was moved, tapped with the name of a trace. */
  constructor({ svg, image, loupe, moved, tapped }) {
    Object.assign(this, { svg, image, loupe, moved, tapped });
    this.corners = null;
    this.editing = false;
    this.size = [1, 1];
  }

  /** show draws an answer; chosen is the name of the trace that is read, ground a height in boxes or null. */
  show(answer, size, chosen, ground) {
    this.size = size;
    this.svg.setAttribute('viewBox', `0 0 ${size[0]} ${size[1]}`);
    this.svg.replaceChildren();
    const lattice = (answer.lattice || []).map(route).join('');
    if (lattice) this.svg.append(make('path', { class: 'under', d: lattice }), make('path', { class: 'lattice', d: lattice }));
    for (const trace of answer.traces || []) {
      const d = trace.pieces.map(route).join('');
      const mine = trace.name === chosen;
      this.svg.append(make('path', { class: 'under', d }), make('path', { class: mine ? 'trace' : 'trace other', d }));
      if (mine || answer.traces.length < 2) continue;
      const hit = make('path', { class: 'hit', d });
      hit.addEventListener('click', () => this.tapped(trace.name));
      this.svg.append(hit);
    }
    this.line = make('path', { class: 'ground', d: '' });
    this.svg.append(this.line);
    const grid = answer.document.graticule;
    this.grid = grid;
    this.ground(ground);
    const [w, h] = size;
    this.corners = grid ? grid.corners_px.map((p) => [...p]) : [[0.15, 0.15], [0.85, 0.15], [0.85, 0.85], [0.15, 0.85]].map(([x, y]) => [x * w, y * h]);
    this.handles();
  }

  /** ground draws the ground line, boxes above the centre line; null for none. */
  ground(boxes) {
    if (!this.line) return;
    const nodes = this.grid?.nodes_px;
    if (boxes === null || !nodes) return this.line.setAttribute('d', '');
    const v = Math.min(Math.max(boxes + this.grid.rows / 2, 0), this.grid.rows);
    const j = Math.min(Math.floor(v), this.grid.rows - 1);
    const points = nodes[j].map(([x, y], i) => [x + (v - j) * (nodes[j + 1][i][0] - x), y + (v - j) * (nodes[j + 1][i][1] - y)]);
    this.line.setAttribute('d', route(points));
  }

  /** edit shows or hides the handles of the corners. */
  edit(on) {
    this.editing = on;
    this.handles();
  }

  handles() {
    this.svg.querySelectorAll('.corner').forEach((e) => e.remove());
    if (!this.editing || !this.corners) return;
    const radius = () => 16 * this.size[0] / Math.max(this.svg.clientWidth, 1); // 16 px of the screen
    this.corners.forEach((corner, i) => {
      const handle = make('circle', { class: 'corner', r: radius(), tabindex: 0, role: 'button', 'aria-label': names[i] });
      const place = () => {
        handle.setAttribute('cx', corner[0]);
        handle.setAttribute('cy', corner[1]);
        handle.setAttribute('aria-description', `at ${Math.round(corner[0])}, ${Math.round(corner[1])}`);
      };
      const move = (x, y) => {
        corner[0] = Math.min(Math.max(x, 0), this.size[0]);
        corner[1] = Math.min(Math.max(y, 0), this.size[1]);
        place();
        this.magnify(corner);
      };
      place();
      let grip = null;
      handle.addEventListener('pointerdown', (e) => {
        const at = this.placeOf(e);
        grip = [corner[0] - at[0], corner[1] - at[1]];
        handle.setPointerCapture(e.pointerId);
        e.preventDefault();
        handle.focus();
      });
      handle.addEventListener('pointermove', (e) => {
        if (!grip) return;
        const at = this.placeOf(e);
        move(at[0] + grip[0], at[1] + grip[1]);
      });
      const drop = () => {
        if (!grip) return;
        grip = null;
        this.loupe.hidden = true;
        this.moved(this.corners);
      };
      handle.addEventListener('pointerup', drop);
      handle.addEventListener('pointercancel', drop);
      let later = 0;
      handle.addEventListener('keydown', (e) => {
        const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
        if (!step) return;
        e.preventDefault();
        const k = e.shiftKey ? 10 : 1;
        move(corner[0] + k * step[0], corner[1] + k * step[1]);
        clearTimeout(later);
        later = setTimeout(() => this.moved(this.corners), 600);
      });
      handle.addEventListener('blur', () => { this.loupe.hidden = true; });
      this.svg.append(handle);
    });
  }

  placeOf(e) {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return [p.x, p.y];
  }

  /** magnify shows the place under the loupe, four times as large as on the photo's small picture. */
  magnify([x, y]) {
    const { image, loupe } = this;
    if (!image.naturalWidth) return;
    const k = image.naturalWidth / this.size[0], part = loupe.width / 4;
    const c = loupe.getContext('2d');
    loupe.hidden = false;
    c.fillRect(0, 0, loupe.width, loupe.height);
    c.drawImage(image, x * k - part / 2, y * k - part / 2, part, part, 0, 0, loupe.width, loupe.height);
    c.strokeStyle = '#ff8a5c';
    c.lineWidth = 1.5;
    c.beginPath();
    for (const [a, b] of [[0, 0.42], [0.58, 1]]) {
      c.moveTo(a * loupe.width, loupe.height / 2); c.lineTo(b * loupe.width, loupe.height / 2);
      c.moveTo(loupe.width / 2, a * loupe.height); c.lineTo(loupe.width / 2, b * loupe.height);
    }
    c.stroke();
  }
}
