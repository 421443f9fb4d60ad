// form[data-kept="a name"]: what was typed or placed stays in this browser until the server has it.
// Sent by fetch, with the header that data-kept-header names; 204 says that it is kept. Without an
// answer the form says so, keeps everything, and offers to send again; a page loaded anew has it all.

const form = document.querySelector("form[data-kept]");
const notice = form?.querySelector("[data-kept-notice]");
const SKIP = new Set(["csrfmiddlewaretoken", "version"]);

const shelf = {
  key: `strung-kept-${form?.dataset.kept}`,
  read() {
    try {
      return JSON.parse(localStorage.getItem(this.key));
    } catch {
      return null;
    }
  },
  write(what) {
    try {
      localStorage.setItem(this.key, JSON.stringify(what));
      return true;
    } catch {
      return false; // a private window, or a full one
    }
  },
  clear() {
    try {
      localStorage.removeItem(this.key);
    } catch {
      // Nothing was kept either.
    }
  },
};

function valuesOf() {
  const values = {};
  for (const [name, value] of new FormData(form)) if (!SKIP.has(name)) values[name] = value;
  return values;
}

const differs = (one, other) =>
  Object.keys({ ...one, ...other }).some((name) => (one[name] ?? "") !== (other[name] ?? ""));

const version = () => form.elements.namedItem("version")?.value || "";
let served = null; // what the page came with
let isSending = false;

function say(words, { again = false, discard = false, isWrong = false } = {}) {
  notice.hidden = !words;
  notice.classList.toggle("message-error", isWrong);
  const line = document.createElement("span");
  line.textContent = words;
  const buttons = document.createElement("span");
  buttons.className = "row";
  if (again) buttons.append(button("Send again", () => form.requestSubmit()));
  if (discard) buttons.append(button("Throw it away", discardAll, "btn-quiet"));
  notice.replaceChildren(line, buttons);
  if (isWrong) notice.scrollIntoView({ block: "nearest" });
}

function button(words, act, css = "") {
  const made = document.createElement("button");
  made.type = "button";
  made.className = `btn btn-small ${css}`.trim();
  made.textContent = words;
  made.addEventListener("click", act);
  return made;
}

function keep() {
  const values = valuesOf();
  if (!differs(values, served)) {
    shelf.clear();
    say("");
    return;
  }
  const isKept = shelf.write({ version: version(), at: Date.now(), values });
  say(
    isKept
      ? "Not sent yet. What you placed is kept in this browser."
      : "Not sent yet. This browser keeps nothing: send it before you leave the page.",
  );
}

function discardAll() {
  shelf.clear();
  fill(served);
  say("");
}

// What has no place on the form any more is handed back, to be said.
function fill(values) {
  const lost = [];
  for (const [name, value] of Object.entries(values)) {
    const found = form.elements.namedItem(name);
    if (found) found.value = value;
    else if (value) lost.push(`${name} ${value}`);
  }
  form.dispatchEvent(new Event("input", { bubbles: true }));
  return lost;
}

function bringBack() {
  const kept = shelf.read();
  if (!kept || !differs(kept.values, served)) {
    shelf.clear();
    return;
  }
  const when = new Date(kept.at).toLocaleString(document.documentElement.lang, {
    weekday: "short",
    hour: "2-digit",
    minute: "2-digit",
  });
  const lost = fill(kept.values);
  const words =
    kept.version === version()
      ? `What you placed on ${when} and did not send is back.`
      : `What you placed on ${when} is back. The drawing was changed since: look before you send.`;
  const rest = lost.length ? ` No row here any more for: ${lost.join(", ")}.` : "";
  say(words + rest, { again: true, discard: true });
}

const ANSWERS = {
  401: "You are signed out. Sign in in another tab, then send again.",
  403: "You are signed out, or may not do that here. What you placed is kept in this browser: sign in, load the page again, and send.",
  404: "That drawing is no longer here. What you placed is kept in this browser.",
  409: "Somebody else changed the drawing meanwhile. What you placed is kept in this browser: load the page again, look at theirs, and send.",
};

async function send(event) {
  event.preventDefault();
  if (isSending) return;
  isSending = true;
  form.setAttribute("aria-busy", "true");
  keep();
  try {
    const answer = await fetch(form.action, {
      method: "POST",
      body: new FormData(form),
      headers: { [form.dataset.keptHeader]: "1" },
    });
    await hear(answer);
  } catch {
    say("No connection. What you placed is kept in this browser.", { again: true, isWrong: true });
  } finally {
    isSending = false;
    form.removeAttribute("aria-busy");
  }
}

async function hear(answer) {
  if (answer.status === 204) {
    shelf.clear();
    location.reload();
    return;
  }
  if (answer.status === 422) {
    say("Nothing is kept yet: see what is wrong.", { isWrong: true });
    showWrong(new DOMParser().parseFromString(await answer.text(), "text/html"));
    return;
  }
  const status = answer.redirected ? 401 : answer.status;
  const words = ANSWERS[status] || "Something went wrong here. What you placed is kept in this browser.";
  say(words, { again: status !== 404, isWrong: true });
}

// What the server found wrong stands in its page: at the rows, and all of it above the form.
function showWrong(page) {
  for (const place of form.querySelectorAll("[data-wrong]")) {
    const found = page.querySelector(`[data-wrong="${CSS.escape(place.dataset.wrong)}"]`);
    place.replaceChildren(...(found ? found.cloneNode(true).childNodes : []));
    place.hidden = !place.childElementCount;
  }
  form.querySelector("[data-wrong=all]")?.focus();
}

if (form) {
  served = valuesOf();
  if (!form.hasAttribute("data-bound")) bringBack();
  form.addEventListener("input", keep);
  form.addEventListener("placing:changed", keep);
  form.addEventListener("submit", send);
  window.addEventListener("online", () => {
    if (shelf.read()) say("The connection is back.", { again: true });
  });
}
