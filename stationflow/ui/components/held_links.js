// Holds a press on a link until what was typed just before it is stored. A table tells an edit
// 150 ms late, more on a busy machine, and a page left before its run begins loses the edit.
const LATE = 800; // ms after a key until its edit is told for certain
const RECENT = 5000; // ms after a key in which a run of the page may be the one that stores it
const LONGEST = 3000; // ms a press is held at most
const LOOK = 50;

export default function ({ parentElement }) {
  const own = (parentElement.own ??= { edited: -RECENT, held: 0, isOurs: false });
  const used = () => (own.edited = performance.now());
  const pressed = (event) => {
    const link = event.target.closest?.("a[href]");
    if (!link || own.isOurs || event.ctrlKey || event.metaKey || event.shiftKey) return;
    clearTimeout(own.held);
    if (!isUnsent(own.edited)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const since = performance.now();
    const follow = () => {
      if (isUnsent(own.edited) && performance.now() - since < LONGEST) {
        own.held = setTimeout(follow, LOOK);
        return;
      }
      own.isOurs = true;
      link.click();
      own.isOurs = false;
    };
    own.held = setTimeout(follow, LOOK);
  };
  const heard = [["keydown", used], ["input", used], ["paste", used], ["click", pressed]];
  for (const [name, hear] of heard) window.addEventListener(name, hear, true);
  return () => {
    for (const [name, hear] of heard) window.removeEventListener(name, hear, true);
  };
}

function isUnsent(edited) {
  const ago = performance.now() - edited;
  const app = document.querySelector("[data-testid=stApp]");
  return ago < LATE || (ago < RECENT && app?.dataset.testScriptState === "running");
}
