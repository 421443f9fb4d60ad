// form[data-placing]: pins on the pictures of a drawing follow the form's number fields, and the
// fields follow the pins: by click, by drag, by arrow key (half a millimetre; with Shift five).
// The fields are what is sent, so all of it works by typing, and without this script. What is done
// on the pictures is told by picture.js, what is done beside them by placing_tools.js, which also
// shows what is chosen and said.

const STEP_MM = 0.5;
const FAR = 10; // with Shift
const SAME_MOVE_MS = 900;
const MARKS = {
  mark_a: ["mark_a_x_px", "mark_a_y_px"],
  mark_b: ["mark_b_x_px", "mark_b_y_px"],
  foot: ["axis_x_px", "floor_y_px"],
  top: ["axis_top_x_px", "axis_top_y_px"],
};
const CHAINS = [
  ["neck", "hip"],
  ["shoulder", "elbow", "wrist"],
  ["hip", "knee", "ankle"],
];

const desk = document.querySelector("[data-placing-desk]");
const form = document.querySelector("form[data-placing]");
const pictures = [...document.querySelectorAll("svg.placing-picture")];
const announce = document.getElementById("announce");

let chosen = null; // the key of the pin that a tap places
let isNext = false; // chosen in the list: the next tap places it, even upon another pin
let touched = null; // the picture that was touched last
const done = []; // what can be taken back: lists of [name, value before]
let lastMove = { key: "", at: 0 };

// Numbers of the form.

const field = (name) => form?.elements.namedItem(name);
const read = (name) => {
  const text = (field(name)?.value || "").trim().replace(",", ".").replace(/[\u2212\u2013]/, "-");
  const value = Number.parseFloat(text);
  return Number.isFinite(value) ? value : null;
};
const write = (name, value) => {
  const input = field(name);
  if (input) input.value = value === null ? "" : String(Math.round(value * 10) / 10);
};
const toStep = (value) => Math.round(value / STEP_MM) * STEP_MM;

function fieldsOf(key, view) {
  if (key.startsWith(`${view}-`)) return MARKS[key.slice(view.length + 1)].map((n) => `${view}-${n}`);
  return view === "front" ? [`${key}-z`, `${key}-y`] : [`${key}-x`, `${key}-y`];
}

// The way between points of a picture and millimetres: builds/core/full_size/picture_scale.py.

function scaleOf(svg) {
  const view = svg.dataset.view;
  const facesLeft = view === "profile" && field("profile-faces")?.value !== "right";
  const across = facesLeft ? -1 : 1;
  if (svg.dataset.paper) return { mm: 1, foot: [0, 0], up: [0, -1], across };
  const at = (key) => MARKS[key].map((name) => read(`${view}-${name}`));
  const [a, b, foot, top] = ["mark_a", "mark_b", "foot", "top"].map(at);
  const apart = Math.hypot(a[0] - b[0], a[1] - b[1]);
  const distance = read(`${view}-marks_mm`);
  if ([...a, ...b, ...foot, distance].includes(null) || apart < 20 || !(distance > 0)) return null;
  let up = [0, -1];
  if (!top.includes(null)) {
    const rise = Math.hypot(top[0] - foot[0], top[1] - foot[1]);
    if (rise >= 20) up = [(top[0] - foot[0]) / rise, (top[1] - foot[1]) / rise];
  }
  return { mm: distance / apart, foot, up, across };
}

function toPx({ mm, foot, up, across }, x, y) {
  const right = (x * across) / mm;
  const rise = y / mm;
  return [foot[0] - right * up[1] + rise * up[0], foot[1] + right * up[0] + rise * up[1]];
}

function toMm({ mm, foot, up, across }, px, py) {
  const dx = px - foot[0];
  const dy = py - foot[1];
  const right = dy * up[0] - dx * up[1];
  return [right * across * mm, (dx * up[0] + dy * up[1]) * mm];
}

function placeOf(svg, pin, scale) {
  const [across, upward] = fieldsOf(pin.dataset.pin, svg.dataset.view).map(read);
  if (pin.dataset.sort === "mark") return across === null || upward === null ? null : [across, upward];
  if (upward === null || !scale) return null;
  if (svg.dataset.view === "profile") return across === null ? null : toPx(scale, across, upward);
  const side = field(`${pin.dataset.pin}-side`)?.value;
  const isMiddle = side === "middle" || pin.dataset.pin === "joint-neck";
  const aside = isMiddle ? 0 : across || 0;
  return toPx(scale, side === "right" ? -aside : aside, upward);
}

// Drawing.

function show(svg) {
  const scale = scaleOf(svg);
  const unit = svg.dataset.unit || 1;
  for (const pin of svg.querySelectorAll("[data-pin]")) {
    const at = placeOf(svg, pin, scale);
    put(pin, at, unit);
    pin.classList.toggle("pin-chosen", pin.dataset.pin === chosen);
    if (at) pin.setAttribute("aria-label", wordsOf(pin, svg.dataset.view));
  }
  for (const twin of svg.querySelectorAll("[data-twin]")) put(twin, mirrorOf(twin, scale), unit);
  showMeasured(svg, scale);
}

