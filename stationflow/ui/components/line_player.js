// Plays the line over time: which unit is at which station, and what happens to it. It is stepped
// from event to event, or runs at a speed; nothing moves by itself before it is asked to.
const SPEEDS = [1, 10, 60, 300]; // times as fast as the plant
const NEWEST = 4; // events that are told in words

export default function ({ parentElement, data }) {
  const frame = parentElement.querySelector(".player");
  const key = JSON.stringify([data.lines, data.spans.length, data.end]);
  const own = (frame.own ??= { at: 0, speed: 10, isOn: false });
  if (own.key !== key) Object.assign(own, { key, at: 0, isOn: false });
  own.data = data;
  if (!frame.dataset.made) make(frame, own);
  fill(frame, own);
  show(frame, own);
  return () => { own.isOn = false; };
}

function make(frame, own) {
  frame.dataset.made = "yes";
  const button = (name, words, act) => {
    const made = document.createElement("button");
    made.className = name;
    made.textContent = words;
    made.onclick = act;
    return made;
  };
  const tools = frame.querySelector(".tools");
  const step = (way) => {
    own.isOn = false;
    const times = own.data.times;
    const next = way > 0 ? times.find((t) => t > own.at + 1e-6) : times.findLast((t) => t < own.at - 1e-6);
    own.at = next ?? (way > 0 ? own.data.end : 0);
    show(frame, own);
  };
  const play = () => {
    own.isOn = !own.isOn;
    if (own.at >= own.data.end) own.at = 0;
    own.last = 0;
    show(frame, own);
    if (own.isOn) requestAnimationFrame((now) => run(frame, own, now));
  };
  const range = document.createElement("input");
  range.type = "range";
  range.min = 0;
  range.step = "any";
  range.setAttribute("aria-label", "Time from the start");
  range.oninput = () => {
    own.isOn = false;
    own.at = Number(range.value);
    show(frame, own);
  };
  const speed = document.createElement("select");
  speed.setAttribute("aria-label", "Speed");
  speed.append(...SPEEDS.map((s) => new Option(`${s} times as fast`, s, s === own.speed, s === own.speed)));
  speed.onchange = () => (own.speed = Number(speed.value));
  const clock = document.createElement("output");
  tools.append(button("play", "Run", play), button("back", "◀ Step", () => step(-1)),
    button("next", "Step ▶", () => step(1)), range, clock, speed);
}

function fill(frame, own) {
  const rows = frame.querySelector(".rows");
  rows.replaceChildren(...own.data.lines.map(([line, stations]) => {
    const row = document.createElement("div");
    row.className = "row";
    const name = document.createElement("div");
    name.className = "line";
    name.textContent = line;
    const boxes = stations.map(([at, label]) => {
      const box = document.createElement("div");
      box.className = /^\d+$/.test(label) ? "box" : "box named";
      box.title = label;
      box.dataset.at = at;
      box.append(...["number", "unit", "state"].map((part) => {
        const span = document.createElement("span");
        span.className = part;
        if (part === "number") span.textContent = label;
        return span;
      }));
      return box;
    });
    const all = document.createElement("div");
    all.className = "boxes";
    all.append(...boxes);
    row.append(name, all);
    return row;
  }));
  frame.querySelector("input[type=range]").max = own.data.end;
}

function run(frame, own, now) {
  if (!own.isOn || !frame.isConnected) return;
  if (own.last) own.at = Math.min(own.data.end, own.at + ((now - own.last) / 1000) * own.speed);
  own.last = now;
  if (own.at >= own.data.end) own.isOn = false;
  show(frame, own);
  if (own.isOn) requestAnimationFrame((next) => run(frame, own, next));
}

function show(frame, own) {
  const { spans, events, states } = own.data;
  const held = new Map();
  for (const [station, state, start, end, unit] of spans) {
    if (start <= own.at && own.at < end) held.set(station, [state, unit]);
  }
  for (const box of frame.querySelectorAll(".box")) {
    const [state, unit] = held.get(Number(box.dataset.at)) ?? ["", 0];
    box.dataset.state = state;
    box.querySelector(".unit").textContent = unit || "";
    box.querySelector(".state").textContent = state ? states[state] : "empty";
  }
  const minutes = Math.floor(own.at / 60);
  const two = (n) => String(n).padStart(2, "0");
  frame.querySelector("output").textContent =
    `${Math.floor(minutes / 60)}:${two(minutes % 60)}:${two(Math.floor(own.at % 60))}`;
  frame.querySelector("input[type=range]").value = own.at;
  frame.querySelector(".play").textContent = own.isOn ? "Pause" : "Run";
  const past = events.filter(([at]) => at <= own.at + 1e-6).slice(-NEWEST);
  frame.querySelector(".said").replaceChildren(...past.map(([, words]) => {
    const line = document.createElement("div");
    line.textContent = words;
    return line;
  }));
}
