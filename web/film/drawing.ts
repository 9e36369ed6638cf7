/** The lines, the bar and the cut that the workbench answers with. */
import { svg } from "./dom";
import type { Label } from "./labels";
import { isRecord, type Pair } from "./model";
import { turned, type View } from "./view";

export interface Cut {
  readonly at: Pair;
  readonly across: Pair;
  readonly text: string;
}

export interface Scale {
  readonly text: string;
  readonly needed: readonly string[];
  readonly remarks: readonly string[];
  /** Millimetres of a pixel at the bones; null if they are not known. */
  readonly mmPerPx: number | null;
}

export interface Answer {
  readonly rows: readonly { readonly name: string; readonly text: string }[];
  readonly lines: readonly { readonly from: Pair; readonly to: Pair; readonly text: string }[];
  readonly cut: Cut | null;
  /** A length laid along the bones. */
  readonly bar: { readonly points: readonly Pair[]; readonly text: string } | null;
  /** Between which two levels the cut lies. */
  readonly band: { readonly from: Pair; readonly to: Pair; readonly text: string } | null;
  readonly scale: Scale | null;
  readonly faults: readonly { readonly field: string; readonly text: string }[];
}

/** Half of the cut's drawn length, in screen pixels. */
const CUT = 50;
/** Where along a line its words belong: off the middle, where a cut often lies. */
const ALONG = 0.3;

function isPair(value: unknown): value is Pair {
  return Array.isArray(value) && value.length === 2 && value.every(Number.isFinite);
}

const list = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);
const text = (value: unknown): string => (typeof value === "string" ? value : "");
const texts = (value: unknown): string[] => list(value).map(text);

function readScale(value: unknown): Scale | null {
  if (!isRecord(value)) return null;
  const { needed, remarks, mm_per_px: size } = value;
  return {
    text: text(value["text"]),
    needed: texts(needed),
    remarks: texts(remarks),
    mmPerPx: typeof size === "number" && size > 0 ? size : null,
  };
}

function readCut(cut: unknown): Cut | null {
  if (!isRecord(cut) || !isPair(cut["at"]) || !isPair(cut["across"])) return null;
  return { at: cut["at"], across: cut["across"], text: text(cut["text"]) };
}

function readBar(bar: unknown): Answer["bar"] {
  if (!isRecord(bar)) return null;
  const points = list(bar["points"]).filter(isPair);
  return points.length < 2 ? null : { points, text: text(bar["text"]) };
}

function readBand(band: unknown): Answer["band"] {
  if (!isRecord(band) || !isPair(band["from"]) || !isPair(band["to"])) return null;
  return { from: band["from"], to: band["to"], text: text(band["text"]) };
}

export function readAnswer(given: unknown): Answer | null {
  if (!isRecord(given)) return null;
  const rows = list(given["rows"]).flatMap((row) =>
    isRecord(row) ? [{ name: text(row["name"]), text: text(row["text"]) }] : [],
  );
  const lines = list(given["lines"]).flatMap((line) => {
    if (!isRecord(line) || !isPair(line["from"]) || !isPair(line["to"])) return [];
    return [{ from: line["from"], to: line["to"], text: text(line["text"]) }];
  });
  const faults = list(given["faults"]).flatMap((fault) =>
    isRecord(fault) ? [{ field: text(fault["field"]), text: text(fault["text"]) }] : [],
  );
  return {
    rows,
    lines,
    faults,
    cut: readCut(given["cut"]),
    bar: readBar(given["bar"]),
    band: readBand(given["band"]),
    scale: readScale(given["scale"]),
  };
}

const between = (from: Pair, to: Pair, share: number): Pair => [
  from[0] + (to[0] - from[0]) * share,
  from[1] + (to[1] - from[1]) * share,
];

function shape(tag: "line" | "polyline" | "polygon", given: Record<string, string | number>): SVGElement {
  return svg(tag, { ...given, "vector-effect": "non-scaling-stroke" });
}

/** Drawn twice, dark below and light above. */
function twice(from: Pair, to: Pair, kind: string): SVGElement[] {
  const ends = { x1: from[0], y1: from[1], x2: to[0], y2: to[1] };
  return ["tf-under", "tf-over"].map((layer) => shape("line", { ...ends, class: `${kind} ${layer}` }));
}

const flat = (points: readonly Pair[]): string => points.map((at) => at.join(",")).join(" ");

