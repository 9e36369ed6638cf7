/** The lines and the cut that the workbench answers with. */
import { svg } from "./dom";
import { isRecord, type Pair } from "./model";
import { turned, type View } from "./view";

export interface Answer {
  readonly rows: readonly { readonly name: string; readonly text: string }[];
  readonly lines: readonly { readonly from: Pair; readonly to: Pair; readonly text: string }[];
  readonly cut: { readonly at: Pair; readonly across: Pair; readonly text: string } | null;
}

/** Half of the cut's drawn length and the distance of words from a line, in screen pixels. */
const CUT = 50;
const BESIDE = 16;
/** Where along a line its words stand: off the middle, where a cut often lies. */
const ALONG = 0.3;

function isPair(value: unknown): value is Pair {
  return Array.isArray(value) && value.length === 2 && value.every(Number.isFinite);
}

const list = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);
const text = (value: unknown): string => (typeof value === "string" ? value : "");

export function readAnswer(given: unknown): Answer | null {
  if (!isRecord(given)) return null;
  const rows = list(given["rows"]).flatMap((row) =>
    isRecord(row) ? [{ name: text(row["name"]), text: text(row["text"]) }] : [],
  );
  const lines = list(given["lines"]).flatMap((line) => {
    if (!isRecord(line) || !isPair(line["from"]) || !isPair(line["to"])) return [];
    return [{ from: line["from"], to: line["to"], text: text(line["text"]) }];
  });
  const cut = given["cut"];
  const known = isRecord(cut) && isPair(cut["at"]) && isPair(cut["across"]);
  return {
    rows,
    lines,
    cut: known
      ? { at: cut["at"] as Pair, across: cut["across"] as Pair, text: text(cut["text"]) }
      : null,
  };
}

function words(className: string, at: Pair, shift: Pair, said: string, view: View): SVGElement {
  const anchor = shift[0] < -6 ? "end" : shift[0] > 6 ? "start" : "middle";
  const label = svg("text", { class: className, x: shift[0], y: shift[1] + 5 });
  label.setAttribute("text-anchor", anchor);
  label.textContent = said;
  const upright = `scale(${1 / view.scale}) rotate(${-90 * view.quarter})`;
  return svg("g", { transform: `translate(${at[0]} ${at[1]}) ${upright}` }, label);
}

function twice(from: Pair, to: Pair, kind: string): SVGElement[] {
  const ends = { x1: from[0], y1: from[1], x2: to[0], y2: to[1] };
  return ["tf-under", "tf-over"].map((layer) =>
    svg("line", { ...ends, class: `${kind} ${layer}`, "vector-effect": "non-scaling-stroke" }),
  );
}

/** Beside the line, on the left of it on screen, where the points' own words are not. */
function beside(from: Pair, to: Pair, view: View): Pair {
  const [x, y] = turned([to[0] - from[0], to[1] - from[1]], view.quarter);
  const length = Math.hypot(x, y) || 1;
  const side = y > 0 || (y === 0 && x < 0) ? 1 : -1;
  return [(-y / length) * BESIDE * side, (x / length) * BESIDE * side];
}

export class Drawing {
  readonly group = svg("g", { class: "tf-lines", "aria-hidden": "true" });

  draw(answer: Answer | null, view: View): void {
    const parts: SVGElement[] = [];
    for (const { from, to, text: said } of answer?.lines ?? []) {
      const share = (index: 0 | 1): number => from[index] + (to[index] - from[index]) * ALONG;
      const place: Pair = [share(0), share(1)];
      parts.push(...twice(from, to, "tf-line"));
      if (said) parts.push(words("tf-said", place, beside(from, to, view), said, view));
    }
    if (answer?.cut) parts.push(...this.#cut(answer.cut, view));
    this.group.replaceChildren(...parts);
  }

  #cut(cut: NonNullable<Answer["cut"]>, view: View): SVGElement[] {
    const length = Math.hypot(...cut.across) || 1;
    const half = CUT / view.scale / length;
    const [dc, dr] = [cut.across[0] * half, cut.across[1] * half];
    const ends: Pair[] = [
      [cut.at[0] - dc, cut.at[1] - dr],
      [cut.at[0] + dc, cut.at[1] + dr],
    ];
    const [left, right] = ends as [Pair, Pair];
    const screen = turned(cut.across, view.quarter);
    const [end, sign] = screen[0] < 0 ? [left, -1] : [right, 1];
    const away: Pair = [(sign * screen[0] * 8) / length, (sign * screen[1] * 8) / length];
    return [...twice(left, right, "tf-cut"), words("tf-said", end, away, cut.text, view)];
  }
}
