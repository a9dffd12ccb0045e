// Tells which row of a table is chosen, once the hands rest, and lets a block that is pasted into
// an empty open cell go into the table, where the cell would take all of it as one text. Tells what
// a pasted block has for a column of choices that does not offer it: the table leaves it out.
const SETTLED = 350; // ms without a further key or click before a row is told
const AGAIN = [80, 250, 500, 1200, 3000]; // ms after a press: the table marks the chosen cell late
const TRIES = 400; // times an open cell is looked at whether it is closed, each 25 ms
const MOST = 500; // pasted choices that are told

export default function ({ parentElement, data, setStateValue, setTriggerValue }) {
  const own = (parentElement.hands ??= { told: null, row: null, waiting: 0 });
  if (data.chosen !== own.shown) own.told = own.shown = data.chosen; // chosen elsewhere, or moved
  const root = () => [...document.querySelectorAll(`.${data.around} [data-testid=stDataFrame]`)].at(-1); // above it: what was not taken
  const tell = () => {
    clearTimeout(own.waiting);
    own.waiting = 0;
    if (!data.isTelling || own.row === null || own.row === own.told) return;
    own.told = own.row;
    setTriggerValue("row", own.row);
  };
  const look = () => {
    if (document.querySelector(".gdg-input")) return; // somebody types
    const row = chosenRow(root());
    if (row === null) return;
    if (row === own.row && own.waiting) return;
    own.row = row;
    clearTimeout(own.waiting);
    own.waiting = setTimeout(() => own.tell(), SETTLED);
  };
  const filled = (event) => {
    if (event.target.closest?.(".gdg-input") || !root()?.contains(document.activeElement)) return;
    const block = event.clipboardData?.getData("text/plain") || "";
    const find = (tries) => {
      const at = root()?.querySelector("td[aria-selected=true]");
      if (at && tries < TRIES - 8) own.leftOut(notOffered(root(), at, own.offered, block));
      else if (tries) setTimeout(() => find(tries - 1), 25);
    };
    find(TRIES); // the table marks the chosen cell late
  };
  const leftOut = (unknown) => {
    if (unknown.length || own.hasUnknown) setStateValue("unknown", { at: Date.now(), cells: unknown });
    own.hasUnknown = unknown.length > 0;
  };
  Object.assign(own, { tell, look, leftOut, offered: data.offered }); // a page drawn anew meanwhile forgets no press
  const used = (event) => {
    if (!root()?.contains(event.target)) return;
    own.looks?.forEach(clearTimeout);
    own.looks = AGAIN.map((late) => setTimeout(() => own.look(), late));
  };
  const left = (event) => {
    if (root()?.contains(event.target)) return;
    own.looks?.forEach(clearTimeout);
    // A row told after a press on another page would call the old page again.
    if (event.target.closest?.("a")) clearTimeout(own.waiting);
    else if (own.waiting) tell(); // what is pressed elsewhere is meant for the row chosen last
  };
  const heard = [["pointerup", used], ["keyup", used], ["pointerdown", left], ["paste", pasted], ["paste", filled]];
  for (const [name, hear] of heard) window.addEventListener(name, hear, true);
  return () => {
    for (const [name, hear] of heard) window.removeEventListener(name, hear, true);
  };
}

// The row of the chosen cell, or the only row chosen at the left edge.
function chosenRow(root) {
  const cell = root?.querySelector("td[aria-selected=true]");
  if (cell) return Number(cell.id.split("-").pop());
  const rows = root?.querySelectorAll("tr[aria-selected=true]") || [];
  return rows.length === 1 ? Number(rows[0].getAttribute("aria-rowindex")) - 2 : null;
}

// What a block pasted at the chosen cell has that its column does not offer: row, heading, text.
function notOffered(root, cell, offered, block) {
  const [column, row] = cell.id.split("-").slice(-2).map(Number);
  const heads = new Map([...root.querySelectorAll("th")].map((head) => [Number(head.ariaColIndex), head.textContent]));
  const unknown = [];
  block.replace(/\r?\n$/, "").split(/\r?\n/).forEach((line, down) =>
    line.split("\t").forEach((text, right) => {
      const head = heads.get(column + right), said = text.trim();
      if (said && offered[head] && !offered[head].includes(said)) unknown.push([row + down + 1, head, said]);
    }));
  return unknown.slice(0, MOST);
}

function pasted(event) {
  const cell = event.target.closest?.(".gdg-input"), text = event.clipboardData?.getData("text/plain") || "";
  if (!cell || cell.value !== "" || !/[\t\n]/.test(text.replace(/\r?\n$/, ""))) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const block = new DataTransfer();
  for (const kind of event.clipboardData.types) {
    if (kind !== "Files") block.setData(kind, event.clipboardData.getData(kind));
  }
  cell.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape", keyCode: 27, bubbles: true }));
  const put = (tries) => {
    const at = document.activeElement;
    const isClosed = !document.querySelector(".gdg-input") && at?.closest?.(".stDataFrame, [data-testid=stDataFrame]");
    if (isClosed) at.dispatchEvent(new ClipboardEvent("paste", { clipboardData: block, bubbles: true, cancelable: true }));
    else if (tries < TRIES) setTimeout(() => put(tries + 1), 25);
  };
  setTimeout(() => put(0), 25);
}
