// Hears Ctrl+Z and Ctrl+Y before a table does, which would type them into the chosen cell. Each
// time all presses are told, so that none is lost while the page is being drawn.
const LATER = 250; // ms: a table tells what was typed up to 150 ms late; that is stored first

export default function ({ parentElement, setStateValue }) {
  const keys = (parentElement.keys ??= { page: `${Date.now()} ${Math.random()}`, ways: "" });
  const tell = () => {
    keys.waiting = 0;
    setStateValue("presses", { page: keys.page, ways: keys.ways });
  };
  const hear = (event) => {
    const way = wayOf(event);
    if (event.composedPath().some((each) => each.classList?.contains("has-own-undo"))) return;
    if (!way || isText(event.composedPath()[0]) || document.querySelector("[data-testid=stDialog]")) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    keys.ways += way[0];
    keys.waiting ||= setTimeout(tell, LATER);
  };
  const leave = () => {
    window.removeEventListener("keydown", hear, true);
    if (keys.waiting) {
      clearTimeout(keys.waiting);
      tell();
    }
  };
  window.removeEventListener("keydown", keys.hear, true);
  window.addEventListener("keydown", (keys.hear = hear), true);
  (parentElement.host ?? parentElement).dataset.hears = "keys";
  return leave;
}
