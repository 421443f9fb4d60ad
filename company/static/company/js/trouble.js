// When an answer does not come, or is one that cannot be shown: say so, keep what was typed.

function say(words) {
  const region = document.getElementById("messages");
  if (!region) return;
  const line = document.createElement("p");
  line.className = "message message-error";
  line.textContent = words;
  region.replaceChildren(line);
  region.scrollIntoView({ block: "nearest" });
}

const WORDS = {
  403: "You may not do that here. Nothing was changed. If you have just signed in again, load the page anew.",
  404: "That is no longer here. Nothing was changed. Load the page anew to see how it stands.",
};

document.addEventListener("htmx:responseError", (event) => {
  say(
    WORDS[event.detail.xhr.status] ||
      "Something broke on our side. What you typed is still on the page: try again in a moment.",
  );
});

for (const name of ["htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(name, () => {
    say("The connection was lost. What you typed is still on the page: try again in a moment.");
  });
}

document.addEventListener("htmx:beforeRequest", (event) => {
  event.detail.target?.setAttribute?.("aria-busy", "true");
});

document.addEventListener("htmx:afterRequest", (event) => {
  event.detail.target?.removeAttribute?.("aria-busy");
});
