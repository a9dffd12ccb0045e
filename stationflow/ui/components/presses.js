// Keeps presses whole, once for a window, whatever page is shown. A link waits until what was
// typed just before it is stored: a table tells an edit 150 ms late, more on a busy machine, and a
// page left before its run begins loses the edit. And what is drawn anew between the down and the
// up of a press gets the press all the same, which a browser would give to nobody.
const LATE = 800; // ms after a key until its edit is told for certain
const RECENT = 5000; // ms after a key in which a run of the page may be the one that stores it
const LONGEST = 3000; // ms a press is held at most
const LOOK = 50;
const STILL = 6; // px a hand may move within a press

export default function () {
  if (window.stationflowPresses) return;
  window.stationflowPresses = true;
  giveToDrawnAnew();
  holdLinks();
}

const hear = (name, heard) => window.addEventListener(name, heard, true);

function giveToDrawnAnew() {
  let press = null;
  const give = (mine) => {
    if (press !== mine || location.pathname !== mine.page) return;
    const meant = meantBy(mine);
    if (!meant && performance.now() - mine.since < LONGEST) {
      setTimeout(give, LOOK, mine);
      return;
    }
    press = null;
    meant?.click();
  };
  hear("pointerdown", (event) => {
    const pressed = pressableAt(event.target);
    const isMouse = event.button === 0 && event.pointerType !== "touch"; // a finger's click comes late
    press = pressed && isMouse ? begun(pressed, event) : null;
  });
  hear("pointerup", (event) => {
    if (!press) return;
    const way = Math.hypot(event.clientX - press.x, event.clientY - press.y);
    press.since = performance.now();
    if (way > STILL) press = null;
    else setTimeout(give, 0, press); // the browser's own click comes before
  });
  hear("click", (event) => {
    if (pressableAt(event.target)) press = null; // it has arrived
  });
  hear("keydown", () => (press = null));
}

function pressableAt(element) {
  return element?.closest?.("button:enabled, a[href], label");
}

function begun(pressed, { clientX: x, clientY: y }) {
  return { pressed, mark: markOf(pressed), x, y, page: location.pathname };
}

function markOf(pressed) {
  const key = /st-key-\S+/.exec(pressed.closest("[class*=st-key-]")?.className);
  return [key, pressed.dataset.testid, pressed.href, pressed.ariaLabel, pressed.textContent].join("|");
}

// The same one where the page has moved it, or one like it at its place.
function meantBy({ pressed, mark, x, y }) {
  const there = pressed.isConnected ? pressed : pressableAt(document.elementFromPoint(x, y));
  return there && !there.disabled && markOf(there) === mark ? there : null;
}

function holdLinks() {
  let edited = -RECENT;
  let held = 0;
  let isOurs = false;
  const used = () => (edited = performance.now());
  for (const name of ["keydown", "input", "paste"]) hear(name, used);
  hear("click", (event) => {
    const link = event.target.closest?.("a[href]");
    if (!link || isOurs || event.ctrlKey || event.metaKey || event.shiftKey) return;
    clearTimeout(held);
    if (!isUnsent(edited)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const since = performance.now();
    const follow = () => {
      if (isUnsent(edited) && performance.now() - since < LONGEST) {
        held = setTimeout(follow, LOOK);
        return;
      }
      isOurs = true;
      link.click();
      isOurs = false;
    };
    held = setTimeout(follow, LOOK);
  });
}

function isUnsent(edited) {
  const ago = performance.now() - edited;
  const app = document.querySelector("[data-testid=stApp]");
  return ago < LATE || (ago < RECENT && app?.dataset.testScriptState === "running");
}
