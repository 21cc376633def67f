// Slips: what is wrong with a setting, beside its field.

import { $ } from './dom.js';
import { plain } from './doubts.js';
import { focusField } from './settings.js';

/** slipOf tells an error of a setting, and marks its field; of no error, or of another kind, it takes back what it told. */
export function slipOf(error) {
  const form = $('form');
  for (const field of form.elements) {
    if (field.getAttribute('aria-describedby') === 'slip') field.removeAttribute('aria-describedby');
    field.removeAttribute('aria-invalid');
  }
  if (error?.kind !== 'setting') return slip('');
  const named = form.elements[(error.field || '').replaceAll('-', '_')];
  const field = named?.setAttribute ? named : null;
  const reason = plain(error.reason.replace(/^--[\w-]+: /, ''));
  slip(`${reason[0].toUpperCase()}${reason.slice(1)}: ${plain(error.hint || 'change the setting')}.`);
  if (!field) return form.prepend($('slip'));
  field.setAttribute('aria-invalid', 'true');
  field.setAttribute('aria-describedby', 'slip');
  field.closest('label').after($('slip'));
  const fold = field.closest('details');
  if (fold && !fold.open) focusField(field.name);
}

/** slip tells words at the fields; none takes them away. */
export function slip(words) {
  $('slip').textContent = words;
  $('slip').hidden = !words;
  if (words) $('ask').hidden = false;
}
