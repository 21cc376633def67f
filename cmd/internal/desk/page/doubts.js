// Doubts and notes on the page: for each kind of the document's lists doubt_kinds and note_kinds that a person can do
// something about here, a button that does it, and the sentence in the page's own words where the document's speaks of the
// command line. A kind without a row shows its sentence only.

import { $, make } from './dom.js';

// What a button does, and its words: does(doing, remark), where doing has the page's functions by name.
const act = (words, does) => () => ({ words, does });
const corners = act('Move the corners', (doing) => doing.corners());
const count = act('Say the count of boxes', (doing) => doing.count());
const ground = act('Say where ground is', (doing) => doing.field('ground'));
const part = act('Choose the part that is used', (doing) => doing.part());
const field = (name, words) => act(words, (doing) => doing.field(name));
const set = (words, settings) => ({ words, does: (doing) => doing.set(settings) });
const other = ({ values }) => ({ words: `Read trace ${values.other}`, does: (doing) => doing.trace(values.other) });
const another = (remark, doing) => {
  const name = doing.others()[0];
  return name && { words: `Choose the other trace, ${name}`, does: () => doing.trace(name) };
};
const turn = (remark, doing) => set('Turn the photo', { turn: String((doing.turned() + 90) % 360) });
const kinds = { decay: 'a decay', sine: 'a sine', triangle: 'a triangle', ramp: 'a ramp', states: 'two states', pulses: 'pulses',
  noise: 'noise', level: 'a level' };

/** table has, by kind, act: (remark, doing) => {words, does} or nothing, and says: (values) => words. */
export const table = {
  'graticule.few_lines': { act: corners },
  'graticule.lines_off': { act: corners },
  'graticule.face_bends': { act: corners },
  'graticule.rims_off': { act: corners },
  'graticule.rim_unseen': { act: corners },
  'graticule.dots_past_rim': { act: corners },
  'graticule.dots_alike': { act: corners },
  'graticule.two_inks': { act: corners },
  'graticule.other_grid': { act: corners },
  'graticule.marks_one_sided': { act: corners },
  'graticule.marks_end': { act: corners },
  'graticule.lines_across': { act: corners },
  'graticule.corners_taken': { act: corners },
  'graticule.box_unusual': { act: count },
  'graticule.other_frame': { act: count },
  'graticule.ends_unclear': { act: count },
  'graticule.centre_elsewhere': { act: count },
  'graticule.cut_off': { act: count },
  'graticule.marks_few': { act: count },
  'graticule.marks_go_on': { act: count },
  'graticule.count_read': { act: count },
  'graticule.no_marks': { act: count },
  'graticule.other_count': {
    act: ({ values: v }) => set(`It has ${v.other_columns} × ${v.other_rows} boxes`, { boxes: `${v.other_columns}x${v.other_rows}` }),
  },

  'reading.words_turned': {
    says: () => 'The words on the display seem to lie on their side or upside down.',
    act: ({ values: v }) => set('Turn the photo', { turn: v.try_deg ? String(v.try_deg) : '' }),
  },
  'reading.higher_than_wide': { says: () => 'The graticule has more rows than columns: if the photo lies on its side, turn it.', act: turn },
  'reading.as_high_as_wide': {
    says: () => 'The graticule is as high as wide, and no words tell which way is up: if the photo lies on its side, turn it.', act: turn,
  },
  'reading.turned': {
    says: () => 'The photo was turned, as the words on the display stand.', act: () => set('Leave it as it was', { turn: '0' }),
  },
  'reading.may_be_paper': {
    says: (v) => `${v.columns} × ${v.rows} squares were found, and not where a display would end: if this is a drawing on squared paper, take the `
      + 'photo of the display first, and hold the drawing against it.',
  },

  'reading.no_trace': { act: corners },
  'reading.others_are_lines': { act: other },
  'reading.other_at_rim': { act: other },
  'reading.other_as_prominent': { act: other },
  'reading.other_less_prominent': { act: other },
  'reading.volts_of_traces': {
    says: () => 'The volts a box are those of the trace that is read; another trace may be set otherwise. Choose it, and give it its own.',
    act: another,
  },
  'reading.scales_unknown': {
    says: (v) => `The ${v.volts && v.seconds ? 'volts and the time a box are' : v.volts ? 'volts a box are' : 'time a box is'} not known yet, so `
      + `${v.volts && v.seconds ? 'all is' : v.volts ? 'heights are' : 'times are'} in boxes. Most displays print the settings at their rim.`,
    act: ({ values: v }) => (v.volts ? field('volts_per_box', 'Say the volts a box') : field('time_per_box', 'Say the time a box'))(),
  },
  'reading.setting_off_row': {
    act: ({ values: v }) => (v.of === 'frequency' ? field('time_per_box', 'Say the time a box') : field('volts_per_box', 'Say the volts a box'))(),
  },

  'trace.on_rim': { act: another },
  'trace.like_words': { act: another },
  'trace.mostly_hidden': { act: another },
  'trace.meets_another': { act: another },
  'trace.mark_without_trace': { act: another },
  'trace.left_over': { act: another },
  'trace.changes_stroke': { act: part },

  'calibrate.ground_off_grid': {
    says: (v) => `The ground line lies off the grid of ${v.columns} × ${v.rows} boxes that was found. Perhaps rows of the grid were missed; else the `
      + 'ground line is wrong, and with it all voltages from ground.',
    act: count,
  },
  'calibrate.ground_against_pointer': { act: ground },
  'calibrate.ground_against_mark': { act: () => set('Take the mark', { ground: '' }) },
  'calibrate.ground_mark_unclear': {
    act: ({ values: v }) => (typeof v.other_box === 'number' ? set('Take the other mark', { ground: String(Number(v.other_box.toFixed(2))) }) : ground()),
  },
  'calibrate.ground_mark_shared': { act: ground },
  'calibrate.ground_mark_missed': { act: ground },
  'calibrate.ground_off_screen': { act: ground },
  'calibrate.ground_at_rest': { act: ground },
  'calibrate.ground_unknown': { act: ground },
  'calibrate.probe_unusual': { act: field('probe', 'Change the probe') },

  'analysis.could_also_be': { act: ({ values: v }) => set(`It is ${kinds[v.signal]}`, { signal: v.signal }) },
  'analysis.another_kind': { act: () => set('Take it as it looks', { signal: '' }) },
  'analysis.not_recognised': { act: field('signal', 'Say the kind of signal') },
  'analysis.upside_down': {
    says: () => 'No decay runs like this, but turned upside down the trace is one: the photo was probably taken upside down.',
    act: (remark, doing) => set('Turn it by 180°', { turn: String((doing.turned() + 180) % 360) }),
  },
  'analysis.settles_elsewhere': { act: ground },
  'analysis.settles_below_ground': { act: ground },
  'analysis.settles_off_ground': { act: ground },
  'analysis.short_decay': { act: field('settles_at', 'Say where it settles') },
  'analysis.bent': { act: part },
  'analysis.decay_ends_flat': { act: part },
  'analysis.decays_differ': { act: part },
  'analysis.scatter_beyond_uncertainty': { act: part },
  'analysis.tau_far_from_rc': { act: field('time_per_box', 'Check the time a box') },
  'analysis.source_resistance_unknown': { act: field('source_resistance', 'Say the source’s resistance') },
  'analysis.input_resistance_unknown': { act: field('input_resistance', 'Say the input’s resistance') },
  'analysis.input_resistance_unknown_for_part': { act: field('input_resistance', 'Say the input’s resistance') },
};

