// Shows an SVG that can be dragged, zoomed with the wheel, the buttons, or + - 0 and the arrow
// keys, and searched. Where tasks can be chosen, a click or the arrow keys choose one.
const CLICK = 5; // a pointer that moved less, in pixels, has clicked and not dragged
const READABLE = 11; // size of letters in pixels that can be read
const ALMOST = 0.93; // a whole drawing may be so much smaller than that
const BAR = 44; // height of the row of buttons, in pixels: it stays clear of the drawing
const LEAST_SCALE = 0.72; // at which a wide drawing opens
const LEAST_WHOLE = 0.6; // at which it opens whole
const SHOWN_BEFORE = 160; // pixels of a wide drawing that are seen before what is marked
const KEPT = 80; // pixels that a drawing can be moved beyond the frame's edge
const WIDTHS = 40; // widths of the frame are told in steps of so many pixels
const SETTLED = 220; // ms without a further key before a choice made by keys is told
const PATIENCE = 40; // times a table that is being drawn is looked for

export default function ({ parentElement, data, setTriggerValue, setStateValue }) {
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

  // The view stays as it is when the page runs again; until it is moved it is that of opening.
  const view = (frame.view ??= { x: 0, y: 0, scale: 1, isMoved: false });
  const w = () => frame.clientWidth, h = () => frame.clientHeight;

  const show = () => { // some of the drawing is always to be seen
    const kept = (at, size, room, top) => Math.min(Math.max(at, Math.min(top, room - size) - KEPT), Math.max(top, room - size) + KEPT);
    view.x = kept(view.x, width * view.scale, w(), 0);
    view.y = kept(view.y, height * view.scale, h(), BAR);
    paper.style.transform = `translate(${view.x}px, ${view.y}px) scale(${view.scale})`;
  };
  const readable = READABLE / sheet.letters;
  const fitting = () => Math.min(w() / width, (h() - BAR) / height, 1.6);
  const fit = () => {
    if (!w() || !h()) return;
    view.scale = fitting();
    view.x = (w() - width * view.scale) / 2;
    view.y = BAR + (h() - BAR - height * view.scale) / 2;
    view.isMoved = true;
    show();
  };
  const open = () => { // whole where its words can be read so, else at the chosen task
    if (!w() || !h()) return;
    fit();
    if (data.isWide && view.scale < LEAST_WHOLE) { // as wide as the frame where it can be read so, about what is marked
      const from = sheet.middle?.getBBox();
      view.scale = Math.max(view.scale, Math.min(w() / width, 1), LEAST_SCALE);
      view.x = Math.max(0, (w() - width * view.scale) / 2);
      if (from && width * view.scale > w()) view.x = Math.max(w() - width * view.scale, SHOWN_BEFORE - from.x * view.scale);
      view.x = Math.min(view.x, Math.max(0, (w() - width * view.scale) / 2));
      if (from && height * view.scale > h() - BAR) view.y = BAR + (h() - BAR) / 2 - (from.y + from.height / 2) * view.scale;
      else view.y = BAR;
      show();
    } else if (!data.isWide && view.scale < ALMOST * readable) centre(sheet.tasks.get(nodes[chosen] ?? "n0"));
    view.isMoved = false;
  };
  // Brings a task to the middle, large enough to be read; a drawing that has room stays inside.
  const centre = (node) => {
    if (!node || !w()) return;
    if (view.scale < readable) view.scale = readable;
    const box = node.getBBox(), to = node.getCTM();
    const x = (box.x + box.width / 2) * to.a + to.e, y = (box.y + box.height / 2) * to.d + to.f;
    const within = (at, size, room, top) => size <= room - top ? top + (room - top - size) / 2
      : Math.min(top, Math.max(room - size, top + (room - top) / 2 - at));
    view.x = within(x * view.scale, width * view.scale, w(), 0);
    view.y = within(y * view.scale, height * view.scale, h(), BAR);
    view.isMoved = true;
    show();
  };
  const zoom = (factor, x = w() / 2, y = h() / 2) => {
    const scale = Math.min(Math.max(view.scale * factor, 0.05), 6);
    view.x = x - ((x - view.x) * scale) / view.scale;
    view.y = y - ((y - view.y) * scale) / view.scale;
    view.scale = scale;
    view.isMoved = true;
    show();
  };
  const move = (dx, dy) => {
    view.x += dx;
    view.y += dy;
    view.isMoved = true;
    show();
  };

  // The chosen task and its neighbours.
  const place = new Map(nodes.map((id, i) => [id, i]));
  const followers = nodes.map(() => []);
  (data.before || []).forEach((row, i) => row.forEach((b) => followers[b]?.push(i)));
  // An answer to an earlier press does not take the task back that was chosen since.
  if (frame.asked && (data.chosen ?? -1) !== frame.askedFrom) frame.asked = null;
  let chosen = place.get(frame.asked) ?? data.chosen ?? -1;
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
    if (!node) return;
    const seen = frame.getBoundingClientRect(), box = node.getBoundingClientRect();
    const dx = box.left < seen.left ? seen.left - box.left + 20 : Math.min(0, seen.right - box.right - 20);
    const dy = box.top < seen.top ? seen.top - box.top + 50 : Math.min(0, seen.bottom - box.bottom - 20);
    if (dx || dy) move(dx, dy);
  };
  let waiting = 0;
  const choose = (at, isSoon) => {
    if (at === undefined || at < 0 || at >= nodes.length) return;
    chosen = at;
    frame.asked = nodes[at];
    frame.askedFrom = data.chosen ?? -1;
    frame.picked = nodes[at]; // in the diagram itself: it is in sight already
    mark();
    reveal();
    said.textContent = sheet.tasks.get(nodes[at])?.querySelector("a")?.getAttribute("title")
      || sheet.tasks.get(nodes[at])?.textContent.trim() || "";
    clearTimeout(waiting);
    waiting = setTimeout(() => setTriggerValue("pick", at), isSoon ? SETTLED : 0);
  };

  // Finding a task by number or name.
  const called = (node) => node.querySelector("title")?.textContent || "";
  const find = (text, step) => {
    const wanted = text.trim().toLowerCase();
    const ranks = !wanted ? [] : [...sheet.tasks.entries()].map(([id, node]) => {
      const name = called(node).toLowerCase(), number = name.split(" ")[0];
      return [number === wanted ? 0 : number.startsWith(wanted) ? 1 : name.includes(wanted) ? 2 : 3, id, node];
    }).filter(([rank]) => rank < 3).sort((a, b) => a[0] - b[0]);
    const at = step && ranks.length ? (frame.foundAt + step + ranks.length) % ranks.length : 0;
    frame.foundAt = at;
    for (const node of sheet.tasks.values()) node.classList.toggle("found", node === ranks[at]?.[2]);
    frame.querySelector(".count").textContent = !wanted ? "" : ranks.length ? `${at + 1} of ${ranks.length}` : "none";
    if (ranks.length) {
      centre(ranks[at][2]);
      said.textContent = called(ranks[at][2]);
    }
    return place.get(ranks[at]?.[1]);
  };
  const done = () => {
    find("", 0);
    tools.querySelector("input").value = "";
    frame.focus({ preventScroll: true });
  };
  // Made once: who types goes on while the page is drawn anew.
  frame.acts = { in: () => zoom(1.3), out: () => zoom(1 / 1.3), fit, find, choose, done };
  if (!tools.firstChild) makeTools(frame, tools);
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
    const act = { "+": () => zoom(1.3), "-": () => zoom(1 / 1.3), "0": fit,
      "/": () => tools.querySelector("input").focus() }[event.key]
      || (isChoosing && !event.shiftKey ? choices : moves)[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  };
  let telling = 0;
  const sized = new ResizeObserver(() => {
    view.isMoved ? show() : open();
    // A frame of another width: the drawing is folded anew for it.
    const told = Math.floor(w() / WIDTHS) * WIDTHS;
    clearTimeout(telling);
    if (told && told !== data.width) telling = setTimeout(() => setStateValue("width", told), SETTLED);
  });
  frame.sized?.disconnect();
  frame.sized = sized;
  sized.observe(frame);
  view.isMoved ? show() : open();
  if (isChoosing) {
    mark();
    const own = nodes[chosen] || "";
    if (frame.dataset.chosen !== own && frame.dataset.chosen !== undefined) {
      frame.picked === own ? reveal() : centre(sheet.tasks.get(own));
    }
    frame.dataset.chosen = own;
    showRow(frame, data);
  }
  return () => {
    sized.disconnect();
    clearTimeout(waiting);
    clearTimeout(telling);
  };
}

