// Keeps the place of the keyboard, once for a window: a field whose value was stored is drawn anew
// and has the focus again, unless it was left meanwhile. A table asks for the focus with a press
// and takes it a frame later, on a busy machine from the cell that was opened meanwhile: letters
// typed then are lost. A cell that nobody left has the focus again.
const OPEN_CELL = ".gdg-input, #portal input";
const LEAVES = ["Enter", "Tab", "Escape"];

export default function () {
  if (window.stationflowFocus) return;
  window.stationflowFocus = true;
  let last = null; // the field that had the focus last
  let isLeft = true; // whether hands have left the open cell since it had the focus
  const hear = (name, heard) => window.addEventListener(name, heard, true);
  hear("focusin", ({ target, relatedTarget: before }) => {
    last = target.ariaLabel ? { field: target, kind: target.tagName, label: target.ariaLabel } : null;
    if (target.matches(OPEN_CELL)) isLeft = false;
    else if (!isLeft && before?.matches(OPEN_CELL) && target.closest("[data-testid=stDataFrame]")) before.focus();
  });
  hear("pointerdown", ({ target }) => {
    if (target !== last?.field) last = null;
    isLeft = true;
  });
  hear("keydown", ({ key }) => {
    isLeft ||= LEAVES.includes(key);
  });
  new MutationObserver(() => {
    if (!last || last.field.isConnected || document.activeElement !== document.body) return;
    const alike = [...document.querySelectorAll(last.kind)].filter((e) => e.ariaLabel === last.label);
    if (alike.length === 1) alike[0].focus({ preventScroll: true });
  }).observe(document.body, { subtree: true, childList: true });
}
