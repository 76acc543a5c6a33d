// Tonight's list: what stands in the sky of a place on an evening, the best first.
import { post } from "./line.js";

const by = (id) => document.getElementById(id);
const PLACE = "simview-place";

export class Tonight {
  constructor(see, trouble) {
    Object.assign(this, { see, trouble });
    const now = new Date();
    by("date").value = new Date(now - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
    try {
      const place = JSON.parse(localStorage.getItem(PLACE) ?? "{}");
      by("lat").value = place.lat ?? "";
      by("lon").value = place.lon ?? "";
    } catch { /* a place that cannot be read is asked for again */ }
    by("evening").addEventListener("click", () => this.ask());
    for (const id of ["date", "lat", "lon"]) by(id).addEventListener("keydown", (event) => { if (event.key === "Enter") this.ask(); });
  }

  async ask() {
    if (by("lat").value === "") {
      this.trouble("Tonight's sky needs a place: your latitude, such as 52 for 52° north.");
      by("lat").focus();
      return;
    }
    const place = { lat: +by("lat").value, lon: +by("lon").value };
    try {
      const told = await (await post("tonight", JSON.stringify({ date: by("date").value, ...place }))).json();
      localStorage.setItem(PLACE, JSON.stringify(place));
      this.trouble("");
      this.show(told);
    } catch (error) {
      this.trouble(error.message);
    }
  }

  show(told) {
    by("when").textContent = `${told.where}, ${told.when}${told.dark ? "" : ": it does not get dark that night"}`;
    by("sights").replaceChildren(...told.sights.map((sight) => {
      const item = document.createElement("li");
      const button = document.createElement("button");
      const where = document.createElement("span");
      button.type = "button";
      button.textContent = sight.title;
      where.textContent = `${sight.altitude}° high, ${sight.direction}${sight.lit === null ? "" : `, ${Math.round(100 * sight.lit)} % lit`}`;
      button.addEventListener("click", () => this.see.visit(sight.name, sight.altitude));
      item.append(button, where);
      return item;
    }));
    if (!told.sights.length) by("sights").textContent = "Nothing of the list stands high enough then.";
  }
}
