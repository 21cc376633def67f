// Quantities as they are put into fields when they were pointed at, not typed.

const prefixes = [[1, ''], [1e-3, 'm'], [1e-6, 'u'], [1e-9, 'n']];

/** quantity writes a value, rounded to steps of fine, with a prefix of unit: 0.0052 s is "5.2ms". */
export function quantity(value, fine, unit) {
  const [factor, prefix] = prefixes.find(([f]) => Math.abs(value) >= f) || (value ? prefixes.at(-1) : prefixes[0]);
  const decimals = Math.min(Math.max(Math.ceil(-Math.log10(fine / factor) - 1e-9), 0), 9);
  const text = (Math.round(value / fine) * fine / factor).toFixed(decimals);
  return `${decimals ? text.replace(/\.?0+$/, '') : text}${prefix}${unit}`;
}

/** roundStep gives the step 1, 2 or 5 times a power of ten that is next below x. */
export function roundStep(x) {
  const power = 10 ** Math.floor(Math.log10(x));
  return power * [5, 2, 1].find((k) => k * power <= x * 1.0001);
}
