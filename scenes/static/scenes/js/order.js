// Rows that change places.
// table[data-drag="id of a form"]: a row is dragged by its grip and dropped behind another.
// The form sends `key` and `after`. Without this the arrows, and 'Move it' in an open line, do it.
// button[form][name] outside its form: htmx does not see which one was pressed, so the form is told.

let dragged = null;

const rowOf = (element) => element?.closest?.("[data-drag-key]");

function showGrips(root) {
  for (const grip of root.querySelectorAll?.("[data-drag] [data-grip]") ?? []) grip.hidden = false;
}

// The row after which a drop would put it; null is the front of the list.
function rowBefore(row, y) {
  const box = row.getBoundingClientRect();
  if (y > box.top + box.height / 2) return row;
  let before = row.previousElementSibling;
  while (before && !before.dataset.dragKey) before = before.previousElementSibling;
  return before;
}

function mark(row) {
  for (const marked of document.querySelectorAll("[data-drag-over]")) {
    delete marked.dataset.dragOver;
  }
  if (row) row.dataset.dragOver = "";
}

function field(name, value) {
  const input = document.createElement("input");
  input.type = "hidden";
  input.name = name;
  input.value = value;
  return input;
}

document.addEventListener("dragstart", (event) => {
  if (!event.target.matches?.("[data-grip]")) return;
  dragged = rowOf(event.target);
  dragged.dataset.dragged = "";
  event.dataTransfer.effectAllowed = "move";
  event.dataTransfer.setData("text/plain", dragged.dataset.dragKey);
  event.dataTransfer.setDragImage(dragged, 0, 0);
});

document.addEventListener("dragover", (event) => {
  const over = dragged && rowOf(event.target);
  if (!over) return;
  event.preventDefault();
  mark(rowBefore(over, event.clientY) ?? over);
});

document.addEventListener("drop", (event) => {
  const over = dragged && rowOf(event.target);
  if (!over) return;
  event.preventDefault();
  const after = rowBefore(over, event.clientY);
  const form = document.getElementById(dragged.closest("[data-drag]").dataset.drag);
  const moves = after !== dragged && !(after === null && over === dragged);
  if (!form || !moves) return;
  form.append(field("key", dragged.dataset.dragKey), field("after", after?.dataset.dragKey ?? ""));
  form.requestSubmit();
});

document.addEventListener("dragend", () => {
  if (dragged) delete dragged.dataset.dragged;
  mark(null);
  dragged = null;
});

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    const button = event.submitter;
    if (!button?.name || form.contains(button) || !form.matches("[hx-post]")) return;
    for (const told of form.querySelectorAll("[data-pressed]")) told.remove();
    const told = field(button.name, button.value);
    told.dataset.pressed = "";
    form.append(told);
  },
  true,
);

document.addEventListener("htmx:afterSettle", () => showGrips(document));
showGrips(document);
