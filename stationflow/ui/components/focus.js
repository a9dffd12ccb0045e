// Keeps the place of the keyboard, once for a window: a field whose value was stored is drawn anew
// and has the focus again, unless it was left meanwhile.
export default function () {
  if (window.stationflowFocus) return;
  window.stationflowFocus = true;
  let last = null; // the field that had the focus last
  const hear = (name, heard) => window.addEventListener(name, heard, true);
  hear("focusin", ({ target }) => {
    last = target.ariaLabel ? { field: target, kind: target.tagName, label: target.ariaLabel } : null;
  });
  hear("pointerdown", ({ target }) => {
    if (target !== last?.field) last = null;
  });
  new MutationObserver(() => {
    if (!last || last.field.isConnected || document.activeElement !== document.body) return;
    const alike = [...document.querySelectorAll(last.kind)].filter((e) => e.ariaLabel === last.label);
    if (alike.length === 1) alike[0].focus({ preventScroll: true });
  }).observe(document.body, { subtree: true, childList: true });
}
