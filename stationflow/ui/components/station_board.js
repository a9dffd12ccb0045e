// Stations as columns of tiles against the limit line. A tile is taken up by mouse or Enter, goes
// where it may, and follows at once; Python is told and answers with what came of it. What may not
// be is known before: the order of the tasks is looked at here, limits come as tables.
const DRAG = 5; // a pointer that moved less, in pixels, has chosen and not dragged
const COLUMN = 62, WIDEST = 260, GAP = 12; // widths in pixels
const ROUND = 458; // height of all that stands above and below it on the page, in pixels
const TALLEST = 720;
const ROW = 19; // height of a tile that is at no station yet
const LEAST = 3; // height of the smallest tile, in pixels
const NAMED = 13, SMALL = 9; // tiles so high have words, or a small number
const HEADROOM = 1.15; // the picture keeps its scale while a station is no more than this over the limit
const WAITS = "One moment: the step before is not done yet.";
const EDGE = 40; // a tile carried so near to an end moves the stations along
const SVG = {
  pin: "M9 1 15 7 13.6 8.4 12.9 7.7 10 10.6 9.5 13.5 8 15 4.9 11.9 1.4 15.4.6 14.6 4.1 11.1 1 8 2.5 6.5 5.4 6 8.3 3.1 7.6 2.4Z",
  lock: "M4 7V5a4 4 0 0 1 8 0v2h1v8H3V7Zm2 0h4V5a2 2 0 0 0-4 0Z",
};