/** remarksOf gives all doubts and notes of a document as data. */
export function remarksOf(d) {
  const rooms = [d, d.photo, d.graticule, ...(d.traces || []), ...(d.results || [])];
  return rooms.flatMap((r) => [...(r?.doubt_kinds || []), ...(r?.note_kinds || [])]);
}

/** withButtons puts words and buttons of the table into a list of doubts or notes of the page that is kept. */
export function withButtons(list, d, doing) {
  const all = remarksOf(d);
  for (const item of list.children) {
    const remark = all.filter((r) => item.textContent.endsWith(r.text)).sort((a, b) => b.text.length - a.text.length)[0];
    const row = table[remark?.kind];
    const words = item.lastChild; // behind what it is about
    words.textContent = row?.says && remark ? words.textContent.replace(remark.text, row.says(remark.values)) : plain(words.textContent);
    const button = row?.act?.(remark, doing);
    if (!button) continue;
    const e = make('button', { type: 'button', textContent: button.words });
    e.dataset.kind = remark.kind;
    e.addEventListener('click', () => button.does(doing));
    item.append(' ', e);
  }
}

/** plain says in the words of the page what was said for the command line: a flag is the field of its name. */
export function plain(text) {
  return text.replaceAll(/--([a-z][a-z-]*)/g, (flag, name) => {
    const label = $('form').elements[name.replaceAll('-', '_')]?.closest?.('label')?.firstChild.textContent.trim();
    return label ? `“${label}”` : elsewhere[name] || name.replaceAll('-', ' ');
  });
}
const elsewhere = { corners: '“Move the corners”', boxes: '“boxes across and down”', turn: 'a turn of the photo', trace: 'the trace' };
