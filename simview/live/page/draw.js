// Pictures onto canvases: round as a field is, red alone by night.
const scratch = document.createElement("canvas");

export function draw(canvas, picture, fieldPx, night) {
  const side = Math.round(canvas.clientWidth * devicePixelRatio) || picture.width;
  if (canvas.width !== side) canvas.width = canvas.height = side;
  scratch.width = scratch.height = picture.width;
  scratch.getContext("2d").putImageData(night ? reddened(picture) : picture, 0, 0);
  const brush = canvas.getContext("2d");
  brush.clearRect(0, 0, side, side);
  brush.save();
  const radius = Math.min(side / 2, (fieldPx / picture.width) * side / 2);
  brush.beginPath();
  brush.arc(side / 2, side / 2, radius, 0, 7);
  brush.clip();
  brush.imageSmoothingQuality = "high";
  brush.drawImage(scratch, 0, 0, side, side);
  brush.restore();
  rim(brush, side, radius, night);
}

// The edge of a field that is smaller than the picture.
export function rim(brush, side, radius, night) {
  if (radius >= side / 2 - 1) return;
  brush.beginPath();
  brush.arc(side / 2, side / 2, radius, 0, 7);
  brush.strokeStyle = night ? "#3a0000" : "#2a2e38";
  brush.lineWidth = 2;
  brush.stroke();
}

export function reddened(picture) {
  const from = picture.data;
  const made = new ImageData(picture.width, picture.height);
  for (let i = 0; i < from.length; i += 4) {
    made.data[i] = 0.2126 * from[i] + 0.7152 * from[i + 1] + 0.0722 * from[i + 2];
    made.data[i + 3] = 255;
  }
  return made;
}

export function wantedSide(canvas, most = 900) {
  const side = Math.round(canvas.clientWidth * Math.min(devicePixelRatio, 2)) || 480;
  return Math.max(160, Math.min(most, 2 * Math.round(side / 2)));
}