function mirrorOf(twin, scale) {
  const key = twin.dataset.twin;
  const [aside, upward] = [read(`${key}-z`), read(`${key}-y`)];
  const side = field(`${key}-side`)?.value || "pair";
  if (!scale || upward === null || !aside || side !== "pair") return null;
  return toPx(scale, -aside, upward);
}

function put(pin, at, unit) {
  if (!at) {
    pin.setAttribute("display", "none");
    return;
  }
  pin.removeAttribute("display");
  pin.setAttribute("transform", `translate(${at[0]} ${at[1]}) scale(${unit})`);
}

function showMeasured(svg, scale) {
  const group = svg.querySelector("[data-mm]");
  if (!scale) {
    group.setAttribute("display", "none");
    return;
  }
  const [ux, uy] = scale.up.map((part) => part / scale.mm);
  group.setAttribute("transform", `matrix(${-uy} ${ux} ${-ux} ${-uy} ${scale.foot[0]} ${scale.foot[1]})`);
  group.removeAttribute("display");
  group.querySelector("[data-bones]").setAttribute("d", bones(svg, scale));
}

function bones(svg, scale) {
  const isFront = svg.dataset.view === "front";
  const place = (kind, sign) => {
    const [across, upward] = fieldsOf(`joint-${kind}`, svg.dataset.view).map(read);
    if (upward === null || (across === null && !isFront)) return null;
    const aside = isFront && kind === "neck" ? 0 : across || 0;
    return `${aside * (isFront ? sign : scale.across)} ${-upward}`;
  };
  const lines = [];
  for (const sign of isFront ? [1, -1] : [1]) {
    for (const chain of CHAINS) {
      const places = chain.map((kind) => place(kind, sign)).filter(Boolean);
      if (places.length > 1) lines.push(`M${places.join("L")}`);
    }
  }
  return lines.join("");
}

function wordsOf(pin, view) {
  const [across, upward] = fieldsOf(pin.dataset.pin, view).map(read);
  const name = pin.dataset.name;
  if (pin.dataset.sort === "mark") return `${name}. Arrow keys move it.`;
  const where =
    view === "front"
      ? `${across || 0} mm from the middle`
      : `${Math.abs(across || 0)} mm ${across < 0 ? "behind" : "in front of"} the line of balance`;
  return `${name}, ${upward} mm up, ${where}. Arrow keys move it half a millimetre, with Shift five.`;
}

const showAll = () => pictures.forEach(show);

// Choosing and placing.

function choose(key, { say = true, next = false } = {}) {
  chosen = key;
  isNext = next && Boolean(key);
  send("placing:chosen", { key, say });
  showAll();
}

function remember(names, key) {
  const now = performance.now();
  const isSame = key === lastMove.key && now - lastMove.at < SAME_MOVE_MS;
  lastMove = { key, at: now };
  if (isSame) return;
  done.push(names.map((name) => [name, field(name)?.value ?? ""]));
  tellDone();
}

function place(svg, key, point) {
  const view = svg.dataset.view;
  const names = fieldsOf(key, view);
  if (key.startsWith(`${view}-`)) {
    names.forEach((name, axis) => write(name, toStep(point[axis])));
  } else {
    const scale = scaleOf(svg);
    if (!scale) {
      tell(`First set the scale of this picture: two marks, how far apart they are, and where the
        line stands on the floor.`);
      return false;
    }
    const [across, upward] = toMm(scale, ...point);
    write(names[0], toStep(view === "front" ? Math.abs(across) : across));
    write(names[1], toStep(upward));
    // A place needs a distance from the line too: until the profile says better it is on it.
    if (view === "front" && read(`${key}-x`) === null) write(`${key}-x`, 0);
  }
  changed();
  return true;
}

function allNames(key, view) {
  return key.startsWith(`${view}-`) ? fieldsOf(key, view) : ["x", "y", "z"].map((axis) => `${key}-${axis}`);
}

function nudge(svg, key, right, up) {
  const view = svg.dataset.view;
  const names = fieldsOf(key, view);
  if (names.map(read).includes(null) && view === "profile") return;
  remember(allNames(key, view), `${key} keys`);
  if (key.startsWith(`${view}-`)) {
    write(names[0], (read(names[0]) || 0) + right * STEP_MM);
    write(names[1], (read(names[1]) || 0) - up * STEP_MM);
  } else {
    const across = scaleOf(svg)?.across || 1;
    const aside = (read(names[0]) || 0) + right * STEP_MM * across;
    write(names[0], view === "front" ? Math.max(0, aside) : aside);
    write(names[1], (read(names[1]) || 0) + up * STEP_MM);
  }
  changed();
  const pin = svg.querySelector(`[data-pin="${CSS.escape(key)}"]`);
  if (pin) announce.textContent = wordsOf(pin, view).split(". ")[0];
}

function takeBack() {
  const values = done.pop();
  if (!values) return;
  lastMove = { key: "", at: 0 };
  for (const [name, value] of values) if (field(name)) field(name).value = value;
  changed();
  tellDone();
  announce.textContent = "The last placing is taken back.";
}

