/** A bar of whole millimetres in the corner of a film. */
import { say, svg } from "./dom";
import type { Box } from "./labels";
import type { Size } from "./view";

const LENGTHS_MM = [1, 2, 5, 10, 20, 50, 100, 200];
const LONGEST = 130;
const INSET = 14;

export class MillimetreBar {
  readonly #words = svg("text", { class: "tf-said tf-millimetres", "text-anchor": "end" });
  readonly #under = svg("path", { class: "tf-under" });
  readonly #over = svg("path", { class: "tf-over" });
  readonly group = svg("g", { "aria-hidden": "true" }, this.#under, this.#over, this.#words);

  /** Draw so many screen pixels for a millimetre; return where the bar lies. */
  draw(perMm: number | null, { width, height }: Size): Box | null {
    const fitting = LENGTHS_MM.filter((mm) => perMm !== null && mm * perMm <= LONGEST);
    const mm = fitting.at(-1);
    this.group.toggleAttribute("hidden", mm === undefined);
    if (mm === undefined || perMm === null) return null;
    const [right, low] = [width - INSET, height - INSET];
    const left = right - mm * perMm;
    const path = `M${left} ${low - 5}V${low}H${right}V${low - 5}`;
    this.#under.setAttribute("d", path);
    this.#over.setAttribute("d", path);
    this.#words.setAttribute("x", `${right}`);
    this.#words.setAttribute("y", `${low - 10}`);
    say(this.#words, `${mm} mm`);
    return { left: Math.min(left, right - 60), top: low - 28, right: width, bottom: height };
  }
}
