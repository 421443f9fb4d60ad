// The clock of a pour: beside a due time, how long it is until then, counted from the server's
// clock, so that a phone that is wrong by an hour still counts right. Without scripts the plain
// time stands. Markup: data-now (ISO) on any element above, <time data-until="ISO"> inside it.
const STEP_MS = 10_000;

const inWords = (ms) => {
  const minutes = Math.round(Math.abs(ms) / 60_000);
  const hours = Math.floor(minutes / 60);
  const days = Math.floor(hours / 24);
  let said;
  if (days) said = `${days} d ${hours % 24} h`;
  else if (hours) said = `${hours} h ${minutes % 60} min`;
  else said = `${minutes} min`;
  if (minutes === 0) return "now";
  return ms < 0 ? `${said} ago` : `in ${said}`;
};

const offsets = new WeakMap();

const offsetOf = (element) => {
  const root = element.closest("[data-now]");
  if (!root) return 0;
  if (!offsets.has(root)) offsets.set(root, Date.parse(root.dataset.now) - Date.now());
  return offsets.get(root);
};

const tick = () => {
  for (const time of document.querySelectorAll("time[data-until]")) {
    const left = Date.parse(time.dataset.until) - (Date.now() + offsetOf(time));
    const words = inWords(left);
    if (time.nextElementSibling?.classList.contains("until")) {
      if (time.nextElementSibling.textContent !== words) time.nextElementSibling.textContent = words;
    } else {
      const said = document.createElement("span");
      said.className = "until";
      said.textContent = words;
      time.after(said);
    }
  }
};

tick();
setInterval(tick, STEP_MS);
document.addEventListener("htmx:afterSettle", tick);
document.addEventListener("visibilitychange", tick);
