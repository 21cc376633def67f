// The ground line on the photo, with a handle at its left end.

import { route, shape } from './drawing.js';
import { grip } from './grip.js';
import { boxOf, pixelOf } from './places.js';

const radius = 13; // px of the screen; what can be hit is wider
const step = 0.05; // boxes an arrow key moves it: half of what a ground line is uncertain by

export class GroundLine {
  /** moving is called with boxes above the centre line while it is dragged, moved once it was let go. */
  constructor(drawing, moving, moved) {
    Object.assign(this, { drawing, moving, moved, boxes: null });
  }

  /** draw puts it so many boxes above the centre line; null takes it away. */
  draw(boxes) {
    const { svg, grid } = this.drawing;
    const focused = svg.querySelector('.ground-handle') === document.activeElement;
    svg.querySelectorAll('.ground, .ground-handle').forEach((e) => e.remove());
    this.boxes = boxes;
    if (boxes === null || !grid) return;
    this.line = shape('path', { class: 'ground' });
    this.handle = this.grip();
    svg.append(this.line, this.handle);
    this.place();
    if (focused) this.handle.focus({ preventScroll: true });
  }

  /** move puts it elsewhere. */
  move(boxes) {
    if (this.boxes === null) return this.draw(boxes);
    this.boxes = boxes;
    this.place();
  }

  place() {
    const { grid } = this.drawing, y = Math.min(Math.max(this.boxes, -grid.rows / 2), grid.rows / 2);
    const points = Array.from({ length: grid.columns + 1 }, (_, i) => pixelOf(grid, [i - grid.columns / 2, y]));
    this.line.setAttribute('d', route(points));
    this.handle.setAttribute('transform', `translate(${points[0]}) scale(${this.drawing.unit()})`);
    this.handle.setAttribute('aria-valuenow', this.boxes.toFixed(2));
    this.handle.setAttribute('aria-valuetext', `${this.boxes.toFixed(2)} boxes above the centre line`);
  }

  grip() {
    const { drawing } = this, { grid } = drawing, reach = grid.rows / 2;
    const handle = shape('g', { class: 'ground-handle', tabindex: 0, role: 'slider', 'aria-label': 'ground line',
      'aria-orientation': 'vertical', 'aria-valuemin': -reach, 'aria-valuemax': reach });
    handle.append(shape('circle', { class: 'reach', r: 22 }), shape('circle', { r: radius }),
      shape('text', { 'text-anchor': 'middle', dy: '.35em' }, '0 V'));
    grip(handle, {
      place: (e) => boxOf(grid, drawing.placeOf(e)),
      at: () => [0, this.boxes],
      step: (e) => [0, e.shiftKey ? 10 * step : step],
      move: (_, y) => {
        this.boxes = Math.round(Math.min(Math.max(y, -reach), reach) / step * 2) * step / 2;
        this.place();
        this.moving(this.boxes);
      },
      drop: () => this.moved(this.boxes),
    });
    return handle;
  }
}
