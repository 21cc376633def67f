// The photo with what was found on it, the tools of the drawing, and the display's rims beside the fields.

import { $, make } from './dom.js';
import { Drawing } from './drawing.js';
import { change, top } from './leaves.js';
import { chosenOf } from './settings.js';

const drawing = new Drawing({
  svg: $('over'), image: $('photo'), loupe: $('loupe'),
  moved: (corners) => change({ corners: corners.map(placeText).join(' '), boxes: boxesOf() }),
  tapped: (name) => change({ trace: name }),
});

const placeText = ([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`;

function boxesOf() {
  const g = top.answer?.document.graticule;
  return $('boxes').value.trim() || (g ? `${g.columns}x${g.rows}` : '10x8');
}

/** ground draws the ground line so many boxes above the centre line. */
export const ground = (boxes) => drawing.ground(boxes);

/** tools listens to the drawing's buttons. */
export function tools() {
  $('corners').addEventListener('click', () => corners(!drawing.editing));
  $('again').addEventListener('click', () => { corners(false); change({ corners: '', boxes: '' }); });
  $('larger').addEventListener('click', () => {
    const on = $('frame').classList.toggle('large');
    $('larger').setAttribute('aria-pressed', on);
    drawing.handles();
  });
}

function corners(on) {
  drawing.edit(on);
  $('corners').setAttribute('aria-pressed', on);
  $('by-hand').hidden = !on;
}

/** lay puts the photo of a leaf there at once, before anything is known of it. */
export function lay(leaf) {
  corners(false);
  $('photo').src = URL.createObjectURL(leaf.photo); // the core's own follows
  $('over').replaceChildren();
  $('view').hidden = false;
  document.body.classList.add('begun');
  $('rims').dataset.grid = '';
}

/** draw shows what was found on the photo of the leaf on top. */
export function draw() {
  const got = top.answer, d = got.document;
  const photo = top.pictures.find((p) => p.name === 'photo');
  if (photo) $('photo').src = photo.url;
  top.size = [d.photo?.width_px || photo?.w || 1, d.photo?.height_px || photo?.h || 1];
  const seen = got.grid !== '';
  $('view').hidden = $('ask').hidden = !seen;
  $('by-hand').hidden = !drawing.editing;
  $('again').hidden = !top.settings.corners;
  if (!seen) return;
  const at = d.settings?.ground_box;
  drawing.show(got, top.size, chosenOf(got), typeof at === 'number' ? at : null);
  if (!d.graticule && !drawing.editing) corners(true);
  $('view-says').textContent = d.graticule
    ? `${d.graticule.columns} × ${d.graticule.rows} boxes. If not, move the corners.`
    : 'No grid was found: put the corners on it, and say how many boxes it has.';
  rims();
}

function rims() {
  const grid = top.answer.grid;
  if ($('rims').dataset.grid === grid) return;
  $('rims').dataset.grid = grid;
  const order = ['below', 'above', 'left', 'right']; // where most displays print their settings comes first
  const rank = (p) => order.findIndex((o) => p.name.startsWith(o));
  const pictures = top.pictures.filter((p) => p.name !== 'photo').sort((a, b) => rank(a) - rank(b));
  const figures = pictures.map((p) => {
    const image = make('img', { src: p.url, width: p.w, height: p.h, alt: `The display’s rim, ${p.name}` });
    return make('figure', { className: p.tall ? 'tall' : '' }, image, make('figcaption', { textContent: p.name }));
  });
  const first = pictures.filter((p) => rank(p) === 0).length || 2;
  $('rims').replaceChildren(...figures.slice(0, first));
  $('other-rims').replaceChildren(...figures.slice(first));
}
