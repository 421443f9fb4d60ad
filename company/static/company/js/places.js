// On a narrow screen the bar of places scrolls: bring the place one is at into view.

for (const bar of document.querySelectorAll("[data-places]")) {
  const here = bar.querySelector("[aria-current]");
  if (here) bar.scrollLeft = here.offsetLeft - bar.clientWidth / 2 + here.clientWidth / 2;
}