export default function ({ parentElement, data, setStateValue }) {
  const frame = parentElement.querySelector(".board");
  const own = (frame.own ??= { page: `${Date.now()} ${Math.random()}`, asks: [], id: "" });
  if (own.id !== data.id) Object.assign(own, { id: data.id, chosen: null, carry: null, asks: [], sent: 0 });
  own.data = data;
  own.tell = () => setStateValue("asks", { page: own.page, id: own.id, from: own.sent, asks: own.asks });
  // What Python has not taken yet is done again on what it sent.
  const taken = data.page === own.page ? data.taken : 0;
  own.asks = own.asks.slice(Math.max(0, taken - own.sent));
  own.sent = Math.max(own.sent, taken);
  own.said = own.asks.length ? "" : data.said;
  frame.classList.toggle("dark", Boolean(data.isDark));
  frame.setAttribute("aria-label", data.label);
  own.board = standing(data, own.asks);
  const board = () => own.board;
  if (own.carry && !(own.carry.task in data.place)) own.carry = null;

  const isWaiting = () => own.asks.some((ask) => !isShown(ask));
  const ask = (what) => {
    if (isWaiting() && !isBack(what) && what.act !== "pin") return say(WAITS);
    own.asks.push(what);
    own.said = "";
    own.board = standing(own.data, own.asks);
    draw();
    own.tell();
    frame.dispatchEvent(new Event("input", { bubbles: true, composed: true })); // a link waits for it
  };
  const say = (words) => {
    const line = frame.querySelector(".line");
    line.textContent = words;
    frame.querySelector(".said").textContent = words;
  };

  // The drawing.
  const draw = () => {
    const shown = board(), lanes = frame.querySelector(".lanes"), at = lanes.scrollLeft;
    const down = lanes.querySelector(".loose .plot")?.scrollTop || 0;
    frame.style.height = Math.max(data.height, Math.min(TALLEST, window.innerHeight - ROUND)) + "px";
    const columns = shown.stations.length + (shown.loose.length ? 1 : 0);
    const room = Math.max(0, frame.clientWidth - 2);
    own.width = Math.min(WIDEST, Math.max(COLUMN, Math.floor((room - GAP) / columns) - GAP));
    own.plot = Math.max(60, lanes.clientHeight - 46);
    const most = Math.max(...shown.stations.map((s) => sum(s.tasks)), HEADROOM * (own.data.limit || 0), 1);
    own.scale = own.carry ? own.scale : (own.plot - 6) / most;
    const parts = [];
    if (shown.loose.length) parts.push(column({ tasks: shown.loose, isLoose: true }, 0));
    shown.stations.forEach((station, i) => parts.push(gap(i + 1), column(station, i + 1)));
    parts.push(gap(shown.stations.length + 1));
    if (own.data.limit) parts.push(limitLine(parts.length));
    lanes.replaceChildren(...parts);
    lanes.scrollLeft = at;
    if (shown.loose.length) lanes.querySelector(".loose .plot").scrollTop = down;
    mark();
    tools();
    figures();
  };
  const sum = (tasks) => tasks.reduce((all, task) => all + own.data.times[task], 0);
  const column = (station, number) => {
    const made = element("div", station.isLoose ? "column loose" : "column");
    made.dataset.station = number;
    made.style.width = own.width + "px";
    const plot = element("div", "plot");
    plot.style.height = own.plot + "px";
    const limit = station.isLoose ? null : station.room ?? own.data.limit;
    let end = 0;
    station.tasks.forEach((task, turn) => {
      const time = own.data.times[task], height = station.isLoose ? ROW : Math.max(LEAST, time * own.scale);
      end += time;
      const tile = element("div", "tile" + (turn % 2 ? " odd" : "") + (limit && end > limit ? " over" : ""));
      tile.dataset.task = task;
      tile.style.height = height + "px";
      const asked = own.data.asked[task];
      tile.title = `${task} ${own.data.names[task]}, ${time_of(time)}${asked ? `. ${asked}` : ""}`;
      if (height >= SMALL) {
        const words = element("span", height < NAMED ? "small" : "");
        words.append(element("b", "", task));
        if (height >= NAMED && own.width > 74) words.append(` ${own.data.names[task]}`);
        words.dir = "auto";
        tile.append(words);
        const middle = (end - time / 2 - limit) * own.scale; // words keep clear of the limit line
        if (limit && height > 30 && Math.abs(middle) < 9) {
          tile.style.alignItems = middle < 0 ? "flex-end" : "flex-start";
          tile.style.paddingBlock = "3px";
        }
      }
      if (shownPins().has(task)) tile.append(icon("pin"));
      plot.append(tile);
    });
    const load = number && own.loads()[number - 1];
    const over = limit && load > limit ? load - limit : 0;
    const head = element("div", "head" + (over ? " over" : ""));
    head.append(element("b", "", number ? station.place || String(number) : "At no station yet"));
    if (station.isLocked) head.append(icon("lock"));
    head.append(element("span", "", number ? time_of(load) : `${station.tasks.length} to place`));
    if (over) head.append(element("span", "more", `+${time_of(over)}`));
    if (number) head.title = `Station ${number}${over ? `, ${time_of(over)} over the limit` : ""}${station.asks ? `. ${station.asks}` : ""}`;
    made.classList.toggle("locked", Boolean(station.isLocked));
    if (limit && limit < own.data.limit) { // a target load of its own
      const target = element("div", "target");
      target.style.bottom = limit * own.scale + "px";
      target.title = `at most ${time_of(limit)} here`;
      plot.append(target);
    }
    made.append(plot, head);
    return made;
  };
  const gap = (number) => {
    const made = element("div", "gap");
    made.dataset.gap = number;
    made.style.height = own.plot + "px";
    return made;
  };
  const limitLine = () => {
    const made = element("div", "limit");
    made.style.bottom = 46 + own.data.limit * own.scale + "px";
    made.style.left = (board().loose.length ? own.width : 0) + "px";
    made.style.width = board().stations.length * (own.width + GAP) + GAP + "px";
    made.append(element("span", "", own.data.limitSaid));
    return made;
  };
  const shownPins = () => board().pinned;
  own.loads = () => board().stations.map((s) => (s.load === undefined ? sum(s.tasks) + (s.extra || 0) : s.load));
  const time_of = (ticks) => {
    const unit = own.data.unit;
    return `${(ticks * unit.each).toFixed(unit.decimals)} ${unit.label}`;
  };

  // What is chosen, carried, and refused.
  const mark = () => {
    const { carry, chosen } = own;
    frame.classList.toggle("carrying", Boolean(carry));
    for (const tile of frame.querySelectorAll(".tile")) {
      const task = tile.dataset.task;
      tile.classList.toggle("chosen", chosen?.task === task);
      tile.classList.toggle("taken", Boolean(carry?.company.includes(task)));
    }
    for (const each of frame.querySelectorAll(".column")) {
      const number = Number(each.dataset.station), way = carry && wayTo(carry, number);
      each.classList.toggle("chosen", chosen?.station === number);
      each.classList.toggle("no", Boolean(carry && (number === 0 || way.no)));
      const stay = carry && number && !way.no ? staying(carry, number) : [];
      for (const tile of each.querySelectorAll(".tile")) {
        const at = stay.indexOf(tile.dataset.task);
        tile.classList.toggle("off", at >= 0 && (at < way.low || at >= way.high));
      }
    }
    for (const each of frame.querySelectorAll(".gap")) {
      const way = carry && wayToNew(carry, Number(each.dataset.gap));
      each.classList.toggle("may", Boolean(carry && !way.no));
    }
    frame.querySelector(".mark")?.remove();
    if (carry?.to) marker(carry.to);
    line();
  };
  const marker = (to) => {
    if (to.no) {
      frame.querySelector(to.isNew ? `[data-gap="${to.station}"]` : `[data-station="${to.station}"]`)?.classList.add("at");
      return;
    }
    const mark = element("div", to.isNew ? "mark new" : "mark");
    if (to.isNew) {
      frame.querySelector(`[data-gap="${to.station}"]`)?.append(mark);
      return;
    }
    const below = sum(staying(own.carry, to.station).slice(0, to.place));
    const tiles = frame.querySelectorAll(`[data-station="${to.station}"] .tile`);
    let y = 0, left = to.place;
    for (const tile of tiles) { // under those that stay, over what is taken away between them
      const isGone = own.carry.gone(to.station).includes(tile.dataset.task);
      if (!isGone && !left) break;
      if (!isGone) left -= 1;
      y += tile.offsetHeight;
      if (!left && !isGone) break;
    }
    mark.style.bottom = (below || to.place ? y : 0) - 1 + "px";
    frame.querySelector(`[data-station="${to.station}"] .plot`)?.append(mark);
  };
  const line = () => {
    const { carry, chosen } = own;
    if (own.said) return say(own.said);
    if (carry) {
      const what = carry.company.length > 1 ? `Tasks ${carry.company.join(", ")} go together` : `Task ${carry.task}`;
      if (!carry.to) return say(`${what}: ${KEYS}`);
      return say(carry.to.no || `${what} ${toWords(carry)}`);
    }
    if (chosen?.task) {
      const at = board().where[chosen.task];
      const held = heldBy(chosen.task);
      const where = at ? `station ${at.station}` : "at no station yet";
      const asked = own.data.asked[chosen.task];
      return say(`${chosen.task} ${own.data.names[chosen.task]}, ${time_of(own.data.times[chosen.task])}, ${where}. ${asked ? `Limits: ${asked}. ` : ""}${held || "Drag it, or press Enter and move it by arrows."}`);
    }
    if (chosen?.station) {
      const { asks } = board().stations[chosen.station - 1] || {};
      return say(`Station ${chosen.station}: ${time_of(own.loads()[chosen.station - 1])}.${asks ? ` ${asks}.` : ""}`);
    }
    say("Drag a tile, or choose one by the arrow keys and press Enter.");
  };
  const KEYS = "arrows to the station and place, Shift with ← → to a new station between two; Enter puts it down, Escape gives up.";
  const toWords = (carry) => {
    const { to } = carry, more = sum(carry.company);
    const load = to.isNew ? more : to.station === carry.from ? own.loads()[to.station - 1]
      : own.loads()[to.station - 1] + more - sum(board().stations[to.station - 1].tasks.filter((t) => carry.company.includes(t)));
    const limit = (to.isNew ? null : board().stations[to.station - 1].room) ?? own.data.limit;
    const over = limit && load > limit ? `, ${time_of(load - limit)} over the limit` : "";
    const name = to.isNew ? `to a new station ${to.station}` : `to station ${to.station}`;
    return `${name}: ${time_of(load)}${over}.`;
  };
  const heldBy = (task) => {
    for (const each of companyOf(task)) {
      const at = board().where[each];
      if (at && board().pinned.has(each)) return `Task ${each} is pinned.`;
      if (at && board().stations[at.station - 1].isLocked) return `Station ${at.station} is locked.`;
    }
    return "";
  };
  const companyOf = (task) => {
    const where = board().where, far = { station: Infinity, place: 0 };
    return [...(own.data.company[task] || [task])].sort((a, b) => {
      const one = where[a] || far, other = where[b] || far;
      return one.station - other.station || one.place - other.place || 0;
    });
  };
  const staying = (carry, number) => {
    const gone = carry.gone(number);
    return board().stations[number - 1].tasks.filter((task) => !gone.includes(task));
  };
  // The places that are open at a station, or why none is.
  const wayTo = (carry, number) => {
    if (!number) return { no: "A task stays on the line." };
    const station = board().stations[number - 1];
    if (station.isLocked) return { no: `Station ${number} is locked.` };
    const gone = carry.gone(number);
    const limits = number !== carry.from && own.data.refused[carry.task]?.[number];
    const order = orderOf(gone, number, staying(carry, number));
    return limits !== undefined && limits !== false ? { no: own.data.reasons[limits] } : order;
  };
  const wayToNew = (carry, number) => {
    const limits = own.data.refusedNew[carry.task]?.[number] ?? own.data.refusedNew[""]?.[number];
    if (limits !== undefined && limits >= 0) return { no: own.data.reasons[limits] };
    return orderOf(carry.company, number - 0.5, []);
  };
  const orderOf = (gone, number, stay) => {
    const where = board().where;
    const way = { low: 0, high: stay.length, lowSaid: "", highSaid: "" };
    for (const task of gone) {
      for (const other of own.data.before[task] || []) {
        const at = where[other];
        if (gone.includes(other) || !at || at.station < number) continue;
        const said = `Task ${other} (station ${at.station}) comes before task ${task}.`;
        if (at.station > number) return { no: said };
        const place = stay.indexOf(other) + 1;
        if (place > way.low) Object.assign(way, { low: place, lowSaid: said });
      }
      for (const other of own.after[task] || []) {
        const at = where[other];
        if (gone.includes(other) || !at || at.station > number) continue;
        const said = `Task ${task} comes before task ${other} (station ${at.station}).`;
        if (at.station < number) return { no: said };
        const place = stay.indexOf(other);
        if (place < way.high) Object.assign(way, { high: place, highSaid: said });
      }
    }
    return way.low > way.high ? { no: way.lowSaid } : way;
  };
  own.after = {};
  for (const [task, row] of Object.entries(data.before)) for (const other of row) (own.after[other] ??= []).push(task);

  // Taking up, going there, putting down.
  const take = (task, mode) => {
    own.said = "";
    const held = heldBy(task);
    if (held || isWaiting()) {
      own.chosen = { task };
      own.said = held || WAITS; // what is shown is about to change
      mark();
      own.said = "";
      return;
    }
    const from = board().where[task]?.station || 0, company = companyOf(task);
    own.chosen = { task };
    own.carry = { task, mode, from, company, to: null, gone: (number) => (number === from ? [task] : company) };
    if (mode === "keys") {
      const at = board().where[task];
      own.carry.to = at ? { station: at.station, place: at.place } : null;
    }
    mark();
  };
  const aim = (to) => { // to a place as near as may be
    const way = to.isNew ? wayToNew(own.carry, to.station) : wayTo(own.carry, to.station);
    if (way.no) own.carry.to = { ...to, place: 0, no: way.no };
    else own.carry.to = { ...to, place: to.isNew ? 0 : Math.min(Math.max(to.place, way.low), way.high) };
    if (!way.no && !to.isNew && to.isStep && to.place !== own.carry.to.place) own.said = to.place < way.low ? way.lowSaid : way.highSaid;
    mark();
    own.said = "";
  };
  const give = () => {
    own.carry = null;
    frame.querySelector(".ghost")?.remove();
    own.scale = 0;
    draw();
  };
  const put = () => {
    const { carry } = own, to = carry?.to;
    if (!to || to.no) {
      if (carry?.mode === "keys" && to?.no) return mark(); // the reason is read, the tile still held
      give();
      if (to?.no) { own.said = to.no; line(); own.said = ""; }
      return;
    }
    const at = board().where[carry.task];
    const isSame = at && !to.isNew && at.station === to.station && at.place === to.place;
    own.carry = null;
    frame.querySelector(".ghost")?.remove();
    if (isSame) return give();
    const moves = movesOf(board(), carry, to);
    ask({ act: "move", task: carry.task, station: to.station, place: to.place, isNew: Boolean(to.isNew), moves });
  };

  // By pointer.
  frame.onpointerdown = (event) => {
    if (event.button !== 0 || event.target.closest(".tools")) return;
    const tile = event.target.closest(".tile"), spot = event.target.closest(".column");
    frame.focus({ preventScroll: true });
    if (own.carry) return;
    own.said = "";
    if (tile) {
      own.press = { task: tile.dataset.task, x: event.clientX, y: event.clientY, id: event.pointerId };
      own.chosen = { task: tile.dataset.task };
      event.preventDefault();
    } else own.chosen = spot && Number(spot.dataset.station) ? { station: Number(spot.dataset.station) } : null;
    mark();
    tools();
  };
  frame.onpointermove = (event) => {
    if (own.press && !own.carry) {
      if (Math.hypot(event.clientX - own.press.x, event.clientY - own.press.y) < DRAG) return;
      frame.setPointerCapture(own.press.id);
      take(own.press.task, "mouse");
      if (!own.carry) { own.press = null; return; }
      const tile = frame.querySelector(`.tile[data-task="${CSS.escape(own.press.task)}"]`);
      const ghost = tile.cloneNode(true);
      ghost.className = "ghost" + (tile.classList.contains("odd") ? " odd" : "");
      delete ghost.dataset.task;
      ghost.style.width = tile.offsetWidth + "px";
      ghost.style.height = Math.min(90, Math.max(16, tile.offsetHeight)) + "px";
      frame.append(ghost);
    }
    if (own.carry?.mode !== "mouse") return;
    own.pointer = [event.clientX, event.clientY];
    follow();
    glide();
  };
  const follow = () => {
    const [x, y] = own.pointer, box = frame.getBoundingClientRect();
    const ghost = frame.querySelector(".ghost");
    if (ghost) ghost.style.transform = `translate(${x - box.left + 8}px, ${y - box.top + 8}px)`;
    const to = under(x, y);
    if (!to) { own.carry.to = null; mark(); } else aim(to);
  };
  const under = (x, y) => {
    const lanes = frame.querySelector(".lanes").getBoundingClientRect();
    if (y < lanes.top - 30 || y > lanes.bottom + 30 || x < lanes.left || x > lanes.right) return null;
    for (const each of frame.querySelectorAll(".gap")) {
      const box = each.getBoundingClientRect();
      if (x >= box.left && x <= box.right) return { station: Number(each.dataset.gap), place: 0, isNew: true };
    }
    for (const each of frame.querySelectorAll(".column")) {
      const box = each.getBoundingClientRect(), number = Number(each.dataset.station);
      if (x < box.left || x > box.right) continue;
      if (!number) return { station: 0, place: 0 };
      const stay = staying(own.carry, number);
      let place = 0;
      for (const tile of each.querySelectorAll(".tile")) {
        const its = tile.getBoundingClientRect();
        if (stay.includes(tile.dataset.task) && y < its.top + its.height / 2) place += 1;
      }
      return { station: number, place };
    }
    return null;
  };
  const glide = () => { // near an end the stations move along, as long as the tile is held there
    cancelAnimationFrame(own.gliding);
    const lanes = frame.querySelector(".lanes"), box = lanes.getBoundingClientRect();
    const [x] = own.pointer;
    const by = x < box.left + EDGE ? -8 : x > box.right - EDGE ? 8 : 0;
    if (!by || own.carry?.mode !== "mouse") return;
    own.gliding = requestAnimationFrame(() => {
      const was = lanes.scrollLeft;
      lanes.scrollLeft += by;
      if (own.carry && lanes.scrollLeft !== was) { follow(); glide(); }
    });
  };
  frame.onpointerup = () => {
    own.press = null;
    if (own.carry?.mode === "mouse") put();
  };
  frame.onpointercancel = () => { own.press = null; if (own.carry?.mode === "mouse") give(); };
  frame.ondblclick = (event) => {
    const tile = event.target.closest(".tile");
    if (tile) pin(tile.dataset.task);
  };
  frame.onpointerover = (event) => {
    const tile = event.target.closest?.(".tile");
    if (tile && !own.carry && !own.said && !own.chosen) say(tile.title);
  };

  // By keys.
  const choose = (what) => {
    own.chosen = what;
    own.said = "";
    mark();
    tools();
    const at = what?.task ? `.tile[data-task="${CSS.escape(what.task)}"]` : `[data-station="${what?.station}"]`;
    frame.querySelector(at)?.scrollIntoView({ block: "nearest", inline: "nearest" });
  };
  const columnsOf = () => [board().loose, ...board().stations.map((s) => s.tasks)];
  const step = (dx, dy) => {
    const columns = columnsOf(), { chosen } = own;
    if (!chosen) return choose(firstOf(columns));
    const at = chosen.task ? board().where[chosen.task] || { station: 0, place: board().loose.indexOf(chosen.task) } : { station: chosen.station, place: -1 };
    if (dy) {
      const place = at.station ? at.place + dy : at.place - dy; // what waits is read from the top
      if (place < -1 || place >= columns[at.station].length) return;
      if (place === -1 && !at.station) return;
      return choose(place < 0 ? { station: at.station } : { task: columns[at.station][place] });
    }
    let to = at.station + dx;
    if (to === 0 && !board().loose.length) return;
    if (to < 0 || to >= columns.length) return;
    if (at.place < 0) return choose(to ? { station: to } : { task: columns[0][0] });
    const middle = sum(columns[at.station].slice(0, at.place)) + own.data.times[chosen.task] / 2;
    let end = 0;
    const found = columns[to].find((task) => (end += own.data.times[task]) >= middle) ?? columns[to].at(-1);
    choose(found === undefined ? { station: to } : { task: found });
  };
  const firstOf = (columns) => {
    const task = columns.flat()[0];
    return task === undefined ? { station: 1 } : { task };
  };
  const go = (dx, dy, isShift) => {
    const to = own.carry.to || { station: own.carry.from || 0, place: 0 }, last = board().stations.length;
    if (dy) return to.isNew || to.no ? undefined : aim({ station: to.station, place: to.place + dy, isStep: true });
    let next;
    if (isShift) next = to.isNew ? { isNew: true, station: to.station + dx } : { isNew: true, station: dx > 0 ? to.station + 1 : to.station };
    else next = { station: to.isNew ? (dx > 0 ? to.station : to.station - 1) : to.station + dx };
    if (next.station < 1 || next.station > last + (next.isNew ? 1 : 0)) return;
    if (!next.isNew) { // earlier stations take it last, later ones first: nearest to where it was
      const way = wayTo(own.carry, next.station);
      next.place = way.no ? 0 : next.station < own.carry.from ? way.high : way.low;
      if (next.station === own.carry.from) next.place = board().where[own.carry.task].place;
    }
    aim({ place: 0, ...next });
    const spot = next.isNew ? `[data-gap="${next.station}"]` : `[data-station="${next.station}"]`;
    frame.querySelector(spot)?.scrollIntoView({ block: "nearest", inline: "nearest" });
  };
  const pin = (task) => {
    if (board().where[task]) ask({ act: "pin", task });
  };
  frame.onkeydown = (event) => {
    if (event.target !== frame || event.altKey) return;
    if (event.ctrlKey || event.metaKey) return;
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    const task = own.chosen?.task, station = own.chosen?.station || board().where[task]?.station;
    let act;
    if (arrows) act = () => (own.carry ? go(...arrows, event.shiftKey) : step(...arrows));
    else if (event.key === "Enter" || event.key === " ") act = () => (own.carry ? put() : task && take(task, "keys"));
    else if (event.key === "Escape" && (own.carry || own.chosen)) act = () => (own.carry ? give() : choose(null));
    else if (event.key.toLowerCase() === "p" && task && !own.carry) act = () => pin(task);
    else if (event.key.toLowerCase() === "l" && station && !own.carry) act = () => ask({ act: "lock", station });
    else if (event.key === "Home" && !own.carry) act = () => choose(firstOf(columnsOf()));
    else if (event.key === "End" && !own.carry) act = () => choose({ task: columnsOf().flat().at(-1) });
    if (!act) return;
    event.preventDefault();
    event.stopPropagation();
    act();
  };

  // Buttons, and the figures that Python sends.
  const stepOf = (words) => (own.asks.length ? "the last step" : words);
  const tools = () => {
    const { chosen } = own, station = chosen?.station || board().where[chosen?.task]?.station;
    const row = [
      ["Undo", board().undos > 0 && `Take back: ${stepOf(data.undo)} (Ctrl+Z)`, () => ask({ act: "undo" }), "undo"],
      ["Redo", board().redos > 0 && `Do again: ${stepOf(data.redo)} (Ctrl+Y)`, () => ask({ act: "redo" }), "redo"],
    ];
    const isPinned = board().pinned.has(chosen?.task), held = station && board().stations[station - 1];
    row.push([isPinned ? "Unpin" : "Pin", chosen?.task && station && `A method leaves task ${chosen.task} where it is (P)`, () => pin(chosen.task), "pin"]);
    row.push(null);
    const of = station ? `station ${station}` : "";
    row.push([held?.isLocked ? "Unlock" : "Lock", station && `A method leaves ${of} as it is (L)`, () => ask({ act: "lock", station }), "lock"]);
    row.push(["Empty", held?.tasks.length && `Share the work of ${of} out to others`, () => ask({ act: "empty", station }), "empty"]);
    row.push(["Insert before", station && `An empty station before ${of}`, () => ask({ act: "insert", station }), "before"]);
    row.push(["Insert after", station && `An empty station after ${of}`, () => ask({ act: "insert", station: station + 1 }), "after"]);
    row.push(["Remove", held && !held.tasks.length && `Take ${of} out; it has no work`, () => ask({ act: "remove", station }), "remove"]);
    const bar = frame.querySelector(".tools"), focused = frame.getRootNode().activeElement?.dataset?.act;
    bar.replaceChildren(...row.map((each) => {
      if (!each) return element("span", "of", station ? `Station ${station}` : "Station");
      const [label, title, act, name] = each, button = element("button", "", label);
      button.type = "button";
      button.dataset.act = name;
      button.disabled = !title;
      button.title = title || label;
      button.onclick = () => { act(); frame.focus({ preventScroll: true }); };
      return button;
    }));
    if (focused) bar.querySelector(`[data-act="${focused}"]:not(:disabled)`)?.focus();
  };
  const figures = () => {
    const row = frame.querySelector(".figures");
    row.classList.toggle("old", own.asks.length > 0);
    row.replaceChildren(...data.figures.map(([title, value, change, isBad]) => {
      const made = element("span", isBad ? "bad" : "");
      made.append(element("i", "", title), element("b", "", value));
      if (change) made.append(element("em", "", change));
      return made;
    }), ...data.wrong.map((said) => element("span", "bad", said)));
  };

  // Ctrl+Z is heard on the whole page, as on others, but for fields of text.
  const heard = (event) => {
    const way = wayOf(event);
    if (!way || isText(event.composedPath()[0]) || !frame.isConnected) return;
    if (!frame.matches(":focus-within") && document.querySelector(".st-key-undo-keys")) return; // meant for the product
    event.preventDefault();
    event.stopImmediatePropagation();
    if (own.carry) return give();
    if (board()[`${way}s`] > 0) ask({ act: way });
  };
  window.removeEventListener("keydown", own.heard, true);
  window.addEventListener("keydown", (own.heard = heard), true);
  window.removeEventListener("resize", own.resized);
  const resized = () => { if (!own.carry) draw(); };
  window.addEventListener("resize", (own.resized = resized));
  own.sized?.disconnect();
  const sized = (own.sized = new ResizeObserver(resized));
  sized.observe(frame);
  draw();
  frame.dataset.taken = String(taken);
  if (own.asks.length) own.tell(); // a run that was cut short may have lost what it was told
  return () => {
    sized.disconnect();
    window.removeEventListener("resize", resized);
    window.removeEventListener("keydown", heard, true);
    cancelAnimationFrame(own.gliding);
  };
}

