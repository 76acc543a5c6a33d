// A photograph of one's own star beside the computed one. Shown, it stays in this browser.
const LARGEST_BYTES = 20_000_000;
const MOST_PIXELS = 40_000_000;
const SIDE = 768;

export async function photograph(file) {
  if (file.size > LARGEST_BYTES) throw new Error(`${file.name} has ${Math.round(file.size / 1e6)} MB; at most 20 MB can be taken. Save it smaller first.`);
  let found;
  try {
    found = await createImageBitmap(file);
  } catch {
    throw new Error(`${file.name} is no photograph that this browser can read; save it as JPEG or PNG.`);
  }
  const { width, height } = found;
  if (width * height > MOST_PIXELS) {
    found.close();
    throw new Error(`${file.name} has ${Math.round((width * height) / 1e6)} million pixels; at most 40 can be taken. Save it smaller first.`);
  }
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = SIDE;
  const part = Math.min(width, height);
  canvas.getContext("2d").drawImage(found, (width - part) / 2, (height - part) / 2, part, part, 0, 0, SIDE, SIDE);
  found.close();
  return canvas.getContext("2d").getImageData(0, 0, SIDE, SIDE);
}
