// The drawing over the photo: the lines of the graticule and the traces. Places are pixels of the upright photo. Corners and
// ground line (corners.js, groundline.js) are drawn into it as well.

const svgNS = 'http://www.w3.org/2000/svg';

/** shape makes an element of SVG. */
export function shape(name, attributes, text) {
  const e = document.createElementNS(svgNS, name);
  for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
  if (text) e.textContent = text;
  return e;
}

/** route is the path through points. */
export const route = (points) => points.map(([x, y], i) => `${i ? 'L' : 'M'}${x} ${y}`).join('');

export class Drawing {
  /** tapped is called with the name of a trace. */
  constructor(svg, image, tapped) {
    Object.assign(this, { svg, image, tapped, size: [1, 1], grid: null });
  }

  /** show draws an answer; shown is the name of the trace whose settings are shown. */
  show(answer, size, shown) {
    this.size = size;
    this.grid = answer.document.graticule;
    this.svg.setAttribute('viewBox', `0 0 ${size[0]} ${size[1]}`);
    this.svg.replaceChildren();
    const lattice = (answer.lattice || []).map(route).join('');
    if (lattice) this.svg.append(shape('path', { class: 'under', d: lattice }), shape('path', { class: 'lattice', d: lattice }));
    for (const trace of answer.traces || []) this.trace(trace, trace.name === shown, answer.traces.length > 1);
  }

  // trace draws one; of several each has its name at its end, and those that are not shown can be tapped.
  trace(trace, shown, several) {
    const d = trace.pieces.map(route).join('');
    this.svg.append(shape('path', { class: 'under', d }), shape('path', { class: shown ? 'trace' : 'trace other', d }));
    if (!several) return;
    const last = trace.pieces.at(-1)?.at(-1);
    if (last) {
      const [x, y] = [Math.min(last[0], this.size[0] - 20 * this.unit()), last[1]];
      const name = shape('text', { class: 'name', x, y, dx: '.3em', dy: '.35em' }, trace.name);
      name.style.fontSize = `${16 * this.unit()}px`;
      this.svg.append(name);
    }
    if (shown) return;
    const hit = shape('path', { class: 'hit', d });
    hit.addEventListener('click', () => this.tapped(trace.name));
    this.svg.append(hit);
  }

  /** unit is the size of a pixel of the screen in pixels of the photo. */
  unit() { return this.size[0] / Math.max(this.svg.clientWidth, 1); }

  /** placeOf gives the pixel of the photo under a pointer. */
  placeOf(e) {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
    return [p.x, p.y];
  }
}
