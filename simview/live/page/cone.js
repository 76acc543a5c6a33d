// The cone of light, drawn: where it meets, and where the eyepiece looks. Not to scale, and says so.
const NS = "http://www.w3.org/2000/svg";
const [WIDE, HIGH, MIDDLE, LENS, FOCUS, HALF] = [300, 104, 52, 22, 214, 40];

function part(name, attributes) {
  const made = document.createElementNS(NS, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}

export function drawCone(svg, words, cone) {
  const at = FOCUS + (52 * cone.shift_mm) / cone.farthest_mm;
  const half = (x) => (HALF * Math.abs(x - FOCUS)) / (FOCUS - LENS);
  const end = WIDE - 6;
  const beam = (share, of) => `M0 ${MIDDLE - share * HALF}L${LENS} ${MIDDLE - share * HALF}L${FOCUS} ${MIDDLE}L${end} ${MIDDLE - share * half(end)}V${MIDDLE + share * half(end)}L${FOCUS} ${MIDDLE}L${LENS} ${MIDDLE + share * HALF}L0 ${MIDDLE + share * HALF}Z`;
  svg.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
  svg.replaceChildren(
    part("path", { d: beam(1), class: "light" }),
    ...(cone.obstruction > 0 ? [part("path", { d: beam(cone.obstruction), class: "dark" })] : []),
    part("path", { d: `M0 ${MIDDLE}H${end}`, class: "axis" }),
    part("path", { d: cone.mirror ? `M${LENS} ${MIDDLE - HALF}V${MIDDLE + HALF}` : `M${LENS} ${MIDDLE - HALF}q9 ${HALF} 0 ${2 * HALF}q-9 ${-HALF} 0 ${-2 * HALF}`, class: "glass" }),
    part("path", { d: `M${at} ${MIDDLE - 26}V${MIDDLE + 26}`, class: "eyepiece" }),
    part("circle", { cx: FOCUS, cy: MIDDLE, r: 2.2, class: "focus" }),
  );
  const mm = Math.abs(cone.shift_mm);
  const side = cone.shift_mm < 0 ? "inside" : "outside";
  const far = mm < 0.005 ? "The eyepiece looks at the focus itself" : `The eyepiece looks ${mm.toFixed(2)} mm ${side} the focus; the cone is ${cone.disc_mm.toFixed(2)} mm wide there`;
  words.textContent = `f/${cone.focal_ratio.toFixed(1)}. ${far}. Not drawn to scale.`;
  svg.setAttribute("aria-label", words.textContent);
}
