// The photo larger and smaller: by wheel, two fingers, double tap, keys and buttons. It is scrolled as any box that is
// larger than its frame; a mouse drags it too.

const most = 8; // times as large as the whole photo
const keyStep = 1.25;

export class Zoom {
  /** frame scrolls, stack is what is in it; changed is called after each change of size. */
  constructor(frame, stack, changed) {
    Object.assign(this, { frame, stack, changed, scale: 1 });
    frame.addEventListener('wheel', (e) => this.wheel(e), { passive: false });
    frame.addEventListener('dblclick', (e) => this.to(this.scale > 1 ? 1 : 2.5, e.clientX, e.clientY));
    frame.addEventListener('keydown', (e) => this.key(e));
    this.touch();
    this.drag();
  }

  /** to makes it scale times as large as the whole photo; the point (x, y) of the window stays where it is. */
  to(scale, x, y) {
    const { frame, stack } = this, box = frame.getBoundingClientRect();
    x ??= box.left + box.width / 2;
    y ??= box.top + box.height / 2;
    const before = stack.getBoundingClientRect();
    const at = [(x - before.left) / before.width, (y - before.top) / before.height];
    this.scale = Math.min(Math.max(scale, 1), most);
    if (this.scale < 1.02) this.scale = 1;
    frame.classList.toggle('zoomed', this.scale > 1);
    stack.style.setProperty('--zoom', this.scale);
    const after = stack.getBoundingClientRect();
    frame.scrollLeft += after.left + at[0] * after.width - x;
    frame.scrollTop += after.top + at[1] * after.height - y;
    this.changed(this.scale);
  }

  by(factor, x, y) { this.to(this.scale * factor, x, y); }

  // A wheel scrolls the page, unless Ctrl is held, as a pinch on a touchpad tells it, or the photo has the focus.
  wheel(e) {
    if (!e.ctrlKey && !this.frame.matches(':focus-within')) return;
    e.preventDefault();
    this.by(Math.exp(-e.deltaY * (e.deltaMode ? 0.05 : 0.002)), e.clientX, e.clientY);
  }

  key(e) {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const does = { '+': () => this.by(keyStep), '=': () => this.by(keyStep), '-': () => this.by(1 / keyStep), 0: () => this.to(1) }[e.key];
    if (!does) return;
    e.preventDefault();
    does();
  }

  touch() {
    let apart = 0;
    const fingers = ({ touches: [a, b] }) => ({ d: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY),
      x: (a.clientX + b.clientX) / 2, y: (a.clientY + b.clientY) / 2 });
    this.frame.addEventListener('touchstart', (e) => { apart = e.touches.length === 2 ? fingers(e).d : 0; }, { passive: true });
    this.frame.addEventListener('touchmove', (e) => {
      if (!apart || e.touches.length !== 2) return;
      e.preventDefault();
      const { d, x, y } = fingers(e);
      this.by(d / apart, x, y);
      apart = d;
    }, { passive: false });
    this.frame.addEventListener('touchend', () => { apart = 0; });
  }

  drag() {
    let from = null;
    this.frame.addEventListener('pointerdown', (e) => {
      if (e.pointerType === 'mouse' && !e.button && this.scale > 1) from = [e.clientX, e.clientY];
    });
    addEventListener('pointermove', (e) => {
      if (!from) return;
      this.frame.scrollLeft -= e.clientX - from[0];
      this.frame.scrollTop -= e.clientY - from[1];
      from = [e.clientX, e.clientY];
    });
    addEventListener('pointerup', () => { from = null; });
  }
}
