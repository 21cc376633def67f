// The settings of a photo with several traces. Some are the photo's; the others belong to one trace: once another trace is
// chosen, each has its own, in the list traces. The rules are package wire's: what an entry of the list does not say is taken
// from the settings beside the list.

/** of are the settings that a trace has of its own (wire.TraceFields). */
export const of = ['volts_per_box', 'ground', 'probe', 'volts_accuracy', 'signal', 'from', 'to', 'settles_at', 'at',
  'resistance', 'capacitance', 'input_resistance', 'source_resistance',
  'known_frequency', 'known_tau', 'known_half_life', 'known_level', 'known_drive'];

const ownOf = (settings) => Object.fromEntries(of.filter((k) => settings[k]).map((k) => [k, settings[k]]));
const none = () => Object.fromEntries(of.map((k) => [k, '']));

/** chosenOf gives the name of the first trace that an answer is of. */
export const chosenOf = (got) => got?.document.traces?.find((t) => t.chosen)?.name;

/** nameIn gives the name that a document has for the trace called so in settings: a, or a colour as #rrggbb. */
export const nameIn = (d, called) => (called.startsWith('#') && nearest(d?.traces || [], called)?.name) || called;

/** calledOf gives what the settings of a leaf call the trace with a name in its answer. */
export function calledOf(leaf, name) {
  const all = [leaf.settings.trace, ...(leaf.settings.traces || []).map((t) => t.trace)].filter(Boolean);
  return all.find((called) => nameIn(leaf.answer?.document, called) === name) || name;
}

// nearest gives the trace whose hue and saturation are nearest to a colour's, as package trace takes it.
function nearest(all, colour) {
  const wanted = chroma(colour), off = (t) => Math.hypot(...chroma(t.colour).map((c, i) => c - wanted[i]));
  return all.reduce((best, t) => (best && off(best) <= off(t) ? best : t), null);
}

// chroma is a colour's place on the plane across the grey axis, divided by its brightest channel.
function chroma(colour) {
  const rgb = [1, 3, 5].map((i) => parseInt(colour.slice(i, i + 2), 16)), top = Math.max(...rgb, 1);
  const [r, g, b] = rgb.map((c) => c / top);
  return [r - (g + b) / 2, Math.sqrt(3) / 2 * (g - b)];
}

/** shownOf gives what the settings of a leaf call the trace whose settings are shown, '' before any is known. */
export const shownOf = (leaf) => leaf.settings.trace || leaf.settings.traces?.[0].trace || chosenOf(leaf.answer) || '';

/** usedOf gives what the trace of a document that is called so was scaled with. */
export const usedOf = (d, called) => d.traces?.find((t) => t.name === nameIn(d, called))?.settings || d.settings || {};

/** fieldsOf gives the settings of the trace called name. */
export const fieldsOf = (settings, name) => ({ ...settings, ...settings.traces?.find((t) => t.trace === name) });

/** typed gives the change of settings after fields, by name, were typed for the trace called name. */
export function typed(settings, name, fields) {
  if (!settings.traces) return fields;
  const shared = {}, mine = {};
  for (const [k, v] of Object.entries(fields)) (of.includes(k) ? mine : shared)[k] = v;
  const list = settings.traces.map((t) => ({ ...ownOf(settings), ...t }));
  if (!list.some((t) => t.trace === name)) list.push({ trace: name });
  const entry = list.find((t) => t.trace === name);
  Object.assign(entry, mine);
  for (const k of of) if (entry[k] === '') delete entry[k];
  return { ...none(), ...shared, traces: list.sort((a, b) => (a.trace < b.trace ? -1 : 1)) };
}

/** chosen gives the change of settings after the trace called name was chosen in the place of before. */
export function chosen(settings, before, name) {
  const own = ownOf(settings);
  if (settings.traces || !before || !Object.keys(own).length) return { trace: name };
  return { ...none(), traces: [{ trace: before, ...own }], trace: name };
}

/** sent gives the settings as the core wants them: all traces with volts a box, or the one that is shown alone. */
export function sent(settings) {
  if (!settings.traces) return settings;
  const { traces, trace, ...shared } = settings;
  const shown = trace || traces[0].trace;
  const read = traces.filter((t) => t.volts_per_box || shared.volts_per_box);
  if (read.length > 1 && read.some((t) => t.trace === shown)) return { ...shared, traces: read };
  return { ...shared, trace: shown, ...traces.find((t) => t.trace === shown) };
}
