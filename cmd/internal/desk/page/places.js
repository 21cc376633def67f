// Between places on the photo, in pixels, and on the display, in boxes from its centre, x right and y up. A graticule of the
// document has the places of all its nodes; between them a box is taken as a quadrilateral with straight sides.

const within = (v, most) => Math.min(Math.max(Math.floor(v), 0), most - 1);

// cell gives the corners of the box in which (u, v) lies, boxes from the frame's bottom-left corner, or of the nearest one.
function cell(grid, u, v) {
  const i = within(u, grid.columns), j = within(v, grid.rows), nodes = grid.nodes_px;
  return { i, j, a: nodes[j][i], b: nodes[j][i + 1], c: nodes[j + 1][i], d: nodes[j + 1][i + 1] };
}

/** pixelOf gives the pixel of a place in boxes. */
export function pixelOf(grid, [x, y]) {
  const u = x + grid.columns / 2, v = y + grid.rows / 2;
  const { i, j, a, b, c, d } = cell(grid, u, v), s = u - i, t = v - j;
  return [0, 1].map((k) => (1 - t) * ((1 - s) * a[k] + s * b[k]) + t * ((1 - s) * c[k] + s * d[k]));
}

/** boxOf gives the place in boxes of a pixel, by Newton's method in the box that it comes to. */
export function boxOf(grid, [px, py]) {
  let u = grid.columns / 2, v = grid.rows / 2;
  for (let n = 0; n < 30; n++) {
    const { i, j, a, b, c, d } = cell(grid, u, v), s = u - i, t = v - j;
    const [x, y] = pixelOf(grid, [u - grid.columns / 2, v - grid.rows / 2]);
    const across = [0, 1].map((k) => (1 - t) * (b[k] - a[k]) + t * (d[k] - c[k]));
    const up = [0, 1].map((k) => (1 - s) * (c[k] - a[k]) + s * (d[k] - b[k]));
    const det = across[0] * up[1] - across[1] * up[0];
    const du = ((px - x) * up[1] - (py - y) * up[0]) / det, dv = ((py - y) * across[0] - (px - x) * across[1]) / det;
    u += du;
    v += dv;
    if (Math.hypot(du, dv) < 1e-4) break;
  }
  return [u - grid.columns / 2, v - grid.rows / 2];
}