function makeTools(frame, tools) {
  const input = document.createElement("input");
  input.type = "search";
  input.placeholder = "Find number or name";
  input.setAttribute("aria-label", "Find a task in the diagram by number or name");
  input.oninput = () => frame.acts.find(input.value, 0);
  input.onkeydown = (event) => {
    event.stopPropagation();
    if (event.key === "Escape") frame.acts.done();
    if (event.key !== "Enter") return;
    const at = frame.acts.find(input.value, input.value !== input.found ? 0 : event.shiftKey ? -1 : 1);
    input.found = input.value;
    if (at !== undefined) frame.acts.choose(at, false);
  };
  const count = document.createElement("span");
  count.className = "count";
  const buttons = [["+", "Zoom in", "in"], ["−", "Zoom out", "out"], ["Fit", "Show the whole diagram", "fit"]];
  tools.replaceChildren(input, count, ...buttons.map(([text, title, act]) => {
    const button = document.createElement("button");
    button.textContent = text;
    button.title = title;
    button.setAttribute("aria-label", title);
    button.onclick = () => frame.acts[act]();
    return button;
  }));
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
  const sizes = [...paper.querySelectorAll("g.node text")].map((t) => parseFloat(t.getAttribute("font-size")));
  const letters = Math.min(...sizes, 14);
  const middle = paper.querySelector(".middle");
  paper.sheet = { svg, width, height, letters, tasks, arrows, middle };
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
  const root = [...document.querySelectorAll(`.${data.table} [data-testid=stDataFrame]`)].at(-1); // above it: what was not taken
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
  let bar = root.querySelector(".chosen-row");
  if (!bar) {
    bar = document.createElement("div");
    bar.className = "chosen-row";
    bar.style.cssText = "position:absolute;left:0;width:4px;background:#c2410c;pointer-events:none;"
      + "border-radius:2px;z-index:1";
    if (getComputedStyle(root).position === "static") root.style.position = "relative";
    root.append(bar);
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
