// Slips: what is wrong with a setting, beside its field.

import { $ } from './dom.js';

/** slipOf tells an error of a setting, and marks its field; of no error, or of another kind, it takes back what it told. */
export function slipOf(error) {
  for (const field of $('form').elements) field.removeAttribute?.('aria-invalid');
  const field = error?.field && $('form').elements[error.field.replaceAll('-', '_')];
  if (error?.kind !== 'setting') return slip('');
  if (field?.setAttribute) field.setAttribute('aria-invalid', 'true');
  const label = field?.closest?.('label')?.firstChild.textContent.trim();
  const reason = error.reason.replace(/^--[\w-]+: /, '');
  slip(`${label ? `${label}: ` : ''}${reason}. To mend it: ${error.hint || 'change the setting'}.`);
}

/** slip tells words above the answer; none takes them away. */
export function slip(words) {
  $('slip').textContent = words;
  $('slip').hidden = !words;
  if (words) $('ask').hidden = false;
}
