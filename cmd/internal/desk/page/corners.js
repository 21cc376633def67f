// The corners of the frame, which are moved by mouse, finger or arrow keys under a loupe.

import { shape } from './drawing.js';
import { grip } from './grip.js';

const names = ['top-left corner', 'top-right corner', 'bottom-right corner', 'bottom-left corner'];
const radius = 17; // px of the screen: as wide as a fingertip hits
const magnified = 4; // times as large as the picture that is shown

export class Corners {
  /** moved is called with four corners once one was moved. */
  constructor(drawing, loupe, moved) {
    Object.assign(this, { drawing, loupe, moved, editing: false, corners: null });
  }

  /** draw puts the handles on the corners of the graticule, or where a display is usually. */
  draw() {
    const { grid, size: [w, h] } = this.drawing;
    const usual = [[0.15, 0.15], [0.85, 0.15], [0.85, 0.85], [0.15, 0.85]].map(([x, y]) => [x * w, y * h]);
    this.corners = grid ? grid.corners_px.map((p) => [...p]) : this.corners || usual;
    this.handles();
  }

  /** edit shows or hides the handles. */
  edit(on) {
    this.editing = on;
    this.loupe.hidden = true;
    this.handles();
  }

  /** sized keeps the handles as large on the screen as they are. */
  sized() {
    for (const e of this.drawing.svg.querySelectorAll('.corner')) e.setAttribute('r', radius * this.drawing.unit());
  }

  // handles makes the handles anew; the one that has the focus keeps it.
  handles() {
    const { svg } = this.drawing;
    const focused = [...svg.querySelectorAll('.corner')].indexOf(document.activeElement);
    svg.querySelectorAll('.corner').forEach((e) => e.remove());
    if (!this.editing || !this.corners) return;
    this.corners.forEach((corner, i) => svg.append(this.handle(corner, i)));
    if (focused >= 0) svg.querySelectorAll('.corner')[focused].focus({ preventScroll: true });
  }

  handle(corner, i) {
    const { drawing } = this;
    const handle = shape('circle', { class: 'corner', r: radius * drawing.unit(), tabindex: 0, role: 'button', 'aria-label': names[i] });
    const show = () => {
      handle.setAttribute('cx', corner[0]);
      handle.setAttribute('cy', corner[1]);
      handle.setAttribute('aria-description', `at ${Math.round(corner[0])}, ${Math.round(corner[1])}`);
    };
    show();
    grip(handle, {
      place: (e) => drawing.placeOf(e),
      at: () => corner,
      step: (e) => (e.shiftKey ? [10, -10] : [1, -1]), // pixels of the photo, whose y runs down
      move: (x, y, e) => {
        corner[0] = Math.min(Math.max(x, 0), drawing.size[0]);
        corner[1] = Math.min(Math.max(y, 0), drawing.size[1]);
        show();
        this.magnify(corner, e);
      },
      drop: () => {
        this.loupe.hidden = true;
        this.moved(this.corners);
      },
    });
    handle.addEventListener('blur', () => { this.loupe.hidden = true; });
    return handle;
  }

  // magnify shows the place under the loupe, which keeps out of the finger's way.
  magnify([x, y], e) {
    const { loupe, drawing: { image, size } } = this;
    if (!image.naturalWidth) return;
    const at = e || this.drawing.svg.querySelector('.corner:focus')?.getBoundingClientRect();
    loupe.classList.toggle('left', Boolean(at) && (e ? e.clientX : at.left) > innerWidth / 2);
    loupe.hidden = false;
    const k = image.naturalWidth / size[0];
    const part = loupe.width / magnified * Math.max(image.naturalWidth / Math.max(image.clientWidth, 1), 1) / devicePixelRatio;
    const c = loupe.getContext('2d'), w = loupe.width;
    c.fillRect(0, 0, w, w);
    c.drawImage(image, x * k - part / 2, y * k - part / 2, part, part, 0, 0, w, w);
    c.strokeStyle = '#ff8a5c';
    c.lineWidth = 1.5;
    c.beginPath();
    for (const [a, b] of [[0, 0.42], [0.58, 1]]) {
      c.moveTo(a * w, w / 2);
      c.lineTo(b * w, w / 2);
      c.moveTo(w / 2, a * w);
      c.lineTo(w / 2, b * w);
    }
    c.stroke();
  }
}
