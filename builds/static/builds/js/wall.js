// [data-wall]: arrow keys go from slip to slip, Page Up and Page Down turn the weeks, and links to
// slips open in the dialog beside it.

const SLIP = "a[href*='/plan/slip/']";

function middle(link) {
  const box = (link.closest(".slip") || link).getBoundingClientRect();
  return { x: box.left + box.width / 2, y: box.top + box.height / 2 };
}

// The nearest slip in a direction: what lies across counts three times what lies along.
function nearest(from, links, dx, dy) {
  const here = middle(from);
  let best = null;
  let least = Infinity;
  for (const link of links) {
    if (link === from) continue;
    const there = middle(link);
    const along = (there.x - here.x) * dx + (there.y - here.y) * dy;
    if (along < 4) continue;
    const across = Math.abs((there.x - here.x) * dy) + Math.abs((there.y - here.y) * dx);
    const far = along + 3 * across;
    if (far < least) {
      least = far;
      best = link;
    }
  }
  return best;
}

const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const TURNS = { PageUp: "[data-earlier]", PageDown: "[data-later]" };

document.addEventListener("keydown", (event) => {
  const link = event.target.closest?.(`[data-wall] ${SLIP}`);
  if (!link || event.altKey || event.ctrlKey || event.metaKey) return;
  const turn = TURNS[event.key] && document.querySelector(TURNS[event.key]);
  if (turn) {
    event.preventDefault();
    turn.click();
    return;
  }
  const way = WAYS[event.key];
  const links = way && [...link.closest("[data-wall]").querySelectorAll(SLIP)];
  const next = links && nearest(link, links, ...way);
  if (!next) return;
  event.preventDefault();
  next.focus();
});

document.addEventListener("htmx:afterSwap", (event) => {
  const panel = event.detail.target;
  if (panel?.id === "slip-panel" && !panel.open) panel.showModal();
});
