// Pictures held in this browser while nothing is dragged, so that a drag of the power needs no answer:
// what stands between two of them is drawn from both, each at its true size.
import { reddened, rim } from "./draw.js";

// Powers an octave; a picture is wider than is shown by one such step, so that it also covers the next.
const STEPS = 4;
export const MARGIN = 2 ** (1 / STEPS) * 1.01;
// Until all are there every other one will do; outside the finer one's edge the coarser is seen alone.
const WIDEST = 2 ** (2 / STEPS) * 1.04;
// So near to a piece's power stands what the piece shows, a prism's turned picture too: steps keep off.
const OFF = 1.02;
// A power that is nearer than this to one that is held is that one.
const SAME = 1.002;

export class Held {
  constructor(kit) {
    this.views = [];
    const { least, most } = kit;
    const [from, to] = [least, most].map((power) => STEPS * Math.log2(power));
    const steps = [];
    for (let step = Math.floor(from) + 1; step < to; step += 1) steps.push(step);
    const pieces = kit.powers.map((rung) => rung.power).filter((power) => power >= least && power <= most);
    const powers = (some) => some.map((step) => 2 ** (step / STEPS)).map((power) => (pieces.some((piece) => apart(piece, power) < Math.log(OFF) / 2) ? power * OFF : power));
    const coarse = [least, most, ...powers(steps.filter((step) => step % 2 === 0))];
    const all = [...coarse, ...pieces, ...powers(steps)];
    this.missing = all.filter((power, i) => !all.slice(0, i).some((other) => near(power, other)));
    this.coarse = new Set(coarse);
  }

  // The power to ask for next: every other step first, the nearest before the others.
  next(power) {
    const first = this.missing.filter((each) => this.coarse.has(each));
    return (first.length ? first : this.missing).reduce((best, each) => (best === undefined || apart(each, power) < apart(best, power) ? each : best), undefined);
  }

  take(power, picture, side) {
    this.missing = this.missing.filter((each) => !near(each, power));
    if (this.views.some((view) => near(view.power, power))) return;
    const across = picture.width / side.pixels_per_degree / power;
    this.views.push({ power, picture, across, turn: side.turn, field: (2 * side.field_px) / picture.width, canvases: {} });
    // How the telescope turns what it shows; a prism among the pieces turns it otherwise, at its own powers.
    if (!side.in_the_box) this.turn ??= side.turn;
    this.views.sort((a, b) => a.power - b.power);
  }

  // The two views around a power, and how far it is from the first to the second; null where none are.
  around(power) {
    const same = this.views.find((view) => near(view.power, power));
    if (same) return [same, same, 0];
    const alike = this.views.filter((view) => view.turn === this.turn);
    const i = alike.findIndex((view) => view.power > power);
    if (i < 1) return null;
    const [low, high] = [alike[i - 1], alike[i]];
    if (high.power / low.power > WIDEST) return null;
    return [low, high, Math.log(power / low.power) / Math.log(high.power / low.power)];
  }

  // How much of the sky a picture of this power shows.
  across([low, high, share]) {
    return between(low.across, high.across, share) / MARGIN;
  }

  draw(canvas, [low, high, share], across, night) {
    const side = Math.round(canvas.clientWidth * devicePixelRatio) || low.picture.width;
    if (canvas.width !== side) canvas.width = canvas.height = side;
    const brush = canvas.getContext("2d");
    const field = between(low.field * low.across, high.field * high.across, share);
    const radius = (Math.min(1, field / across) * side) / 2;
    brush.clearRect(0, 0, side, side);
    brush.save();
    brush.beginPath();
    brush.arc(side / 2, side / 2, radius, 0, 7);
    brush.clip();
    // Less would round each layer down: a dark sky would lose a step of brightness or two.
    brush.imageSmoothingQuality = "high";
    for (const [view, seen] of share ? [[low, 1], [high, share]] : [[low, 1]]) {
      const wide = (side * view.across) / across;
      brush.globalAlpha = seen;
      brush.drawImage(drawn(view, night, wide < side), (side - wide) / 2, (side - wide) / 2, wide, wide);
    }
    brush.restore();
    rim(brush, side, radius, night);
  }
}

const between = (a, b, share) => a ** (1 - share) * b ** share;
const apart = (a, b) => Math.abs(Math.log(a / b));
const near = (a, b) => apart(a, b) < Math.log(SAME);

// A view as a canvas, with a soft edge where it is laid inside a wider one.
function drawn(view, night, soft) {
  const kind = `${night} ${soft}`;
  if (!view.canvases[kind]) {
    const side = view.picture.width;
    const canvas = document.createElement("canvas");
    canvas.width = canvas.height = side;
    const brush = canvas.getContext("2d");
    brush.putImageData(night ? reddened(view.picture) : view.picture, 0, 0);
    if (soft) {
      const fade = brush.createRadialGradient(side / 2, side / 2, 0.35 * side, side / 2, side / 2, 0.5 * side);
      fade.addColorStop(0, "#000");
      fade.addColorStop(1, "#0000");
      brush.globalCompositeOperation = "destination-in";
      brush.fillStyle = fade;
      brush.fillRect(0, 0, side, side);
    }
    view.canvases[kind] = canvas;
  }
  return view.canvases[kind];
}