// The stations after what was asked and Python has not taken yet.
function standing(data, asks) {
  const board = {
    stations: data.stations.map((s) => ({ ...s, tasks: [...s.tasks] })),
    loose: [...data.loose],
    pinned: new Set(data.pinned),
    undos: data.undos, // steps that can be taken back, and those that can be done again
    redos: data.redos,
  };
  for (const ask of asks) {
    const by = ask.act === "undo" ? -1 : 1;
    board.undos += by;
    board.redos = isBack(ask) ? board.redos - by : 0;
    if (ask.act === "pin") board.pinned.has(ask.task) ? board.pinned.delete(ask.task) : board.pinned.add(ask.task);
    const at = board.stations[ask.station - 1];
    if (ask.act === "lock" && at) at.isLocked = !at.isLocked;
    if (ask.act === "insert" || ask.isNew) board.stations.splice(ask.station - 1, 0, { tasks: [], place: "" });
    if (ask.act === "remove" && at && !at.tasks.length) board.stations.splice(ask.station - 1, 1);
    for (const [task, station, place] of ask.moves || []) {
      for (const each of [board.loose, ...board.stations.map((s) => s.tasks)]) {
        const was = each.indexOf(task);
        if (was >= 0) each.splice(was, 1);
      }
      board.stations[station - 1]?.tasks.splice(place, 0, task);
    }
    if (ask.moves) for (const each of board.stations) delete each.load; // until Python tells
  }
  board.where = {};
  board.stations.forEach((s, i) => s.tasks.forEach((task, place) => (board.where[task] = { station: i + 1, place })));
  return board;
}

// The moves of a task with those that go with it: each right after the one before.
function movesOf(board, carry, to) {
  const moved = carry.gone(to.isNew ? -1 : to.station);
  let there = to.isNew ? [] : [...board.stations[to.station - 1].tasks];
  const stay = there.filter((task) => !moved.includes(task));
  let before = to.place > 0 ? stay[to.place - 1] : undefined;
  return moved.map((task) => {
    there = there.filter((other) => other !== task);
    const place = before === undefined ? 0 : there.indexOf(before) + 1;
    there.splice(place, 0, task);
    before = task;
    return [task, to.station, place];
  });
}

// Undo, redo and emptying are shown when Python has answered.
function isShown(ask) {
  return !isBack(ask) && ask.act !== "empty";
}

// What is asked of the steps done before, whatever the board shows.
function isBack(ask) {
  return ["undo", "redo"].includes(ask.act);
}

function element(name, look, words) {
  const made = document.createElement(name);
  if (look) made.className = look;
  if (words !== undefined) made.textContent = words;
  return made;
}

function icon(name) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", "svg");
  made.setAttribute("viewBox", "0 0 16 16");
  made.setAttribute("class", "icon");
  const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
  path.setAttribute("d", SVG[name]);
  made.append(path);
  return made;
}
