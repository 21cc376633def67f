// The photo with what was found on it, the tools of the drawing, and the display's rims beside the fields.

import { Corners } from './corners.js';
import { $, make } from './dom.js';
import { Drawing, route, shape } from './drawing.js';
import { GroundLine } from './groundline.js';
import { change, top } from './leaves.js';
import { arm, canLevel, levelButton, levelsOn, textOf } from './levels.js';
import { boxOf, pixelOf } from './places.js';
import { choose, groundAt, moveGround } from './settings.js';
import { nameIn, shownOf, usedOf } from './traces.js';
import { Zoom } from './zoom.js';

const drawing = new Drawing($('over'), $('photo'), choose);
const ground = new GroundLine(drawing, moveGround, groundAt);
const corners = new Corners(drawing, $('loupe'), (four) => change({ corners: four.map(placeText).join(' '), boxes: boxesOf() }));
const zoom = new Zoom($('frame'), $('stack'), sized);

const placeText = ([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`;

function boxesOf() {
  const g = top.answer?.document.graticule;
  return $('boxes').value.trim() || (g ? `${g.columns}x${g.rows}` : '10x8');
}

/** tools listens to the drawing's buttons. */
export function tools() {
  $('corners').addEventListener('click', () => editCorners(!corners.editing));
  $('again').addEventListener('click', () => { editCorners(false); change({ corners: '', boxes: '' }); });
  $('larger').addEventListener('click', () => zoom.by(1.6));
  $('smaller').addEventListener('click', () => zoom.by(1 / 1.6));
  $('whole-photo').addEventListener('click', () => zoom.to(1));
  levelButton($('level'));
  $('photo').addEventListener('load', () => {
    $('frame').style.setProperty('--aspect', $('photo').naturalWidth / $('photo').naturalHeight);
    sized(zoom.scale);
  });
  addEventListener('resize', () => sized(zoom.scale));
}

// sized keeps handles and names as large on the screen as they are.
function sized(scale) {
  $('smaller').disabled = $('whole-photo').disabled = scale === 1;
  corners.sized();
  if (ground.boxes !== null && drawing.grid) ground.place();
  for (const name of $('over').querySelectorAll('.name')) name.style.fontSize = `${16 * drawing.unit()}px`;
}

/** moveLine draws the ground line so many boxes above the centre line. */
export const moveLine = (boxes) => ground.move(boxes);

/** editCorners shows or hides the handles of the corners. */
export function editCorners(on) {
  corners.edit(on);
  $('corners').setAttribute('aria-pressed', on);
  $('by-hand').hidden = !on;
}

/** toCorners brings a person to the corners, or to the field for the count of boxes. */
export function toCorners(count) {
  editCorners(true);
  $('view').scrollIntoView();
  (count ? $('boxes') : $('over').querySelector('.corner'))?.focus({ preventScroll: !count });
}

/** lay puts the photo of a leaf there at once, before anything is known of it. */
export function lay(leaf) {
  editCorners(false);
  arm(false);
  zoom.to(1);
  URL.revokeObjectURL($('photo').dataset.own || '');
  $('photo').src = $('photo').dataset.own = URL.createObjectURL(leaf.photo); // the core's own follows
  $('over').replaceChildren();
  $('view').hidden = false;
  $('h-view').textContent = 'The photo';
  $('view-says').textContent = '';
  document.body.classList.add('begun');
  $('rims').dataset.grid = '';
}

/** draw shows what was found on the photo of the leaf on top. */
export function draw() {
  const got = top.answer, d = got.document, name = shownOf(top);
  const photo = top.pictures.find((p) => p.name === 'photo');
  if (photo && $('photo').src !== photo.url) $('photo').src = photo.url;
  top.size = [d.photo?.width_px || photo?.w || 1, d.photo?.height_px || photo?.h || 1];
  const seen = got.grid !== '';
  $('view').hidden = !seen;
  $('ask').hidden = !d.graticule;
  $('again').disabled = !top.settings.corners && !top.settings.boxes;
  $('level').disabled = !seen || !d.graticule || !canLevel(d);
  if (!seen) return;
  const at = usedOf(d, name).ground_box;
  drawing.show(got, top.size, nameIn(d, name));
  ground.draw(typeof at === 'number' ? at : null);
  corners.draw();
  if (!d.graticule && !corners.editing) editCorners(true);
  $('h-view').textContent = d.graticule ? 'Do the thin lines fit the grid?' : 'No grid was found';
  $('view-says').textContent = d.graticule
    ? `${d.graticule.columns} × ${d.graticule.rows} boxes. If not, move the corners.`
    : 'Take another photo, straight on and sharp; or show where the grid is.';
  if (d.graticule && canLevel(d)) levels(d, usedOf(d, name));
  rims();
}

// levels lets a level be tapped on the display.
function levels(d, used) {
  const g = d.graticule, volt = used.volts_per_box * (used.probe || 1);
  const line = shape('path', { class: 'level' });
  $('over').append(line);
  levelsOn({
    element: $('stack'),
    volts: (e) => {
      const [x, y] = boxOf(g, drawing.placeOf(e));
      return Math.abs(x) > g.columns / 2 || Math.abs(y) > g.rows / 2 ? null : (y - used.ground_box) * volt;
    },
    line: (v) => {
      const y = v === null ? null : v / volt + used.ground_box;
      const ends = y === null ? [] : [-1, 1].map((side) => pixelOf(g, [side * g.columns / 2, y]));
      line.setAttribute('d', route(ends));
      $('level-says').textContent = y === null ? '' : textOf(v);
    },
  });
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
