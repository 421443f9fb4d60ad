// After a swap: say what changed, and never leave the keyboard in nowhere.
// data-announce="words": said aloud when swapped in. data-focus: takes the focus when swapped in.
// data-focus-on="id": the element that takes it instead, wherever it stands.

const region = () => document.getElementById("announce");

function settle(root) {
  const scope = root && root.querySelector ? root : document;
  const said = scope.matches?.("[data-announce]") ? scope : scope.querySelector("[data-announce]");
  if (said && region()) region().textContent = said.dataset.announce || said.textContent.trim();
  const wanted = scope.matches?.("[data-focus]") ? scope : scope.querySelector("[data-focus]");
  if (wanted) wanted.focus();
  const named = scope.matches?.("[data-focus-on]") ? scope : scope.querySelector("[data-focus-on]");
  if (named) document.getElementById(named.dataset.focusOn)?.focus();
}

let place = null;

document.addEventListener("htmx:beforeSwap", (event) => {
  const held = document.activeElement;
  place = held && event.detail.target.contains(held) ? event.detail.target.id : null;
});

document.addEventListener("htmx:afterSettle", (event) => {
  settle(event.detail.elt);
  if (place && document.activeElement === document.body) {
    const home = document.getElementById(place);
    if (home) {
      if (!home.hasAttribute("tabindex")) home.tabIndex = -1;
      home.focus({ preventScroll: true });
    }
  }
  place = null;
});

document.querySelector("main [data-focus]")?.focus();