export class Drawing {
  readonly group = svg("g", { class: "tf-lines", "aria-hidden": "true" });
  #labels: Label[] = [];
  #lines: (readonly [Pair, Pair])[] = [];
  #parts: SVGElement[] = [];

  /** The words that belong to what is drawn, to be put where they cover nothing. */
  get labels(): readonly Label[] {
    return this.#labels;
  }

  /** What is drawn as lines, on the film; no words should stand on it. */
  get lines(): readonly (readonly [Pair, Pair])[] {
    return this.#lines;
  }

  draw(answer: Answer | null, view: View): void {
    this.#labels = [];
    this.#lines = [];
    this.#parts = [];
    if (answer?.bar) this.#bar(answer.bar, view);
    if (answer?.cut && answer.band) this.#band(answer.band, answer.cut, view);
    for (const { from, to, text: said } of answer?.lines ?? []) {
      this.#parts.push(...twice(from, to, "tf-line"));
      this.#lines.push([from, to]);
      if (said) this.#words(between(from, to, ALONG), said, view, false);
    }
    if (answer?.cut) this.#cut(answer.cut, answer.band?.text ?? "", view);
    this.group.replaceChildren(...this.#parts);
  }

  #words(at: Pair, said: string, view: View, must: boolean, prefer: Pair = [-1, 0]): void {
    const label = svg("text", { class: "tf-said" });
    label.textContent = said;
    const leader = svg("path", { class: "tf-leader" });
    const upright = `scale(${1 / view.scale}) rotate(${-90 * view.quarter})`;
    const transform = `translate(${at[0]} ${at[1]}) ${upright}`;
    this.#parts.push(svg("g", { transform }, leader, label));
    this.#labels.push({ at, said, must, prefer, label, leader, gap: 8 });
  }

  #bar({ points, text: said }: NonNullable<Answer["bar"]>, view: View): void {
    for (const layer of ["tf-bar-under", "tf-bar-over"]) {
      this.#parts.push(shape("polyline", { points: flat(points), class: `tf-bar ${layer}` }));
    }
    points.slice(1).forEach((at, index) => this.#lines.push([points[index] as Pair, at]));
    const [first, last] = [points[0] as Pair, points.at(-1) as Pair];
    for (const end of [first, last]) {
      const near = end === first ? (points[1] as Pair) : (points.at(-2) as Pair);
      this.#parts.push(...this.#across(end, [near[1] - end[1], end[0] - near[0]], 14, view, "tf-bar-end"));
    }
    const middle = points[Math.floor(points.length / 2)] as Pair;
    this.#words(between(first, middle, 0.5), said, view, true, [1, 0]);
  }

  #across(at: Pair, way: Pair, half: number, view: View, kind: string): SVGElement[] {
    const size = (half / view.scale) / (Math.hypot(...way) || 1);
    const [dc, dr] = [way[0] * size, way[1] * size];
    return twice([at[0] - dc, at[1] - dr], [at[0] + dc, at[1] + dr], kind);
  }

  #band({ from, to }: NonNullable<Answer["band"]>, cut: Cut, view: View): void {
    const size = CUT / view.scale / (Math.hypot(...cut.across) || 1);
    const [dc, dr] = [cut.across[0] * size, cut.across[1] * size];
    const corners: Pair[] = [
      [from[0] - dc, from[1] - dr],
      [from[0] + dc, from[1] + dr],
      [to[0] + dc, to[1] + dr],
      [to[0] - dc, to[1] - dr],
    ];
    this.#parts.push(shape("polygon", { points: flat(corners), class: "tf-band" }));
  }

  #cut(cut: Cut, doubt: string, view: View): void {
    this.#parts.push(...this.#across(cut.at, cut.across, CUT, view, "tf-cut"));
    const size = CUT / view.scale / (Math.hypot(...cut.across) || 1);
    const screen = turned(cut.across, view.quarter);
    const sign = screen[0] < 0 ? -1 : 1;
    const end: Pair = [cut.at[0] + sign * size * cut.across[0], cut.at[1] + sign * size * cut.across[1]];
    const start: Pair = [2 * cut.at[0] - end[0], 2 * cut.at[1] - end[1]];
    this.#lines.push([start, end]);
    this.#words(end, doubt ? `${cut.text} ${doubt}` : cut.text, view, true, [1, 0]);
  }
}
