// Handles: what is dragged by mouse or finger, and moved by arrow keys.

const settled = 500; // ms after the last arrow key: what was moved is then asked for

const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

/**
 * grip makes element a handle. place(event) gives a place [x, y] of the handle's own kind; at() is where it is; move(x, y)
 * puts it elsewhere; step(event) is how far an arrow key moves it, y up; drop() is called when it was let go, or the keys
 * rest.
 */
export function grip(element, { place, at, move, step, drop }) {
  let held = null, later = 0;
  element.addEventListener('touchstart', (e) => e.preventDefault(), { passive: false }); // or the page scrolls with it
  element.addEventListener('pointerdown', (e) => {
    if (e.button) return;
    const [x, y] = place(e), [hx, hy] = at();
    held = [hx - x, hy - y]; // the finger need not hit its middle
    element.setPointerCapture(e.pointerId);
    e.preventDefault();
    e.stopPropagation();
    element.focus({ preventScroll: true });
  });
  element.addEventListener('pointermove', (e) => {
    if (!held) return;
    const [x, y] = place(e);
    move(x + held[0], y + held[1], e);
  });
  const end = () => {
    if (!held) return;
    held = null;
    drop();
  };
  element.addEventListener('pointerup', end);
  element.addEventListener('pointercancel', end);
  element.addEventListener('keydown', (e) => {
    const way = arrows[e.key];
    if (!way || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    e.stopPropagation();
    const [x, y] = at(), [dx, dy] = step(e);
    move(x + way[0] * dx, y + way[1] * dy, null);
    clearTimeout(later);
    later = setTimeout(drop, settled);
  });
}
