// a[data-panel="id of a dialog"]: opens it in place; without JavaScript the link goes to a page.
// dialog[data-open] swapped in by htmx opens by itself. [data-close] closes the dialog around it.

function open(dialog) {
  if (dialog && dialog.showModal && !dialog.open) dialog.showModal();
}

document.addEventListener("click", (event) => {
  const closer = event.target.closest?.("dialog [data-close]");
  if (closer) {
    event.preventDefault();
    closer.closest("dialog").close();
    return;
  }
  const opener = event.target.closest?.("[data-panel]");
  const dialog = opener && document.getElementById(opener.dataset.panel);
  if (!dialog) return;
  event.preventDefault();
  open(dialog);
});

document.addEventListener("htmx:afterSettle", (event) => {
  const root = event.detail.elt;
  open(root.matches?.("dialog[data-open]") ? root : root.querySelector?.("dialog[data-open]"));
});
