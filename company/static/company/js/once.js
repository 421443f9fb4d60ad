// form[data-once]: a second press while the first is on its way does nothing.
// Plain forms only; htmx keeps its own order.

const sent = new WeakSet();

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches("[data-once]") || form.matches("[hx-post]") || event.defaultPrevented) return;
  if (sent.has(form)) event.preventDefault();
  sent.add(form);
  form.setAttribute("aria-busy", "true");
});

// A page taken from the browser's memory is ready to be sent again.
window.addEventListener("pageshow", (event) => {
  if (!event.persisted) return;
  for (const form of document.querySelectorAll("form[data-once][aria-busy]")) {
    sent.delete(form);
    form.removeAttribute("aria-busy");
  }
});
