// form[data-autosubmit]: sends itself when a choice in it changes.
// Its button, marked data-autosubmit-button, is for those without JavaScript and is put away.

function putAway(root) {
  for (const button of root.querySelectorAll("[data-autosubmit] [data-autosubmit-button]")) {
    button.hidden = true;
  }
}

document.addEventListener("change", (event) => {
  const form = event.target.form;
  if (form && form.matches("[data-autosubmit]")) form.requestSubmit();
});

document.addEventListener("htmx:afterSettle", (event) => putAway(event.detail.elt));
putAway(document);