function changed() {
  showAll();
  form.dispatchEvent(new CustomEvent("placing:changed", { bubbles: true }));
}

const send = (name, detail) => desk.dispatchEvent(new CustomEvent(name, { detail }));
const tell = (words) => send("placing:told", { words: words.replace(/\s+/g, " ") });
const tellDone = () => send("placing:done", { count: done.length });

// What is done on a picture.

function onPress({ target, detail: { pin } }) {
  touched = target;
  if (isNext) return;
  choose(pin.dataset.pin, { say: false });
  pin.focus({ preventScroll: true });
}

function onGrab({ target, detail: { pin } }) {
  lastMove = { key: "", at: 0 };
  choose(pin.dataset.pin, { say: false });
  remember(allNames(chosen, target.dataset.view), "drag");
}

function tap(svg, { pin: hit, point }) {
  touched = svg;
  if (hit && !isNext) return;
  const view = svg.dataset.view;
  if (!chosen) {
    tell("First choose in the list what to place.");
    return;
  }
  if (/^(profile|front)-/.test(chosen) && !chosen.startsWith(`${view}-`)) {
    tell(`This mark belongs on the other picture.`);
    return;
  }
  lastMove = { key: "", at: 0 };
  remember(allNames(chosen, view), "tap");
  if (!place(svg, chosen, point)) {
    done.pop();
    tellDone();
    return;
  }
  isNext = false;
  const pin = svg.querySelector(`[data-pin="${CSS.escape(chosen)}"]`);
  pin.focus({ preventScroll: true });
  announce.textContent = `Placed: ${wordsOf(pin, view).split(". ")[0]}`;
}

// Keys.

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

function onKey(event) {
  const pin = event.target.closest?.("[data-pin]");
  const isTyping = event.target.matches("input, select, textarea");
  if ((event.ctrlKey || event.metaKey) && event.key === "z" && !isTyping) {
    event.preventDefault();
    takeBack();
  } else if (pin && ARROWS[event.key]) {
    event.preventDefault();
    const far = event.shiftKey ? FAR : 1;
    const [right, up] = ARROWS[event.key];
    choose(pin.dataset.pin, { say: false });
    nudge(pin.closest("svg"), pin.dataset.pin, right * far, up * far);
  } else if (pin && (event.key === "Enter" || event.key === " ")) {
    event.preventDefault();
    choose(pin.dataset.pin);
  } else if (pin && event.key === "Escape") choose(null);
}

// What is asked for beside the pictures.

const svgOf = (view) => pictures.find((one) => one.dataset.view === view);
const isSeen = (svg) => svg && svg.getClientRects().length > 0;
// The picture that was touched last, as long as it is seen.
const pictureHere = () => (isSeen(touched) ? touched : svgOf(desk.dataset.shown));

// Picked once more, it is let go.
function onPick({ detail: { key } }) {
  choose(key === chosen && isNext ? null : key, { next: true });
  if (chosen) pictureHere().scrollIntoView({ block: "nearest" });
}

function onArrow({ detail: { arrow } }) {
  if (chosen) nudge(pictureHere(), chosen, ...ARROWS[arrow]);
}

// Beginning.

function begin() {
  for (const pin of document.querySelectorAll("[data-pin]")) {
    pin.setAttribute("tabindex", "0");
    pin.setAttribute("role", "button");
    pin.setAttribute("aria-label", pin.dataset.name);
  }
  document.addEventListener("keydown", onKey);
  desk.addEventListener("placing:choose", ({ detail }) => choose(detail.key, { next: true }));
  desk.addEventListener("placing:pick", onPick);
  desk.addEventListener("placing:arrow", onArrow);
  desk.addEventListener("placing:back", takeBack);
  desk.addEventListener("picture:press", onPress);
  desk.addEventListener("picture:grab", onGrab);
  desk.addEventListener("picture:drag", ({ target, detail }) => place(target, detail.pin.dataset.pin, detail.point));
  desk.addEventListener("picture:tap", ({ target, detail }) => tap(target, detail));
  desk.addEventListener("picture:moved", ({ target }) => show(target));
  form.addEventListener("input", (event) => {
    const row = event.target.closest("[data-row]")?.dataset.row;
    if (row && event.target.name.endsWith("-name")) rename(row, event.target.value.trim() || "new");
    changed();
  });
  form.addEventListener("focusin", (event) => {
    const row = event.target.closest("[data-row]");
    const pick = row?.querySelector("[data-pick]");
    if (pick && !event.target.closest("button")) choose(pick.dataset.pick, { say: false });
  });
  const first = [...form.querySelectorAll("[data-pick]")].find((one) => one.hasAttribute("data-first"));
  if (first) choose(first.dataset.pick, { say: false, next: true });
  tellDone();
  showAll();
}

function rename(key, name) {
  for (const pin of document.querySelectorAll(`[data-pin="${CSS.escape(key)}"]`)) {
    pin.dataset.name = `${name} hole`;
    pin.querySelector(".pin-name").textContent = `${name} hole`;
  }
}

if (desk && form) begin();
