// input[type=file][data-preview="id of a canvas"]: shows the chosen picture small before it is sent.
// Drawn on a canvas, because the page's policy allows no blob: pictures.

document.addEventListener("change", async (event) => {
  const input = event.target;
  if (!input.matches?.("input[type=file][data-preview]")) return;
  const canvas = document.getElementById(input.dataset.preview);
  const file = input.files[0];
  if (!canvas) return;
  canvas.hidden = true;
  if (!file) return;
  try {
    const picture = await createImageBitmap(file);
    const scale = Math.min(1, 320 / Math.max(picture.width, picture.height));
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    canvas.hidden = false;
  } catch {
    // Not a picture this browser can read: the server says so when it is sent.
  }
});
