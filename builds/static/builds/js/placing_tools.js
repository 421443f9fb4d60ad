// [data-placing-desk]: the list, the buttons and the line of advice beside the pictures. They ask
// drawing.js to choose, to move by an arrow and to take back, and show what it tells of that.

const desk = document.querySelector("[data-placing-desk]");
const form = document.querySelector("form[data-placing]");
const announce = document.getElementById("announce");

const viewOf = (key) => /^(profile|front)-/.exec(key || "")?.[1];
const ask = (name, detail) => desk.dispatchEvent(new CustomEvent(name, { detail }));

function showChosen({ detail: { key, say } }) {
  for (const button of form.querySelectorAll("[data-pick]")) {
    button.setAttribute("aria-pressed", String(button.dataset.pick === key));
    button.closest("[data-row]")?.classList.toggle("row-chosen", button.dataset.pick === key);
  }
  const list = desk.querySelector("[data-choose]");
  if (list) list.value = key || "";
  const mine = viewOf(key);
  if (mine && mine !== desk.dataset.shown) ask("picture:show", { view: mine });
  const name = form.querySelector(`[data-pick="${CSS.escape(key || "")}"]`)?.dataset.name;
  showHint(name ? `Click on the picture where the ${name} is.` : "", say && name);
}

function showHint(words, say) {
  const hint = desk.querySelector("[data-hint]");
  if (hint) hint.textContent = words;
  if (say) announce.textContent = words;
}

function showBack({ detail: { count } }) {
  const back = desk.querySelector("[data-take-back]");
  if (back) back.disabled = !count;
}

function onPress(event) {
  const button = event.target.closest("[data-tool], [data-pick]");
  if (!button) return;
  const { pick, tool } = button.dataset;
  if (pick) ask("placing:pick", { key: pick });
  if (tool === "back") ask("placing:back");
  if (tool?.startsWith("Arrow")) ask("placing:arrow", { arrow: tool });
}

// The list above the pictures: on a telephone the rows lie far below.
function fillList() {
  const list = desk.querySelector("[data-choose]");
  if (!list) return;
  const options = [new Option("nothing", "")];
  for (const { dataset } of form.querySelectorAll("[data-pick]")) {
    const view = viewOf(dataset.pick);
    options.push(new Option(view ? `${dataset.name}, ${view}` : dataset.name, dataset.pick));
  }
  list.replaceChildren(...options);
  list.addEventListener("change", () => ask("placing:choose", { key: list.value || null }));
}

function begin() {
  fillList();
  desk.addEventListener("click", onPress);
  desk.addEventListener("placing:chosen", showChosen);
  desk.addEventListener("placing:told", ({ detail }) => showHint(detail.words, true));
  desk.addEventListener("placing:done", showBack);
}

if (desk && form) begin();
