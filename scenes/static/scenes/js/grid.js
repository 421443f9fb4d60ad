// table[data-plot-grid]: the plot as a grid (WAI-ARIA grid pattern): one tab stop, arrow keys, typing
// picks a costume, Enter opens the cell's panel, Delete empties it, Shift with an arrow carries it on.
// Ctrl with Z undoes, with Shift (or Y) it makes again; a block of cells pasted is shown before it
// is put in. Every cell is a link to a page that does the same; this only makes it quicker.

const table = document.querySelector("[data-plot-grid]");
const panel = document.getElementById("plot-panel");
const tray = document.querySelector("[data-plot-tray]");
const UNDECIDED = "undecided";
const PAUSE_MS = 650;
const LATE_MS = 500; // an Enter this soon after the pause was still meant for the letters
const PAGE_ROWS = 10;

let current = null; // id of the cell that has the tab stop
let pickedAt = -LATE_MS; // when a pause in typing last picked a costume
let typed = null; // { text, id, link, timer } while letters are being typed
const waiting = []; // the cells that each edit on its way will change, in the order of sending

const linkOf = (id) => document.getElementById(id);
const here = () => linkOf(current);
const rowOf = (link) => link.closest("tr");
const linksOf = (row) => [...row.querySelectorAll("td > a")];
const wearsOf = (link) => [...JSON.parse(rowOf(link).dataset.wears), [UNDECIDED, UNDECIDED, 0]];
const sceneOf = (link) => link.pathname.split("/").at(-2);
const isFull = (link) => Boolean(link.parentElement.dataset.stamp);
const isWaiting = (link) => waiting.flat().includes(link.id);
const fold = (text) => text.normalize("NFC").toLocaleLowerCase();

// One tab stop.

function settle(row) {
  for (const link of linksOf(row)) {
    link.tabIndex = link.id === current ? 0 : -1;
    showWaiting(link);
  }
}

function take(link, { focus = true } = {}) {
  const before = here();
  if (before && before !== link) before.tabIndex = -1;
  current = link.id;
  link.tabIndex = 0;
  if (focus) link.focus();
  showTray();
}

// A row that comes back from the server takes the focus up again where it stood, before any key.
new MutationObserver((records) => {
  const rows = records.flatMap((record) => [...record.addedNodes]).filter((n) => n.matches?.("tr"));
  rows.forEach(settle);
  if (rows.some((row) => row.contains(here())) && !panel.open && isNowhere()) here().focus();
}).observe(table.tBodies[0], { childList: true });

const isNowhere = () => !document.activeElement || document.activeElement === document.body;

// Moving.

function neighbour(link, down, right) {
  const rows = [...table.tBodies[0].rows];
  const row = rows.indexOf(rowOf(link));
  const links = linksOf(rows[row]);
  const column = links.indexOf(link);
  const clamp = (value, most) => Math.max(0, Math.min(most, value));
  const to = clamp(row + down, rows.length - 1);
  return linksOf(rows[to])[clamp(column + right, links.length - 1)];
}

const MOVES = {
  ArrowLeft: [0, -1],
  ArrowRight: [0, 1],
  ArrowUp: [-1, 0],
  ArrowDown: [1, 0],
  Home: [0, -Infinity],
  End: [0, Infinity],
  PageUp: [-PAGE_ROWS, 0],
  PageDown: [PAGE_ROWS, 0],
};

function move(event, link) {
  const [down, right] = MOVES[event.key];
  const far = (event.ctrlKey || event.metaKey) && (event.key === "Home" || event.key === "End");
  take(neighbour(link, far ? right : down, right));
}

// Sending. The table keeps the order: each edit waits for the one before.

function send(link, verb, values, changed = link) {
  waiting.push([link.id, changed.id]);
  [link, changed].forEach(showWaiting);
  htmx.ajax("POST", `${link.pathname}${verb}/`, {
    source: table,
    target: "#plot-panel",
    swap: "innerHTML",
    values: { ...values, cell: link.id },
  });
}

