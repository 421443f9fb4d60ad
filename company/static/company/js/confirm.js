// data-confirm="Sentence that asks" on a form, a button or a link: asks before it goes ahead.
// Without JavaScript the form goes ahead at once; everything it does can be taken back.

const dialog = document.getElementById("confirm");
const words = document.getElementById("confirm-words");
const agreed = new WeakSet();

function ask(sentence, goOn) {
  if (!dialog || !dialog.showModal) {
    if (window.confirm(sentence)) goOn();
    return;
  }
  words.textContent = sentence;
  dialog.returnValue = "no";
  dialog.addEventListener("close", () => dialog.returnValue === "yes" && goOn(), { once: true });
  dialog.showModal();
  // Not by the autofocus attribute: a browser minds it even in a closed dialog, and complains.
  dialog.querySelector("[data-confirm-no]").focus();
}

const sentenceOf = (element) => element?.closest?.("[data-confirm]")?.dataset.confirm;

document.addEventListener("htmx:confirm", (event) => {
  const sentence = sentenceOf(event.detail.triggeringEvent?.submitter) || sentenceOf(event.target);
  if (!sentence) return;
  event.preventDefault();
  ask(sentence, () => event.detail.issueRequest(true));
});

document.addEventListener(
  "submit",
  (event) => {
    const form = event.target;
    if (form.matches("[hx-post], [hx-get], [hx-put], [hx-delete], [method=dialog]")) return;
    const sentence = sentenceOf(event.submitter) || sentenceOf(form);
    if (!sentence || agreed.delete(form)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    ask(sentence, () => {
      agreed.add(form);
      form.requestSubmit(event.submitter);
    });
  },
  true,
);
