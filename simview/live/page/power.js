// Widths of words, measured as the page draws them.
const pen = document.createElement("canvas").getContext("2d");
function wide(text, like) {
  const { fontSize, fontFamily } = getComputedStyle(like);
  pen.font = `${fontSize} ${fontFamily}`;
  return pen.measureText(text).width;
}

// One power control: the handle on a scale of its own, the limits drawn along it, the pieces below.
export class Power {
  constructor(index, onChange) {
    this.index = index;
    this.onChange = onChange;
    this.root = document.createElement("div");
    this.root.className = "power";
    this.root.innerHTML = `<div class="head"><span class="times"></span>
      <select aria-label="Telescope ${index + 1}"></select><span class="pieces"></span></div>
      <dl></dl>
      <div class="scale"><div class="bandwords" aria-hidden="true"></div><div class="band" aria-hidden="true"></div>
      <input type="range" min="0" max="1000" step="1" aria-label="Power of telescope ${index + 1}"><div class="rungs"></div></div>`;
    this.part = (name) => this.root.querySelector(name);
    this.range = this.part("input");
    this.select = this.part("select");
    this.free = false;
    new ResizeObserver(() => this.thin()).observe(this.part(".scale"));
    this.range.addEventListener("pointerdown", (event) => { this.free = event.altKey || event.shiftKey; });
    this.range.addEventListener("input", () => this.set(this.snapped(this.at(this.range.value / 1000)), true));
    this.range.addEventListener("change", () => this.onChange(this.index, false));
    this.range.addEventListener("keydown", (event) => this.key(event));
    this.select.addEventListener("change", () => { this.onChange(this.index, false, this.select.value); });
  }

  fill(kits, word) {
    this.select.replaceChildren(...kits.map((kit) => new Option(kit.name, kit.word, false, kit.word === word)));
    this.kit = kits.find((kit) => kit.word === word) ?? kits[0];
    this.select.title = this.kit.name;
    this.range.disabled = this.kit.kind !== "telescope";
    Object.assign(this.range.dataset, { least: this.kit.least, most: this.kit.most });
    this.draw();
  }

  place(power) {
    const { least, most } = this.kit;
    if (most <= least) return 0.5;
    return Math.min(1, Math.max(0, Math.log(power / least) / Math.log(most / least)));
  }

  at(share) {
    return this.kit.least * (this.kit.most / this.kit.least) ** share;
  }

  snapped(power) {
    if (this.free) return Math.round(power * 10) / 10;
    const near = this.kit.powers.find((rung) => Math.abs(this.place(rung.power) - this.place(power)) < 0.012);
    return near ? near.power : power < 20 ? Math.round(power * 10) / 10 : Math.round(power);
  }

  key(event) {
    // Arrows go by a hundredth of the scale, page keys from piece to piece.
    const rungs = this.stops();
    if (event.key === "PageUp" || event.key === "PageDown") {
      const up = event.key === "PageUp";
      const next = up ? rungs.find((p) => p > this.power * 1.01) : rungs.findLast((p) => p < this.power * 0.99);
      if (next) this.set(next, false);
      event.preventDefault();
    } else if (["ArrowRight", "ArrowUp", "ArrowLeft", "ArrowDown"].includes(event.key)) {
      const step = event.key === "ArrowRight" || event.key === "ArrowUp" ? 0.01 : -0.01;
      const power = this.at(Math.min(1, Math.max(0, this.place(this.power) + step)));
      this.set(Math.round(power * 10) / 10, false);
      event.preventDefault();
    }
  }

  stops() {
    const all = this.kit.powers.map((rung) => rung.power);
    if (this.kit.claimed && this.kit.claimed <= this.kit.most) all.push(this.kit.claimed);
    return [...all, ...(this.kit.most >= 500 ? [500] : [])].sort((a, b) => a - b);
  }

  set(power, dragging) {
    this.power = power;
    this.show();
    this.onChange(this.index, dragging);
  }

  show() {
    this.range.value = 1000 * this.place(this.power);
    const times = `${this.power < 20 ? +this.power.toFixed(1) : Math.round(this.power)}×`;
    this.part(".times").textContent = times;
    const says = this.zone();
    this.range.setAttribute("aria-valuetext", `${times.replace("×", " times")}${says ? `, ${says}` : ""}`);
  }

  // What is said of this power: of another, until the answer for it is there, only the part it lies in.
  zone() {
    if (!this.told || Math.abs(this.power / this.told - 1) < 0.01) return this.says;
    const part = this.bands.find(([, from, to]) => this.power >= from && this.power <= to);
    return part ? this.words[part[0]]?.[0] : "";
  }

  draw() {
    const rungs = [];
    const all = this.kit.kind === "telescope" ? [...this.kit.powers] : [];
    if (this.kit.claimed) all.push({ power: this.kit.claimed, label: "claimed", claim: true });
    for (const rung of all.sort((a, b) => a.power - b.power)) {
      const place = this.place(rung.power);
      if (rung.power > this.kit.most) continue;
      const button = document.createElement("button");
      button.type = "button";
      button.tabIndex = -1;
      button.textContent = rung.claim ? `${rung.power}× claimed` : `${Math.round(rung.power)}×`;
      button.title = rung.label;
      if (rung.claim) button.className = "claim";
      button.style.left = `${100 * place}%`;
      if (place > 0.94) button.classList.add("last");
      if (place < 0.03) button.classList.add("first");
      button.addEventListener("click", () => this.set(rung.power, false));
      rungs.push(button);
    }
    this.part(".rungs").replaceChildren(...rungs);
  }

  tell(side) {
    this.says = side.says[0];
    this.told = side.numbers.power;
    this.bands = side.bands ?? [];
    this.words = side.words;
    this.part(".pieces").textContent = side.pieces;
    this.part("dl").replaceChildren(...side.rows.filter(([name]) => name !== "true field").map(([name, value]) => {
      const box = document.createElement("div");
      const what = document.createElement("dt");
      const much = document.createElement("dd");
      what.textContent = name;
      much.textContent = value;
      box.append(what, much);
      return box;
    }));
    const parts = this.kit.kind === "telescope" ? side.bands : [];
    const seen = parts.map(([name, from, to]) => [name, this.place(from), this.place(to)]).filter(([, from, to]) => to - from > 0.004);
    this.part(".band").replaceChildren(...seen.map(([name, from, to]) => {
      const part = document.createElement("i");
      part.className = name;
      part.style.left = `${100 * from}%`;
      part.style.width = `${100 * (to - from)}%`;
      return part;
    }));
    const room = this.part(".scale").clientWidth;
    const band = this.part(".bandwords");
    this.part(".bandwords").replaceChildren(...seen.flatMap(([name, from, to]) => {
      const said = (this.words[name] ?? []).find((each) => wide(each, band) + 14 < (to - from) * room);
      if (!said) return [];
      const span = document.createElement("span");
      span.textContent = said;
      span.style.left = `${50 * (from + to)}%`;
      return [span];
    }));
    this.show();
    this.thin();
  }

  // Of rungs whose words would run into each other, the claim stays, then the lower ones.
  thin() {
    const rungs = [...this.part(".rungs").children];
    const kept = [];
    for (const one of rungs) one.hidden = false;
    for (const one of rungs.sort((a, b) => b.classList.contains("claim") - a.classList.contains("claim"))) {
      const { left, right } = one.getBoundingClientRect();
      one.hidden = kept.some(([from, to]) => left < to && right > from);
      if (!one.hidden) kept.push([left, right]);
    }
  }
}