function showWaiting(link) {
  link.parentElement.classList.toggle("waiting", isWaiting(link));
}

document.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.elt !== table || event.detail.requestConfig.verb !== "post") return;
  const done = waiting.shift() || [];
  done.map(linkOf).filter(Boolean).forEach(showWaiting);
});

// Undo and redo go by the same order, so that they turn back what was typed just before.
function turn(button) {
  pick();
  waiting.push([]);
  htmx.ajax("POST", button.getAttribute("hx-post"), {
    source: table,
    target: "#plot-panel",
    swap: "innerHTML",
    values: { at: "grid" },
  });
}

// A block from a spreadsheet, from this cell on: first the panel with what it will do.
table.addEventListener("paste", (event) => {
  const link = event.target.closest("td > a");
  const block = event.clipboardData.getData("text/plain");
  if (!link || !block.trim()) return;
  event.preventDefault();
  forget();
  waiting.push([]);
  const [guise, scene] = link.pathname.split("/").slice(-3);
  htmx.ajax("POST", table.dataset.paste, {
    source: table,
    target: "#plot-panel",
    swap: "innerHTML",
    values: { block, guise, scene },
  });
});

function turnBy(event) {
  const key = event.key.toLowerCase();
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return null;
  if (key === "z") return event.shiftKey ? "redo-button" : "undo-button";
  return key === "y" && !event.shiftKey ? "redo-button" : null;
}

// The stamp is read when the edit leaves, not when it was asked for: by then the cell's earlier
// edit has come back and brought the new one.
document.addEventListener("htmx:configRequest", (event) => {
  const sent = event.detail.parameters;
  if (event.detail.elt !== table || !sent.cell) return;
  sent.stamp = linkOf(sent.cell)?.parentElement.dataset.stamp || "";
  delete sent.cell;
});

function carry(event, link) {
  const next = neighbour(link, 0, event.key === "ArrowRight" ? 1 : -1);
  if (next === link) return;
  if (isFull(link) || isWaiting(link)) {
    send(link, "copy", { "copy-until": sceneOf(next) }, next);
  }
  take(next);
}

// Typing a costume's first letters.

function type(link, key) {
  const names = wearsOf(link);
  const wanted = fold((typed?.text || "") + key);
  const starts = (text) => names.filter(([, name]) => fold(name).startsWith(text));
  let text = wanted;
  let found = starts(text)[0];
  if (key === "?") found = names.at(-1);
  else if (!found) {
    // The same letter again goes to the next costume that begins with it.
    text = fold(key);
    const same = starts(text);
    const last = same.findIndex(([id]) => id === typed?.id);
    found = same[(last + 1) % same.length];
  }
  if (!found) {
    forget();
    hint(`Nothing here begins with “${key}”.`);
    return;
  }
  clearTimeout(typed?.timer);
  typed = { text, id: found[0], name: found[1], link, timer: setTimeout(pause, PAUSE_MS) };
  link.dataset.typed = found[1];
  link.parentElement.classList.add("typing");
}

function forget() {
  if (!typed) return;
  clearTimeout(typed.timer);
  const link = linkOf(typed.link.id);
  delete link?.dataset.typed;
  link?.parentElement.classList.remove("typing");
  typed = null;
}

function pause() {
  pickedAt = performance.now();
  pick();
}

function pick() {
  if (!typed) return;
  const { id, link } = typed;
  forget();
  const now = linkOf(link.id);
  if (now.querySelectorAll(".cloth").length > 1) open(now);
  else send(now, "pick", { costume: id });
}

// The tray under the grid: what the guise of this row can wear.

function showTray() {
  const link = here();
  if (!tray || !link) return;
  const names = [...rowOf(link).cells[0].children].map((part) => part.textContent.trim());
  tray.querySelector("[data-plot-who]").textContent = `${names.join(" ").trim()} wears`;
  tray.querySelector("[data-plot-wears]").replaceChildren(
    ...wearsOf(link).map(([, name, tint]) => {
      const swatch = document.createElement("span");
      const letter = document.createElement("u");
      swatch.className = `cloth ${tint ? `cloth-${tint}` : "cloth-undecided"}`;
      letter.textContent = name.slice(0, 1);
      swatch.append(letter, name.slice(1));
      return swatch;
    }),
  );
  hint("");
}

