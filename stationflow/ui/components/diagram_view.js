// Shows an SVG that can be dragged, zoomed with the wheel, the buttons, or + - 0 and the arrow keys.
export default function ({ parentElement, data }) {
  const frame = parentElement.querySelector(".frame");
  const paper = frame.querySelector(".paper");
  const tools = frame.querySelector(".tools");
  frame.style.height = data.height + "px";
  frame.setAttribute("role", "img");
  frame.setAttribute("aria-label", data.label);

  const drawing = new DOMParser().parseFromString(data.svg, "image/svg+xml").documentElement;
  if (drawing.nodeName !== "svg") return;
  const box = (drawing.getAttribute("viewBox") || "0 0 100 100").split(/\s+/).map(Number);
  const width = box[2], height = box[3];
  drawing.setAttribute("width", width);
  drawing.setAttribute("height", height);
  paper.replaceChildren(document.importNode(drawing, true));

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
  let last = null;
  frame.onpointerdown = (event) => {
    if (event.target.closest(".tools")) return;
    last = [event.clientX, event.clientY];
    frame.setPointerCapture(event.pointerId);
    frame.focus({ preventScroll: true });
  };
  frame.onpointermove = (event) => {
    if (!last) return;
    move(event.clientX - last[0], event.clientY - last[1]);
    last = [event.clientX, event.clientY];
  };
  frame.onpointerup = frame.onpointercancel = () => { last = null; };
  frame.onkeydown = (event) => {
    const step = 60;
    const act = {
      "+": () => zoom(1.3), "-": () => zoom(1 / 1.3), "0": fit,
      ArrowLeft: () => move(step, 0), ArrowRight: () => move(-step, 0),
      ArrowUp: () => move(0, step), ArrowDown: () => move(0, -step),
    }[event.key];
    if (!act || event.target !== frame) return;
    event.preventDefault();
    act();
  };
  const sized = new ResizeObserver(() => (view.isFitted ? fit() : show()));
  sized.observe(frame);
  view.isFitted ? fit() : show();
  return () => sized.disconnect();
}
