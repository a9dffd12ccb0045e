// Keeps presses whole, once for a window, whatever page is shown.
// A press is given to what is drawn anew between its down and its up, where a browser would give
// it to nobody. A press after that of a button waits until the page has taken the button: a run
// that is cut short by the next forgets which button began it. A link waits until what was typed
// just before it is stored: a table tells an edit 150 ms late, and a page left before its run
// begins loses the edit. On a busy machine a run begins long after it was asked for. A press that
// closes an open cell waits for the run of that edit, which would cut its own short.
// A link whose page does not come is pressed again: the server keeps the page that is wanted once
// for all runs of a window, and a part of a page that is drawn anew at that moment, as the
// progress of a balance is each second, puts its own page in the place of the one just chosen.
const LATE = 800; // ms after a key until its edit is told for certain
const TOLD = 500; // ms after a cell was closed until it is told, where it was edited
const RECENT = 15000; // ms after a key in which a run of the page may be the one that stores it
const QUIET = 400; // ms without a run after the press of a button: it has begun none
const LONGEST = 3000; // ms a press waits at most for that of a button, or to be drawn again
const LOOK = 50;
const COME = 2000; // ms until a chosen page has come, if nothing runs; for each try twice as long
const TRIES = 4;
const STILL = 6; // px a hand may move within a press
const ASKS_FOR_RUN = 0x5a; // first byte of a message to the server: `rerun_script` of BackMsg
const OPEN_CELL = ".gdg-input, #portal input, #portal textarea";
const CHOICE = "[id^=react-select][role=option]"; // in the list of a cell of a table
const PRESSABLE = `button:not(:disabled), a[href], label, ${CHOICE}`;
const PAGE_LINK = "[data-testid=stTopNavLink], [data-testid=stPageLink-NavLink]";

export default function () {
  if (window.stationflowPresses) return;
  window.stationflowPresses = true;
  const now = () => performance.now();
  const held = []; // presses not given yet, the oldest first
  let down = null; // the press of which the browser has not told a click
  let edited = -RECENT, button = -LONGEST; // when a key and when a button was pressed last
  let asked = 0, started = 0, ended = 0; // when the last run of the page was
  let acted = 0, meantRun = 0; // when hands did something last, and when that asked for a run
  let closed = -LONGEST; // when a press closed an open cell
  let isOurs = false;

  const hear = (name, heard) => window.addEventListener(name, heard, true);
  const isBusy = () => isRunning() || asked > Math.max(started, ended);
  const isMeantOpen = () => meantRun > Math.max(started, ended) && now() - meantRun < RECENT;
  const isEarly = (pressed) => {
    const isTaken = !isBusy() && (started > button || now() - Math.max(ended, button) > QUIET);
    if (now() - button < LONGEST && !isTaken) return true;
    const sinceClosed = now() - closed, sinceKey = now() - edited;
    if (sinceClosed < LONGEST && (isBusy() || (asked < closed && sinceClosed < TOLD))) return true;
    if (!pressed.matches("a[href]")) return false;
    return sinceKey < LATE || (sinceKey < RECENT && isBusy()) || isMeantOpen();
  };
  const pass = (pressed) => {
    if (pressed.closest("[data-testid=stButton], [data-testid=stFormSubmitButton]")) button = now();
    if (pressed.matches(PAGE_LINK)) follow(pressed);
  };
  const click = (meant) => {
    isOurs = true;
    meant.click();
    isOurs = false;
  };
  const follow = (link, tries = 1) => {
    const since = now(), page = location.pathname, mark = markOf(link);
    if (link.pathname === page || tries === TRIES) return;
    const look = () => {
      if (location.pathname !== page || acted > since) return; // it has come, or hands went on
      if (isRunning()) return setTimeout(look, LOOK);
      const again = allOf(mark)[0];
      if (!again) return;
      click(again);
      follow(again, tries + 1);
    };
    setTimeout(look, COME * 2 ** (tries - 1));
  };
  const hold = (press) => {
    held.push({ ...press, since: now(), page: location.pathname });
    if (held.length === 1) setTimeout(give, LOOK);
  };
  const give = () => {
    const press = held[0], meant = meantBy(press);
    const isHere = location.pathname === press.page;
    const isWaiting = meant ? isEarly(meant) : now() - press.since < LONGEST;
    if (isHere && isWaiting) return setTimeout(give, LOOK);
    held.shift();
    if (held.length) setTimeout(give, LOOK);
    if (!isHere || !meant) return;
    pass(meant);
    click(meant);
  };

  hear("pointerdown", (event) => {
    acted = now();
    if (document.querySelector(OPEN_CELL) && !event.target.closest?.("#portal")) edited = closed = now();
    const pressed = pressableAt(event.target);
    const isMouse = event.button === 0 && event.pointerType !== "touch"; // a finger's click is late
    down = pressed && isMouse ? begun(pressed, event) : null;
  });
  hear("pointerup", (event) => {
    acted = now();
    const press = down;
    if (press && Math.hypot(event.clientX - press.x, event.clientY - press.y) <= STILL)
      setTimeout(() => down === press && hold(press), 0); // the browser's own click comes before
  });
  hear("click", (event) => {
    const pressed = pressableAt(event.target);
    if (!pressed || isOurs) return;
    down = null;
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (!held.length && !isEarly(pressed)) return pass(pressed);
    event.preventDefault();
    event.stopImmediatePropagation();
    const press = begun(pressed, event);
    // A switch presses itself when it has seen no click after 80 ms.
    if (event.isTrusted || !held.some((one) => one.mark === press.mark)) hold(press);
  });
  new MutationObserver(() => {
    if (isRunning()) started = now();
    else ended = now();
  }).observe(document.body, { subtree: true, attributeFilter: ["data-test-script-state"] });
  const send = WebSocket.prototype.send;
  WebSocket.prototype.send = function (message) {
    if (message[0] === ASKS_FOR_RUN) {
      asked = now();
      if (asked - acted < LATE) meantRun = asked; // not one that the page asks for by itself
    }
    return send.call(this, message);
  };
  for (const name of ["keydown", "input", "change", "paste"]) hear(name, () => (edited = acted = now()));
}

function isRunning() {
  const app = document.querySelector("[data-testid=stApp]");
  return app?.dataset.testScriptState !== "notRunning";
}

function pressableAt(element) {
  return element?.closest?.(PRESSABLE);
}

function begun(pressed, { clientX: x, clientY: y }) {
  const mark = markOf(pressed);
  return { pressed, mark, isOnly: allOf(mark).length === 1, x, y };
}

function markOf(pressed) {
  const key = /st-key-\S+/.exec(pressed.closest("[class*=st-key-]")?.className);
  return [key, pressed.dataset.testid, pressed.href, pressed.ariaLabel, pressed.textContent].join("|");
}

function allOf(mark) {
  return [...document.querySelectorAll(PRESSABLE)].filter((each) => markOf(each) === mark);
}

// The same one where the page has moved it; else the one like it, of several that at its place.
function meantBy({ pressed, mark, isOnly, x, y }) {
  const all = allOf(mark);
  const there = pressed.isConnected ? pressed
    : isOnly ? all.length === 1 && all[0]
    : pressableAt(document.elementFromPoint(x, y));
  return all.includes(there) ? there : null;
}