function hint(words) {
  tray.querySelector("[data-plot-hint]").textContent = words;
  if (words) document.getElementById("announce").textContent = words;
}

// The panel of a cell.

function open(link) {
  forget();
  htmx.ajax("GET", link.pathname, { source: table, target: "#plot-panel", swap: "innerHTML" });
}

document.addEventListener("htmx:afterSwap", (event) => {
  if (event.detail.target !== panel || !panel.childElementCount) return;
  if (!panel.querySelector("[data-close]")) return;
  if (!panel.open) panel.showModal();
  place();
});

// Beside its cell where there is room; on a phone the style sheet makes it a sheet from below.
function place() {
  const isPhone = matchMedia("(max-width: 48rem)").matches;
  for (const side of ["left", "top", "margin"]) panel.style[side] = "";
  const isWide = Boolean(panel.querySelector(".paste-frame, #paste-block"));
  panel.classList.toggle("panel-wide", isWide);
  const cell = here()?.getBoundingClientRect();
  if (isPhone || isWide || !cell) return;
  const size = panel.getBoundingClientRect();
  const room = 12;
  const inside = (value, length, most) => Math.max(room, Math.min(value, most - length - room));
  let left = inside(cell.left - 24, size.width, innerWidth);
  let top = cell.bottom + 6;
  if (top + size.height + room > innerHeight) top = cell.top - size.height - 6;
  if (top < room) {
    const isRight = cell.right + size.width + 2 * room < innerWidth;
    left = isRight ? cell.right + room : inside(cell.left - size.width - room, size.width, innerWidth);
    top = inside(cell.top - size.height / 3, size.height, innerHeight);
  }
  Object.assign(panel.style, { margin: "0", left: `${left}px`, top: `${top}px` });
}

panel.addEventListener("close", () => {
  panel.replaceChildren();
  here()?.focus();
});

document.body.addEventListener("plot:written", (event) => {
  if (panel.open) panel.close();
  else if (isNowhere()) here()?.focus();
  if (event.detail.said) hint(event.detail.said);
});

// Listening.

table.addEventListener("click", (event) => {
  const link = event.target.closest("td > a");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  take(link);
  open(link);
});

table.addEventListener("focusin", (event) => {
  const link = event.target.closest("td > a");
  if (link && link.id !== current) take(link, { focus: false });
});

table.addEventListener("keydown", (event) => {
  const link = event.target.closest("td > a");
  if (!link) return;
  const plain = !event.ctrlKey && !event.metaKey && !event.altKey;
  const turned = document.getElementById(turnBy(event));
  if (turned) turn(turned);
  else if (event.key === "Escape" && typed) forget();
  else if (event.key === "Enter" && typed) pick();
  else if (event.key === "Enter" && performance.now() - pickedAt < LATE_MS) pickedAt = 0;
  else if (event.key === "Enter" || event.key === "F2") open(link);
  else if (plain && event.shiftKey && /^Arrow(Left|Right)$/.test(event.key)) {
    pick();
    carry(event, link);
  } else if (event.key in MOVES && !event.altKey) {
    pick();
    move(event, link);
  } else if (plain && (event.key === "Delete" || event.key === "Backspace")) {
    if (typed) forget();
    else if (isFull(link) || isWaiting(link)) send(link, "clear", {});
  } else if (plain && event.key.length === 1 && (event.key !== " " || typed)) type(link, event.key);
  else return;
  event.preventDefault();
});

table.addEventListener("focusout", pick);

// Beginning: where the address says, else the first cell.

table.setAttribute("role", "grid");
tray.hidden = false;
const wanted = table.querySelector("td > a:target") || table.querySelector("td > a");
current = wanted.id;
for (const row of table.tBodies[0].rows) settle(row);
if (wanted.matches(":target")) take(wanted);
else showTray();
