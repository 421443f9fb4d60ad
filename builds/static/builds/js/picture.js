// svg.placing-picture in [data-placing-desk]: zoom by button, wheel with Ctrl, or two fingers; pan by
// a drag on the empty paper; one view at a time where the style sheet says so. What is done on a
// picture it tells by events of the picture: picture:press, picture:grab, picture:drag (a pin),
// picture:tap (a place, in its points and in mm), picture:moved (drawn anew at another size).

const TAP_PX = 6;

const desk = document.querySelector("[data-placing-desk]");
const hasPins = Boolean(document.querySelector("form[data-placing]"));
const pictures = [...document.querySelectorAll("svg.placing-picture")];

const boxOf = (svg) => svg.getAttribute("viewBox").split(" ").map(Number);
const tell = (svg, name, detail = {}) =>
  svg.dispatchEvent(new CustomEvent(`picture:${name}`, { bubbles: true, detail }));

function pointAt(svg, event) {
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  return [at.x, at.y];
}

// What is measured lies in one group, whose matrix brings mm over the picture.
function toMm(svg, point) {
  const matrix = svg.querySelector("[data-mm]").transform.baseVal.consolidate()?.matrix;
  if (!matrix) return null;
  const seen = new DOMPoint(...point).matrixTransform(matrix.inverse());
  return [seen.x * Number(svg.dataset.across), -seen.y];
}

// Pins keep their size on the screen.
function resize(svg) {
  const [, , width, height] = boxOf(svg);
  const size = svg.getBoundingClientRect();
  const unit = Math.max(width / (size.width || 1), height / (size.height || 1));
  svg.dataset.unit = unit;
  for (const pin of svg.querySelectorAll("[data-pin], [data-twin]")) {
    const moved = pin.getAttribute("transform");
    if (moved) pin.setAttribute("transform", moved.replace(/scale\([^)]*\)/, `scale(${unit})`));
  }
  tell(svg, "moved");
}

function setBox(svg, box) {
  svg.setAttribute("viewBox", box.map((value) => Math.round(value * 100) / 100).join(" "));
  resize(svg);
}

function zoom(svg, by, about) {
  const [left, top, width, height] = boxOf(svg);
  const wholeWidth = Number(svg.dataset.whole.split(" ")[2]);
  const factor = Math.min(by, (wholeWidth * 3) / width);
  if (width * factor < wholeWidth / 60) return;
  const [x, y] = about || [left + width / 2, top + height / 2];
  setBox(svg, [x - (x - left) * factor, y - (y - top) * factor, width * factor, height * factor]);
}

function pan(svg, right, down) {
  const [left, top, width, height] = boxOf(svg);
  setBox(svg, [left + right, top + down, width, height]);
}

function pinch(svg, before, after) {
  const apart = ([a, b]) => Math.hypot(a[0] - b[0], a[1] - b[1]);
  const middle = ([a, b]) => ({ clientX: (a[0] + b[0]) / 2, clientY: (a[1] + b[1]) / 2 });
  if (!apart(after)) return;
  const from = pointAt(svg, middle(before));
  const to = pointAt(svg, middle(after));
  pan(svg, from[0] - to[0], from[1] - to[1]);
  zoom(svg, apart(before) / apart(after), pointAt(svg, middle(after)));
}

function watchPointers(svg) {
  const pointers = new Map();
  let start = null; // { point, client, pin, moved }

  svg.addEventListener("pointerdown", (event) => {
    if (event.button) return;
    pointers.set(event.pointerId, [event.clientX, event.clientY]);
    const pin = hasPins ? event.target.closest("[data-pin]") : null;
    start = { point: pointAt(svg, event), client: [event.clientX, event.clientY], pin, moved: false };
    svg.setPointerCapture(event.pointerId);
    if (pin) tell(svg, "press", { pin });
  });

  svg.addEventListener("pointermove", (event) => {
    if (!start || !pointers.has(event.pointerId)) return;
    const before = [...pointers.values()];
    pointers.set(event.pointerId, [event.clientX, event.clientY]);
    if (pointers.size === 2) {
      pinch(svg, before, [...pointers.values()]);
      Object.assign(start, { moved: true, pin: null });
      return;
    }
    const far = Math.hypot(event.clientX - start.client[0], event.clientY - start.client[1]);
    if (!start.moved && far < TAP_PX) return;
    if (!start.moved && start.pin) tell(svg, "grab", { pin: start.pin });
    start.moved = true;
    const at = pointAt(svg, event);
    if (start.pin) tell(svg, "drag", { pin: start.pin, point: at });
    else pan(svg, start.point[0] - at[0], start.point[1] - at[1]);
  });

  const end = (event) => {
    if (!pointers.delete(event.pointerId) || !start) return;
    if (!start.moved && event.type === "pointerup") {
      const point = pointAt(svg, event);
      tell(svg, "tap", { view: svg.dataset.view, pin: start.pin, point, mm: toMm(svg, point) });
    }
    if (!pointers.size) start = null;
  };
  svg.addEventListener("pointerup", end);
  svg.addEventListener("pointercancel", end);
  svg.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey && !event.metaKey) return;
      event.preventDefault();
      zoom(svg, event.deltaY > 0 ? 1.15 : 1 / 1.15, pointAt(svg, event));
    },
    { passive: false },
  );
}

function showView(view) {
  desk.dataset.shown = view;
  for (const button of desk.querySelectorAll("[data-show]")) {
    button.setAttribute("aria-pressed", String(button.dataset.show === view));
  }
  pictures.forEach(resize);
}

function onTool(event) {
  const button = event.target.closest("[data-tool], [data-show]");
  if (!button) return;
  if (button.dataset.show) showView(button.dataset.show);
  // At a desk both views are seen, and are brought nearer together.
  const seen = pictures.filter((svg) => svg.getClientRects().length);
  for (const svg of seen) {
    if (button.dataset.tool === "in") zoom(svg, 1 / 1.4);
    if (button.dataset.tool === "out") zoom(svg, 1.4);
    if (button.dataset.tool === "whole") setBox(svg, svg.dataset.whole.split(" ").map(Number));
  }
}

if (desk && pictures.length) {
  for (const svg of pictures) {
    svg.dataset.whole = svg.getAttribute("viewBox");
    watchPointers(svg);
    svg.classList.add("placing-live");
  }
  for (const hidden of document.querySelectorAll("[data-scripted]")) hidden.hidden = false;
  desk.addEventListener("click", onTool);
  desk.addEventListener("picture:show", (event) => showView(event.detail.view));
  new ResizeObserver(() => pictures.forEach(resize)).observe(desk);
  showView(pictures[0].dataset.view);
}
