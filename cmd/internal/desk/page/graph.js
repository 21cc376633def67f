// The graph of voltage against time as something to point at: two handles that choose the part which is fitted, and levels
// that are tapped. The figure is report's; the answer tells where its axes are.

import { make } from './dom.js';
import { shape } from './drawing.js';
import { grip } from './grip.js';
import { change, top } from './leaves.js';
import { arm, canLevel, levelButton, levelsOn, textOf } from './levels.js';
import { quantity, roundStep } from './quantity.js';
import { fieldsOf, nameIn, shownOf, typed } from './traces.js';

const fineness = 1 / 200; // of the width of the graph: how finely a handle is placed

/** point makes a figure of an answer one to point at, and gives the line of buttons for below it. */
export function point(figure, got) {
  const svg = figure.querySelector('svg'), g = got.graph, d = got.document;
  svg.setAttribute('role', 'group'); // what is in an image has no roles
  const name = shownOf(top), asked = g.windows.find((w) => w.trace === nameIn(d, name)) || { from: null, to: null };
  const ends = { from: asked.from ?? g.t0, to: asked.to ?? g.t1 };
  const px = (t) => g.left + (t - g.t0) / (g.t1 - g.t0) * (g.right - g.left);
  const at = (e) => {
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
    return { t: g.t0 + (p.x - g.left) / (g.right - g.left) * (g.t1 - g.t0), v: g.v0 + (g.bottom - p.y) / (g.bottom - g.top) * (g.v1 - g.v0) };
  };

  // The window.
  const fine = roundStep((g.t1 - g.t0) * fineness);
  const shades = { from: shape('path', { class: 'left-out' }), to: shape('path', { class: 'left-out' }) };
  svg.append(shades.from, shades.to);
  const show = (end, handle) => {
    const x = px(ends[end]), rim = end === 'from' ? g.left : g.right;
    shades[end].setAttribute('d', `M${rim} ${g.top}H${x}V${g.bottom}H${rim}Z`);
    handle.setAttribute('transform', `translate(${x} ${g.bottom})`);
    handle.setAttribute('aria-valuenow', ends[end]);
    handle.setAttribute('aria-valuetext', timeText(d, ends[end], fine, true));
  };
  for (const end of ['from', 'to']) {
    const handle = shape('g', { class: 'end', id: `end-${end}`, tabindex: 0, role: 'slider', 'aria-valuemin': g.t0, 'aria-valuemax': g.t1,
      'aria-label': end === 'from' ? 'the part that is used begins' : 'the part that is used ends' });
    handle.append(shape('circle', { class: 'reach', r: 20 }), shape('path', { d: `M0 0V${g.top - g.bottom}` }), shape('circle', { r: 7.5 }));
    svg.append(handle);
    show(end, handle);
    grip(handle, {
      place: (e) => [at(e).t, 0],
      at: () => [ends[end], 0],
      step: (e) => [(e.shiftKey ? 10 : 1) * fine, 0],
      move: (t) => {
        const [low, high] = end === 'from' ? [g.t0, ends.to - 5 * fine] : [ends.from + 5 * fine, g.t1];
        ends[end] = Math.min(Math.max(t, low), high);
        show(end, handle);
      },
      drop: () => change(typed(top.settings, name, { [end]: atRim(end) ? '' : timeText(d, ends[end], fine) })),
    });
  }
  const atRim = (end) => Math.abs(ends[end] - (end === 'from' ? g.t0 : g.t1)) < fine;

  // Levels.
  const line = shape('path', { class: 'level' }), words = shape('text', { class: 'level-says', x: g.right - 4, 'text-anchor': 'end' });
  svg.append(line, words);
  if (canLevel(d)) {
    levelsOn({
      element: svg,
      volts: (e) => { const { t, v } = at(e); return t < g.t0 || t > g.t1 || v < g.v0 || v > g.v1 ? null : v; },
      line: (v) => {
        const y = v === null ? null : g.bottom - (v - g.v0) / (g.v1 - g.v0) * (g.bottom - g.top);
        line.setAttribute('d', y === null ? '' : `M${g.left} ${y}H${g.right}`);
        words.textContent = y === null ? '' : textOf(v);
        words.setAttribute('y', (y ?? 0) - 4);
      },
    });
  }
  return buttons(d, name);
}

function buttons(d, name) {
  const whole = make('button', { type: 'button', id: 'whole', textContent: 'Use all of it' });
  const { from, to } = fieldsOf(top.settings, name);
  whole.disabled = !from && !to;
  whole.addEventListener('click', () => change(typed(top.settings, name, { from: '', to: '' })));
  const level = make('button', { type: 'button', id: 'tap-level', textContent: 'Tap a level' });
  level.hidden = !canLevel(d);
  arm(false);
  levelButton(level);
  const says = make('p', { className: 'quiet', textContent: 'Drag the two round handles to choose the part that is used.' });
  return make('div', { className: 'pointing' }, make('div', { className: 'tools' }, whole, level), says);
}

// timeText writes a time of the axis as the fields from and to take it: seconds from the left rim, or boxes from the centre.
function timeText(d, t, fine, spoken) {
  if (d.traces.some((tr) => tr.chosen && tr.time_unit === 'box')) {
    return spoken ? `${t.toFixed(2)} boxes from the left rim` : (t - d.graticule.columns / 2).toFixed(2);
  }
  return quantity(t, fine, 's');
}
