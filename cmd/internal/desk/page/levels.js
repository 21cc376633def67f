// Levels whose times are wanted, tapped on the photo or on the graph: while one is to be tapped, a line follows the pointer,
// and a tap adds its voltage to the field "times at these levels".

import { change, top } from './leaves.js';
import { quantity, roundStep } from './quantity.js';
import { fieldsOf, shownOf, typed, usedOf } from './traces.js';

/** Where levels are tapped: {element, volts(event): number or null, line(volts or null)}. */
const places = [];
const buttons = [];
let armed = false;

/** levelsOn lets levels be tapped at a place; a place of the same element takes its turn. */
export function levelsOn(place) {
  const { element } = place;
  const i = places.findIndex((p) => p.element === element || !p.element.isConnected);
  places.splice(i < 0 ? places.length : i, i < 0 ? 0 : 1, place);
  if (element.dataset.levels) return;
  element.dataset.levels = 'yes';
  const here = () => places.find((p) => p.element === element);
  let aimed = null; // what the line shows is what is taken: a click has its place in whole pixels only
  for (const what of ['pointerdown', 'pointermove']) {
    element.addEventListener(what, (e) => {
      if (armed) here().line(aimed = here().volts(e));
    });
  }
  element.addEventListener('pointerleave', () => here()?.line(null));
  element.addEventListener('click', (e) => {
    if (!armed || aimed === null) return;
    e.stopPropagation();
    arm(false);
    add(aimed);
  }, true);
}

/** levelButton makes a button the switch. */
export function levelButton(button) {
  buttons.push(button);
  button.setAttribute('aria-pressed', armed);
  button.addEventListener('click', () => arm(!armed));
}

/** arm says whether the next tap is a level. */
export function arm(on) {
  armed = on;
  document.body.classList.toggle('levels', on);
  for (const b of buttons) b.setAttribute('aria-pressed', on);
  if (!on) for (const p of places) p.line(null);
}

/** canLevel says whether the shown trace of a document is in volts. */
export const canLevel = (d) => typeof usedOf(d, shownOf(top)).volts_per_box === 'number';

/** textOf writes a level as finely as it can be pointed at, to a twentieth of a box. */
export function textOf(volts) {
  const used = usedOf(top.answer.document, shownOf(top));
  return quantity(volts, roundStep(used.volts_per_box * (used.probe || 1) / 20), 'V');
}

function add(volts) {
  const name = shownOf(top), before = fieldsOf(top.settings, name).at || '';
  const list = before.split(/[;,]\s*(?!\d+V)/).filter(Boolean);
  const at = [...list, textOf(volts)].join(',');
  if (!list.includes(textOf(volts))) change(typed(top.settings, name, { at }));
}
