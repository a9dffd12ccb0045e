// Shows an SVG that can be dragged, zoomed with the wheel, the buttons, or + - 0 and the arrow
// keys. Where tasks can be chosen, a click or the arrow keys choose one.
const CLICK = 5; // a pointer that moved less, in pixels, has clicked and not dragged
const SETTLED = 220; // ms without a further key before a choice made by keys is told
const PATIENCE = 40; // times a table that is being drawn is looked for

export default function ({ parentElement, data, setTriggerValue }) {
  const frame = parentElement.querySelector(".frame");
  const paper = frame.querySelector(".paper");
  const tools = frame.querySelector(".tools");
  const said = frame.querySelector(".said");
  const nodes = data.nodes || [];
  const isChoosing = nodes.length > 0;
  frame.style.height = data.height + "px";
  frame.setAttribute("role", isChoosing ? "group" : "img");
  frame.setAttribute("aria-label", data.label);
  frame.classList.toggle("choosing", isChoosing);
  frame.classList.toggle("dark", Boolean(data.isDark));

  const sheet = drawn(paper, data.svg);
  if (!sheet) return;
  const { width, height } = sheet;

  // A drawing that is still the same keeps its place when the page runs again.
  const same = frame.dataset.size === width + "x" + height;
  frame.dataset.size = width + "x" + height;
  const view = same && frame.view ? frame.view : { x: 0, y: 0, scale: 1, isFitted: true };
  frame.view = view;

  const show = () => {
    paper.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
  };
  const fit = () => {
    const w = frame.clientWidth, h = frame.clientHeight;
    if (!w || !h) return;
    const bar = 44; // the buttons' row stays clear of the drawing
    view.scale = Math.min(w / width, (h - bar) / height, 1.6);
    view.x = (w - width * view.scale) / 2;
    view.y = bar + (h - bar - height * view.scale) / 2;
    view.isFitted = true;
    show();
  };
  const zoom = (factor, x = frame.clientWidth / 2, y = frame.clientHeight / 2) => {
    const scale = Math.min(Math.max(view.scale * factor, 0.05), 6);
    view.x = x - ((x - view.x) * scale) / view.scale;
    view.y = y - ((y - view.y) * scale) / view.scale;
    view.scale = scale;
    view.isFitted = false;
    show();
  };
  const move = (dx, dy) => {
    view.x += dx;
    view.y += dy;
    view.isFitted = false;
    show();
  };

  // The chosen task and its neighbours.
  const place = new Map(nodes.map((id, i) => [id, i]));
  const followers = nodes.map(() => []);
  (data.before || []).forEach((row, i) => row.forEach((b) => followers[b]?.push(i)));
  let chosen = data.chosen ?? -1;
  const mark = () => {
    const before = new Set(data.before?.[chosen] || []), after = new Set(followers[chosen] || []);
    for (const [i, node] of sheet.tasks) {
      const at = place.get(i);
      node.classList.toggle("chosen", at === chosen);
      node.classList.toggle("near", before.has(at) || after.has(at));
      node.classList.toggle("after", after.has(at));
    }
    const own = nodes[chosen];
    for (const [from, to, edge] of sheet.arrows) edge.classList.toggle("near", from === own || to === own);
  };
  const reveal = () => { // only as far as needed
    const node = sheet.tasks.get(nodes[chosen]);
    if (!node || view.isFitted) return;
    const seen = frame.getBoundingClientRect(), box = node.getBoundingClientRect();
    const dx = box.left < seen.left ? seen.left - box.left + 20 : Math.min(0, seen.right - box.right - 20);
    const dy = box.top < seen.top ? seen.top - box.top + 50 : Math.min(0, seen.bottom - box.bottom - 20);
    if (dx || dy) move(dx, dy);
  };
  let waiting = 0;
  const choose = (at, isSoon) => {
    if (at === undefined || at < 0 || at >= nodes.length) return;
    chosen = at;
    mark();
    reveal();
    said.textContent = sheet.tasks.get(nodes[at])?.querySelector("a")?.getAttribute("title")
      || sheet.tasks.get(nodes[at])?.textContent.trim() || "";
    clearTimeout(waiting);
    waiting = setTimeout(() => setTriggerValue("pick", at), isSoon ? SETTLED : 0);
  };

  tools.replaceChildren(
    ...[
      ["+", "Zoom in", () => zoom(1.3)],
      ["−", "Zoom out", () => zoom(1 / 1.3)],
      ["Fit", "Show the whole diagram", fit],
    ].map(([text, title, act]) => {
      const button = document.createElement("button");
      button.textContent = text;
      button.title = title;
      button.setAttribute("aria-label", title);
      button.onclick = act;
      return button;
    }),
  );
  frame.onwheel = (event) => {
    if (!event.ctrlKey && !event.metaKey && document.activeElement?.shadowRoot?.activeElement !== frame
        && frame.getRootNode().activeElement !== frame) return; // the page scrolls until the diagram is in use
    event.preventDefault();
    const at = frame.getBoundingClientRect();
    zoom(Math.exp(-event.deltaY / 400), event.clientX - at.left, event.clientY - at.top);
  };
  let last = null, start = null, pressed = null;
  frame.onpointerdown = (event) => {
    if (event.target.closest(".tools") || event.button !== 0) return;
    last = start = [event.clientX, event.clientY];
    pressed = event.target.closest("g.node");
    frame.setPointerCapture(event.pointerId);
    frame.focus({ preventScroll: true });
  };
  frame.onpointermove = (event) => {
    if (!last) return;
    if (start && Math.hypot(event.clientX - start[0], event.clientY - start[1]) < CLICK) return;
    start = null;
    move(event.clientX - last[0], event.clientY - last[1]);
    last = [event.clientX, event.clientY];
  };
  frame.onpointerup = () => {
    if (start && pressed && isChoosing) choose(place.get(taskOf(pressed)), false);
    last = start = pressed = null;
  };
  frame.onpointercancel = () => { last = start = pressed = null; };
  frame.onkeydown = (event) => {
    if (event.target !== frame || event.ctrlKey || event.metaKey || event.altKey) return;
    const step = 60;
    const moves = {
      ArrowLeft: () => move(step, 0), ArrowRight: () => move(-step, 0),
      ArrowUp: () => move(0, step), ArrowDown: () => move(0, -step),
    };
    const near = (list) => choose([...(list || [])].sort((a, b) => a - b)[0], true);
    const choices = {
      ArrowLeft: () => near(data.before?.[chosen]), ArrowRight: () => near(followers[chosen]),
      ArrowUp: () => choose(chosen - 1, true), ArrowDown: () => choose(chosen + 1, true),
      Home: () => choose(0, true), End: () => choose(nodes.length - 1, true),
    };
    const act = { "+": () => zoom(1.3), "-": () => zoom(1 / 1.3), "0": fit }[event.key]
      || (isChoosing && !event.shiftKey ? choices : moves)[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  };
  const sized = new ResizeObserver(() => (view.isFitted ? fit() : show()));
  sized.observe(frame);
  view.isFitted ? fit() : show();
  if (isChoosing) {
    mark();
    if (frame.dataset.chosen !== nodes[chosen]) reveal();
    frame.dataset.chosen = nodes[chosen] || "";
    showRow(frame, data);
  }
  return () => {
    sized.disconnect();
    clearTimeout(waiting);
  };
}

// Puts a drawing on the paper, unless it is there already; returns what is in it.
function drawn(paper, svg) {
  if (paper.sheet?.svg === svg) return paper.sheet;
  const drawing = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  if (drawing.nodeName !== "svg") return null;
  const box = (drawing.getAttribute("viewBox") || "0 0 100 100").split(/\s+/).map(Number);
  const width = box[2], height = box[3];
  drawing.setAttribute("width", width);
  drawing.setAttribute("height", height);
  paper.replaceChildren(document.importNode(drawing, true));
  const tasks = new Map([...paper.querySelectorAll("g.node")].map((node) => [taskOf(node), node]));
  const arrows = [...paper.querySelectorAll("g.edge")].map((edge) => {
    const ends = (edge.querySelector("title")?.textContent || "").split("->");
    return [ends[0].trim(), (ends[1] || "").trim(), edge];
  });
  paper.sheet = { svg, width, height, tasks, arrows };
  return paper.sheet;
}

// The id of a node up to the first underscore tells the task; the rest is its number.
function taskOf(node) {
  return node.id.split("_")[0];
}

// Scrolls the table of the tasks to the row of the chosen one, when it is out of sight. The
// table may still be being drawn; a table that was scrolled by hand for the same row is left.
function showRow(frame, data, tries = 0) {
  if (!data.table || data.row < 0) return;
  const root = document.querySelector("." + data.table);
  const scroller = root?.querySelector(".dvn-scroller");
  const canvas = root?.querySelector("canvas");
  if (!scroller || !scroller.clientHeight || scroller.scrollHeight < data.row * data.rowHeight) {
    if (tries < PATIENCE) setTimeout(() => showRow(frame, data, tries + 1), 100);
    return;
  }
  keepFocus(root);
  const key = data.row + "/" + data.chosen;
  if (frame.shownRow === key && frame.shownIn === scroller) return;
  frame.shownRow = key;
  frame.shownIn = scroller;
  const top = data.row * data.rowHeight, seen = scroller.clientHeight - 2 * data.rowHeight;
  if (top < scroller.scrollTop || top > scroller.scrollTop + seen - data.rowHeight) {
    scroller.scrollTop = Math.max(0, top - seen / 2);
  }
  placeMarker(root, scroller, canvas, data);
}

// The table keeps the focus on a hidden cell that it takes away when it draws its rows anew;
// the keys typed next would go nowhere. The focus then goes to its canvas, which takes them.
function keepFocus(root) {
  if (root.keepsFocus) return;
  root.keepsFocus = true;
  root.addEventListener("focusout", (event) => {
    if (event.relatedTarget) return;
    requestAnimationFrame(() => {
      const isLost = document.activeElement === document.body && !event.target.isConnected;
      if (isLost) root.querySelector("canvas")?.focus({ preventScroll: true });
    });
  });
}

// A quiet bar at the left edge of the table marks the row of the chosen task.
function placeMarker(root, scroller, canvas, data) {
  const around = root.querySelector('[data-testid="stDataFrame"]') || scroller.parentElement;
  let bar = around.querySelector(".chosen-row");
  if (!bar) {
    bar = document.createElement("div");
    bar.className = "chosen-row";
    bar.style.cssText = "position:absolute;left:0;width:4px;background:#c2410c;pointer-events:none;"
      + "border-radius:2px;z-index:1";
    if (getComputedStyle(around).position === "static") around.style.position = "relative";
    around.append(bar);
  }
  const place = () => {
    const head = data.rowHeight + 3;
    const y = head + data.row * data.rowHeight - scroller.scrollTop;
    const isSeen = y >= head - data.rowHeight / 2 && y < scroller.clientHeight - 4;
    bar.style.display = isSeen ? "block" : "none";
    bar.style.top = y + 2 + "px";
    bar.style.height = data.rowHeight - 4 + "px";
  };
  if (scroller.placeMarker) scroller.removeEventListener("scroll", scroller.placeMarker);
  scroller.placeMarker = place;
  scroller.addEventListener("scroll", place);
  place();
}
